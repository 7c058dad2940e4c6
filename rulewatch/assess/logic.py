"""Kleene's three-valued logic over a car: constraints and conditions.

True, False and None for unknown. Taking a value away from a car can turn an answer into None, and never into its opposite.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from rulewatch.assess.conformity import conformity
from rulewatch.assess.decision import Rooms, accepted, grace, observed
from rulewatch.assess.facts import Fact, Facts
from rulewatch.assess.levels import Instance, Level, level, levels_in_words
from rulewatch.assess.spread import COVERAGE
from rulewatch.assess.words import in_a_row, in_words, show
from rulewatch.model.edition import SIMPLE, Decision, DecisionRule
from rulewatch.model.impact import Verdict
from rulewatch.model.measured import Doubt, Spread
from rulewatch.model.quantity import Amount, Unit, digits
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
    doubt: Doubt | None = None  # what the measurement of an amount leaves open


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
    truths = {answer.truth for answer in _each(test, replace(fact, measured=False), facts, None, SIMPLE)}
    # Left and right may differ; then the condition holds for one and not for the other, and the car as a whole is unclear.
    truth = truths.pop() if len(truths) == 1 else None
    missing = _missing(test, fact, facts) if truth is None else ()
    return Answer(truth=truth, missing=missing)


def requirement(
    test: Test,
    facts: Facts,
    tolerance: Amount | None = None,
    measured: Sequence[tuple[str, str]] = (),
    decision: Decision = SIMPLE,
) -> Answer:
    """Whether a limit holds on a car, every instance complying; a limit on what is absent does not apply, but `present`.

    `measured` are the conditions that the book asks an amount to be taken under: one that was not is unknown for this limit.
    `decision` is the body's rule for values that were measured.
    """
    fact = facts.of(test.subject)
    words = in_words(test.constraint)
    if fact.present is False:
        if isinstance(test.constraint, Presence):
            return Answer(truth=not test.constraint.present, value="absent", bound=words)
        return Answer(truth=True, value="absent", bound=words, applies=False)
    answers = _each(test, fact, facts, tolerance, decision)
    shown = fact.stale or " / ".join(show(value) for value in fact.values) or ("present" if fact.present else "")
    bound = next((answer.bound for answer in answers if answer.bound), words)
    reckoned = not isinstance(test.constraint, Presence) and any(isinstance(value, Amount) for value in fact.values)
    if reckoned and (otherwise := taken_otherwise(fact.conditions, measured)):
        return Answer(truth=None, value=shown, bound=bound, missing=(test.subject,), otherwise=otherwise)
    truth = every(answer.truth for answer in answers)
    margins = [answer.margin for answer in answers if answer.margin is not None]
    worst = min(margins, key=lambda margin: margin.span, default=None)
    missing = _missing(test, fact, facts) if truth is None else ()
    # Of several instances the one that is least sure tells what the measurement leaves open.
    doubt = min((answer.doubt for answer in answers if answer.doubt is not None), key=lambda doubt: doubt.p, default=None)
    if truth is None and not missing and any(answer.otherwise for answer in answers):
        otherwise = next(answer.otherwise for answer in answers if answer.otherwise)
        return Answer(truth=None, margin=worst, value=shown, bound=bound, missing=(test.subject,), otherwise=otherwise)
    return Answer(truth=truth, margin=worst, value=shown, bound=bound, missing=missing, doubt=doubt)


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


def _each(test: Test, fact: Fact, facts: Facts, tolerance: Amount | None, decision: Decision) -> list[Answer]:
    """The answer for each instance; one unknown answer where no value is known."""
    constraint = test.constraint
    if isinstance(constraint, Presence):
        return [Answer(truth=None if fact.present is None else fact.present == constraint.present)]
    if not fact.values:
        return [Answer(truth=None)]
    if isinstance(constraint, OneOf):
        return [_one_of(_Taken.of(fact, index, decision), constraint, tolerance) for index in range(len(fact.values))]
    instances = [Instance(subject=test.subject, index=index, count=len(fact.values)) for index in range(len(fact.values))]
    if isinstance(fact.values[0], str):
        return [_as_on_sheet(value, constraint, facts, one) for value, one in zip(fact.values, instances, strict=True)]
    return [_in_range(_Taken.of(fact, one.index, decision), constraint, facts, tolerance, one) for one in instances]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    """One value of a car, how sure it is if it was measured, and the body's rule for such values."""

    value: Scalar
    spread: Spread | None
    decision: Decision | None  # None for a value that is declared

    @classmethod
    def of(cls, fact: Fact, index: int, decision: Decision) -> _Taken:
        return cls(
            value=fact.values[index],
            spread=fact.spreads[index] if fact.spreads else None,
            decision=decision if fact.measured else None,
        )

    def judged(self, seen: Rooms, true: Rooms, unit: Unit) -> Answer:
        """Whether it is taken, by the rooms that inspectors see, and what the measurement leaves open, by the true ones."""
        truth = seen.inside() if self.decision is None else accepted(seen, self.spread, self.decision)
        doubt = None
        if self.spread is not None and (true.below is not None or true.above is not None):
            p = conformity(true.below, true.above, self.spread)
            doubt = Doubt(p=p, below=true.below, above=true.above, spread=self.spread, unit=unit)
        return Answer(truth=truth, doubt=doubt, otherwise=UNSURE if truth is None else "")


