"""The inspection sheet of an entry: what the judgement found, laid out as an inspector goes round a car."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from math import ceil

from rulewatch.assess.applied import every_reading
from rulewatch.assess.spread import COVERAGE, spreads
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.car import Stated, Waiver
from rulewatch.model.edition import Event
from rulewatch.model.impact import Assessment, Finding, Need, Sort, Verdict
from rulewatch.model.inspection import InspectionLine, InspectionSheet, Paper, Question, SystemLines, ToMeasure
from rulewatch.model.quantity import Amount
from rulewatch.model.vocabulary import Vocabulary, ancestors

ORDER = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)


def inspection_sheet(assessment: Assessment, vocabulary: Vocabulary, crew_p: float) -> InspectionSheet:
    """Everything that an entry is inspected for, by what the judgement of its car found."""
    header, day = assessment.edition.header, assessment.day
    kept = [one for one in assessment.findings if one.sort is not Sort.UNREAD]
    asked = [one for one in kept if one.applies or one.verdict is not Verdict.LEGAL]
    events = sorted(header.events, key=lambda event: event.on)
    lines = [_line(_begun(one, day), assessment, events) for one in asked]
    return InspectionSheet(
        assessment=assessment,
        day=day,
        crew_p=crew_p,
        events=tuple(event for event in events if event.on == day),
        systems=tuple(_by_system([one for one in lines if one.finding.sort is not Sort.DATED], vocabulary)),
        lives=tuple(one for one in lines if one.finding.sort is Sort.DATED),
        idle=tuple(one for one in kept if not one.applies and one.verdict is Verdict.LEGAL),
        waivers=tuple(_paper(waiver, assessment, events) for waiver in assessment.entry.waivers),
        to_measure=tuple(_to_measure(asked, vocabulary)),
        questions=tuple(_questions(assessment)),
        unread=tuple(one for one in assessment.findings if one.sort is Sort.UNREAD),
    )


def _begun(finding: Finding, day: date) -> Finding:
    """A life that begins after the day it is inspected on is a slip of somebody's pen: nobody knows how old the item is."""
    if finding.since is None or finding.since <= day:
        return finding
    why = f"{finding.why}; but {finding.since} is after the day of the inspection"
    return replace(finding, verdict=Verdict.UNKNOWN, why=why, needs=frozenset({Need.MEASURE}))


def _paper(waiver: Waiver, assessment: Assessment, events: Sequence[Event]) -> Paper:
    """A waiver, whether it counts on the day, and for which of the events to come it does not."""
    header, last_day = assessment.edition.header, assessment.last_day
    if waiver.season not in {"", header.season}:
        holds = f"for the rules of {waiver.season}"
    elif waiver.until < last_day:
        holds = "over by then"
    elif waiver.clause not in assessment.edition.by_id:
        holds = f"{header.season} has no clause {waiver.clause}"
    else:
        holds = ""
    coming = (event for event in events if event.on >= assessment.day and assessment.entry.covers(event.on))
    missed = tuple(event for event in coming if header.last_day(event.on) > waiver.until)
    return Paper(waiver=waiver, not_held=holds, missed=() if holds else missed)


def _line(finding: Finding, assessment: Assessment, events: Sequence[Event]) -> InspectionLine:
    stated = _stated(finding, assessment)
    missed = tuple(
        event
        for event in events
        if finding.ends is not None
        and event.on >= assessment.day
        and assessment.edition.header.last_day(event.on) > finding.ends
    )
    return InspectionLine(
        finding=finding,
        measurement=stated.measurement if stated is not None else None,
        u=_u(stated) if stated is not None else None,
        missed=missed,
    )


def _u(stated: Stated) -> Amount | None:
    """The expanded uncertainty of a measured value, of several the greatest, in the unit of the value; that of a mean with its readings."""
    amounts = [value for value in stated.values if isinstance(value, Amount)]
    found = [one.u for one in spreads(stated.measurement, len(stated.values)) if one is not None]
    if not amounts or not found:
        return None
    u = COVERAGE * max(found) / amounts[0].unit.factor
    return Amount(number=Fraction(ceil(u * 1000), 1000), unit=amounts[0].unit)


def _stated(finding: Finding, assessment: Assessment) -> Stated | None:
    """What the car states of a finding's subject, or of the nearest part that it belongs to and that is stated."""
    spec = assessment.car.spec
    return next((spec[name] for name in (finding.subject, *reversed(tuple(ancestors(finding.subject)))) if name in spec), None)


def _by_system(lines: Sequence[InspectionLine], vocabulary: Vocabulary) -> Iterator[SystemLines]:
    """The lines system by system, in the order of the vocabulary; in each, in the order of the book."""
    groups: dict[str, list[InspectionLine]] = {}
    for line in lines:
        groups.setdefault(_system(line.finding.subject), []).append(line)
    known = list(dict.fromkeys(_system(name) for name in (*vocabulary.components, *vocabulary.quantities)))
    for system in sorted(groups, key=lambda name: known.index(name) if name in known else len(known)):
        yield SystemLines(system=vocabulary.label(system) if system else "The car as a whole", lines=tuple(groups[system]))


def _system(subject: str) -> str:
    return "ballast" if subject == WEIGHT else subject.partition(".")[0]


def _to_measure(findings: Iterable[Finding], vocabulary: Vocabulary) -> Iterator[ToMeasure]:
    """Each value that is missing once, with all clauses that wait for it."""
    waiting: dict[str, dict[str, None]] = {}
    for finding in findings:
        for name in finding.missing:
            waiting.setdefault(name, {}).update(dict.fromkeys(finding.clauses))
    for name, clauses in waiting.items():
        quantity = vocabulary.quantities.get(name)
        how = quantity.how if quantity is not None else ""
        yield ToMeasure(name=name, label=vocabulary.label(name), how=how, clauses=tuple(clauses))


def _questions(assessment: Assessment) -> Iterator[Question]:
    for clause, reading in every_reading(assessment.edition):
        if reading.ask and reading.applies_to(assessment.entry.class_name, assessment.day):
            yield Question(clause=clause.id, text=reading.ask, answered=reading.answered)
