"""Tables that are drawn with lines: level and upright rules that cross make a grid, and words go to the cell that they stand in."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rulewatch.intake.pdf_page import Box, Rule
from rulewatch.intake.pdf_words import Row, Word, rows_of

_TOUCH = 2.5  # points: rules that come so near meet
_SHORT = 5.0  # points: shorter rules are no walls
_MOST = 1_500  # rules: a page with more is a drawing
_FILLED = 0.25  # of the cells: a grid with fewer words is a drawing or a form


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table: where it stands, where its columns begin, and the rows of words in each of its cells.

    `strips` are the white ones between the columns of a table without lines, from left to right.
    """

    box: Box
    starts: tuple[float, ...]
    rows: tuple[tuple[tuple[Row, ...], ...], ...]
    strips: tuple[tuple[float, float], ...] = ()


Walls = tuple[tuple[Rule, ...], tuple[Rule, ...]]


def walls(rules: Iterable[Rule]) -> list[Walls]:
    """The level and upright rules of each grid of a page; none where there are so many rules that they make a drawing."""
    level = _merged([rule for rule in rules if rule.level and rule.right - rule.left >= _SHORT], level=True)
    upright = _merged([rule for rule in rules if not rule.level and rule.bottom - rule.top >= _SHORT], level=False)
    if len(level) + len(upright) > _MOST:
        return []
    return _crossing(level, upright)


def is_wall(rule: Rule, known: Iterable[Walls]) -> bool:
    """Whether a level rule is part of a grid."""
    return any(
        abs(wall.middle - rule.middle) <= 1 and wall.left - 1 <= rule.left and rule.right <= wall.right + 1
        for across, _ in known
        for wall in across
    )


def grids(words: Sequence[Word], known: Iterable[Walls]) -> tuple[list[Grid], list[Word]]:
    """The ruled tables of a page from the top, and the words that stand in none."""
    found: list[Grid] = []
    rest = list(words)
    for across, down in known:
        grid, rest = _grid(across, down, rest)
        if grid:
            found.append(grid)
    return sorted(found, key=lambda grid: grid.box.top), rest


def _merged(rules: Sequence[Rule], *, level: bool) -> list[Rule]:
    """Rules on one line that meet, as one."""
    merged: list[Rule] = []
    for line in _lines(rules):
        line.sort(key=lambda rule: rule.left if level else rule.top)
        held = line[0]
        for rule in line[1:]:
            start, end = (rule.left, held.right) if level else (rule.top, held.bottom)
            if start > end + _TOUCH:
                merged.append(held)
                held = rule
            else:
                held = _both(held, rule)
        merged.append(held)
    return merged


def _lines(rules: Sequence[Rule]) -> list[list[Rule]]:
    """Rules whose middles are nearly the same."""
    lines: list[list[Rule]] = []
    for rule in sorted(rules, key=lambda rule: rule.middle):
        if lines and rule.middle - lines[-1][-1].middle <= 1:
            lines[-1].append(rule)
        else:
            lines.append([rule])
    return lines


def _both(one: Rule, other: Rule) -> Rule:
    left, top = min(one.left, other.left), min(one.top, other.top)
    return Rule(left, top, max(one.right, other.right), max(one.bottom, other.bottom), one.colour)


def _crossing(level: Sequence[Rule], upright: Sequence[Rule]) -> list[Walls]:
    """Groups of rules that hang together, with at least two level and two upright ones each."""
    owner = list(range(len(level) + len(upright)))

    def top(n: int) -> int:
        while owner[n] != n:
            owner[n] = owner[owner[n]]
            n = owner[n]
        return n

    for n, across in enumerate(level):
        for k, down in enumerate(upright):
            meet = (
                across.left - _TOUCH <= down.middle <= across.right + _TOUCH
                and down.top - _TOUCH <= across.middle <= down.bottom + _TOUCH
            )
            if meet:
                owner[top(len(level) + k)] = top(n)
    groups: defaultdict[int, tuple[list[Rule], list[Rule]]] = defaultdict(lambda: ([], []))
    for n, rule in enumerate([*level, *upright]):
        groups[top(n)][n >= len(level)].append(rule)
    return [(tuple(across), tuple(down)) for across, down in groups.values() if min(len(across), len(down)) > 1]


def _walls(rules: Iterable[Rule]) -> list[float]:
    found: list[float] = []
    for middle in sorted(rule.middle for rule in rules):
        if not found or middle - found[-1] > _TOUCH:
            found.append(middle)
    return found


def _grid(across: Sequence[Rule], down: Sequence[Rule], words: list[Word]) -> tuple[Grid | None, list[Word]]:
    xs, ys = _walls(down), _walls(across)
    box = Box(xs[0], ys[0], xs[-1], ys[-1])
    columns, rows = len(xs) - 1, len(ys) - 1
    if columns < 2:  # noqa: PLR2004 - a frame around text, not a table
        return None, words
    first = _first_cells(xs, ys, across, down)
    cells: defaultdict[tuple[int, int], list[Word]] = defaultdict(list)
    rest: list[Word] = []
    for word in words:
        x, y = (word.left + word.right) / 2, word.base - word.size / 3
        if box.holds(x, y):
            place = min(bisect_right(ys, y) - 1, rows - 1), min(bisect_right(xs, x) - 1, columns - 1)
            cells[first[place]].append(word)
        else:
            rest.append(word)
    if len(cells) < max(2, _FILLED * len(set(first.values()))):
        return None, words
    made = tuple(tuple(tuple(rows_of(cells.get((n, k), ()))) for k in range(columns)) for n in range(rows))
    return Grid(box=box, starts=tuple(xs[:-1]), rows=tuple(row for row in made if any(row))), rest


def _first_cells(
    xs: Sequence[float], ys: Sequence[float], across: Sequence[Rule], down: Sequence[Rule]
) -> dict[tuple[int, int], tuple[int, int]]:
    """For each cell, the first of those that it is one with, because no wall stands between them."""
    first: dict[tuple[int, int], tuple[int, int]] = {}
    for n in range(len(ys) - 1):
        y = (ys[n] + ys[n + 1]) / 2
        for k in range(len(xs) - 1):
            x = (xs[k] + xs[k + 1]) / 2
            place = (n, k)
            if k and not any(abs(wall.middle - xs[k]) <= _TOUCH and wall.top <= y <= wall.bottom for wall in down):
                place = first[n, k - 1]
            elif n and not any(abs(wall.middle - ys[n]) <= _TOUCH and wall.left <= x <= wall.right for wall in across):
                place = first[n - 1, k]
            first[n, k] = place
    return first
