"""Tables without upright lines: rows whose words stand in columns, with the same white strips between them from row to row."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from rulewatch.intake.pdf_grids import Grid
from rulewatch.intake.pdf_page import Box
from rulewatch.intake.pdf_words import Row, Word

_STRIP = 1.0  # of the size: the least gap that parts cells in a row
_KEPT = 0.6  # of the size: what must be left of a strip over all rows
_ROWS = 3  # the least that make a table
_OVER = 0.95  # of the size: lines of one text are further apart
_STEP = 3.2  # of the size: the most between the bases of two rows
_WRAPPED = 1.35  # of the size: the most between the lines of one cell
_LABEL = re.compile(r"[(\[]?(?:[0-9]{1,3}|[A-Za-z]{1,4})(?:[.\-][0-9A-Za-z]{1,3}){0,6}[.)\]:]*|[•·–—\-*▪●○◦■□]|§+ ?\d+\w?")
_PAGE_NUMBER = re.compile(r"\d{1,4}|[ivxlc]{1,7}")
_LEADER = re.compile(r"[.\s…·]*")

Strips = list[tuple[float, float]]


def aligned(rows: Sequence[Row], above: Grid | None = None) -> list[Grid | Row]:
    """The rows of a column from the top, with those that make tables put together.

    `above` is the table at the end of the column before, if there is one: of a table that goes on, one row is enough.
    """
    bands = _bands(rows)
    found: list[Grid | Row] = []
    n = 0
    while n < len(bands):
        known = _moved(above, bands[0]) if above and n == 0 else []
        table, used, before = (known and _table(bands, 0, known)) or _table(bands, n)
        if table:
            del found[len(found) - before :]
            found.append(table)
            n += used
        else:
            found += bands[n].rows
            n += 1
    return found


def _moved(above: Grid, band: _Band) -> Strips:
    """The strips of a table where it goes on in another column; none if its first row there does not leave them all."""
    by = band.words[0].left - above.box.left
    strips = [(start + by, end + by) for start, end in above.strips]
    return strips if _gaps(band) and len(_left_of(strips, band)) == len(strips) else []


class _Band(NamedTuple):
    """Rows that lie too near each other to be lines of one text: cells set in the middle of their height."""

    rows: tuple[Row, ...]
    words: tuple[Word, ...]
    size: float

    @property
    def first(self) -> float:
        return self.rows[0].base

    @property
    def last(self) -> float:
        return self.rows[-1].base


def _bands(rows: Sequence[Row]) -> list[_Band]:
    groups: list[list[Row]] = []
    for row in rows:
        if groups and row.base - groups[-1][-1].base < _OVER * row.size:
            groups[-1].append(row)
        else:
            groups.append([row])
    return [
        _Band(tuple(group), tuple(sorted((w for row in group for w in row.words), key=lambda w: w.left)), group[0].size)
        for group in groups
    ]


def _gaps(band: _Band) -> Strips:
    """The white strips in a band that are wider than a space between words."""
    return [(before[1], behind[0]) for before, behind in pairwise(_stretches(band, _STRIP))]


def _table(bands: Sequence[_Band], start: int, known: Strips | None = None) -> tuple[Grid | None, int, int]:
    """The table that begins at a band, how many bands it takes, and how many rows before; None where there is none.

    `known` are the strips of a table that goes on here.
    """
    strips = known or _gaps(bands[start])
    if not strips:
        return None, 0, 0
    taken, strips, parted = _taken(bands, start, strips)
    if parted < _ROWS and not known:
        return None, 0, 0
    used, before = len(taken), 0
    above = bands[start - 1] if start else None
    if above and taken[0].first - above.last <= _WRAPPED * above.size and _one_cell(above, strips):
        taken.insert(0, above)
        before = len(above.rows)
    cells = _cells(taken, strips)
    if _is_list(cells) or _is_contents(cells):
        return None, 0, 0
    left = min(band.words[0].left for band in taken)
    right = max(word.right for band in taken for word in band.words)
    box = Box(left, taken[0].rows[0].top, right, taken[-1].last)
    starts = (left, *(end for _, end in strips))
    return Grid(box=box, starts=starts, rows=tuple(cells), strips=tuple(strips)), used, before


def _taken(bands: Sequence[_Band], start: int, strips: Strips) -> tuple[list[_Band], Strips, int]:
    """The bands of a table, what they all leave of its strips, and how many of them have words on both sides of one."""
    taken = [bands[start]]
    strips = _left_of(strips, bands[start])
    parted = 1
    for band in bands[start + 1 :]:
        if band.first - taken[-1].last > _STEP * band.size:
            break
        left = _left_of(strips, band)
        wide = bool(_gaps(band))
        wrapped = band.first - taken[-1].last <= _WRAPPED * band.size and _one_cell(band, strips)
        if len(left) < max(1, len(strips) - (len(strips) > 2)) or not (wide or wrapped):  # noqa: PLR2004 - one of three may close
            break
        if wide:
            strips = left
            parted += 1
        taken.append(band)
    return taken, strips, parted


def _left_of(strips: Strips, band: _Band) -> Strips:
    """What a band leaves of strips. What stands within a strip goes with the side that it reaches or is nearer to."""
    stretches = _stretches(band, _KEPT)
    left: Strips = []
    for strip in strips:
        start, end = strip
        for first, last in stretches:
            if last <= start or end <= first:
                continue
            if first - start <= end - last:
                start = last
            else:
                end = first
        if end - start >= _KEPT * band.size:
            left.append((start, end))
    return left


def _stretches(band: _Band, most: float) -> Strips:
    """A band's words, put together over gaps of at most that much of the size."""
    found: Strips = []
    for word in band.words:
        if found and word.left - found[-1][1] <= most * band.size:
            found[-1] = found[-1][0], max(found[-1][1], word.right)
        else:
            found.append((word.left, word.right))
    return found


