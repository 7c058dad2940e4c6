"""How sure a pairing is: how often one with the same signs was right in books that were edited by a known hand.

Each sort of pairing has a few signs, and each sign a weight in a logistic model. The weights were fitted on books edited at
random (`tests/bench/fit_certainty.py`: reworded, renumbered, moved, split, joined, numbers used again, near-identical
neighbours; in invented words and two languages). How well they hold on other texts stands in `docs/reference/pairing.md`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, log1p

# Further ahead of its best rival, or more in common (counted in words that one clause alone has), makes nothing surer.
AHEAD, COMMON = 0.4, 12.0
# Up to here a place tells more than beyond, and from here on a likeness.
POOR_PLACE, MUCH = 0.2, 0.5
# Up to here a score with another clause without a partner tells more than beyond; from here on it nearly is a pair.
LITTLE, NEARLY = 0.2, 0.35
# In a book of so many clauses half of what is unlike counts against a pair.
SMALL = 25
# So many letters has the usual word; fewer or more than these make no difference.
SHORT_WORDS, USUAL_WORDS, LONG_WORDS = 4.0, 5.0, 8.0
# More clauses that say the very same make nothing less sure.
COPIES = 20
# Only what a person settled, and the same words under the same number, is quite sure.
MOST = 0.999

# The constant, then the weight of each sign as `row` gives them.
PAIRS = (
    -8.71,
    12.45,
    -5.82,
    -1.85,
    12.64,
    15.95,
    -18.42,
    -10.02,
    16.16,
    5.46,
    -10.03,
    -3.95,
    -6.64,
    15.23,
    0.25,
    -2.28,
    0.63,
    -0.63,
    -0.65,
    -0.17,
    0.84,
    -0.35,
    -0.01,
    0.83,
    -0.43,
)
PARTS = (-13.09, 4.57, 11.79, 1.52, 3.56, 11.98)
LEFT_OVER = (-0.47, -2.57, 6.13, -1.35, -3.42, 3.69, 2.54, 0.13, -0.07, 0.09)


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSigns:
    """Of two books: what makes every claim about them more or less sure.

    `clauses` is the size of the smaller one: a small one does not show which words every rule has. `kept` is the share of its
    clauses that kept number and words, `letters` the length of a word: one that is made of several is shared by chance less often.
    """

    clauses: int
    kept: float
    letters: float

    @property
    def size(self) -> float:
        """The size as the models take it."""
        return log1p(self.clauses)

    @property
    def compound(self) -> float:
        """The length of words as the models take it."""
        return min(max(self.letters, SHORT_WORDS), LONG_WORDS) - USUAL_WORDS


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
        """The signs as the model takes them; the better the place, the less likeness adds, and the other way round."""
        alike, place, ahead, book = self.alike, self.place, min(self.ahead, AHEAD), self.book
        alike_ahead = max(self.alike_ahead, -AHEAD)
        return (
            alike,
            max(alike - MUCH, 0.0),
            max(1 - alike, 0.0) / (1 + book.clauses / SMALL),
            place,
            min(place, POOR_PLACE),
            alike * place,
            ahead,
            alike * ahead,
            alike_ahead,
            min(alike_ahead, 0.0),
            max(self.contest - 0.5, 0.0),
            float(self.other),
            float(self.flock),
            log1p(min(self.common, COMMON)),
            log(self.twins),
            log(min(self.copies, COPIES)),
            book.kept * alike,
            book.kept * place,
            book.size * alike,
            book.size * place,
            book.compound,
            book.compound * alike,
            book.compound * place,
            book.compound * ahead,
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
        """The signs as the model takes them."""
        best, says = max(self.best, 0.0), log1p(min(self.says, COMMON))
        return (
            best,
            min(best, LITTLE),
            max(best - NEARLY, 0.0),
            best * says,
            best * self.book.kept,
            says,
            self.book.kept,
            self.book.size,
            self.book.compound,
        )


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