NEAR = 6  # standard uncertainties; farther inside a limit, its rule for measured values makes no difference
UNSURE = "no uncertainty stated, which the body's rule for measured values needs"


def _one_of(taken: _Taken, constraint: OneOf, tolerance: Amount | None) -> Answer:
    """One of several values; an amount may miss the nearest by what the book grants, and that is its margin."""
    value = taken.value
    amounts = [wanted for wanted in constraint.values if isinstance(wanted, Amount)]
    if not isinstance(value, Amount) or not amounts:
        return Answer(truth=any(equal(value, wanted) for wanted in constraint.values))
    nearest = min(amounts, key=lambda wanted: abs(value.base - wanted.base))
    seen = value if taken.decision is None else observed(value, nearest, taken.decision)
    granted = tolerance.span if tolerance is not None else Fraction(0)
    rooms = _around(seen, nearest, granted)
    room = min(rooms.below or Fraction(0), rooms.above or Fraction(0))
    margin = Amount(number=room / nearest.unit.factor, unit=nearest.unit)
    bound = _granted(in_words(constraint), tolerance)
    if not granted:  # no measurement tells that an amount is exactly so much
        return Answer(truth=room >= 0, margin=margin, bound=bound)
    more = grace(nearest, taken.decision) if taken.decision is not None else Fraction(0)
    bound = ruled(bound, taken.decision, taken.spread, room, nearest.unit)
    return replace(taken.judged(rooms, _around(value, nearest, granted + more), nearest.unit), margin=margin, bound=bound)


def _around(value: Amount, wanted: Amount, granted: Fraction) -> Rooms:
    return Rooms(below=granted + value.base - wanted.base, above=granted - value.base + wanted.base)


def _as_on_sheet(value: Scalar, constraint: Range, facts: Facts, instance: Instance) -> Answer:
    """Words compare for equality only: with what the quantity that both ends are taken from has (`standard`)."""
    bound = constraint.low
    wanted = facts.of(bound.of, bound.sheet).values if isinstance(bound, Linear) and bound == constraint.high else ()
    own = instance.of(wanted)
    truths = {equal(value, other) for other in own}
    # Where several might be meant, the word is clear only if it is none of them, or all are the same.
    return Answer(truth=truths.pop() if len(truths) == 1 else None, bound=" or ".join(dict.fromkeys(map(show, wanted))))


