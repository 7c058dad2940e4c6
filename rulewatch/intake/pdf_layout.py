"""From the words of a book's pages to its blocks: columns, tables, footnotes, pictures and paragraphs in the order of reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from rulewatch.intake.document import Block, Kind, Line, Spot
from rulewatch.intake.pdf_aligned import aligned
from rulewatch.intake.pdf_blocks import line, paragraphs
from rulewatch.intake.pdf_columns import Flow
from rulewatch.intake.pdf_grids import Grid
from rulewatch.intake.pdf_marks import Style, marked
from rulewatch.intake.pdf_notes import footnotes
from rulewatch.intake.pdf_page import Box, Sheet
from rulewatch.intake.pdf_words import Row

_SAME_START = 4.0  # points: columns of a table that begin so near each other are the same

Lefts = Mapping[tuple[int, int, int], float]


class Figure(NamedTuple):
    """A picture or drawing, and the words in it."""

    box: Box
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A page whose columns are known: what stands in them, its ruled tables and its pictures."""

    sheet: Sheet
    flows: tuple[Flow, ...]
    things: tuple[Grid | Figure, ...]


class Placed(NamedTuple):
    """A block, whether it is the first and the last of its column, and where a table's columns begin, from the left of the text."""

    block: Block
    first: bool = False
    last: bool = False
    starts: tuple[float, ...] = ()


class _Numbering:
    """Counts the lines of a page as they are read."""

    def __init__(self, page: int, style: Style, links: Sequence[Box]) -> None:
        self.page, self.style, self.links = page, style, links
        self.last = 0

    @property
    def next(self) -> Spot:
        return Spot(page=self.page, line=self.last + 1)

    def line(self, row: Row, edge: float) -> Line:
        spot = self.next
        self.last += 1
        return line(marked(row, self.style, self.links), spot, edge)

    def block(self, kind: Kind, rows: Iterable[Row], edge: float) -> Block:
        return Block(kind=kind, spot=self.next, lines=tuple([self.line(row, edge) for row in rows]))

    def table(self, grid: Grid, edge: float) -> Block:
        spot = self.next
        rows = tuple(tuple(tuple(self.line(row, edge) for row in cell) for cell in cells) for cells in grid.rows)
        return Block(kind=Kind.TABLE, spot=spot, rows=rows)


def left_edges(pages: Iterable[Laid]) -> Lefts:
    """The left edge of text by odd or even page, column, and number of columns: that of most pages."""
    found: dict[tuple[int, int, int], Counter[float]] = {}
    for page in pages:
        for flow in page.flows:
            if flow.rows:
                key = (page.sheet.number % 2, flow.column, flow.of)
                found.setdefault(key, Counter())[round(min(row.left for row in flow.rows))] += len(flow.rows)
    return {key: float(counts.most_common(1)[0][0]) for key, counts in found.items()}


def placed(pages: Iterable[Laid], style: Style, lefts: Lefts) -> Iterator[Placed]:
    """The blocks of a book's pages; the footnotes of a page come last on it."""
    above: Grid | None = None  # the table at the end of the column before
    for page in pages:
        count = _Numbering(page.sheet.number, style, page.sheet.links)
        things = {thing.box: thing for thing in page.things}
        lowest = {flow.column: n for n, flow in enumerate(page.flows)}
        held: list[tuple[list[Row], float]] = []
        for n, flow in enumerate(page.flows):
            rows: Sequence[Row] = flow.rows
            edge = min([lefts.get((page.sheet.number % 2, flow.column, flow.of), 1e9), *(row.left for row in rows)])
            if lowest[flow.column] == n:
                rows, notes = footnotes(rows, style.size)
                held += [(note, edge) for note in notes]
            parts = list(_parts(aligned(rows, above), [things[box] for box in flow.boxes]))
            above = parts[-1] if parts and isinstance(parts[-1], Grid) else None
            found = [each for part in parts for each in _made(part, count, edge)]
            for k, each in enumerate(found):
                yield each._replace(first=k == 0, last=k + 1 == len(found))
        for note, edge in held:
            yield Placed(count.block(Kind.NOTE, note, edge))


def _parts(rows: Sequence[Grid | Row], things: Sequence[Grid | Figure]) -> Iterator[list[Row] | Grid | Figure]:
    """What stands in a column from the top: rows between tables and pictures, and these."""
    order: list[Row | Grid | Figure] = [*rows, *things]
    order.sort(key=lambda part: part.top if isinstance(part, Row) else part.box.top)
    for is_row, group in groupby(order, key=lambda part: isinstance(part, Row)):
        if is_row:
            yield [part for part in group if isinstance(part, Row)]
        else:
            yield from (part for part in group if not isinstance(part, Row))


def _made(part: list[Row] | Grid | Figure, count: _Numbering, edge: float) -> Iterator[Placed]:
    if isinstance(part, list):
        for paragraph in paragraphs(part):
            yield Placed(count.block(Kind.TEXT, paragraph, edge))
    elif isinstance(part, Grid):
        yield Placed(count.table(part, edge), starts=tuple(start - part.box.left for start in part.starts))
    else:
        yield Placed(count.block(Kind.PICTURE, part.rows, edge))


def joined(found: Iterable[Placed]) -> list[Block]:
    """The blocks of a book, with tables that go on in another column or page put together; a head that is printed again is left out."""
    out: list[Placed] = []
    text = -1  # the last that is no footnote
    for each in found:
        if text >= 0 and _goes_on(out[text], each):
            rows = each.block.rows[_same_head(out[text].block, each.block) :]
            before = out[text].block
            out[text] = each._replace(block=Block(kind=Kind.TABLE, spot=before.spot, rows=before.rows + rows))
            continue
        if each.block.kind is not Kind.NOTE:
            text = len(out)
        out.append(each)
    return [each.block for each in out]


def _goes_on(above: Placed, below: Placed) -> bool:
    """Whether a table at the top of a column is more of the one at the foot of the column before."""
    if not (above.last and below.first and above.block.kind is below.block.kind is Kind.TABLE):
        return False
    if len(above.starts) != len(below.starts):
        return False
    if _same_head(above.block, below.block):
        return True
    near = all(abs(a - b) < _SAME_START for a, b in zip(above.starts, below.starts, strict=True))
    return near and not (_bold(above.block) and _bold(below.block))


def _same_head(one: Block, other: Block) -> bool:
    return _texts(one) == _texts(other)


def _texts(table: Block) -> list[str]:
    return [" ".join(line.text for line in cell) for cell in table.rows[0]]


def _bold(table: Block) -> bool:
    return all(run.bold for cell in table.rows[0] for each in cell for run in each.runs if run.text.strip())
