"""The columns of a page and the order in which its parts are read.

A gutter is a strip that few rows cross, with lines of words on both of its sides that mostly fill their measure; what is a gutter on
some pages of a book is one on every page. Rows and tables that cross a gutter part the page into bands; within a
band, columns are read one after the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import NamedTuple

from rulewatch.intake.pdf_page import Box
from rulewatch.intake.pdf_words import Row, Word, rows_of

_NARROWEST = 5.0  # points: of a gutter
_CROSSED = 0.3  # of the rows: most that may cross one (headings, tables over both columns)
_RIVER = 0.1  # of the rows: so many more may cross a gutter than another one of its page
_SIDE = 0.18  # of the text's width: least that a column has
_LINES = 5  # on each side
_FEWEST = 2  # on each side, where another page has a gutter
_FILLED = 0.72  # of its measure: what the lines of a column fill on the middle, but for a list or a table
_WORDS = 2.5  # a line on the middle
_SAME = 8.0  # points: gutters of two pages that differ by less are the same
_HEADING = 1.15  # of the text's size
_ROOM = 0.6  # of the text's size: what stands free above and below a heading over the columns
_RESUMED = 2.0  # of the text's size: the columns go on below one at heights that differ by less
_LEADING = 1.4  # of the size: the most between the bases of two lines of one text
_BESIDE = 0.7  # of the size: rows whose bases differ by less stand beside each other


class Gutter(NamedTuple):
    """Where a page is white from top to bottom, between columns."""

    left: float
    right: float

    @property
    def middle(self) -> float:
        """Its axis."""
        return (self.left + self.right) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """One column of one band, to be read from its top: rows, and other things by their boxes. `of` is the number of columns."""

    rows: tuple[Row, ...]
    boxes: tuple[Box, ...]
    column: int
    of: int


_Part = tuple[float, bool, Row | Box]  # where it is from the top, whether it reaches over the gutters, and what it is


def gutters(rows: Sequence[Row]) -> list[Gutter]:
    """The gutters of one page that it shows by itself, from the left."""
    found = _strips(rows)
    return found if _columns_hold(rows, found) else []


def may_have_columns(rows: Sequence[Row]) -> bool:
    """Whether a page that is read across has a strip with running words on both sides, which nearly no row crosses."""
    return any(
        _shows(rows, [strip]) and sum(_crosses(row.words, strip.middle) for row in rows) <= _RIVER * len(rows)
        for strip in _strips(rows)
    )


def _strips(rows: Sequence[Row]) -> list[Gutter]:
    """What may be gutters of a page, by where it is white."""
    if len(rows) < 2 * _LINES:
        return []
    left, right = min(row.left for row in rows), max(row.right for row in rows)
    lines = [list(_stretches(row)) for row in rows]
    crossing = [0] * (int(right - left) + 2)
    for line in lines:
        for start, end in line:
            for x in range(int(start - left), int(end - left) + 1):
                crossing[x] += 1
    side = _SIDE * (right - left)
    found = []
    for start, end in _runs([count <= _CROSSED * len(rows) for count in crossing]):
        gutter = Gutter(left + _clear(crossing, start, end)[0], left + _clear(crossing, start, end)[1])
        if gutter.right - gutter.left >= _NARROWEST and left + side < gutter.middle < right - side:
            found.append(gutter)
    return _clearest(rows, [gutter for gutter in found if _parts(rows, gutter)])


def _clearest(rows: Sequence[Row], found: Sequence[Gutter]) -> list[Gutter]:
    """Gutters without those that many more rows cross than the clearest one: rivers within a column."""
    crossed = [sum(_crosses(row.words, gutter.middle) for row in rows) for gutter in found]
    least = min(crossed, default=0)
    return [gutter for gutter, count in zip(found, crossed, strict=True) if count <= least + _RIVER * len(rows)]


def _clear(crossing: Sequence[int], start: int, end: int) -> tuple[int, int]:
    """The part of a strip that as few rows cross as its emptiest place, and one in twenty more."""
    least = min(crossing[start : end + 1])
    slack = least + max(1, len(crossing) // 400)
    inside = [x for x in range(start, end + 1) if crossing[x] <= slack]
    return inside[0], inside[-1]


def _stretches(row: Row) -> Iterator[tuple[float, float]]:
    """A row's words joined over gaps that are no wider than a gap of words may be."""
    start, end = row.words[0].left, row.words[0].right
    for word in row.words[1:]:
        if word.left - end > 0.6 * row.size:
            yield start, end
            start = word.left
        end = max(end, word.right)
    yield start, end


