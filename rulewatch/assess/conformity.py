"""The probability that a measured value conforms to a limit."""

from __future__ import annotations

from fractions import Fraction
from statistics import NormalDist

NORMAL = NormalDist()


def conformity(below: Fraction | None, above: Fraction | None, u: Fraction) -> float:
    """The probability that a quantity lies between its limits, given its measured value.

    `below` is how far the value is above the lower limit, `above` how far it is under the upper one, negative outside; None
    where there is no such limit. `u` is the standard uncertainty, over zero, in the same unit. The quantity is taken as
    normally distributed about the value: JCGM 106:2012, 7.3.3 for one limit, 7.4 for two.
    """
    under_upper = 1.0 if above is None else NORMAL.cdf(float(above / u))
    under_lower = 0.0 if below is None else NORMAL.cdf(float(-below / u))
    return max(under_upper - under_lower, 0.0)
