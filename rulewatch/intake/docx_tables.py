"""The tables of a DOCX: the rows and cells of one with the columns that they take, and the grid that they make."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rulewatch.intake.document import Kind, Mark
from rulewatch.intake.docx_bounds import WIDEST
from rulewatch.intake.docx_words import CHANGED
from rulewatch.intake.docx_xml import Node, chosen
from rulewatch.intake.drafts import DraftBlock, DraftLine, cell_lines

WRAPPERS = frozenset({"w:sdt", "w:sdtContent", "w:customXml", "mc:AlternateContent", "mc:Choice", "w:smartTag", *CHANGED})
CHANGES = {"w:cellIns": Mark.INSERTED, "w:cellDel": Mark.STRUCK, "w:ins": Mark.INSERTED, "w:del": Mark.STRUCK}
BESIDE = frozenset({Kind.NOTE, Kind.PICTURE})  # what comes behind the table, not in a cell
LONGEST = 4  # digits of a number of columns


class Cell(NamedTuple):
    """A cell: the columns that it takes, whether it goes on from the cell above or to its left, what a tracked change says."""

    node: Node
    span: int
    goes_on: bool
    change: Mark


class Row(NamedTuple):
    """A row: its cells, the columns that are left free in front of them, what a tracked change says."""

    cells: list[Cell]
    before: int
    change: Mark


class Filled(NamedTuple):
    """The blocks in a cell and the columns that it takes."""

    blocks: list[DraftBlock]
    span: int


def table_rows(table: Node) -> list[Row]:
    """The rows of a table; those of a table within it are not among them."""
    return [_row(node) for node in _inside(table, "w:tr")]


def _row(node: Node) -> Row:
    properties = node.first("w:trPr")
    before = _columns(properties.value("w:gridBefore") if properties else "", 0)
    return Row([_cell(each) for each in _inside(node, "w:tc")], before, _change(properties))


def _cell(node: Node) -> Cell:
    properties = node.first("w:tcPr")
    span = _columns(properties.value("w:gridSpan") if properties else "", 1)
    merged = [each for each in (properties.children if properties else ()) if each.name in {"w:vMerge", "w:hMerge"}]
    goes_on = any(each.attributes.get("w:val", "continue") == "continue" for each in merged)
    return Cell(node, max(span, 1), goes_on, _change(properties))


def _change(properties: Node | None) -> Mark:
    """What a tracked change says of a row or cell."""
    found = (CHANGES[each.name] for each in (properties.children if properties else ()) if each.name in CHANGES)
    return next(found, Mark.NONE)


def _columns(text: str, otherwise: int) -> int:
    """A number of columns as written."""
    return min(int(text), WIDEST) if text.isascii() and text.isdecimal() and len(text) <= LONGEST else otherwise


def _inside(node: Node, name: str) -> list[Node]:
    """The rows of a table or the cells of a row, also those within tags around them, in order."""
    found: list[Node] = []
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if each.name == name and each is not node:
            found.append(each)
        elif each is node or each.name in WRAPPERS:
            waiting += reversed(chosen(each))
    return found


def width(rows: Sequence[Sequence[Filled]]) -> int:
    """The columns of a table."""
    return max((sum(cell.span for cell in row) for row in rows), default=0)


def only_places(rows: Sequence[Sequence[Filled]]) -> bool:
    """Whether a table only places things on the page: it has one column, or headings in it."""
    headings = any(block.level for row in rows for cell in row for block in cell.blocks)
    return headings or all(len(row) <= 1 for row in rows)


def grid(rows: Sequence[Sequence[Filled]]) -> list[list[list[DraftLine]]]:
    """The lines of all cells; the places that a cell spans are blank behind its words, and all rows are of one length."""
    columns = width(rows)
    return [_grid_row(row, columns) for row in rows]


def _grid_row(row: Sequence[Filled], columns: int) -> list[list[DraftLine]]:
    made: list[list[DraftLine]] = []
    for cell in row:
        kept = cell_lines(block for block in cell.blocks if block.kind not in BESIDE)
        made += [kept, *([] for _ in range(cell.span - 1))]
    return made + [[] for _ in range(columns - len(made))]
