"""Verdicts: one entry of one car judged against a whole edition on a day.

Each requirement gives one finding: a limit, a closed scope on one quantity or component, the minimum weight, a waiver. Two
verdicts stand in it: each clause alone, and the whole book.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from rulewatch.assess.closed import closed_findings
from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import Answer, Truth, condition, implies, in_a_row, named, requirement, some, to_verdict
from rulewatch.assess.topics import Topics, concerns
from rulewatch.assess.weight import SUBJECT, Requirement, WeightRule, minimum_weight
from rulewatch.model.car import Car, Entry, Waiver
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Assessment, Finding, Need, Sort, Verdict, WeightSheet
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Range, Reading, Test
from rulewatch.model.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """A reading within its classes and dates, with its condition judged on the car.

    `replaced` tells whether another clause or a waiver stands in its limits' stead, and `by` names it; `doubt` is what one that
    perhaps does waits for: values of its condition, or a reading where there are none.
    """

    reading: Reading
    confirmed: bool
    holds: Answer
    replaced: Truth = False
    by: str = ""
    doubt: tuple[str, ...] = ()


def judge(edition: Edition, car: Car, entry: Entry, day: date, vocabulary: Vocabulary) -> Assessment:
    """Judge one entry against every reading of an edition that applies to its class on a day."""
    facts = Facts(car=car, vocabulary=vocabulary)
    waivers = {waiver.clause: waiver for waiver in entry.waivers if _counts(waiver, edition, day)}
    applied = _replacements(_applied(edition, entry, day, facts), waivers)
    findings = [*_limit_findings(applied, edition, facts), *_waiver_findings(waivers, edition, facts)]
    findings += closed_findings(edition, [(one.reading, one.confirmed, one.holds) for one in applied], facts)
    findings += _unread_findings(edition, facts)
    weight, sheet = _weight_finding(applied, facts)
    return Assessment(
        car=car,
        entry=entry,
        edition=edition,
        day=day,
        findings=(*findings, weight) if weight is not None else tuple(findings),
        weight=sheet,
    )


def _counts(waiver: Waiver, edition: Edition, day: date) -> bool:
    """Whether a waiver is for this season's numbers and still holds."""
    return waiver.season in {"", edition.header.season} and day <= waiver.until


