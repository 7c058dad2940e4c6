"""The minimum weight of an entry, built up line by line: the greatest applicable minimum, then every adder.

Where the condition of a minimum or an adder is unknown, the total is a range from `least` to `greatest`; a car is legal at or
above `greatest`, illegal under `least`, and unknown between.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import Truth, level
from rulewatch.model.impact import WeightLine, WeightSheet
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import MinimumWeight, Rounding, Ties, WeightAdder

SUBJECT = "car.weight"


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRule:
    """A minimum or an adder of a clause, whether its condition holds on the car, and what is missing to tell."""

    clause: str
    says: MinimumWeight | WeightAdder
    holds: Truth
    confirmed: bool
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """The minimum weight as it comes out, every clause that counts, and what is missing to be sure of it.

    `impossible` tells that a minimum that applies leaves no weight at all (beyond the last of its steps).
    """

    sheet: WeightSheet
    clauses: tuple[str, ...]
    confirmed: bool
    missing: tuple[str, ...]
    with_driver: bool | None
    impossible: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Minimum:
    """One minimum that may apply, with what its bound comes to on this car (None: not known)."""

    clause: str
    says: MinimumWeight
    holds: Truth
    base: Amount | None
    closed: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Adder:
    """One adder that may apply."""

    clause: str
    says: WeightAdder
    holds: Truth


# Which adders count: given whether one certainly applies, and whether it makes the total heavier.
_Counts = Callable[[bool, bool], bool]


def _all_count(_certain: bool, _heavier: bool) -> bool:  # noqa: FBT001 - called by position only
    return True


def _least_counts(certain: bool, heavier: bool) -> bool:  # noqa: FBT001
    return certain or not heavier


def _most_counts(certain: bool, heavier: bool) -> bool:  # noqa: FBT001
    return certain or heavier


def minimum_weight(rules: Sequence[WeightRule], facts: Facts) -> Requirement | None:
    """Build up the minimum weight from the rules that may hold on a car; None where no minimum may hold."""
    live = [rule for rule in rules if rule.holds is not False]
    minimums = [_minimum(rule, rule.says, facts) for rule in live if isinstance(rule.says, MinimumWeight)]
    adders = [
        _Adder(clause=rule.clause, says=rule.says, holds=rule.holds) for rule in live if isinstance(rule.says, WeightAdder)
    ]
    if not minimums:
        return None
    governing = max(minimums, key=lambda one: (one.base is not None, bool(one.holds), one.base.base if one.base else 0))
    waiting = [name for one in minimums for name in one.missing]
    waiting += [name for rule in live if rule.holds is None for name in rule.missing]
    return Requirement(
        sheet=WeightSheet(
            lines=_lines(governing, adders, _all_count),
            least=_least(minimums, adders),
            greatest=_greatest(minimums, adders),
            car=car_weight(facts),
        ),
        clauses=tuple(dict.fromkeys(rule.clause for rule in live)),
        confirmed=all(rule.confirmed for rule in live),
        missing=tuple(dict.fromkeys(waiting)),
        with_driver=governing.says.with_driver,
        impossible=any(one.closed and one.holds for one in minimums),
    )


def _minimum(rule: WeightRule, says: MinimumWeight, facts: Facts) -> _Minimum:
    found = level(says.bound, facts, high=False)
    base = found.value if isinstance(found.value, Amount) else None
    return _Minimum(clause=rule.clause, says=says, holds=rule.holds, base=base, closed=found.closed, missing=found.missing)


def _least(minimums: Sequence[_Minimum], adders: Sequence[_Adder]) -> Amount | None:
    """The least that the total can come to: from the minimums that certainly apply, with what certainly adds."""
    totals = [_total(one, adders, _least_counts) for one in minimums if one.holds and one.base is not None]
    return max(totals, key=lambda total: total.base, default=None)


def _greatest(minimums: Sequence[_Minimum], adders: Sequence[_Adder]) -> Amount | None:
    """The most that it can come to; None where a minimum that may apply is not known."""
    if any(one.base is None for one in minimums):
        return None
    return max((_total(one, adders, _most_counts) for one in minimums), key=lambda total: total.base)


def _total(minimum: _Minimum, adders: Sequence[_Adder], counts: _Counts) -> Amount:
    return _lines(minimum, adders, counts)[-1].total


def _lines(minimum: _Minimum, adders: Sequence[_Adder], counts: _Counts) -> tuple[WeightLine, ...]:
    """The build-up from one minimum; the last line's total is the result, rounded as the body says."""
    if minimum.base is None:
        return ()
    rounding = minimum.says.rounding
    each = rounding if rounding is not None and rounding.each else None
    base = total = _rounded_if(minimum.base, each)
    lines = [WeightLine(clause=minimum.clause, label="minimum", amount=total, total=total, certain=bool(minimum.holds))]
    for adder in adders:
        amount = _rounded_if(_adds(adder.says, total if minimum.says.compounded else base), each)
        if not counts(bool(adder.holds), amount.number > 0):
            continue
        total = total.plus(amount)
        label = adder.says.printed or str(adder.says.amount)
        lines.append(WeightLine(clause=adder.clause, label=label, amount=amount, total=total, certain=bool(adder.holds)))
    if rounding is not None and not rounding.each:
        result = rounded(total, rounding)
        if result.base != total.base:
            step = WeightLine(
                clause=minimum.clause, label=f"rounded to {rounding.to}", amount=result.minus(total), total=result
            )
            lines.append(step)
    return tuple(lines)


def _adds(adder: WeightAdder, of: Amount) -> Amount:
    """What an adder comes to in the minimum's unit: a share of `of`, or its own amount."""
    if adder.share is not None:
        return of.times(adder.share)
    return adder.amount.to(of.unit) if adder.amount is not None else of.times(Fraction(0))


def _rounded_if(amount: Amount, rounding: Rounding | None) -> Amount:
    return amount if rounding is None else rounded(amount, rounding)


def rounded(amount: Amount, rounding: Rounding) -> Amount:
    """An amount rounded to multiples of a step; halves go to even (NIST SP 811, B.7.1) or up, as the body says."""
    steps = amount.base / rounding.to.base
    whole = (2 * steps.numerator + steps.denominator) // (2 * steps.denominator) if rounding.ties is Ties.UP else round(steps)
    return Amount(number=whole * rounding.to.base / amount.unit.factor, unit=amount.unit)


def car_weight(facts: Facts) -> Amount | None:
    """What the car weighs, as stated; None where it is not."""
    values = facts.of(SUBJECT).values
    return values[0] if values and isinstance(values[0], Amount) else None
