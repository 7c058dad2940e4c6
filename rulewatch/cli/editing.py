"""A reading in the editor of whoever decides: beside the words of its clause, and again where anything in it is wrong."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

import click

from rulewatch.model.fault import Fault
from rulewatch.model.step import Block, Offer, Step

CUT = "# --- The reading stands below this line. What is above it is not kept. ---"
FENCE = "```"


def sheet(step: Step, offer: Offer) -> str:
    """What the editor shows: the clause's words, what could be written, and below a line the reading as it is."""
    above = [f"{step.name} of {step.point}", *step.clause.plain.split("\n")]
    if offer.blocks:
        above += ["", "Proposed:" if step.reading is not None else "Suggested:"]
        above += [f"    {line}" for block in offer.blocks for line in block[1:-1]]
    return "\n".join((*_commented(above), CUT, *step.block[1:-1], ""))


def with_faults(text: str, faults: Iterable[Fault]) -> str:
    """The sheet with what is wrong with it at its head, instead of what was wrong before."""
    kept = [line for line in text.split("\n") if not line.startswith("#! ")]
    wrong = [f"#! {line}" for fault in faults for line in f"{fault.code} {fault.message}".split("\n")]
    return "\n".join((*wrong, *kept))


def blocks_of(text: str) -> tuple[Block, ...]:
    """The readings below the line, one or more between fences; without fences all of it is one. None where nothing is there."""
    below = text.partition(CUT)[2] if CUT in text else text
    lines = [line.rstrip() for line in below.splitlines()]
    if any(line.startswith(FENCE) for line in lines):
        found = re.findall(r"^```\s*reading\n(.*?)\n?^```$", "\n".join(lines), re.MULTILINE | re.DOTALL)
        return tuple(_block(inside.split("\n")) for inside in found)
    return (_block(lines),) if any(lines) else ()


def _block(lines: Sequence[str]) -> Block:
    inside = list(lines)
    while inside and not inside[0]:
        inside.pop(0)
    while inside and not inside[-1]:
        inside.pop()
    return (f"{FENCE}reading", *inside, FENCE)


def _commented(lines: Iterable[str]) -> list[str]:
    return [f"# {line}".rstrip() for line in lines]


class Draft:
    """A sheet in a file of its own, so that nothing is lost while it is worked on; it goes when it is of no use any more."""

    def __init__(self, name: str, text: str) -> None:
        handle, path = tempfile.mkstemp(prefix=f"rulewatch-{re.sub(r'[^A-Za-z0-9.]+', '-', name)}-", suffix=".yaml")
        os.close(handle)
        self.file = Path(path)
        self.write(text)

    def write(self, text: str) -> None:
        """Put a text in the place of what is there."""
        self.file.write_text(text, encoding="utf-8")

    def edit(self) -> str | None:
        """What the editor leaves there; None where it could not be run, which is said."""
        try:
            click.edit(filename=str(self.file))
        except click.ClickException as error:
            click.echo(f"{error.format_message()}: set the variable EDITOR to the editor that you use", err=True)
            return None
        return self.file.read_text(encoding="utf-8", errors="replace")

    def discard(self) -> None:
        """Take the file away."""
        self.file.unlink(missing_ok=True)
