"""Verdicts: one entry of one car judged against a whole edition on a day.

Each requirement gives one finding: a limit, a closed scope on one quantity or component, the minimum weight, a waiver; and
whatever nobody can judge yet gives one that is unknown. Two verdicts stand in it: each clause alone, and the whole book.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rulewatch.assess.applied import STANDS, Applied, Bench, Replaced, asked, bench
from rulewatch.assess.closed import anything, closed_findings
from rulewatch.assess.facts import Facts
from rulewatch.assess.lives import life_findings
from rulewatch.assess.logic import Answer, Truth, condition, every, implies, requirement, some, to_verdict
from rulewatch.assess.papers import waived_readings
from rulewatch.assess.unjudged import unjudged_findings
from rulewatch.assess.weighing import waived_minimums, weigh
from rulewatch.assess.weight import SUBJECT
from rulewatch.model.car import Car, Entry, Waiver
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Assessment, Finding, Need, Sort
from rulewatch.model.reading import Reading, Test
from rulewatch.model.vocabulary import Vocabulary, within


def judge(edition: Edition, car: Car, entry: Entry, day: date, vocabulary: Vocabulary) -> Assessment:
    """Judge one entry against every reading of an edition that applies to its class on a day."""
    by = bench(edition, car, entry, day, vocabulary)
    weight, sheet = weigh(by)
    findings = [
        *_limit_findings(by),
        *_waiver_findings(by),
        *closed_findings(by),
        *([weight] if weight is not None else []),
        *life_findings(by),
    ]
    return Assessment(
        car=car,
        entry=entry,
        edition=edition,
        day=day,
        findings=(*findings, *unjudged_findings(by, findings)),
        weight=sheet,
    )


def judge_only(like: Assessment, car: Car, names: Collection[str], vocabulary: Vocabulary) -> tuple[Finding, ...]:
    """What a book asks of some quantities and components of a car, and of all under them: limits, waivers, closed scopes.

    Entry, edition and day are those of another assessment. The findings are those of `judge`; the others are not worked out.
    """
    by = bench(like.edition, car, like.entry, like.day, vocabulary, names=names)

    def about(subject: str) -> bool:
        return any(within(subject, name) for name in names)

    waived = (finding for finding in _waiver_findings(by) if about(finding.subject))
    return (*_limit_findings(by, about), *waived, *closed_findings(by, about))


def _limit_findings(by: Bench, about: Callable[[str], bool] = anything) -> Iterator[Finding]:
    for one in by.applied:
        for test in one.reading.limits:
            if about(test.subject):
                yield _limit_finding(one, test, by)


def _limit_finding(one: Applied, test: Test, by: Bench) -> Finding:
    answer = asked(test, one.reading, by)
    replaced = by.replacing(one, test.subject)
    held = implies(one.holds.truth, answer.truth)
    alone = held if one.confirmed or held is not True else None
    whole = alone if replaced.truth is False else True if replaced.truth else (True if alone else None)
    applies = one.holds.truth is not False and answer.applies and replaced.truth is not True
    needs, missing = _needs(one, replaced, answer, held) if whole is None else (frozenset[Need](), ())
    waits = _waits(one, replaced, test, answer, by.facts) if whole is None else ()
    return Finding(
        sort=Sort.LIMIT,
        subject=test.subject,
        clauses=(one.reading.clause,),
        verdict=to_verdict(whole),
        alone={one.reading.clause: to_verdict(alone)},
        why="; ".join((_reason(one, replaced, test, answer, by.facts), *waits)),
        applies=applies,
        margin=answer.margin if applies and one.holds.truth else None,
        doubt=answer.doubt if applies and one.holds.truth else None,
        value=answer.value,
        bound=answer.bound,
        needs=needs,
        missing=missing,
    )


def _needs(one: Applied, replaced: Replaced, answer: Answer, held: Truth) -> tuple[frozenset[Need], tuple[str, ...]]:
    """What an unknown waits for: values of the limit, of its condition and of what may replace it, or a reading."""
    missing = [*(one.holds.missing if held is None else ()), *(answer.missing if held is None else ()), *replaced.doubt]
    needs = {Need.MEASURE} if held is None or replaced.doubt else set()
    if one.reading.is_open:
        needs.add(Need.ASK)
    elif not one.confirmed or (replaced.truth is None and not replaced.doubt):
        needs.add(Need.READ)
    return frozenset(needs), tuple(dict.fromkeys(missing))


def _reason(one: Applied, replaced: Replaced, test: Test, answer: Answer, facts: Facts) -> str:
    """The reason of a verdict in words."""
    if replaced.truth is True:
        return f"replaced by {replaced.by}"
    if one.holds.truth is False:
        return "its condition does not hold for this car"
    if not answer.applies:
        return f"the car has no {facts.vocabulary.in_sentence(facts.absent_part(test.subject))}"
    return f"{facts.vocabulary.label(test.subject)}: {answer.value or 'not stated'}, must be {answer.bound}"


def _waits(one: Applied, replaced: Replaced, test: Test, answer: Answer, facts: Facts) -> Iterator[str]:
    """What an unknown waits for, in words."""
    unsaid = "" if answer.value else test.subject  # that it is not stated was said in the value's place
    if answer.otherwise:
        yield f"but taken with {answer.otherwise}"
    elif missing := tuple(name for name in dict.fromkeys((*one.holds.missing, *answer.missing)) if name != unsaid):
        yield facts.wanting(missing)
    if one.reading.is_open:
        yield f"the officials were asked: {one.reading.ask}"
    elif not one.confirmed:
        yield "the reading is not confirmed"
    if replaced.truth is None:
        yield f"perhaps replaced by {replaced.by}" + (f" ({facts.wanting(replaced.doubt)})" if replaced.doubt else "")


def _waiver_findings(by: Bench) -> Iterator[Finding]:
    """One finding for each clause and subject that papers speak of, where the clause binds the car's class on the day.

    A minimum weight of the car's own stands in the weight's build-up.
    """
    in_sheet = {waiver.clause for waiver, _ in waived_minimums(by)}
    for clause, subject, papers in by.waivers_by_subject():
        if subject == SUBJECT and clause in in_sheet:
            continue
        readings = waived_readings(by.edition, clause, subject)
        found = [_papered(one, papers, by) for one in readings if one.applies_to(by.entry.class_name, by.day)]
        if found:
            whole = every(each.truth for each in found)
            deciding = [each for each in found if each.truth is whole]
            yield _waiver_finding(clause, subject, next((each for each in deciding if each.applies), deciding[0]), by)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Papered:
    """What a paper says in the stead of one reading: whether that is met, or the reading does not bind the car."""

    waiver: Waiver
    answer: Answer
    holds: Answer
    replaced: Replaced

    @property
    def truth(self) -> Truth:
        return some((self.replaced.truth, implies(self.holds.truth, self.answer.truth)))

    @property
    def applies(self) -> bool:
        return self.answer.applies and self.holds.truth is not False and self.replaced.truth is not True


def _papered(reading: Reading, papers: Sequence[tuple[Waiver, Test]], by: Bench) -> _Papered:
    """Of several papers the one that lets the car pass counts."""
    decision = by.edition.body.decision
    answers = [(waiver, requirement(test, by.facts, measured=reading.measured, decision=decision)) for waiver, test in papers]
    met = some(answer.truth for _, answer in answers)
    waiver, answer = next(found for found in answers if found[1].truth is met)
    holds = condition(reading.when, by.facts)
    confirmed = reading.is_confirmed(by.edition.by_id[reading.clause].digest) and not reading.is_open
    if holds.truth is False and not confirmed:
        holds = Answer(truth=None)  # that a rule does not bind the car is not taken from a reading that nobody confirmed
    return _Papered(waiver=waiver, answer=answer, holds=holds, replaced=by.replaced.get(reading.clause, STANDS))


def _waiver_finding(clause: str, subject: str, one: _Papered, by: Bench) -> Finding:
    answer, holds, replaced = one.answer, one.holds, one.replaced
    missing = tuple(dict.fromkeys((*answer.missing, *holds.missing, *replaced.doubt))) if one.truth is None else ()
    return Finding(
        sort=Sort.WAIVER,
        subject=subject,
        clauses=(clause,),
        verdict=to_verdict(one.truth),
        alone={},
        why=_by_paper(subject, one, by.facts),
        applies=one.applies,
        margin=answer.margin if one.applies and holds.truth else None,
        doubt=answer.doubt if one.applies and holds.truth else None,
        value=answer.value,
        bound=answer.bound,
        needs=frozenset({Need.MEASURE if missing else Need.READ} if one.truth is None else ()),
        missing=missing,
    )


def _by_paper(subject: str, one: _Papered, facts: Facts) -> str:
    """The reason of a verdict under a paper in words."""
    if one.replaced.truth is True:
        return f"replaced by {one.replaced.by}"
    if one.holds.truth is False:
        return "its condition does not hold for this car"
    answer, paper = one.answer, f"by waiver {one.waiver.paper} until {one.waiver.until}"
    asked_for = f"{facts.vocabulary.label(subject)}: {answer.value or 'not stated'}, must be {answer.bound}, {paper}"
    if one.truth is not None:
        return asked_for
    unsaid = tuple(name for name in one.holds.missing if name != subject)
    waits = (
        f"but taken with {answer.otherwise}" if answer.otherwise else "",
        facts.wanting(unsaid) if unsaid else "",
        "" if answer.truth is None or one.holds.missing else "the reading is not confirmed",
    )
    return "; ".join((asked_for, *filter(None, waits)))
