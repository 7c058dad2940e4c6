"""How sure a pairing is: how often one with the same signs was right in books that were edited by a known hand.

Each sort of pairing has a few signs, and each sign a weight in a logistic model. The weights were fitted on books edited at
random (`tests/bench/fit_certainty.py`: reworded, renumbered, moved, split, joined, numbers used again, near-identical
neighbours; in invented words and six languages). How well they hold on other texts stands in `docs/reference/pairing.md`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import exp, log, log1p

# Further ahead of its best rival, or more in common (counted in words that one clause alone has), makes nothing surer.
AHEAD, COMMON = 0.4, 12.0
# Where a sign begins to tell more, or less, than before.
LIKE, PLACES, LEADS, LIKER = (0.2, 0.4, 0.6, 0.8), (-0.02, 0.06, 0.15, 0.3), (0.05, 0.15), (-0.1, 0.0, 0.1)
CONTESTS, SAYING = (0.1,), (1.3,)
BESTS, SAYS, SIZES = (0.1, 0.2, 0.35, 0.5), (0.7, 1.4), (1.7, 2.5, 3.6)
LITTLE, NEARLY = 2, 3  # which bends of the best score count together with other signs
# From here on a likeness counts once more together with other signs.
MUCH = 0.5
# More clauses that say the very same make nothing less sure.
COPIES = 20
# Only what a person settled, and the same words under the same number, is quite sure.
MOST = 0.999

# The constant, then the weight of each sign as `row` gives them.
PAIRS = (
    -7.99,
    8.23,
    1.93,
    -4.24,
    -4.02,
    9.07,
    4.16,
    7.61,
    1.68,
    -3.78,
    -15.17,
    9.06,
    -7.50,
    0.67,
    -3.54,
    3.25,
    9.44,
    -7.82,
    -6.92,
    3.02,
    -6.27,
    5.63,
    -0.22,
    1.28,
    -1.62,
    0.50,
    -0.13,
    -1.79,
    1.72,
    1.30,
    1.95,
    -6.74,
    2.11,
    -0.16,
    1.95,
    -20.30,
    11.45,
    16.84,
    -2.71,
    -0.25,
    -0.51,
    5.71,
    -2.56,
    -0.47,
    0.88,
    4.98,
    3.62,
    -4.08,
    0.30,
    -0.82,
    0.69,
    0.01,
    -1.99,
    0.09,
    -0.11,
    -0.06,
)
PARTS = (-10.04, 1.36, 10.03, 2.11, 2.52, 8.42)
LEFT_OVER = (
    0.14,
    -2.03,
    1.68,
    -2.14,
    10.26,
    -1.44,
    2.03,
    -0.16,
    0.60,
    0.41,
    -0.21,
    0.06,
    0.12,
    -0.06,
    -1.34,
    0.65,
    0.70,
    -6.52,
    8.18,
    0.29,
    2.54,
    -11.50,
    -2.49,
    0.65,
    0.04,
    -0.12,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSigns:
    """Of two books: what makes every claim about them more or less sure.

    `clauses` is the size of the smaller one: a small one does not show which words every rule has. `kept` is the share of its
    clauses that kept number and words.
    """

    clauses: int
    kept: float

    @property
    def size(self) -> float:
        """The size as the models take it."""
        return log1p(self.clauses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """Of a pair: what speaks for it.

    `alike` is the likeness beyond chance, `place` what the place says, `ahead` how far the pair is ahead of its best rival,
    `alike_ahead` the same by likeness alone (below 0 where the place decided), `contest` how near the nearest rival comes by
    the words that differ (0.5: as near as the pair), `other` whether amounts of another dimension are stated, `common` how much both say,
    `twins` how many siblings near one of the two say the very same, and `copies` how many clauses anywhere, itself included;
    `flock` says that all clauses below went from one to the other.
    """

    alike: float
    place: float
    ahead: float
    alike_ahead: float
    contest: float
    other: bool
    common: float
    twins: int
    copies: int
    flock: bool
    book: BookSigns

    def row(self) -> tuple[float, ...]:
        """The signs as the model takes them: each with its bends, and what two of them say together."""
        ahead, alike_ahead = min(self.ahead, AHEAD), max(self.alike_ahead, -AHEAD)
        contest, common = max(self.contest - 0.5, 0.0), log1p(min(self.common, COMMON))
        together = (
            self.alike,
            max(self.alike - MUCH, 0.0),
            self.place,
            ahead,
            alike_ahead,
            common,
            self.book.size,
            self.book.kept,
        )
        return (
            *bent(self.alike, LIKE),
            *bent(self.place, PLACES),
            *bent(ahead, LEADS),
            *bent(alike_ahead, LIKER),
            *bent(contest, CONTESTS),
            float(self.other),
            float(self.flock),
            *bent(common, SAYING),
            log(self.twins),
            log(min(self.copies, COPIES)),
            self.book.size,
            self.book.kept,
            *(one * other for one, other in combinations(together, 2)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSigns:
    """Of a part: how much of what left the whole it has, how much of itself was there, how much that is, and where it is.

    `again` marks the whole's own rule said once more under the whole's number.
    """

    of_left: float
    of_part: float
    common: float
    near: bool
    again: bool

    def row(self) -> tuple[float, ...]:
        """The signs as the model takes them."""
        return self.of_left, self.of_part, log1p(min(self.common, COMMON)), float(self.near), float(self.again)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftSigns:
    """Of a clause without a partner: its best score with another such one, and how much it says."""

    best: float
    says: float
    book: BookSigns

    def row(self) -> tuple[float, ...]:
        """The signs as the model takes them: each with its bends, and what two of them say together."""
        best, says, size, kept = max(self.best, 0.0), log1p(min(self.says, COMMON)), self.book.size, self.book.kept
        bends = bent(best, BESTS)
        together = tuple(product((best, bends[LITTLE], bends[NEARLY]), (says, kept, size)))
        return (
            *bends,
            *bent(says, SAYS),
            kept,
            *bent(size, SIZES),
            *(one * other for one, other in (*together, *combinations((says, kept, size), 2))),
        )


def bent(value: float, bends: Sequence[float]) -> tuple[float, ...]:
    """A sign, and what it has beyond each bend: a line that may bend there."""
    return value, *(max(value - bend, 0.0) for bend in bends)


def of_pair(signs: Signs) -> float:
    """Of a pair."""
    return logistic(PAIRS, signs.row())


def of_part(signs: PartSigns) -> float:
    """Of a part of a clause that was split or joined."""
    return logistic(PARTS, signs.row())


def of_left_over(signs: LeftSigns) -> float:
    """Of a repeal or an insertion."""
    return logistic(LEFT_OVER, signs.row())


def logistic(weights: Sequence[float], row: Sequence[float]) -> float:
    """The probability that a logistic model gives."""
    constant, *rest = weights
    at = constant + sum(weight * sign for weight, sign in zip(rest, row, strict=True))
    return min(1 / (1 + exp(-at)), MOST)
