"""Kleene's three-valued logic over a car: constraints and conditions.

True, False and None for unknown. Taking a value away from a car can turn an answer into None, and never into its opposite.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from rulewatch.assess.conformity import conformity
from rulewatch.assess.facts import Fact, Facts
from rulewatch.assess.levels import Instance, level, levels_in_words
from rulewatch.assess.words import in_a_row, in_words, show
from rulewatch.model.impact import Verdict
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import All, Any, Condition, Linear, Not, OneOf, Presence, Range, Scalar, Test

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
class Answer:
    """Whether something holds, the room to its bound, what it came to in words, and what is missing to tell."""

    truth: Truth
    margin: Amount | None = None
    value: str = ""
    bound: str = ""
    missing: tuple[str, ...] = ()
    applies: bool = True
    otherwise: str = ""  # how a value was taken, where that is not how the book asks
    below: Fraction | None = None  # how far an amount is above its lower limit, in base units
    above: Fraction | None = None  # and under its upper one
    p: float | None = None  # the probability of conformity of a measured amount


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


def requirement(test: Test, facts: Facts, tolerance: Amount | None = None, measured: Sequence[tuple[str, str]] = ()) -> Answer:
    """Whether a limit holds on a car, every instance complying; a limit on what is absent does not apply, but `present`.

    `measured` are the conditions that the book asks an amount to be taken under: one that was not is unknown for this limit.
    """
    fact = facts.of(test.subject)
    words = in_words(test.constraint)
    if fact.present is False:
        if isinstance(test.constraint, Presence):
            return Answer(truth=not test.constraint.present, value="absent", bound=words)
        return Answer(truth=True, value="absent", bound=words, applies=False)
    answers = _each(test, fact, facts, tolerance)
    shown = fact.stale or " / ".join(show(value) for value in fact.values) or ("present" if fact.present else "")
    bound = next((answer.bound for answer in answers if answer.bound), words)
    reckoned = not isinstance(test.constraint, Presence) and any(isinstance(value, Amount) for value in fact.values)
    if reckoned and (otherwise := taken_otherwise(fact.conditions, measured)):
        return Answer(truth=None, value=shown, bound=bound, missing=(test.subject,), otherwise=otherwise)
    truth = every(answer.truth for answer in answers)
    margins = [answer.margin for answer in answers if answer.margin is not None]
    worst = min(margins, key=lambda margin: margin.span, default=None)
    missing = _missing(test, fact, facts) if truth is None else ()
    return Answer(truth=truth, margin=worst, value=shown, bound=bound, missing=missing, p=_conformity(answers, fact.u))


def _conformity(answers: Sequence[Answer], u: Fraction | None) -> float | None:
    """The probability of conformity of the instance that is least sure; None where nothing was measured against a limit."""
    if u is None:
        return None
    limited = (answer for answer in answers if answer.below is not None or answer.above is not None)
    return min((conformity(answer.below, answer.above, u) for answer in limited), default=None)


def taken_otherwise(taken: Sequence[tuple[str, str]], asked: Sequence[tuple[str, str]]) -> str:
    """How a value was taken where that is not how the book asks, or is not said; empty where all is as asked."""
    said = dict(taken)
    off = (
        f"{name} {said.get(name, 'not stated')} (the book asks {wanted})" for name, wanted in asked if said.get(name) != wanted
    )
    return in_a_row(tuple(off))


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
        return [_one_of(value, constraint, tolerance) for value in fact.values]
    instances = [Instance(subject=test.subject, index=index, count=len(fact.values)) for index in range(len(fact.values))]
    if isinstance(fact.values[0], str):
        return [_as_on_sheet(value, constraint, facts, one) for value, one in zip(fact.values, instances, strict=True)]
    return [_in_range(value, constraint, facts, tolerance, one) for value, one in zip(fact.values, instances, strict=True)]


def _one_of(value: Scalar, constraint: OneOf, tolerance: Amount | None) -> Answer:
    """One of several values; an amount may miss the nearest by what the book grants, and that is its margin."""
    amounts = [wanted for wanted in constraint.values if isinstance(wanted, Amount)]
    if not isinstance(value, Amount) or not amounts:
        return Answer(truth=any(equal(value, wanted) for wanted in constraint.values))
    nearest = min(amounts, key=lambda wanted: abs(value.base - wanted.base))
    granted = tolerance.span if tolerance is not None else Fraction(0)
    below, above = granted + value.base - nearest.base, granted - value.base + nearest.base
    room = min(below, above)
    margin = Amount(number=room / nearest.unit.factor, unit=nearest.unit)
    bound = _granted(in_words(constraint), tolerance)
    if not granted:  # no measurement tells that an amount is exactly so much
        return Answer(truth=room >= 0, margin=margin, bound=bound)
    return Answer(truth=room >= 0, margin=margin, bound=bound, below=below, above=above)


def _as_on_sheet(value: Scalar, constraint: Range, facts: Facts, instance: Instance) -> Answer:
    """Words compare for equality only: with what the quantity that both ends are taken from has (`standard`)."""
    bound = constraint.low
    wanted = facts.of(bound.of, bound.sheet).values if isinstance(bound, Linear) and bound == constraint.high else ()
    own = instance.of(wanted)
    truths = {equal(value, other) for other in own}
    # Where several might be meant, the word is clear only if it is none of them, or all are the same.
    return Answer(truth=truths.pop() if len(truths) == 1 else None, bound=" or ".join(dict.fromkeys(map(show, wanted))))


def _in_range(value: Scalar, constraint: Range, facts: Facts, tolerance: Amount | None, instance: Instance) -> Answer:
    low = level(constraint.low, facts, high=False, instance=instance) if constraint.low is not None else None
    high = level(constraint.high, facts, high=True, instance=instance) if constraint.high is not None else None
    truths: list[Truth] = []
    margins: list[Amount] = []
    rooms: dict[int, Fraction] = {}
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
            rooms[sign] = room
    least = min(margins, key=lambda margin: margin.span, default=None)
    bound = _granted(levels_in_words(constraint, low, high), tolerance)
    return Answer(truth=every(truths), margin=least, bound=bound, below=rooms.get(1), above=rooms.get(-1))


def _granted(bound: str, tolerance: Amount | None) -> str:
    return f"{bound} (±{tolerance} granted)" if bound and tolerance is not None else bound


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
