"""The minimum weight of an entry, built up line by line: the greatest applicable minimum, then every adder.

Where the condition of a minimum or an adder is unknown, the total is a range from `least` to `greatest`; a car is legal at or
above `greatest`, illegal under `least`, and unknown between.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.levels import level
from rulewatch.assess.logic import Truth
from rulewatch.model.impact import WeightLine, WeightSheet
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import MinimumWeight, Rounding, Ties, WeightAdder

SUBJECT = "car.weight"


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRule:
    """A minimum or an adder of a clause, whether its condition holds on the car, and what is missing to tell.

    `measured` is how the book wants the car weighed for it, `granted` what it grants on the result, and `paper` the waiver
    that a minimum comes from.
    """

    clause: str
    says: MinimumWeight | WeightAdder
    holds: Truth
    missing: tuple[str, ...] = ()
    measured: tuple[tuple[str, str], ...] = ()
    granted: Amount | None = None
    paper: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Minimum:
    """One minimum that may apply, with what its bound comes to on this car (None: not known) and the total from it.

    `closed`: it leaves no weight at all (beyond the last of its steps). The total is a range where adders are doubtful;
    `measured` and `granted` are as in `WeightRule`, with what the adders ask for.
    """

    clause: str
    says: MinimumWeight
    holds: Truth
    base: Amount | None
    closed: bool
    missing: tuple[str, ...]
    measured: tuple[tuple[str, str], ...]
    granted: Amount | None
    paper: str
    lines: tuple[WeightLine, ...] = ()
    least: Amount | None = None
    greatest: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Adder:
    """One adder that may apply."""

    clause: str
    says: WeightAdder
    holds: Truth


# Which adders count: given whether one certainly applies, and whether it makes the total heavier.
_Counts = Callable[[bool, bool], bool]


def _least_counts(certain: bool, heavier: bool) -> bool:  # noqa: FBT001 - called by position only
    return certain or not heavier


def _most_counts(certain: bool, heavier: bool) -> bool:  # noqa: FBT001
    return certain or heavier


def minimums(rules: Sequence[WeightRule], facts: Facts) -> tuple[Minimum, ...]:
    """Every minimum that may hold on a car, built up from the rules that may hold."""
    live = [rule for rule in rules if rule.holds is not False]
    adders = [
        _Adder(clause=rule.clause, says=rule.says, holds=rule.holds) for rule in live if isinstance(rule.says, WeightAdder)
    ]
    asked = tuple(condition for rule in live if isinstance(rule.says, WeightAdder) for condition in rule.measured)
    return tuple(_minimum(rule, rule.says, adders, asked, facts) for rule in live if isinstance(rule.says, MinimumWeight))


def _minimum(
    rule: WeightRule, says: MinimumWeight, adders: Sequence[_Adder], asked: tuple[tuple[str, str], ...], facts: Facts
) -> Minimum:
    found = level(says.bound, facts, high=False)
    base = found.value if isinstance(found.value, Amount) else None
    bare = Minimum(
        clause=rule.clause,
        says=says,
        holds=rule.holds,
        base=base,
        closed=found.closed,
        missing=found.missing,
        measured=(*rule.measured, *asked),
        granted=rule.granted,
        paper=rule.paper,
    )
    if base is None:
        return bare
    most, least = _lines(bare, base, adders, _most_counts), _lines(bare, base, adders, _least_counts)
    return replace(bare, lines=most, least=least[-1].total if rule.holds else None, greatest=most[-1].total)


def sheet(found: Sequence[Minimum], car: Amount | None) -> WeightSheet:
    """The build-up of the greatest minimum that may hold, line by line, against the car's weight.

    `least` is the most that is certain, `greatest` the most that may be asked; None where a minimum that may apply is not known.
    """
    known = [one for one in found if one.greatest is not None]
    governing = max(known, key=lambda one: (_size(one.greatest), bool(one.holds)), default=None)
    certain = [one.least for one in found if one.least is not None]
    return WeightSheet(
        lines=governing.lines if governing is not None else (),
        least=max(certain, key=lambda total: total.base, default=None),
        greatest=governing.greatest if governing is not None and len(known) == len(found) else None,
        car=car,
        granted=governing.granted if governing is not None else None,
        measured=governing.measured if governing is not None else (),
    )


def _size(amount: Amount | None) -> Fraction:
    return amount.base if amount is not None else Fraction(0)


def _lines(minimum: Minimum, bound: Amount, adders: Sequence[_Adder], counts: _Counts) -> tuple[WeightLine, ...]:
    """The build-up from one minimum; the last line's total is the result, rounded as the body says."""
    rounding = minimum.says.rounding
    each = rounding if rounding is not None and rounding.each else None
    base = total = _rounded_if(bound, each)
    label = f"minimum by waiver {minimum.paper}" if minimum.paper else "minimum"
    lines = [WeightLine(clause=minimum.clause, label=label, amount=total, total=total, certain=bool(minimum.holds))]
    for adder in adders:
        amount = _rounded_if(_adds(adder.says, total if minimum.says.compounded else base), each)
        if not counts(bool(adder.holds), amount.number > 0):
            continue
        total = total.plus(amount)
        said = adder.says.printed or str(adder.says.amount)
        lines.append(WeightLine(clause=adder.clause, label=said, amount=amount, total=total, certain=bool(adder.holds)))
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
    """What the car weighs, as stated; of several weighings the least. None where it is not stated."""
    weights = [value for value in facts.of(SUBJECT).values if isinstance(value, Amount)]
    return min(weights, key=lambda weight: weight.base, default=None)
