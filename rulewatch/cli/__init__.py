"""The command line: wiring and printing.

Commands are imported when they are called, so that `rulewatch --help` costs little more than click itself.
"""

from __future__ import annotations

import gc
import importlib
import io
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

import click

from rulewatch import __version__

# The commands in the order of a season's work: name, and what it does in a line (each command's own help begins with it).
COMMANDS: dict[str, str] = {
    "start": "Make a new workspace, with commented examples.",
    "intake": "Take in a published book: chapters of clauses, with the readings carried over.",
    "verify": "Find what is wrong, and what is still open.",
    "suggest": "Suggest readings for unread clauses, with the words they come from.",
    "carry": "Carry the readings of the season before into a new one.",
    "confirm": "Walk through what is open: keep, take, edit, ask, skip.",
    "amend": "Check a bulletin against the text that it amends, and show what it makes of it.",
    "compare": "Show what changed between two points.",
    "impact": "Say what the changes do to each car in each of its classes.",
    "weigh": "Show how a car stands on its wheels, and what the scales will find.",
    "pace": "Estimate lap times, what they hang on, and how sure they are.",
    "inspection": "Print the sheet that a crew brings to an inspection.",
    "tradeoff": "Compare the options of a car: what is allowed together, what it wins, costs and weighs.",
    "plan": "Plan the work: who does what when, what to order by when, and how likely it is to be ready.",
    "timeline": "Show one clause through the seasons, or what was altered on a car.",
    "publish": "Write the site.",
}


class LazyGroup(click.Group):
    """A group whose commands are modules of this room, imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Give the commands in the order of `COMMANDS`."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:  # noqa: ARG002
        """Import one command."""
        if name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"rulewatch.cli.{name}").command
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """Offer the nearest command for a misspelt one."""
        if args[0] not in COMMANDS:
            from difflib import get_close_matches

            near = "".join(f" Did you mean '{name}'?" for name in get_close_matches(args[0], COMMANDS, n=1))
            ctx.fail(f"No such command '{args[0]}'.{near}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """List the commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="rulewatch %(version)s")
@click.option(
    "-C",
    "root",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="The workspace; this folder if not given.",
)
@click.pass_context
def cli(ctx: click.Context, root: Path) -> None:
    """Track what changes in the rules, and what that does to each car.

    The official book always governs; rulewatch is the crew's own reading of it.

    Exit status: 0 done; 1 done, and there is something to act on that the call asked to fail on; 2 the input or the call is
    wrong.
    """
    ctx.obj = root
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False  # click takes the styles out of all that is printed


def main(args: Sequence[str] | None = None) -> NoReturn:
    """Run the command line; ends the process with its exit status.

    Interrupted it ends as a shell expects: 130 after Ctrl-C, and by the signal (141) where whoever read the output went away.
    """
    gc.set_threshold(
        50_000, 20, 100
    )  # a command ends soon, and leaves little garbage: looking for it took a twentieth of the time
    if hasattr(signal, "SIGPIPE"):
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that has no arrow shows a question mark instead
    try:
        cli.main(args=args, prog_name="rulewatch", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        sys.exit(130)
    except OSError as error:
        click.echo(f"the output could not be written: {error.strerror}", err=True)
        sys.exit(2)
    sys.exit(0)