def _runs(flags: Sequence[bool]) -> Iterator[tuple[int, int]]:
    start = None
    for n, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = n
        elif not flag and start is not None:
            yield start, n - 1
            start = None


def _parts(rows: Sequence[Row], gutter: Gutter) -> bool:
    """Whether there are enough rows on each side."""
    left = sum(row.words[0].right <= gutter.middle for row in rows)
    right = sum(row.words[-1].left >= gutter.middle for row in rows)
    return min(left, right) >= _LINES


def _columns_hold(rows: Sequence[Row], found: Sequence[Gutter]) -> bool:
    """Whether what stands between gutters is running text rather than the cells of a table or a list."""
    if not found:
        return False
    split = [row for row in rows if not any(_crosses(row.words, gutter.middle) for gutter in found)]
    for n in range(len(found) + 1):
        parts = [part for row in split if (part := [word for word in row.words if _column(word, found) == n])]
        if len(parts) < _LINES:
            return False
        start, end = min(part[0].left for part in parts), max(part[-1].right for part in parts)
        filled = median((part[-1].right - start) / (end - start) for part in parts)
        if filled < _FILLED or median(len(part) for part in parts) < _WORDS:
            return False
    return True


def _crosses(words: Sequence[Word], x: float) -> bool:
    return any(word.left < x < word.right for word in words) or any(
        first.right <= x <= second.left and second.left - first.right < 0.6 * first.size for first, second in pairwise(words)
    )


def _column(word: Word, found: Sequence[Gutter]) -> int:
    middle = (word.left + word.right) / 2
    return sum(middle > gutter.middle for gutter in found)


def agreed(pages: Sequence[Sequence[Row]]) -> list[list[Gutter]]:
    """The gutters of a book's pages, from the rows of each.

    A page that shows none by itself takes those that most others have, else those of a single page where it has a strip too.
    """
    shown = [gutters(rows) for rows in pages]
    sets: list[list[Gutter]] = []
    counts: list[int] = []
    for page in shown:
        for n, known in enumerate(sets):
            if page and _same(known, page):
                counts[n] += 1
                break
        else:
            if page:
                sets.append(list(page))
                counts.append(1)
    usual = [known for n, known in enumerate(sets) if counts[n] >= max(2, 0.1 * len(pages))]
    best = max(usual, key=lambda known: counts[sets.index(known)], default=[])
    return [
        list(page) or best or next((known for known in sets if _shows(rows, known)), [])
        for page, rows in zip(shown, pages, strict=True)
    ]


def _shows(rows: Sequence[Row], known: Sequence[Gutter]) -> bool:
    """Whether a page has strips where another one has gutters, with words on both sides of each."""
    clear = [row for row in rows if not any(_crosses(row.words, gutter.middle) for gutter in known)]
    if len(clear) < (1 - _CROSSED) * len(rows):
        return False
    parts = [
        [part for row in clear if (part := [w for w in row.words if _column(w, known) == n])] for n in range(len(known) + 1)
    ]
    return all(len(each) >= _FEWEST and median(len(part) for part in each) >= _WORDS for each in parts)


def _same(one: Sequence[Gutter], other: Sequence[Gutter]) -> bool:
    return len(one) == len(other) and all(abs(a.middle - b.middle) < _SAME for a, b in zip(one, other, strict=True))


