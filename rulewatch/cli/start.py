"""`rulewatch start`: make a new workspace."""

from __future__ import annotations

import shlex
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from rulewatch.cli.output import counted, print_faults, say
from rulewatch.store.writing import write_folder


@click.command("start")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.pass_obj
def command(root: Path, folder: Path) -> None:
    """Make a new workspace, with commented examples.

    DIR is made if it is not there; a folder that has anything in it is left alone.
    """
    target = (root / folder).resolve()
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise click.UsageError(f"{target} is there already and is not empty; name a new folder.")
    contents = dict(_contents(files("rulewatch") / "data" / "start", ""))
    fault = write_folder(target, contents)
    if fault is not None:
        print_faults([fault])
        raise SystemExit(2)
    say(f"{counted(len(contents), 'file')} in {folder}")
    say(f"Next: rulewatch -C {shlex.quote(str(folder))} verify")


def _contents(folder: Traversable, above: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        path = f"{above}{entry.name}"
        found += _contents(entry, f"{path}/") if entry.is_dir() else [(path, entry.read_bytes())]
    return found
