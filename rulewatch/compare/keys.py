"""Keys of readings and their parts: equal for what says the same, whatever its units and the order of its parts."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Any,
    Bound,
    Condition,
    Constraint,
    Fixed,
    Greatest,
    Least,
    Linear,
    MinimumWeight,
    Not,
    OneOf,
    Presence,
    Range,
    Reading,
    Scalar,
    Steps,
    Test,
)


def amount_key(amount: Amount | None) -> object:
    """Equal for equal sizes: 10 in and 254 mm."""
    return None if amount is None else (amount.unit.dimension, amount.base)


def value_key(value: Scalar) -> object:
    """Equal for values that mean the same."""
    return amount_key(value) if isinstance(value, Amount) else value


def condition_key(condition: Condition | None) -> object:
    """Equal for conditions that say the same, whatever their units and the order of their parts."""
    match condition:
        case None:
            return ()
        case Test():
            return ("test", condition.subject, constraint_key(condition.constraint))
        case Not():
            return ("not", condition_key(condition.part))
        case All() | Any():
            parts = tuple(sorted((condition_key(part) for part in condition.parts), key=repr))
            return parts[0] if len(parts) == 1 else (type(condition).__name__, *parts)


def constraint_key(constraint: Constraint) -> object:
    """Equal for constraints that say the same."""
    match constraint:
        case Presence():
            return ("present", constraint.present)
        case OneOf():
            return ("one of", *sorted(map(value_key, constraint.values), key=repr))
        case Range():
            ends = (bound_key(constraint.low), bound_key(constraint.high))
            return ("range", *ends, constraint.low_strict, constraint.high_strict)


def bound_key(bound: Bound | None) -> object:
    """Equal for bounds that say the same."""
    match bound:
        case None:
            return None
        case Fixed():
            return value_key(bound.value)
        case Linear():
            return ("linear", bound.of, bound.sheet, amount_key(bound.rate), amount_key(bound.plus))
        case Steps():
            steps = tuple((amount_key(edge), bound_key(part)) for edge, part in bound.steps)
            return ("steps", bound.by, steps, bound_key(bound.above))
        case Greatest() | Least():
            return (type(bound).__name__, *sorted(map(bound_key, bound.bounds), key=repr))


def condition_subjects(condition: Condition | None) -> frozenset[str]:
    """The quantities and components that a condition depends on."""
    match condition:
        case None:
            return frozenset()
        case Test():
            return frozenset({condition.subject}).union(*map(bound_subjects, constraint_bounds(condition.constraint)))
        case Not():
            return condition_subjects(condition.part)
        case All() | Any():
            return frozenset[str]().union(*map(condition_subjects, condition.parts))


def constraint_bounds(constraint: Constraint) -> tuple[Bound, ...]:
    """The bounds of a range; none of any other constraint."""
    ends = (constraint.low, constraint.high) if isinstance(constraint, Range) else ()
    return tuple(bound for bound in ends if bound is not None)


def bound_subjects(bound: Bound) -> frozenset[str]:
    """The quantities that a bound is worked out from."""
    match bound:
        case Fixed():
            return frozenset()
        case Linear():
            return frozenset({bound.of})
        case Steps():
            parts = [part for _, part in bound.steps] + ([] if bound.above is None else [bound.above])
            return frozenset({bound.by}).union(*map(bound_subjects, parts))
        case Greatest() | Least():
            return frozenset[str]().union(*map(bound_subjects, bound.bounds))


def reading_key(reading: Reading, renumbered: Mapping[str, str] = MappingProxyType({})) -> object:
    """Equal for readings that say the same about a car; who confirmed it, notes and questions left out."""
    return (
        reading.classes,
        condition_key(reading.when),
        tuple((test.subject, constraint_key(test.constraint)) for test in reading.limits),
        tuple((test.subject, constraint_key(test.constraint)) for test in reading.allows),
        None if reading.minimum is None else minimum_key(reading.minimum),
        None if reading.adder is None else (amount_key(reading.adder.amount), reading.adder.share),
        amount_key(reading.tolerance),
        rest_key(reading, renumbered),
    )


def minimum_key(minimum: MinimumWeight) -> object:
    """Equal for minimum weights that say the same."""
    return (bound_key(minimum.bound), *minimum_shape(minimum))


def minimum_shape(minimum: MinimumWeight) -> tuple[object, ...]:
    """How a minimum weight is rounded, added to and weighed; minimums of one shape compare by their bounds."""
    rounding = minimum.rounding
    step = None if rounding is None else (amount_key(rounding.to), rounding.ties, rounding.each)
    return (step, minimum.compounded, minimum.with_driver)


def rest_key(reading: Reading, renumbered: Mapping[str, str] = MappingProxyType({})) -> tuple[object, ...]:
    """What of a reading is only ever compared for equality: what it replaces, dated items, measuring, dates.

    `renumbered` gives the new number of a clause that the reading names.
    """
    return (
        *(("instead of", renumbered.get(clause, clause)) for clause in reading.instead_of),
        *(("dated", item.item, item.years, item.counted, item.until, item.first_year) for item in reading.dated),
        *(("measured", *condition) for condition in reading.measured),
        *((("from", reading.since), ("until", reading.until)) if reading.since or reading.until else ()),
    )
