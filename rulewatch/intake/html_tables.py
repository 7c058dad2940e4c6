"""Tables of a page: the grid of their cells, and which tables only place things on the page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeVar

from rulewatch.intake.html_tree import HEADINGS, Element

T = TypeVar("T")

WIDEST = 200  # columns that a cell may span
LARGEST = 200_000  # cells of a table as a grid


class Cell(NamedTuple):
    """A cell with the columns and rows that it spans; rows 0: all that follow."""

    element: Element
    columns: int
    rows: int


def cells(table: Element) -> list[list[Cell]]:
    """The cells of a table by rows, foot last; those of a table within it are not among them."""
    rows: list[list[Cell]] = []
    feet: list[list[Cell]] = []
    for part in _rows(table, 0):
        row = [
            Cell(each, _span(each, "colspan", WIDEST) or 1, _span(each, "rowspan", 65_534))
            for each in part[1].children
            if each.name in {"td", "th"}
        ]
        if row:
            (feet if part[0] else rows).append(row)
    return rows + feet


def _rows(element: Element, depth: int) -> Iterator[tuple[bool, Element]]:
    """The rows of a table, each with whether it belongs to the foot."""
    for child in element.children:
        if child.name == "tr":
            yield element.name == "tfoot", child
        elif child.name in {"thead", "tbody", "tfoot", "form"} and depth == 0:
            yield from _rows(child, 1)


def _span(element: Element, name: str, most: int) -> int:
    text = element.attributes.get(name, "1").strip()
    return min(int(text[:6]), most) if text.isdecimal() else 1


def grid(rows: Sequence[Sequence[tuple[T, int, int]]], blank: T) -> list[list[T]]:
    """Rows of equal length from (content, columns, rows); a place that a cell only spans is blank.

    Beyond the bound no cell spans anything and rows end with their last cell.
    """
    width = max((sum(columns for _, columns, _ in row) for row in rows), default=0)
    if width * len(rows) > LARGEST:
        return [[content for content, _, _ in row] for row in rows]
    made: list[list[T]] = []
    down: dict[int, int] = {}  # column: rows for which a cell above still covers it
    for number, row in enumerate(rows):
        line: list[T] = []
        covered = dict(down)
        down = {column: left - 1 for column, left in down.items() if left > 1}
        for content, columns, deep in row:
            while len(line) in covered:
                line.append(blank)
            depth = deep or len(rows) - number
            if depth > 1:
                down.update(dict.fromkeys(range(len(line), len(line) + columns), depth - 1))
            line += [content, *([blank] * (columns - 1))]
        while len(line) in covered:
            line.append(blank)
        made.append(line)
    widest = max((len(line) for line in made), default=0)
    return [line + [blank] * (widest - len(line)) for line in made]


def only_places(table: Element, rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether a table only places things on the page: it says so, has one column, or holds headings or, in one row, tables."""
    if table.attributes.get("role") in {"presentation", "none"} or all(len(row) == 1 for row in rows):
        return True
    inside = {each.name for row in rows for cell in row for each in below(cell.element)}
    return bool(inside & HEADINGS) or (len(rows) == 1 and "table" in inside)


def below(element: Element) -> Iterator[Element]:
    """Everything in an element, without recursion."""
    waiting = list(element.children)
    while waiting:
        each = waiting.pop()
        yield each
        waiting += each.children
