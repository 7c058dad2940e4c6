"""Weighing: the one finding on the minimum weight, and the sheet that shows how it came about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from statistics import NormalDist

from rulewatch.assess.applied import Applied, Bench, tolerance
from rulewatch.assess.conformity import conformity
from rulewatch.assess.decision import Rooms, accepted, grace, observed
from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import UNSURE, Truth, every, ruled, taken_otherwise, to_verdict
from rulewatch.assess.spread import COVERAGE
from rulewatch.assess.weight import SUBJECT, Minimum, WeightRule, car_weight, minimums, sheet
from rulewatch.model.car import Waiver
from rulewatch.model.edition import Decision, DecisionRule
from rulewatch.model.impact import Finding, Need, Sort, WeightSheet
from rulewatch.model.measured import Doubt, Spread
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Bound, MinimumWeight, Range, WeightAdder

MASS = "[mass]"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """One minimum against the car's weight: whether it is kept, why, and how the car was weighed if not as asked."""

    minimum: Minimum
    truth: Truth
    why: str
    otherwise: bool = False


def weigh(bench: Bench) -> tuple[Finding | None, WeightSheet | None]:
    """Compare the car with every minimum that may hold; None where none may."""
    counting = [(one, rule) for one in bench.applied if (rule := _rule(one, bench)) is not None and rule.holds is not False]
    found = minimums([rule for _, rule in counting], bench.facts)
    if not found:
        return None, None
    car = car_weight(bench.facts)
    missing = tuple(dict.fromkeys(name for _, rule in counting if rule.holds is None for name in rule.missing))
    missing = tuple(dict.fromkeys((*(name for one in found for name in one.missing), *missing)))
    results = [_weighed(one, car, missing, bench) for one in found]
    # A sheet of minimums that the car was not weighed for would tell of room that nobody knows.
    comparable = [one.minimum for one in results if not one.otherwise]
    shown = replace(sheet(comparable or found, car), guard=_guard(bench))
    return _finding(results, shown, [one for one, _ in counting], missing, bench), shown


def _finding(
    results: Sequence[_Weighed], shown: WeightSheet, counting: Sequence[Applied], missing: tuple[str, ...], bench: Bench
) -> Finding:
    truth = every(one.truth for one in results)
    deciding = next(one for one in results if one.truth is truth)
    if truth:
        # The minimum that leaves the least room tells why.
        deciding = max(results, key=lambda one: one.minimum.greatest.base if one.minimum.greatest is not None else 0)
    confirmed = all(one.confirmed for one in counting)
    held = truth if confirmed or truth is not True else None
    why = deciding.why if confirmed or held is not None else f"{deciding.why}; a reading that counts is not confirmed"
    clauses = tuple(dict.fromkeys(one.reading.clause for one in counting))
    otherwise = any(one.otherwise for one in results)
    margin = None if otherwise else _margin(results, shown, _seen(shown, bench))
    waits = (*missing, *([SUBJECT] if shown.car is None or otherwise else ()))
    return Finding(
        sort=Sort.WEIGHT,
        subject=SUBJECT,
        clauses=clauses,
        verdict=to_verdict(held),
        alone=dict.fromkeys(clauses, to_verdict(held)),
        why=why,
        margin=margin,
        doubt=None if otherwise else _doubt(_margin(results, shown, shown.car), shown, bench),
        value=str(shown.car or ""),
        bound=_bound(shown, deciding.minimum.granted, margin, bench),
        needs=_needs(truth, waits, counting) if held is None else frozenset(),
        missing=waits if held is None else (),
    )


def _doubt(margin: Amount | None, shown: WeightSheet, bench: Bench) -> Doubt | None:
    """What the weighing leaves open."""
    spread = _spread(bench.facts)
    if margin is None or shown.greatest is None or spread is None:
        return None
    room = margin.span + grace(shown.greatest, bench.edition.body.decision)
    return Doubt(p=conformity(room, None, spread), below=room, above=None, spread=spread, unit=margin.unit)


def _spread(facts: Facts) -> Spread | None:
    """How sure the weighing is that counts: the one that found the least."""
    fact = facts.of(SUBJECT)
    found = zip(fact.values, fact.spreads, strict=True) if fact.spreads else ()
    amounts = [(value, spread) for value, spread in found if isinstance(value, Amount)]
    return min(amounts, key=lambda one: one[0].base, default=(None, None))[1]


