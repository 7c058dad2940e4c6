"""What an inspection that measures with an uncertainty of its own does to good and bad: the two global risks of JCGM 106.

A crew knows a value only so well, and the inspectors measure it only so well. Whether what they find is right, is the risk of both.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from statistics import NormalDist

PIECES = 400  # of an interval that is summed over, an even number
WIDE = 8.0  # standard uncertainties beyond which a normal distribution holds nothing that counts
NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """From `low` to `high`, both included; infinite where there is no such end."""

    low: float = -inf
    high: float = inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of a value: a normal distribution about a mean."""

    mean: float
    u: float

    def between(self, low: float, high: float) -> float:
        """The probability that it is between two ends."""
        return NORMAL.cdf((high - self.mean) / self.u) - NORMAL.cdf((low - self.mean) / self.u)


@dataclass(frozen=True, slots=True, kw_only=True)
class Risks:
    """Probabilities: that a value conforms, that it does and is turned away, that it does not and is accepted."""

    conforms: float
    turned_away: float
    let_through: float


def risks(known: Known, u_measured: float, tolerance: Interval, acceptance: Interval) -> Risks:
    """The global producer's and consumer's risk of a value, measured with a standard uncertainty in the same unit.

    JCGM 106:2012, 9.5.1 and 9.5.2, equations 17 to 19, summed by Simpson's rule.
    """
    inside = known.between(tolerance.low, tolerance.high)
    accepted = [
        _accepted(known, u_measured, Interval(low=low, high=high), acceptance)
        for low, high in ((-inf, tolerance.low), (tolerance.low, tolerance.high), (tolerance.high, inf))
    ]
    return Risks(conforms=inside, turned_away=max(inside - accepted[1], 0.0), let_through=accepted[0] + accepted[2])


def _accepted(known: Known, u_measured: float, between: Interval, acceptance: Interval) -> float:
    """The probability that a value is between two ends and is measured inside the acceptance interval."""
    low, high = max(between.low, known.mean - WIDE * known.u), min(between.high, known.mean + WIDE * known.u)
    if low >= high:
        return 0.0
    step, total = (high - low) / PIECES, 0.0
    for piece in range(PIECES + 1):
        value = low + piece * step
        weight = 1 if piece in {0, PIECES} else 4 if piece % 2 else 2
        chance = Known(mean=value, u=u_measured).between(acceptance.low, acceptance.high)
        total += weight * NORMAL.pdf((value - known.mean) / known.u) / known.u * chance
    return total * step / 3
