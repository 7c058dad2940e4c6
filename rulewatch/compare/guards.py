"""Conditions of readings: whether two of them meet on some car, and whether one leaves room for what is claimed under it."""

from __future__ import annotations

from collections.abc import Collection

from rulewatch.compare.constraints import bound_size, is_empty, meet
from rulewatch.model.reading import All, Any, Condition, Constraint, Fixed, Not, OneOf, Presence, Range, Test
from rulewatch.model.vocabulary import within

# A test, and whether it must be met.
Part = tuple[Test, bool]


def related(one: str, other: str) -> bool:
    """Whether a quantity or component is another, or stands under or above it."""
    return within(one, other) or within(other, one)


def apart(left: Condition | None, right: Condition | None) -> bool:
    """Whether no car meets both conditions, as far as single tests of one subject show."""
    ones, others = ([test for test, met in _parts(side) or () if met] for side in (left, right))
    return any(one.subject == other.subject and _exclude(one.constraint, other.constraint) for one in ones for other in others)


def _exclude(one: Constraint, other: Constraint) -> bool:
    if isinstance(one, Presence) and isinstance(other, Presence):
        return one.present != other.present
    both = meet(one, other)
    return both is not None and is_empty(both)


def leaves_room(condition: Condition | None, about: Collection[str]) -> bool:
    """Whether a condition surely holds on some car with any values of what a claim is about."""
    if isinstance(condition, Any):
        return any(leaves_room(part, about) for part in condition.parts)
    parts = _parts(condition)
    if parts is None:
        return False
    subjects = [test.subject for test, _ in parts]
    return all(_is_free(part, {*about, *subjects[:at], *subjects[at + 1 :]}) for at, part in enumerate(parts))


def _is_free(part: Part, taken: Collection[str]) -> bool:
    """Whether a test can be met whatever is asked of what is taken; that a part is there takes nothing away."""
    test, met = part
    if isinstance(test.constraint, Presence):
        return test.constraint.present is met or not any(related(test.subject, name) for name in taken)
    if test.subject in taken:
        return False
    return not is_empty(test.constraint) if met else _leaves_others(test.constraint)


def _leaves_others(constraint: Constraint) -> bool:
    """Whether there surely are values beside those of a constraint."""
    if isinstance(constraint, Range):
        low = constraint.low
        return constraint.high is not None or (isinstance(low, Fixed) and bound_size(low) > 0)
    return isinstance(constraint, OneOf) and len(constraint.values) == 1


def _parts(condition: Condition | None) -> tuple[Part, ...] | None:
    """The tests that must all be met, or must not be; None for a condition that is no such list."""
    match condition:
        case None:
            return ()
        case Test():
            return ((condition, True),)
        case Not(part=Test() as test):
            return ((test, False),)
        case All():
            parts = [_parts(part) for part in condition.parts]
            return None if None in parts else tuple(each for part in parts for each in part or ())
    return None
