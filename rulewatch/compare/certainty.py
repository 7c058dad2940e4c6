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
# Up to here a place tells more than beyond.
POOR_PLACE = 0.2
# Up to here a score with another clause without a partner tells more than beyond.
LITTLE = 0.2
# In a book of so many clauses half of what is unlike counts against a pair.
SMALL = 25
# Only what a person settled, and the same words under the same number, is quite sure.
MOST = 0.999

# The constant, then the weight of each sign as `row` gives them.
PAIRS = (-11.93, 12.08, 12.06, 19.40, -11.69, 5.73, 0.78, -3.03, -4.09)
PARTS = (-9.91, 2.80, 11.71, 0.73, 3.01, 8.55)
LEFT_OVER = (-0.05, -7.51, 8.75, 2.00)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """Of a pair: what speaks for it.

    `alike` is the likeness beyond chance, `place` what the place says, `ahead` how far the pair is ahead of its best rival,
    `common` how much both say, and `twins` how many siblings near one of the two say the very same, itself included.
    `clauses` is the size of the smaller book: a small one does not show which words every rule has.
    """

    alike: float
    place: float
    ahead: float
    common: float
    twins: int
    clauses: int

    def row(self) -> tuple[float, ...]:
        """The signs as the model takes them; the better the place, the less likeness adds, and the other way round."""
        return (
            self.alike,
            self.place,
            min(self.place, POOR_PLACE),
            self.alike * self.place,
            min(self.ahead, AHEAD),
            log1p(min(self.common, COMMON)),
            log(self.twins),
            max(1 - self.alike, 0.0) / (1 + self.clauses / SMALL),
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

    def row(self) -> tuple[float, ...]:
        """The signs as the model takes them."""
        best = max(self.best, 0.0)
        return best, min(best, LITTLE), log1p(min(self.says, COMMON))


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
