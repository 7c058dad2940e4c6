"""Kleene's three-valued logic over a car: bounds, constraints and conditions.

True, False and None for unknown. Taking a value away from a car can turn an answer into None, and never into its opposite.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from rulewatch.assess.facts import Fact, Facts
from rulewatch.model.impact import Verdict
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
    Not,
    OneOf,
    Presence,
    Range,
    Scalar,
    Sheet,
    Steps,
    Test,
)
from rulewatch.model.vocabulary import Vocabulary

Truth = bool | None


def every(truths: Iterable[Truth]) -> Truth:
    """And: False if any is, else None if any is, else True."""
    found = set(truths)
    return False if False in found else None if None in found else True


def some(truths: Iterable[Truth]) -> Truth:
    """Or: True if any is, else None if any is, else False."""
    found = set(truths)
    return True if True in found else None if None in found else False


def to_verdict(truth: Truth) -> Verdict:
    """A truth in the words of inspection."""
    return Verdict.UNKNOWN if truth is None else Verdict.LEGAL if truth else Verdict.ILLEGAL


def implies(condition: Truth, consequence: Truth) -> Truth:
    """`if condition then consequence`: under an unknown condition true only if the consequence holds anyway."""
    return some((None if condition is None else not condition, consequence))


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """What a bound comes to on a car: a value, or nothing at all allowed (`closed`), or unknown for want of `missing`."""

    value: Amount | date | None = None
    closed: bool = False
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Whether something holds, the room to its bound, what it came to in words, and what is missing to tell."""

    truth: Truth
    margin: Amount | None = None
    value: str = ""
    bound: str = ""
    missing: tuple[str, ...] = ()
    applies: bool = True
    otherwise: str = ""  # how a value was taken, where that is not how the book asks


def level(bound: Bound, facts: Facts, *, high: bool) -> Level:
    """What a bound comes to; of several instances that it depends on, the one that makes an upper bound least counts."""
    match bound:
        case Fixed():
            return Level(value=bound.value)
        case Linear():
            return _linear(bound, facts, high=high)
        case Steps():
            return _steps(bound, facts, high=high)
        case Greatest() | Least():
            levels = [level(part, facts, high=high) for part in bound.bounds]
            missing = tuple(dict.fromkeys(name for found in levels for name in found.missing))
            if missing:
                return Level(missing=missing)
            if any(found.closed for found in levels):
                return Level(closed=True)
            pick = max if isinstance(bound, Greatest) else min
            return pick(levels, key=lambda found: _size(found.value))


def _linear(bound: Linear, facts: Facts, *, high: bool) -> Level:
    fact = facts.of(bound.of, bound.sheet)
    numbers = [value for value in fact.values if isinstance(value, Amount)]
    name = bound.of if bound.sheet == "car" else f"{bound.sheet}.{bound.of}"
    if not numbers:
        dates = [value for value in fact.values if isinstance(value, date)]
        return Level(value=dates[0]) if dates else Level(missing=(name,))
    number = (min if high else max)(numbers, key=lambda amount: amount.base * (-1 if _falling(bound) else 1))
    if bound.rate is not None:
        number = _product(bound.rate, number, bound.plus)
    if bound.plus is not None:
        number = bound.plus.plus(number) if bound.rate is not None else number.plus(bound.plus)
    return Level(value=number)


def _falling(bound: Linear) -> bool:
    return bound.rate is not None and bound.rate.number < 0


def _product(rate: Amount, number: Amount, plus: Amount | None) -> Amount:
    """`rate × number`, in the unit of `plus` where there is one, else in the rate's numerator (`kg/cc` gives kg)."""
    from rulewatch.model.quantity import find_unit

    unit = plus.unit if plus is not None else find_unit(rate.unit.symbol.split("/")[0])
    if unit is None:
        raise ValueError(f"a rate in {rate.unit.symbol} gives no amount")
    return Amount(number=rate.base * number.base / unit.factor, unit=unit)


def _steps(bound: Steps, facts: Facts, *, high: bool) -> Level:
    numbers = [value for value in facts.of(bound.by).values if isinstance(value, Amount)]
    if not numbers:
        return Level(missing=(bound.by,))
    chosen = [_step(bound, number) for number in numbers]
    levels = [Level(closed=True) if part is None else level(part, facts, high=high) for part in chosen]
    worst = next((found for found in levels if found.missing or found.closed), None)
    return worst or (min if high else max)(levels, key=lambda found: _size(found.value))


