"""Levels: what a bound comes to on a car."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.words import show
from rulewatch.model.quantity import NUMBER, Amount, find_unit
from rulewatch.model.reading import Bound, Fixed, Greatest, Least, Linear, Range, Scalar, Sheet, Steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """What a bound comes to on a car: a value, or nothing at all allowed (`closed`), or unknown for want of `missing`."""

    value: Amount | date | None = None
    closed: bool = False
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """One of several instances of a quantity (left, right), counted from nought."""

    subject: str
    index: int
    count: int

    def of(self, values: tuple[Scalar, ...]) -> tuple[Scalar, ...]:
        """Of a reference sheet's values this instance's own, where the sheet has as many; else all."""
        return values[self.index : self.index + 1] if len(values) == self.count else values


def level(bound: Bound, facts: Facts, *, high: bool, instance: Instance | None = None) -> Level:
    """What a bound comes to; of several instances that it depends on, the one that makes an upper bound least counts.

    `instance` is the one that is judged: its own standard value is the one of the same side.
    """
    match bound:
        case Fixed():
            return Level(value=bound.value)
        case Linear():
            return _linear(bound, facts, high=high, instance=instance)
        case Steps():
            return _steps(bound, facts, high=high, instance=instance)
        case Greatest() | Least():
            levels = [level(part, facts, high=high, instance=instance) for part in bound.bounds]
            missing = tuple(dict.fromkeys(name for found in levels for name in found.missing))
            if missing:
                return Level(missing=missing)
            if any(found.closed for found in levels):
                return Level(closed=True)
            pick = max if isinstance(bound, Greatest) else min
            return pick(levels, key=lambda found: _size(found.value))


def _linear(bound: Linear, facts: Facts, *, high: bool, instance: Instance | None) -> Level:
    values = facts.of(bound.of, bound.sheet).values
    if instance is not None and bound.sheet is not Sheet.CAR and bound.of == instance.subject:
        values = instance.of(values)
    pick = min if high else max
    if dates := [value for value in values if isinstance(value, date)]:
        return Level(value=pick(dates))
    numbers = [value for value in values if isinstance(value, Amount)]
    if not numbers:
        return Level(missing=(bound.of if bound.sheet is Sheet.CAR else f"{bound.sheet}.{bound.of}",))
    falling = bound.rate is not None and bound.rate.number < 0
    number = pick(numbers, key=lambda amount: -amount.base if falling else amount.base)
    if bound.rate is not None:
        number = _product(bound.rate, number, bound.plus)
    if bound.plus is not None:
        number = bound.plus.plus(number) if bound.rate is not None else number.plus(bound.plus)
    return Level(value=number)


def _product(rate: Amount, number: Amount, plus: Amount | None) -> Amount:
    """`rate × number`: in the unit of `plus` where there is one, else in the rate's numerator (`kg/cc` gives kg).

    A plain rate (95 %) keeps the number's unit.
    """
    unit = plus.unit if plus is not None else number.unit
    if plus is None and rate.unit.dimension != NUMBER.dimension:
        above = find_unit(rate.unit.symbol.rpartition("/")[0])
        if above is None:
            raise ValueError(f"a rate in {rate.unit.symbol} gives no amount")
        unit = above
    return Amount(number=rate.base * number.base / unit.factor, unit=unit)


def _steps(bound: Steps, facts: Facts, *, high: bool, instance: Instance | None) -> Level:
    numbers = [value for value in facts.of(bound.by).values if isinstance(value, Amount)]
    if not numbers:
        return Level(missing=(bound.by,))
    chosen = [_step(bound, number) for number in numbers]
    levels = [Level(closed=True) if part is None else level(part, facts, high=high, instance=instance) for part in chosen]
    worst = next((found for found in levels if found.missing or found.closed), None)
    return worst or (min if high else max)(levels, key=lambda found: _size(found.value))


def _step(bound: Steps, number: Amount) -> Bound | None:
    return next((part for edge, part in bound.steps if number.base <= edge.base), bound.above)


def _size(value: Amount | date | None) -> Fraction:
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if value is not None else Fraction(0)


def levels_in_words(constraint: Range, low: Level | None, high: Level | None) -> str:
    """Both ends of a range as they came out on a car."""
    parts = []
    for found, word in (
        (low, "over" if constraint.low_strict else "at least"),
        (high, "under" if constraint.high_strict else "at most"),
    ):
        if found is not None and found.value is not None:
            parts.append(f"{word} {show(found.value)}")
        elif found is not None and found.closed:
            parts.append("beyond the last step, so not allowed")
    return " and ".join(parts)