def _applied(edition: Edition, entry: Entry, day: date, facts: Facts) -> list[Applied]:
    return [
        Applied(
            reading=reading,
            confirmed=reading.is_confirmed(clause.digest) and not reading.is_open,
            holds=condition(reading.when, facts),
        )
        for clause in edition.clauses
        for reading in edition.readings.get(clause.id, ())
        if reading.applies_to(entry.class_name, day)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Replacement:
    """What stands, or may stand, in the stead of a clause's limits; `missing` are the values that would tell."""

    truth: Truth
    by: str
    missing: tuple[str, ...] = ()


def _replacements(applied: list[Applied], waivers: Mapping[str, Waiver]) -> list[Applied]:
    """Mark what `instead_of` and waivers replace; by an unconfirmed reading only perhaps."""
    found: dict[str, list[_Replacement]] = {
        clause: [_Replacement(truth=True, by=f"waiver {waiver.paper}")] for clause, waiver in waivers.items()
    }
    for one in applied:
        if one.holds.truth is not False:
            truth = one.holds.truth if one.confirmed else None
            replacement = _Replacement(truth=truth, by=one.reading.clause, missing=one.holds.missing)
            for clause in one.reading.instead_of:
                found.setdefault(clause, []).append(replacement)
    return [_replaced(one, found.get(one.reading.clause, ())) for one in applied]


def _replaced(one: Applied, by: Sequence[_Replacement]) -> Applied:
    truth = some(each.truth for each in by)
    deciding = [each for each in by if each.truth is truth]
    return replace(
        one,
        replaced=truth,
        by=deciding[0].by if deciding else "",
        doubt=tuple(name for each in deciding for name in each.missing) if truth is None else (),
    )


def _limit_findings(applied: list[Applied], edition: Edition, facts: Facts) -> Iterator[Finding]:
    for one in applied:
        for test in one.reading.limits:
            yield _limit_finding(one, test, edition, facts)


def _limit_finding(one: Applied, test: Test, edition: Edition, facts: Facts) -> Finding:
    tolerance = _tolerance(one.reading, test, edition, facts.vocabulary)
    answer = _measured_otherwise(test, one.reading, facts) or requirement(test, facts, tolerance)
    held = implies(one.holds.truth, answer.truth)
    # Of a part that the car does not have nothing is asked, whoever confirmed it.
    alone = held if one.confirmed or held is not True or not answer.applies else None
    whole = alone if one.replaced is False else True if one.replaced else (True if alone else None)
    applies = one.holds.truth is not False and answer.applies and one.replaced is not True
    needs, missing = _needs(one, answer, held) if whole is None else (frozenset[Need](), ())
    return Finding(
        sort=Sort.LIMIT,
        subject=test.subject,
        clauses=(one.reading.clause,),
        verdict=to_verdict(whole),
        alone={one.reading.clause: to_verdict(alone)},
        why=_why(one, test, answer, whole, facts),
        applies=applies,
        margin=answer.margin if applies and one.holds.truth else None,
        value=answer.value,
        bound=answer.bound,
        needs=needs,
        missing=missing,
    )


def _needs(one: Applied, answer: Answer, held: Truth) -> tuple[frozenset[Need], tuple[str, ...]]:
    """What an unknown waits for: values of the limit, of its condition and of what may replace it, or a reading."""
    missing = [*(one.holds.missing if held is None else ()), *(answer.missing if held is None else ()), *one.doubt]
    needs = {Need.MEASURE} if held is None or one.doubt else set()
    if one.reading.is_open:
        needs.add(Need.ASK)
    elif not one.confirmed or (one.replaced is None and not one.doubt):
        needs.add(Need.READ)
    return frozenset(needs), tuple(dict.fromkeys(missing))


def _measured_otherwise(test: Test, reading: Reading, facts: Facts) -> Answer | None:
    """An unknown answer where a value was taken under other conditions than the reading asks for, or does not say."""
    fact = facts.of(test.subject)
    if not reading.measured or not fact.values or not isinstance(test.constraint, Range):
        return None
    taken = dict(fact.conditions)
    off = tuple(
        f"{name} {taken.get(name, 'not stated')} (the book asks {wanted})"
        for name, wanted in reading.measured
        if taken.get(name) != wanted
    )
    if not off:
        return None
    return replace(requirement(test, facts), truth=None, margin=None, missing=(test.subject,), otherwise=in_a_row(off))


def _tolerance(reading: Reading, test: Test, edition: Edition, vocabulary: Vocabulary) -> Amount | None:
    """The book's grant on a limit: the reading's own, else the edition's for that dimension; never both."""
    quantity = vocabulary.quantities.get(test.subject)
    if not isinstance(test.constraint, Range) or quantity is None or quantity.unit is None:
        return None
    if reading.tolerance is not None:
        return reading.tolerance if reading.tolerance.unit.dimension == quantity.unit.dimension else None
    return next((grant for grant in edition.header.tolerances if grant.unit.dimension == quantity.unit.dimension), None)


def _why(one: Applied, test: Test, answer: Answer, whole: Truth, facts: Facts) -> str:
    """The reason of a verdict in words; an unknown ends with what it waits for."""
    if one.replaced is True:
        return f"replaced by {one.by}"
    if one.holds.truth is False:
        reason = "its condition does not hold for this car"
    elif not answer.applies:
        reason = f"the car has no {facts.vocabulary.in_sentence(facts.absent_part(test.subject))}"
    else:
        reason = f"{facts.vocabulary.label(test.subject)}: {answer.value or 'not stated'}, must be {answer.bound}"
    return "; ".join([reason, *_waits(one, test, answer, facts)]) if whole is None else reason


def _waits(one: Applied, test: Test, answer: Answer, facts: Facts) -> Iterator[str]:
    unsaid = "" if answer.value else test.subject  # that it is not stated was said in the value's place
    if answer.otherwise:
        yield f"but taken with {answer.otherwise}"
    elif missing := tuple(name for name in dict.fromkeys((*one.holds.missing, *answer.missing)) if name != unsaid):
        yield f"not stated: {in_a_row(tuple(named(name, facts.vocabulary) for name in missing))}"
    if one.reading.is_open:
        yield f"the officials were asked: {one.reading.ask}"
    elif not one.confirmed:
        yield "the reading is not confirmed"
    if one.replaced is None:
        doubt = in_a_row(tuple(named(name, facts.vocabulary) for name in one.doubt))
        yield f"perhaps replaced by {one.by}" + (f" (not stated: {doubt})" if doubt else "")


def _waiver_findings(waivers: Mapping[str, Waiver], edition: Edition, facts: Facts) -> Iterator[Finding]:
    known = edition.by_id
    for waiver in waivers.values():
        for test in waiver.limits if waiver.clause in known else ():
            answer = requirement(test, facts)
            verdict = to_verdict(answer.truth)
            yield Finding(
                sort=Sort.WAIVER,
                subject=test.subject,
                clauses=(waiver.clause,),
                verdict=verdict,
                alone={},
                why=f"{facts.vocabulary.label(test.subject)}: {answer.value or 'not stated'}, must be {answer.bound}, by waiver {waiver.paper} until {waiver.until}",
                applies=answer.applies,
                margin=answer.margin,
                value=answer.value,
                bound=answer.bound,
                needs=frozenset({Need.MEASURE} if answer.truth is None else ()),
                missing=answer.missing,
            )


def _unread_findings(edition: Edition, facts: Facts) -> Iterator[Finding]:
    """A clause that nobody read may ask anything of the car, unless it speaks only of what the car does not have."""
    unread = edition.unread
    topics = Topics.of(facts.vocabulary) if unread else None
    for clause in unread:
        if topics is not None and concerns(clause.text, topics, facts):
            yield Finding(
                sort=Sort.UNREAD,
                subject="",
                clauses=(clause.id,),
                verdict=Verdict.UNKNOWN,
                alone={clause.id: Verdict.UNKNOWN},
                why=f"{clause.id} has no reading",
                needs=frozenset({Need.READ}),
            )


def _weight_finding(applied: list[Applied], facts: Facts) -> tuple[Finding | None, WeightSheet | None]:
    rules = [
        WeightRule(
            clause=one.reading.clause,
            says=says,
            holds=_still_holds(one),
            confirmed=one.confirmed,
            missing=one.holds.missing,
        )
        for one in applied
        for says in (one.reading.minimum, one.reading.adder)
        if says is not None
    ]
    needed = minimum_weight(rules, facts)
    if needed is None:
        return None, None
    truth, why = _weight_truth(needed, facts)
    held = truth if needed.confirmed or truth is not True else None
    needs = set()
    if truth is None:
        needs.add(Need.MEASURE)
    if not needed.confirmed:
        needs.add(Need.READ)
    sheet = needed.sheet
    margin = sheet.car.minus(sheet.greatest).to(sheet.greatest.unit) if sheet.car and sheet.greatest else None
    verdict = to_verdict(held)
    finding = Finding(
        sort=Sort.WEIGHT,
        subject=SUBJECT,
        clauses=needed.clauses,
        verdict=verdict,
        alone=dict.fromkeys(needed.clauses, verdict),
        why=why if needed.confirmed or held is not None else f"{why}; a reading that counts is not confirmed",
        margin=margin,
        value=str(sheet.car or ""),
        bound=f"at least {sheet.greatest}" if sheet.greatest is not None else "a minimum that is not known",
        needs=frozenset(needs) if held is None else frozenset(),
        missing=needed.missing if sheet.car is not None else (*needed.missing, SUBJECT),
    )
    return finding, sheet


def _still_holds(one: Applied) -> Truth:
    """Whether a weight rule counts: its condition holds and nothing replaces it."""
    if one.replaced is True or one.holds.truth is False:
        return False
    return None if one.replaced is None else one.holds.truth


def _weight_truth(needed: Requirement, facts: Facts) -> tuple[Truth, str]:
    """Legal at or above the most that the minimum can be, illegal under the least, unknown between."""
    sheet = needed.sheet
    if needed.impossible:
        return False, "no minimum is given for a car like this one: beyond the last step"
    if sheet.car is None:
        return None, "the car's weight is not stated"
    driver = dict(facts.of(SUBJECT).conditions).get("driver")
    if needed.with_driver is not None and driver != ("yes" if needed.with_driver else "no"):
        said = {"yes": "with driver", "no": "without driver"}.get(driver or "", "not said whether with driver")
        asked = "with" if needed.with_driver else "without"
        return None, f"weighs {sheet.car}, {said}, but the minimum is {asked} driver"
    if sheet.greatest is not None and sheet.car.base >= sheet.greatest.base:
        return True, f"weighs {sheet.car}, at least {sheet.greatest} asked"
    if sheet.least is not None and sheet.car.base < sheet.least.base:
        return False, f"weighs {sheet.car}, at least {sheet.least} asked"
    return (
        None,
        f"weighs {sheet.car}, and the minimum is not certain: {in_a_row(tuple(named(name, facts.vocabulary) for name in needed.missing)) or 'a reading is open'}",
    )
