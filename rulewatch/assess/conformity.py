"""The probability that a measured value conforms to a limit, and how sure a measurement must be for it."""

from __future__ import annotations

from fractions import Fraction
from math import atan, cos, pi, sin, sqrt
from statistics import NormalDist

from rulewatch.model.measured import Spread

NORMAL = NormalDist()
FAR = 1000 * 10**6  # millionths of an uncertainty, beyond which no room is looked for
HALVINGS = 60  # more than a float can tell


def conformity(below: Fraction | None, above: Fraction | None, spread: Spread) -> float:
    """The probability that a quantity lies between its limits, given its measured value.

    `below` is how far the value is above the lower limit, `above` how far it is under the upper one, negative outside; None
    where there is no such limit; in the unit of the spread. The quantity is taken as distributed about the value normally, or as
    Student's t where the uncertainty comes of few readings: JCGM 106:2012, 7.3.3 for one limit, 7.4 for two; GUM, annex G.
    """
    under_upper = 1.0 if above is None else _cumulated(float(above / spread.u), spread.freedom)
    under_lower = 0.0 if below is None else _cumulated(float(-below / spread.u), spread.freedom)
    return max(under_upper - under_lower, 0.0)


def sure_enough(below: Fraction | None, above: Fraction | None, p: float) -> Fraction:
    """The largest standard uncertainty with which a value conforms with a probability; nought where no measurement will do.

    The rooms are as for `conformity`, the distribution is normal: who wants to know it so surely takes more than a few readings.
    """
    rooms = [room for room in (below, above) if room is not None]
    if not rooms or min(rooms) <= 0:
        return Fraction(0)
    least, most = Fraction(0), min(rooms) * 10**3
    for _ in range(HALVINGS):
        middle = (least + most) / 2
        least, most = (middle, most) if conformity(below, above, Spread(u=middle)) >= p else (least, middle)
    return least


def room_for(spread: Spread, p: Fraction) -> Fraction:
    """The room to a single limit at which a value conforms with a probability, to a millionth of its uncertainty; never too little."""
    least, most = -FAR, FAR  # in millionths
    while most - least > 1:
        middle = (least + most) // 2
        least, most = (least, middle) if conformity(None, spread.u * middle / 10**6, spread) >= p else (middle, most)
    return spread.u * most / 10**6


def _cumulated(x: float, freedom: int | None) -> float:
    """The probability of at most `x`, by the normal distribution, or by Student's t with some degrees of freedom."""
    return NORMAL.cdf(x) if freedom is None else (1 + _within(x, freedom)) / 2


def _within(t: float, freedom: int) -> float:
    """The probability of Student's t between -t and t, with its sign: the finite series of Abramowitz and Stegun, 26.7.3 and 26.7.4."""
    angle = atan(t / sqrt(freedom))
    odd = freedom % 2
    term, total = (cos(angle) if odd else 1.0), 0.0
    for k in range(2 + odd, freedom + 1, 2):
        total += term
        term *= (k - 1) / k * cos(angle) ** 2
    return 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total