def _guard(bench: Bench) -> Fraction:
    """By how much a measured weight must be over its minimum to be taken by the body's rule, in kilograms."""
    spread, decision = _spread(bench.facts), bench.edition.body.decision
    if spread is None or not bench.facts.of(SUBJECT).measured:
        return Fraction(0)
    match decision.rule:
        case DecisionRule.GUARDED:
            return decision.guard * COVERAGE * spread.u
        case DecisionRule.PROBABILITY:
            return Fraction(NormalDist().inv_cdf(float(decision.p))) * spread.u
        case DecisionRule.SIMPLE:
            return Fraction(0)


def _seen(shown: WeightSheet, bench: Bench) -> Amount | None:
    """What the car weighs as inspectors compare it: rounded, where the body rounds what is measured."""
    if shown.car is None or shown.greatest is None or not bench.facts.of(SUBJECT).measured:
        return shown.car
    return observed(shown.car, shown.greatest, bench.edition.body.decision)


def _margin(results: Sequence[_Weighed], shown: WeightSheet, car: Amount | None) -> Amount | None:
    """The room to the greatest minimum, with what the book grants on it."""
    if car is None or shown.greatest is None:
        return None
    margin = car.minus(shown.greatest).to(shown.greatest.unit)
    granted = next((one.minimum.granted for one in results if one.minimum.greatest == shown.greatest), None)
    return margin.plus(granted) if granted is not None else margin


def _bound(shown: WeightSheet, granted: Amount | None, margin: Amount | None, bench: Bench) -> str:
    if shown.greatest is None:
        return "a minimum that is not known"
    bound = f"at least {shown.greatest}" + (f" (±{granted} granted)" if granted is not None else "")
    return bound if margin is None else _ruled(bound, margin, bench)


def _ruled(bound: str, margin: Amount, bench: Bench) -> str:
    """A minimum with what the body's rule for measured values makes of it."""
    measured = bench.facts.of(SUBJECT).measured
    return ruled(bound, bench.edition.body.decision if measured else None, _spread(bench.facts), margin.span, margin.unit)


def _needs(truth: Truth, waits: Sequence[str], counting: Sequence[Applied]) -> frozenset[Need]:
    """What an unknown waits for: values, readings, answers."""
    needs = {Need.MEASURE} if truth is None and waits else set()
    needs |= {Need.ASK if one.reading.is_open else Need.READ for one in counting if not one.confirmed}
    doubtful = any(one.replaced.truth is None and not one.replaced.doubt for one in counting)
    return frozenset(needs | ({Need.READ} if doubtful or not needs else set()))


def _rule(one: Applied, bench: Bench) -> WeightRule | None:
    """A reading's minimum or adder as it counts: with its condition, what replaces it, and a waiver of it."""
    reading = one.reading
    says = reading.minimum or reading.adder
    if says is None:
        return None
    rule = WeightRule(
        clause=reading.clause,
        says=says,
        holds=_still_holds(one, bench.replacing(one, SUBJECT).truth if isinstance(says, WeightAdder) else one.replaced.truth),
        missing=(*one.holds.missing, *one.replaced.doubt),
        measured=_asked(reading.measured, says),
    )
    if not isinstance(says, MinimumWeight):
        return rule
    rule = replace(rule, granted=tolerance(reading, MASS, bench.edition))
    waived = next(((waiver, bound) for waiver, bound in waived_minimums(bench) if waiver.clause == reading.clause), None)
    return rule if waived is None else replace(rule, says=replace(says, bound=waived[1]), paper=waived[0].paper)


def waived_minimums(bench: Bench) -> Iterator[tuple[Waiver, Bound]]:
    """The papers that give the car a minimum of its own, in the stead of one that a clause has: adders count on it."""
    clauses = {one.reading.clause for one in bench.applied if one.reading.minimum is not None}
    for waiver in bench.waivers:
        for test in waiver.limits:
            low = test.constraint.low if isinstance(test.constraint, Range) and test.subject == SUBJECT else None
            if low is not None and waiver.clause in clauses:
                yield waiver, low


