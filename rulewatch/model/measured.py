"""How sure measured values are, and what that means for a limit."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rulewatch.model.quantity import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A standard uncertainty over zero, in the base unit of its dimension.

    `freedom` are its degrees of freedom, None where there are so many that they do not count. `scatter` is the standard deviation
    of a single reading and `instrument` what stays however often one reads; `readings` how many there were, 1 without repeats.
    """

    u: Fraction
    freedom: int | None = None
    scatter: Fraction = Fraction(0)
    instrument: Fraction = Fraction(0)
    readings: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """What a measurement leaves open at a limit: the probability `p` that the value conforms.

    `below` is the room above the lower limit and `above` that under the upper one, in base units, None where there is no such
    limit; `unit` is the limit's.
    """

    p: float
    below: Fraction | None
    above: Fraction | None
    spread: Spread
    unit: Unit
