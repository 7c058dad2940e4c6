"""The command line: wiring and printing."""


def main() -> None:
    """Run the command line."""
