"""Reading blocks as lines of their file: taken out as they were written, and fitted to where a clause stands."""

from __future__ import annotations

import re

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Source
from rulewatch.model.reading import Reading
from rulewatch.parse.clause_blocks import MARKER

QUOTE = ">"


def block_lines(reading: Reading, source: Source) -> tuple[str, ...]:
    """The lines of a reading's block, fences and comments included, without the indent of the place where it stands."""
    column = reading.place.column - 1
    first, *others = source.lines[reading.place.line - 1 : reading.last_line]
    quoted = QUOTE in first[:column]
    return (first[column:], *(_without_indent(line, column, quoted=quoted) for line in others))


def _without_indent(line: str, columns: int, *, quoted: bool) -> str:
    """A line without at most so many blanks, and without signs of quotation where the block stands in one."""
    signs = " \t>" if quoted else " \t"
    cut = next((at for at, sign in enumerate(line[:columns]) if sign not in signs), min(columns, len(line)))
    return line[cut:]


def indent_of(clause: Clause, source: Source) -> str:
    """What stands in front of the lines that belong to a clause: blanks, and signs of quotation where it is quoted."""
    line = source.lines[clause.place.line - 1]
    if line.lstrip(" \t>").startswith("#"):
        return line[: len(line) - len(line.lstrip(" \t>"))]
    start = clause.place.column - 1
    marker = MARKER.match(line, start)
    if marker is not None:  # the number is the mark of a list item: what belongs to it stands as its text does
        start = marker.end() + len(line[marker.end() :]) - len(line[marker.end() :].lstrip())
    return re.sub(r"[^\s>]", " ", line[:start])


def fitted(lines: tuple[str, ...], indent: str) -> tuple[str, ...]:
    """Lines behind an indent; empty ones stay without blanks at their end."""
    return tuple((indent + line).rstrip() if not line.strip() else indent + line for line in lines)