def _step(bound: Steps, number: Amount) -> Bound | None:
    return next((part for edge, part in bound.steps if number.base <= edge.base), bound.above)


def _size(value: Amount | date | None) -> Fraction:
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if value is not None else Fraction(0)


def condition(of: Condition | None, facts: Facts) -> Answer:
    """Whether a condition holds on a car; no condition holds always. A condition on what is absent is false, but `absent`."""
    match of:
        case None:
            return Answer(truth=True)
        case Test():
            return _condition_test(of, facts)
        case Not():
            inner = condition(of.part, facts)
            return Answer(
                truth=None if inner.truth is None else not inner.truth, missing=inner.missing, bound=f"not {inner.bound}"
            )
        case All() | Any():
            answers = [condition(part, facts) for part in of.parts]
            truth = (every if isinstance(of, All) else some)(answer.truth for answer in answers)
            missing = tuple(dict.fromkeys(name for answer in answers if answer.truth is None for name in answer.missing))
            return Answer(truth=truth, missing=missing if truth is None else ())


def _condition_test(test: Test, facts: Facts) -> Answer:
    fact = facts.of(test.subject)
    if fact.present is False:
        return Answer(truth=isinstance(test.constraint, Presence) and not test.constraint.present)
    truths = {answer.truth for answer in _each(test, fact, facts, None)}
    # Left and right may differ; then the condition holds for one and not for the other, and the car as a whole is unclear.
    truth = truths.pop() if len(truths) == 1 else None
    missing = _missing(test, fact, facts) if truth is None else ()
    return Answer(truth=truth, missing=missing)


def requirement(test: Test, facts: Facts, tolerance: Amount | None = None) -> Answer:
    """Whether a limit holds on a car, every instance complying; a limit on what is absent does not apply, but `present`."""
    fact = facts.of(test.subject)
    words = in_words(test.constraint)
    if fact.present is False:
        if isinstance(test.constraint, Presence):
            return Answer(truth=not test.constraint.present, value="absent", bound=words)
        return Answer(truth=True, value="absent", bound=words, applies=False)
    answers = _each(test, fact, facts, tolerance)
    truth = every(answer.truth for answer in answers)
    margins = [answer.margin for answer in answers if answer.margin is not None]
    worst = min(margins, key=lambda margin: margin.span, default=None)
    missing = _missing(test, fact, facts) if truth is None else ()
    shown = " / ".join(show(value) for value in fact.values) or ("present" if fact.present else "")
    bound = next((answer.bound for answer in answers if answer.bound), words)
    return Answer(truth=truth, margin=worst, value=shown, bound=bound, missing=missing)


def _missing(test: Test, fact: Fact, facts: Facts) -> tuple[str, ...]:
    names = [] if fact.values or (fact.present and isinstance(test.constraint, Presence)) else [test.subject]
    if isinstance(test.constraint, Range):
        for bound, high in ((test.constraint.low, False), (test.constraint.high, True)):
            names += level(bound, facts, high=high).missing if bound is not None else ()
    return tuple(dict.fromkeys(names))


def _each(test: Test, fact: Fact, facts: Facts, tolerance: Amount | None) -> list[Answer]:
    """The answer for each instance; one unknown answer where no value is known."""
    constraint = test.constraint
    if isinstance(constraint, Presence):
        return [Answer(truth=None if fact.present is None else fact.present == constraint.present)]
    if not fact.values:
        return [Answer(truth=None)]
    if isinstance(constraint, OneOf):
        return [Answer(truth=any(equal(value, wanted) for wanted in constraint.values)) for value in fact.values]
    if isinstance(fact.values[0], str):
        return _as_on_sheet(fact, constraint, facts)
    return [_in_range(value, constraint, facts, tolerance) for value in fact.values]


def _as_on_sheet(fact: Fact, constraint: Range, facts: Facts) -> list[Answer]:
    """Words compare for equality only: with what the quantity that both ends are taken from has (`standard`)."""
    bound = constraint.low
    wanted = facts.of(bound.of, bound.sheet).values if isinstance(bound, Linear) and bound == constraint.high else ()
    truths: list[Truth] = [any(equal(value, other) for other in wanted) if wanted else None for value in fact.values]
    return [Answer(truth=truth, bound=" or ".join(map(show, wanted))) for truth in truths]