def _asked(measured: tuple[tuple[str, str], ...], says: MinimumWeight | WeightAdder) -> tuple[tuple[str, str], ...]:
    """How the car is to be weighed for a rule."""
    if not isinstance(says, MinimumWeight) or says.with_driver is None:
        return measured
    return (*((name, wanted) for name, wanted in measured if name != "driver"), ("driver", "yes" if says.with_driver else "no"))


def _still_holds(one: Applied, replaced: Truth) -> Truth:
    """Whether a weight rule counts: its condition holds and nothing replaces it."""
    return every((one.holds.truth, None if replaced is None else not replaced))


def _weighed(minimum: Minimum, car: Amount | None, missing: tuple[str, ...], bench: Bench) -> _Weighed:
    """Legal at or above the most that a minimum can be, illegal under the least, unknown between."""
    facts = bench.facts
    if minimum.closed and minimum.holds:
        why = "no minimum is given for a car like this one: beyond the last step"
        return _Weighed(minimum=minimum, truth=False, why=why)
    if car is None:
        stale = facts.of(SUBJECT).stale
        return _Weighed(minimum=minimum, truth=None, why=f"weighs {stale}" if stale else "the car's weight is not stated")
    if off := _weighed_otherwise(minimum, facts):
        return _Weighed(minimum=minimum, truth=None, why=f"weighs {car}, {off}", otherwise=True)
    truth, asked = _against(minimum, car, bench)
    if truth is not None:
        return _Weighed(minimum=minimum, truth=truth, why=f"weighs {car}, {_asked_for(car, asked, minimum, bench)}")
    if minimum.greatest is not None and _taken(car, minimum.greatest, minimum, bench) is None:
        return _Weighed(minimum=minimum, truth=None, why=f"weighs {car}, with {UNSURE}", otherwise=True)
    waits = facts.wanting(missing).removeprefix("not stated: ") or "a reading is open"
    return _Weighed(minimum=minimum, truth=None, why=f"weighs {car}, and the minimum is not certain: {waits}")


def _asked_for(car: Amount, asked: Amount | None, minimum: Minimum, bench: Bench) -> str:
    if asked is None:
        return "a minimum that is not known asked"
    room = car.minus(asked)
    return _ruled(f"at least {asked} asked", room.plus(minimum.granted) if minimum.granted is not None else room, bench)


def _against(minimum: Minimum, car: Amount, bench: Bench) -> tuple[Truth, Amount | None]:
    """Legal at or above the most that a minimum can be, illegal under the least, each with that amount; else unknown."""
    if _taken(car, minimum.greatest, minimum, bench) is True:
        return True, minimum.greatest
    return (False, minimum.least) if _taken(car, minimum.least, minimum, bench) is False else (None, None)


def _taken(car: Amount, least: Amount | None, minimum: Minimum, bench: Bench) -> Truth:
    """Whether inspectors would take the car's weight for at least so much, with what the book grants; None where that is not known."""
    if least is None:
        return None
    if not bench.facts.of(SUBJECT).measured:
        return car.base + (minimum.granted.span if minimum.granted is not None else Fraction(0)) >= least.base
    return heavy_enough(car, least, minimum.granted, _spread(bench.facts), bench.edition.body.decision)


def heavy_enough(car: Amount, least: Amount, granted: Amount | None, spread: Spread | None, decision: Decision) -> Truth:
    """Whether a measured weight is taken for at least so much by a body's rule; None where that needs an uncertainty nobody stated."""
    room = observed(car, least, decision).base - least.base + (granted.span if granted is not None else 0)
    return accepted(Rooms(below=room), spread, decision)


def _weighed_otherwise(minimum: Minimum, facts: Facts) -> str:
    """How the car was weighed where a minimum asks for another way, in words."""
    conditions = facts.of(SUBJECT).conditions
    if not (off := taken_otherwise(conditions, minimum.measured)):
        return ""
    if len(minimum.measured) > 1 or minimum.measured[0][0] != "driver":
        return f"but with {off}"
    driver = dict(conditions).get("driver")
    said = {"yes": "with driver", "no": "without driver"}.get(driver or "", "not said whether with driver")
    return f"{said}, but the minimum is {'with' if minimum.says.with_driver else 'without'} driver"