def flows(words: Sequence[Word], boxes: Sequence[Box], found: Sequence[Gutter], size: float) -> list[Flow]:
    """The columns of a page, band by band, in the order of reading. `size` is that of the book's text."""
    rows = rows_of(words)
    if not found:
        return [Flow(rows=tuple(rows), boxes=tuple(boxes), column=0, of=1)]
    heads = _headings(rows, boxes, found, size)
    parts: list[_Part] = []
    for n, row in enumerate(rows):
        parts.append((row.base, n in heads or any(_crosses(row.words, gutter.middle) for gutter in found), row))
    parts += [(box.top, any(box.left < gutter.left and box.right > gutter.right for gutter in found), box) for box in boxes]
    parts = _with_last_lines(sorted(parts, key=lambda part: part[0]), found)
    flows_: list[Flow] = []
    band: list[Row | Box] = []
    for n, (_, full, part) in enumerate(parts):
        band.append(part)
        if n + 1 == len(parts) or parts[n + 1][1] != full:
            flows_ += _whole(band) if full else _split(band, found)
            band = []
    return flows_


def _headings(rows: Sequence[Row], boxes: Sequence[Box], found: Sequence[Gutter], size: float) -> set[int]:
    """Rows in large letters that part the columns though they do not reach over the gutter.

    What is beside them leaves them room, and goes on below them where their own column does.
    """
    first = found[0].middle
    parts = [(row.top, row.base, row.right > first) for row in rows]
    parts += [(box.top, box.bottom, box.right > first) for box in boxes]
    heads = set()
    for n, row in enumerate(rows):
        if row.size < _HEADING * size or row.right > first:
            continue
        above = max((bottom for top, bottom, beside in parts if beside and top < row.top), default=1e9)
        below = min((top for top, bottom, beside in parts if beside and bottom > row.base), default=-1e9)
        own = min((top for top, _, beside in parts if not beside and top > row.base), default=-1e9)
        if above < row.top - _ROOM * size and below > row.base + _ROOM * size and abs(below - own) < _RESUMED * size:
            heads.add(n)
    return heads


def _with_last_lines(parts: Sequence[_Part], found: Sequence[Gutter]) -> list[_Part]:
    """A row that goes on below one that crosses the gutters, too short to cross them itself, counts as one that does."""
    done: list[_Part] = []
    for n, (base, full, part) in enumerate(parts):
        above = done[-1] if done else None
        beside = n + 1 < len(parts) and parts[n + 1][0] - base < _BESIDE * (part.size if isinstance(part, Row) else 0)
        goes_on = (
            not full
            and above is not None
            and above[1]
            and isinstance(part, Row)
            and isinstance(above[2], Row)
            and abs(part.left - above[2].left) < 1
            and (part.size, part.bold) == (above[2].size, above[2].bold)
            and base - above[0] <= _LEADING * part.size
            and part.right < found[0].middle
            and not beside
        )
        done.append((base, full or goes_on, part))
    return done


def _whole(band: Sequence[Row | Box]) -> list[Flow]:
    rows = tuple(part for part in band if isinstance(part, Row))
    return [Flow(rows=rows, boxes=tuple(part for part in band if isinstance(part, Box)), column=0, of=1)]


def _split(band: Sequence[Row | Box], found: Sequence[Gutter]) -> list[Flow]:
    of = len(found) + 1
    words: list[list[Word]] = [[] for _ in range(of)]
    boxes: list[list[Box]] = [[] for _ in range(of)]
    for part in band:
        if isinstance(part, Box):
            boxes[sum((part.left + part.right) / 2 > gutter.middle for gutter in found)].append(part)
        else:
            for word in part.words:
                words[_column(word, found)].append(word)
    return [
        Flow(rows=tuple(rows_of(words[n])), boxes=tuple(boxes[n]), column=n, of=of) for n in range(of) if words[n] or boxes[n]
    ]
