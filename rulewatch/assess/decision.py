"""A body's rule for measured values: whether inspectors would take a value that lies so near to its limits.

A value that is only declared is compared as it stands: it has no uncertainty, and nobody rounded it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.assess.conformity import conformity, room_for
from rulewatch.assess.spread import COVERAGE
from rulewatch.model.edition import Decision, DecisionRule, ObservedRounding
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Ties

LAST_PLACE = re.compile(r"[-−+]?\d+(?:\.(?P<decimals>\d+))?(?:\s*[^\s\d/.,¼½¾⅛⅜⅝⅞].*)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rooms:
    """How far a value is inside its limits, in base units, negative outside; None where there is no such limit, or it is not known."""

    below: Fraction | None = None  # above the lower limit
    above: Fraction | None = None  # under the upper one
    below_strict: bool = False
    above_strict: bool = False

    def inside(self, guard: Fraction = Fraction(0)) -> bool:
        """Whether the value keeps inside both limits by a guard band; on a limit itself where that is included."""
        sides = ((self.below, self.below_strict), (self.above, self.above_strict))
        return all(room is None or (room > guard if strict else room >= guard) for room, strict in sides)


def accepted(rooms: Rooms, spread: Spread | None, decision: Decision) -> bool | None:
    """Whether a measured value is taken; None where the rule needs its uncertainty, and that is not stated.

    Sources: JCGM 106:2012, 8.2 (simple), 8.3 (guard bands), 7 (probability of conformity).
    """
    match decision.rule:
        case DecisionRule.SIMPLE:
            return rooms.inside()
        case DecisionRule.GUARDED if spread is not None:
            return rooms.inside(decision.guard * COVERAGE * spread.u)
        case DecisionRule.PROBABILITY if spread is not None:
            return conformity(rooms.below, rooms.above, spread) >= decision.p
        case DecisionRule.GUARDED:
            surely_out = decision.guard >= 0 and not rooms.inside()
        case DecisionRule.PROBABILITY:
            surely_out = 2 * decision.p >= 1 and not rooms.inside()  # beyond a limit, a value conforms with less than one half
    return False if surely_out else None


def guard_band(spread: Spread, decision: Decision) -> Fraction:
    """By how much a value measured so surely must keep inside a single limit to be taken, in base units; negative where it may be beyond it.

    Source: JCGM 106:2012, 8.3; for a probability the room at which that of one limit is reached, to a millionth of the uncertainty.
    """
    match decision.rule:
        case DecisionRule.SIMPLE:
            return Fraction(0)
        case DecisionRule.GUARDED:
            return decision.guard * COVERAGE * spread.u
        case DecisionRule.PROBABILITY:
            return room_for(spread, decision.p)


def observed(value: Amount, limit: Amount, decision: Decision) -> Amount:
    """A measured value as it is compared with a limit: as it is, or rounded to the limit's last place.

    Halves go to even (ASTM E29, its rounding method) or up, as the body says. A limit printed as a fraction, or reckoned from
    other values, has no last place.
    """
    step = last_place(limit)
    if decision.rounding is not ObservedRounding.LIMIT or step is None:
        return value
    steps = value.to(limit.unit).number / step
    whole = (2 * steps.numerator + steps.denominator) // (2 * steps.denominator) if decision.ties is Ties.UP else round(steps)
    return Amount(number=whole * step, unit=limit.unit)


def last_place(limit: Amount) -> Fraction | None:
    """What the last printed digit of a limit counts, in its unit: 0.1 of `10.0 in`; None where it was not printed in digits."""
    found = LAST_PLACE.fullmatch(limit.printed.strip())
    return Fraction(1, 10 ** len(found["decimals"] or "")) if found else None


def grace(limit: Amount, decision: Decision) -> Fraction:
    """By how much a value may be beyond a limit and still be rounded to it, in base units."""
    step = last_place(limit)
    if decision.rounding is not ObservedRounding.LIMIT or step is None:
        return Fraction(0)
    return step * limit.unit.factor / 2


__all__ = ["Rooms", "accepted", "grace", "guard_band", "last_place", "observed"]