def _in_range(taken: _Taken, constraint: Range, facts: Facts, tolerance: Amount | None, instance: Instance) -> Answer:
    low = level(constraint.low, facts, high=False, instance=instance) if constraint.low is not None else None
    high = level(constraint.high, facts, high=True, instance=instance) if constraint.high is not None else None
    bound = _granted(levels_in_words(constraint, low, high), tolerance)
    ends = {side: found.value for side, found in ((1, low), (-1, high)) if found is not None and found.value is not None}
    seen = {side: _room(_seen(taken, end), end, side, tolerance) for side, end in ends.items()}
    rooms = Rooms(
        below=seen.get(1), above=seen.get(-1), below_strict=constraint.low_strict, above_strict=constraint.high_strict
    )
    true = {side: _room(taken.value, end, side, tolerance) + _grace(taken, end) for side, end in ends.items()}
    limits = {side: end for side, end in ends.items() if isinstance(end, Amount)}
    nearest = min(limits, key=lambda side: seen[side], default=0)
    answer = Answer(truth=rooms.inside())
    if nearest:
        unit = limits[nearest].unit
        answer = taken.judged(rooms, Rooms(below=true.get(1), above=true.get(-1)), unit)
        answer = replace(answer, margin=Amount(number=seen[nearest] / unit.factor, unit=unit))
        bound = ruled(bound, taken.decision, taken.spread, seen[nearest], unit)
    unknown = [_of_level(found) for found in (low, high) if found is not None and found.value is None]
    return replace(answer, truth=every((*([answer.truth] if ends else []), *unknown)), bound=bound)


def ruled(bound: str, decision: Decision | None, spread: Spread | None, room: Fraction, unit: Unit) -> str:
    """A bound with what the body's rule for measured values makes of it, for a value that is not far inside.

    `decision` is None for a value that is declared; `room` is that to the bound, in base units.
    """
    if decision is None or spread is None or room > NEAR * spread.u:
        return bound
    match decision.rule:
        case DecisionRule.GUARDED if guard := decision.guard:
            band = Amount(number=abs(guard) * COVERAGE * spread.u / unit.factor, unit=unit)
            return f"{bound}, {'with a guard band of' if guard > 0 else 'or beyond it by up to'} {band}"
        case DecisionRule.PROBABILITY:
            return f"{bound}, with a probability of {digits(100 * decision.p)} %"
    return bound


def _of_level(found: Level) -> Truth:
    """What a limit without a value comes to: nothing is allowed beyond the last step; else it is not known."""
    return False if found.closed else None


def _seen(taken: _Taken, limit: Amount | date) -> Scalar:
    """A value as it is compared with a limit."""
    if isinstance(taken.value, Amount) and isinstance(limit, Amount) and taken.decision is not None:
        return observed(taken.value, limit, taken.decision)
    return taken.value


def _grace(taken: _Taken, limit: Amount | date) -> Fraction:
    return grace(limit, taken.decision) if isinstance(limit, Amount) and taken.decision is not None else Fraction(0)


def _granted(bound: str, tolerance: Amount | None) -> str:
    return f"{bound} (±{tolerance} granted)" if bound and tolerance is not None else bound


def _room(value: Scalar, bound: Amount | date, sign: int, tolerance: Amount | None) -> Fraction:
    """How far a value is inside a bound, in base units or days; negative outside."""
    if isinstance(bound, Amount) and isinstance(value, Amount):
        return sign * (value.base - bound.base) + (tolerance.span if tolerance is not None else Fraction(0))
    if isinstance(bound, date) and isinstance(value, date):
        return Fraction(sign * (value.toordinal() - bound.toordinal()))
    raise TypeError(f"{value!r} does not compare with {bound!r}")


def equal(left: Scalar, right: Scalar) -> bool:
    """Whether two values are the same: amounts by size, words and dates as they are."""
    if isinstance(left, Amount) and isinstance(right, Amount):
        return left.same_value(right)
    return left == right
