"""Running heads, feet and page numbers: rows at the edge of page after page that belong to none of them.

A row counts as such if it is the outermost of its page and stands where others of its kind do: on a fifth of all pages with the
same words (figures apart), or on two pages in five apart from the text, where at least half of these rows repeat each other, as titles
of chapters do. What then is outermost is looked at in the same way, so that a head may have several rows.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from rulewatch.intake.pdf_words import Row

_ROWS = 4  # that a head or foot has at most
_ZONE = 0.22  # of the page's height: no head or foot reaches further in
_SAME_PLACE = 2.5  # points
_APART = 1.7  # of the text's size: what is nearer to the next row is no head
_FIGURES = re.compile(r"\d+|\b[ivxlc]+\b", re.IGNORECASE)
_SURE = 5  # pages on which the same row need not stand apart
_OFTEN, _MOSTLY, _REPEATED, _APART_SHARE = 0.2, 0.4, 0.5, 0.85


class Paper(NamedTuple):
    """A page's rows from the top, and its height."""

    number: int
    height: float
    rows: tuple[Row, ...]


class _Edge(NamedTuple):
    """The outermost row of a page: which it is, its words without figures, whether it stands apart from what is further in.

    `stacked`: it does so by itself or with a few more rows. `alone`: nothing else is left on the page.
    """

    page: int
    row: int
    key: str
    base: float
    apart: bool
    stacked: bool
    alone: bool
    large: bool


def furniture(pages: Sequence[Paper], size: float) -> dict[int, set[int]]:
    """By page number, the indices of the rows that are furniture. `size` is that of the book's text."""
    gone: dict[int, set[int]] = {page.number: set() for page in pages}
    for foot in (False, True):
        for _ in range(_ROWS):
            edges = [edge for page in pages if (edge := _edge(page, gone[page.number], size, foot=foot))]
            found = list(_running(edges, len(pages)))
            for edge in found:
                gone[edge.page].add(edge.row)
            if not found:
                break
    return gone


def _edge(page: Paper, gone: set[int], size: float, *, foot: bool) -> _Edge | None:
    left = [n for n in range(len(page.rows)) if n not in gone]
    if foot:
        left.reverse()
    if not left:
        return None
    row = page.rows[left[0]]
    depth = page.height - row.base if foot else row.base
    if depth > _ZONE * page.height:
        return None
    bases = [page.rows[n].base for n in left[: _ROWS + 1]]
    gaps = [abs(further - base) > _APART * size for base, further in pairwise(bases)] or [True]
    return _Edge(
        page=page.number,
        row=left[0],
        key=_FIGURES.sub("#", " ".join(row.text.split())),
        base=page.height - row.base if foot else row.base,
        apart=gaps[0],
        stacked=any(gaps),
        alone=len(left) == 1,
        large=row.size > 1.05 * size or row.bold,
    )


def _running(edges: Sequence[_Edge], pages: int) -> Iterator[_Edge]:
    for band in _bands(edges):
        keys = Counter(edge.key for edge in band)
        often = max(2, _OFTEN * pages)
        repeated = sum(count for count in keys.values() if count > 1)
        apart = sum(edge.apart for edge in band)
        running = (
            len(band) >= max(3, _MOSTLY * pages)
            and apart >= _APART_SHARE * len(band)
            and (repeated >= _REPEATED * len(band) or not any(edge.large for edge in band))
        )
        for edge in band:
            same = keys[edge.key] >= often and (edge.stacked or keys[edge.key] >= _SURE)
            if same or (running and edge.apart and (keys[edge.key] > 1 or not edge.alone)):
                yield edge


def _bands(edges: Sequence[_Edge]) -> list[list[_Edge]]:
    """Edges that stand at the same height."""
    bands: defaultdict[int, list[_Edge]] = defaultdict(list)
    last, band = -1e9, 0
    for edge in sorted(edges, key=lambda e: (e.base, e.page)):
        if edge.base - last > _SAME_PLACE:
            band += 1
        last = edge.base
        bands[band].append(edge)
    return list(bands.values())
