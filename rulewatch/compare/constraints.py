"""Constraints as sets of values: one form for each, whether any value is left, and what two of them allow together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.compare.keys import constraint_key, value_key
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import Bound, Constraint, Fixed, OneOf, Range, Scalar

Grants = tuple[Amount, ...]  # tolerances that a book grants on a limit, each for its own dimension
# Dimensions of which no car has less than nothing. A length may be negative: an offset, a height under another part.
NEVER_NEGATIVE = frozenset({"[mass]", "[length]^2", "[length]^3"})


def plain(constraint: Constraint, grants: Grants) -> Constraint:
    """One form for the same values: a range of one point is that value, and a day is named and not the one beside it."""
    if not isinstance(constraint, Range):
        return constraint
    named = replace(
        constraint,
        low=_next_day(constraint.low, 1) if constraint.low_strict else constraint.low,
        high=_next_day(constraint.high, -1) if constraint.high_strict else constraint.high,
        low_strict=constraint.low_strict and not is_day(constraint.low),
        high_strict=constraint.high_strict and not is_day(constraint.high),
    )
    low, high = named.low, named.high
    if not isinstance(low, Fixed) or not isinstance(high, Fixed) or named.low_strict or named.high_strict:
        return named
    one = value_key(low.value) == value_key(high.value) and not granted(low, grants)
    return OneOf(values=(low.value,)) if one else named


def is_day(bound: Bound | None) -> bool:
    """Whether a bound is a date."""
    return isinstance(bound, Fixed) and isinstance(bound.value, date)


def _next_day(bound: Bound | None, days: int) -> Bound | None:
    if isinstance(bound, Fixed) and isinstance(bound.value, date):
        return Fixed(value=bound.value + timedelta(days=days))
    return bound


def is_empty(constraint: Constraint) -> bool:
    """Whether fixed bounds leave no value at all."""
    if isinstance(constraint, OneOf):
        return not constraint.values
    if not isinstance(constraint, Range) or not isinstance(constraint.low, Fixed) or not isinstance(constraint.high, Fixed):
        return False
    room = bound_size(constraint.high) - bound_size(constraint.low)
    return room < 0 or (room == 0 and (constraint.low_strict or constraint.high_strict))


def meet(left: Constraint, right: Constraint) -> Constraint | None:
    """What both constraints allow; None where that is no single constraint with fixed bounds."""
    match left, right:
        case (OneOf(), OneOf() | Range()):
            answers = [(value, _value_in(value, right)) for value in left.values]
            known = all(answer is not None for _, answer in answers)
            return OneOf(values=tuple(value for value, answer in answers if answer)) if known else None
        case (Range(), OneOf()):
            return meet(right, left)
        case (Range(), Range()) if all(_is_fixed(bound) for one in (left, right) for bound in (one.low, one.high)):
            low, low_strict = _inner((left.low, left.low_strict), (right.low, right.low_strict), way=1)
            high, high_strict = _inner((left.high, left.high_strict), (right.high, right.high_strict), way=-1)
            return Range(low=low, high=high, low_strict=low_strict, high_strict=high_strict)
    return left if constraint_key(left) == constraint_key(right) else None


def _is_fixed(bound: Bound | None) -> bool:
    return bound is None or isinstance(bound, Fixed)


def _inner(one: tuple[Bound | None, bool], other: tuple[Bound | None, bool], *, way: int) -> tuple[Bound | None, bool]:
    """The end that lies further in: the higher of two lower ends (`way` 1), the lower of two upper ones (-1)."""
    ends = [(way * bound_size(bound), strict, bound) for bound, strict in (one, other) if isinstance(bound, Fixed)]
    if not ends:
        return None, False
    _, strict, bound = max(ends, key=lambda end: end[:2])
    return bound, strict


def all_in(values: Iterable[Scalar], constraint: OneOf | Range) -> bool | None:
    """Whether every value meets a constraint with fixed bounds; None where a bound is not fixed."""
    answers = [_value_in(value, constraint) for value in values]
    return None if None in answers else all(answers)


def _value_in(value: Scalar, constraint: OneOf | Range) -> bool | None:
    if isinstance(constraint, OneOf):
        return any(value_key(value) == value_key(other) for other in constraint.values)
    size = _size(value)
    for bound, strict, way in ((constraint.low, constraint.low_strict, 1), (constraint.high, constraint.high_strict, -1)):
        if bound is None:
            continue
        if not isinstance(bound, Fixed) or size is None:
            return None
        room = way * (size - bound_size(bound))
        if room < 0 or (strict and room == 0):
            return False
    return True


def granted(bound: Bound | None, grants: Grants) -> Fraction:
    """What a book grants on a fixed bound, as a difference in base units."""
    if not isinstance(bound, Fixed) or not isinstance(bound.value, Amount):
        return Fraction(0)
    dimension = bound.value.unit.dimension
    return next((grant.span for grant in grants if grant.unit.dimension == dimension), Fraction(0))


def is_count(bound: Bound) -> bool:
    """Whether a bound is a plain whole number, so that it may count something."""
    value = bound.value if isinstance(bound, Fixed) else None
    return isinstance(value, Amount) and value.unit == NUMBER and value.number.denominator == 1


def bound_size(bound: Fixed) -> Fraction:
    """A fixed bound as a number: in base units, or of its day."""
    return bound.value.base if isinstance(bound.value, Amount) else Fraction(bound.value.toordinal())


def _size(value: Scalar) -> Fraction | None:
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if isinstance(value, date) else None