def _one_cell(band: _Band, strips: Strips) -> bool:
    """Whether all of a band stands in one column, which is not the first."""
    return any(band.words[0].left >= end - 1 for _, end in strips) and len({_column(word, strips) for word in band.words}) == 1


def _column(word: Word, strips: Strips) -> int:
    middle = (word.left + word.right) / 2
    return sum(middle > (start + end) / 2 for start, end in strips)


def _cells(bands: Sequence[_Band], strips: Strips) -> list[tuple[tuple[Row, ...], ...]]:
    """Bands as rows of cells; one without a first cell is more of its nearer neighbour, if that is near enough."""
    made: list[list[_Band]] = []
    for n, band in enumerate(bands):
        above = band.first - bands[n - 1].last if n else 1e9
        below = bands[n + 1].first - band.last if n + 1 < len(bands) else 1e9
        joins = _headless(band, strips) and above <= min(below, _WRAPPED * band.size)
        opened = n and _headless(bands[n - 1], strips) and len(made[-1]) == 1 and above <= _WRAPPED * band.size
        if made and (joins or (opened and not _headless(band, strips) and _nearer_below(bands, n - 1))):
            made[-1].append(band)
        else:
            made.append([band])
    return [_row_of([row for band in group for row in band.rows], strips) for group in made]


def _headless(band: _Band, strips: Strips) -> bool:
    return all(_column(word, strips) for word in band.words)


def _nearer_below(bands: Sequence[_Band], n: int) -> bool:
    return n == 0 or bands[n + 1].first - bands[n].last < bands[n].first - bands[n - 1].last


def _row_of(rows: Sequence[Row], strips: Strips) -> tuple[tuple[Row, ...], ...]:
    cells: list[list[Row]] = [[] for _ in range(len(strips) + 1)]
    for row in rows:
        for k, cell in enumerate(cells):
            part = tuple(word for word in row.words if _column(word, strips) == k)
            if part:
                cell.append(row._replace(words=part))
    return tuple(tuple(cell) for cell in cells)


def _text(cell: Sequence[Row]) -> str:
    return " ".join(row.text for row in cell)


def _is_list(cells: Sequence[Sequence[Sequence[Row]]]) -> bool:
    """Whether the first of two columns holds only the labels of what stands in the second."""
    return len(cells[0]) == 2 and all(_LABEL.fullmatch(_text(row[0])) for row in cells if row[0])  # noqa: PLR2004 - label and text


def _is_contents(cells: Sequence[Sequence[Sequence[Row]]]) -> bool:
    """Whether this is a contents page: page numbers behind leaders, or page numbers that grow behind labels with their headings."""
    last = [_text(row[-1]) for row in cells]
    if not all(_PAGE_NUMBER.fullmatch(text) or not text for text in last):
        return False
    led = sum(bool(_text(row[-2])) and bool(_LEADER.fullmatch(_text(row[-2])[-3:])) for row in cells)
    if 2 * led > len(cells):
        return True
    numbers = [int(text) for text in last if text.isdigit()]
    growing = all(a <= b for a, b in pairwise(numbers))
    labelled = all(row[0] and _LABEL.match(_text(row[0])) for row in cells)
    return growing and labelled and len(cells) > _ROWS and len(cells[0]) <= _ROWS