def _in_range(value: Scalar, constraint: Range, facts: Facts, tolerance: Amount | None) -> Answer:
    low = level(constraint.low, facts, high=False) if constraint.low is not None else None
    high = level(constraint.high, facts, high=True) if constraint.high is not None else None
    truths: list[Truth] = []
    margins: list[Amount] = []
    for found, strict, sign in ((low, constraint.low_strict, 1), (high, constraint.high_strict, -1)):
        if found is None:
            continue
        if found.closed or found.value is None:
            truths.append(False if found.closed else None)
            continue
        room, margin = _room(value, found.value, sign, tolerance)
        truths.append(room > 0 if strict else room >= 0)
        if margin is not None:
            margins.append(margin)
    least = min(margins, key=lambda margin: margin.span, default=None)
    return Answer(truth=every(truths), margin=least, bound=_levels_in_words(constraint, low, high, tolerance))


def _room(value: Scalar, bound: Amount | date, sign: int, tolerance: Amount | None) -> tuple[Fraction, Amount | None]:
    """How far a value is inside a bound (negative: outside); the margin as an amount in the bound's unit."""
    if isinstance(bound, Amount) and isinstance(value, Amount):
        grant = tolerance.span if tolerance is not None else Fraction(0)
        room = sign * (value.base - bound.base) + grant
        return room, Amount(number=room / bound.unit.factor, unit=bound.unit)
    if isinstance(bound, date) and isinstance(value, date):
        return Fraction(sign * (value.toordinal() - bound.toordinal())), None
    raise TypeError(f"{value!r} does not compare with {bound!r}")


def equal(left: Scalar, right: Scalar) -> bool:
    """Whether two values are the same: amounts by size, words and dates as they are."""
    if isinstance(left, Amount) and isinstance(right, Amount):
        return left.same_value(right)
    return left == right


def in_a_row(names: tuple[str, ...]) -> str:
    """Names as a sentence has them: `a, b and c`."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


def named(name: str, vocabulary: Vocabulary) -> str:
    """A missing quantity's label inside a sentence; one of a reference sheet says which."""
    sheet, _, rest = name.partition(".")
    of_sheet = sheet in {Sheet.STANDARD, Sheet.HOMOLOGATED}
    return f"{vocabulary.in_sentence(rest)} of the {sheet} car" if of_sheet else vocabulary.in_sentence(name)


def show(value: Scalar) -> str:
    """A value as a person writes it."""
    return value.isoformat() if isinstance(value, date) else str(value)


def _levels_in_words(constraint: Range, low: Level | None, high: Level | None, tolerance: Amount | None) -> str:
    parts = []
    for found, word in (
        (low, "over" if constraint.low_strict else "at least"),
        (high, "under" if constraint.high_strict else "at most"),
    ):
        if found is not None and found.value is not None:
            parts.append(f"{word} {show(found.value)}")
        elif found is not None and found.closed:
            parts.append("beyond the last step, so not allowed")
    text = " and ".join(parts)
    return f"{text} (±{tolerance} granted)" if text and tolerance is not None else text


def in_words(constraint: Constraint) -> str:
    """A constraint in words, without looking at a car."""
    match constraint:
        case Presence():
            return "present" if constraint.present else "absent"
        case OneOf():
            return " or ".join(show(value) for value in constraint.values)
        case Range():
            if isinstance(constraint.low, Linear) and constraint.low == constraint.high:
                return bound_in_words(constraint.low)
            parts = []
            if constraint.low is not None:
                parts.append(f"{'over' if constraint.low_strict else 'at least'} {bound_in_words(constraint.low)}")
            if constraint.high is not None:
                parts.append(f"{'under' if constraint.high_strict else 'at most'} {bound_in_words(constraint.high)}")
            return " and ".join(parts)


def bound_in_words(bound: Bound) -> str:
    """A bound in words, without looking at a car."""
    match bound:
        case Fixed():
            return show(bound.value)
        case Linear():
            of = bound.of if bound.sheet == "car" else f"the {bound.sheet} {bound.of}"
            text = of if bound.rate is None else f"{bound.rate} × {of}"
            return text if bound.plus is None else f"{text} + {bound.plus}"
        case Steps():
            parts = [f"{bound_in_words(part)} up to {edge}" for edge, part in bound.steps]
            parts += [] if bound.above is None else [f"{bound_in_words(bound.above)} above"]
            return f"by {bound.by}: " + ", ".join(parts)
        case Greatest():
            return "the greatest of " + ", ".join(bound_in_words(part) for part in bound.bounds)
        case Least():
            return "the least of " + ", ".join(bound_in_words(part) for part in bound.bounds)
