"""The inspection sheet in words: what is asked, what the car has, how that is known, and what an inspector may want to see.

An unknown is called so, and is never shown as a pass: only a finding that is legal has the word.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from math import floor

from rulewatch.model.car import Measurement
from rulewatch.model.edition import Event
from rulewatch.model.impact import Finding, Sort, Verdict
from rulewatch.model.inspection import InspectionLine, InspectionSheet, Paper, Question
from rulewatch.model.quantity import Amount
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.room import amount_words, margin_words
from rulewatch.publish.words import SORTS, VERDICTS, day_range, day_words, listed


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWords:
    """One requirement, in words; empty where there is nothing to say."""

    what: str
    clauses: str
    asked: str
    found: str
    known: str
    evidence: str
    room: str
    verdict: str
    remark: str


def title_words(sheet: InspectionSheet) -> str:
    """Which car, in which class, for which day or event."""
    entry, header = sheet.assessment.entry, sheet.assessment.edition.header
    return f"{sheet.assessment.car.name} in {entry.class_name} of {entry.body}, {header.season}: {occasion_words(sheet)}"


def occasion_words(sheet: InspectionSheet) -> str:
    """What a sheet is for: an event, or a day."""
    events = listed([f"{event.title}, {day_range(event.on, event.until)}" for event in sheet.events])
    return f"for {events or day_words(sheet.day)}"


def verdict_words(sheet: InspectionSheet) -> str:
    """How many requirements have each verdict; never a pass while anything is unknown."""
    findings = [line.finding for lines in (*(one.lines for one in sheet.systems), sheet.lives) for line in lines]
    findings += sheet.unread
    counts = {verdict: sum(one.verdict is verdict for one in findings) for verdict in Verdict}
    parts = [
        f"{counts[verdict]} {VERDICTS[verdict].word.lower()}" for verdict in (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)
    ]
    risks = sum(sheet.at_risk(one) and one.verdict is Verdict.LEGAL for one in findings)
    return ", ".join([*parts, *([f"{risks} of these at risk"] if risks else [])])


def line_words(line: InspectionLine, sheet: InspectionSheet, vocabulary: Vocabulary) -> LineWords:
    """A requirement for a row of the sheet."""
    one = line.finding
    risk = sheet.at_risk(one) and one.verdict is Verdict.LEGAL and one.doubt is not None
    return LineWords(
        what=vocabulary.label(one.subject) if one.subject else "",
        clauses=", ".join(one.clauses),
        asked=one.bound or SORTS[one.sort],
        found=one.value or _without_value(one),
        known=known_words(line.measurement, line.u) if one.value else "",
        evidence="; ".join(line.measurement.evidence) if line.measurement is not None else "",
        room=_room(one),
        verdict=f"{VERDICTS[one.verdict].word}, at risk" if risk else VERDICTS[one.verdict].word,
        remark=_remark(line, risk=risk),
    )


def _room(one: Finding) -> str:
    """The room to the limit; of a value that is inside it and not taken, that the body's rule keeps it away."""
    if not one.applies or one.margin is None:
        return ""
    if one.verdict is Verdict.ILLEGAL and one.margin.number >= 0:
        return "inside the limit, too near for the body's rule"
    return margin_words(one.margin)


def _without_value(one: Finding) -> str:
    """What is shown where no value is: that it is not stated; nothing where there is none to state."""
    return "not stated" if one.missing else ""


def _remark(line: InspectionLine, *, risk: bool) -> str:
    """What a row cannot say in its columns: why it is unknown, how sure a value is, what it is too old for."""
    one = line.finding
    parts = []
    if (
        one.verdict is Verdict.UNKNOWN
        or one.sort is Sort.WAIVER
        or (one.sort is Sort.CLOSED and one.verdict is not Verdict.LEGAL)
    ):
        parts.append(one.why)
    if risk and one.doubt is not None:
        parts.append(f"{floor(1000 * one.doubt.p) / 10:.1f} % sure by how it was measured")
    if one.ends is not None and one.sort is Sort.DATED:
        parts.append(f"good until {day_words(one.ends)}")
    if line.missed:
        parts.append(_not_for(line.missed))
    return "; ".join(parts)


def known_words(measurement: Measurement | None, u: Amount | None = None) -> str:
    """How a value is known, with its expanded uncertainty."""
    if measurement is None:
        return "declared"
    times = max((len(readings) for readings in measurement.readings), default=1)
    mean = f", mean of {times} readings" if times > 1 else ""
    spread = f", ± {amount_words(u)}" if u is not None else ", uncertainty not stated"
    by = f" by {measurement.by}" if measurement.by else ""
    return f"measured {day_words(measurement.on)}{by}{mean}{spread}"


def paper_words(paper: Paper) -> str:
    """A waiver: its clause, what it is, until when, and for what it does not hold."""
    waiver = paper.waiver
    text = f"{waiver.clause}: {waiver.paper}, until {day_words(waiver.until)}"
    if paper.not_held:
        return f"{text}; does not hold here: {paper.not_held}"
    return f"{text}; {_not_for(paper.missed)}" if paper.missed else text


def _not_for(events: Sequence[Event]) -> str:
    return f"not for {listed([f'{event.title} ({day_words(event.on)})' for event in events])}"


def question_words(question: Question) -> str:
    """A question with its answer, or that there is none."""
    answer = question.answered
    if answer is None:
        return f"{question.clause}: {question.text} Not answered yet: ask before the event."
    ref = f", {answer.ref}" if answer.ref else ""
    return f"{question.clause}: {question.text} Answered {day_words(answer.on)} by {answer.by}{ref}."


def closing_words(sheet: InspectionSheet, day: date) -> Iterator[str]:
    """Until when entries can be made for the events of the sheet; that there is none any more."""
    if sheet.assessment.last_day < day:
        yield f"No event of this entry is left after {day_words(day)}: the sheet is for {day_words(sheet.day)}."
    for event in sheet.events:
        if event.entries_close is not None:
            over = "closed on" if event.entries_close < day else "close on"
            yield f"Entries for {event.title} {over} {day_words(event.entries_close)}."
