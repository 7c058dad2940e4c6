"""What the commands share in printing: faults, styled words that wrap, and text made safe for a terminal."""

from __future__ import annotations

import json
import os
import shutil
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any, NoReturn

import click

from rulewatch.model.fault import Fault
from rulewatch.model.result import Result

WIDEST = 100
MOST_WARNINGS = 5


def plain(text: str) -> str:
    """Text from a file with whatever a terminal might obey written out, so that a rule book cannot steer it."""
    if text.isprintable():
        return text
    return "".join(char if char in "\n\t" or unicodedata.category(char)[0] != "C" else f"\\x{ord(char):02x}" for char in text)


def width() -> int:
    """How many columns a line may take."""
    return min(WIDEST, shutil.get_terminal_size().columns)


def styled() -> bool:
    """Whether words may be styled: on a terminal, unless the user wants none (NO_COLOR, see no-color.org) or it has none."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def today() -> date:
    """The day on this machine's own calendar, which is the crew's."""
    return datetime.now().astimezone().date()


def say(text: str = "", **style: Any) -> None:
    """Print a line to stdout, styled where stdout is a terminal."""
    click.secho(plain(text), **style)


def print_faults(faults: Iterable[Fault], *, err: bool = True, most: int | None = None) -> None:
    """Print faults one under the other, each with its source line.

    Of more than `most` warnings of one kind in one file the others are only counted.
    """
    seen: Counter[tuple[str, str]] = Counter()
    for fault in faults:
        kind = (fault.place.path, fault.code)
        seen[kind] += fault.warning
        if most is None or seen[kind] <= most:
            _print_fault(fault, err=err)
    for (path, code), count in seen.items():
        if most is not None and count > most:
            click.echo(f"{plain(path)}: {code} {count - most} more", err=err)


def _print_fault(fault: Fault, *, err: bool) -> None:
    head, *rest = plain(str(fault)).split("\n")
    place, message = plain(str(fault.place)), plain(fault.message)
    if head == f"{place}: {fault.code} {message}":
        code = click.style(fault.code, fg=None if fault.warning else "red")
        head = f"{click.style(place + ':', bold=True)} {code} {message}"
    click.echo("\n".join((head, *rest)), err=err)


def print_json(data: Mapping[str, Any]) -> None:
    """Print data as JSON to stdout."""
    json.dump(data, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")


def needed(result: Result[Any]) -> Any:
    """The value of a result; faults are printed, and any that is more than a warning ends the command with status 2."""
    # A downloaded book may repeat hundreds of numbers.
    print_faults(result.faults, most=MOST_WARNINGS)
    if result.wrong or result.value is None:
        fail(len(result.wrong))
    return result.value


def fail(count: int) -> NoReturn:
    """End with status 2 and a count of the faults."""
    click.echo(f"{counted(count, 'fault')} to mend before there is a result", err=True)
    raise SystemExit(2)


def counted(count: int, word: str, words: str = "") -> str:
    """`1 fault`, `2 faults`; `words` where the plural takes no s."""
    return f"{count} {word if count == 1 else words or f'{word}s'}"


def wrapped(pieces: Iterable[tuple[str, Mapping[str, Any]]], *, indent: str = "    ") -> str:
    """Styled pieces of text as lines no wider than the terminal; a piece is broken at its spaces only."""
    lines: list[str] = []
    line, used, gap = "", 0, False
    room = max(width() - len(indent), 20)
    for text, style in pieces:
        words = plain(text).split(" ")
        for number, word in enumerate(words):
            gap = gap or number > 0
            if not word:
                continue
            if used and used + gap + len(word) > room:
                lines.append(indent + line)
                line, used, gap = "", 0, False
            space = " " if gap and used else ""
            line += space + (click.style(word, **style) if style else word)
            used += len(space) + len(word)
            gap = False
        gap = gap or text.endswith(" ")
    return "\n".join((*lines, indent + line)) if line else "\n".join(lines)
