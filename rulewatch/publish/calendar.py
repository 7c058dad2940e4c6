"""Calendars by RFC 5545: days with an event or an order as VEVENT, jobs as VTODO.

The same entries on the same day give the same bytes: the time of making (DTSTAMP) is the day that the plan is for, at midnight UTC.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from rulewatch.model.plan import Plan, PlannedJob, Purchase, Readiness, Unplanned
from rulewatch.publish.plan_words import chance_words, money_words
from rulewatch.publish.words import day_words

FOLD = 75  # octets in a line, without its end (3.1)
DOMAIN = "rulewatch.invalid"  # RFC 2606: of nobody
PRODUCT = "-//rulewatch//plan//EN"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry: an event on a day, or a thing to do from `start`, by the end of the day before `due` at the latest.

    `key` is what the entry is, whatever changes in it: its UID is made of that alone.
    """

    key: str
    summary: str
    description: str = ""
    on: date | None = None
    start: date | None = None
    due: date | None = None
    category: str = ""


def calendar(entries: Iterable[Entry], day: date, name: str) -> bytes:
    """A calendar file."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", f"NAME:{_text(name)}"]
    for entry in entries:
        lines += _component(entry, day)
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _component(entry: Entry, day: date) -> Iterator[str]:
    kind = "VEVENT" if entry.on is not None else "VTODO"
    yield f"BEGIN:{kind}"
    yield f"UID:{hashlib.sha256(entry.key.encode()).hexdigest()[:32]}@{DOMAIN}"
    yield f"DTSTAMP:{day:%Y%m%d}T000000Z"
    if entry.on is not None:
        yield f"DTSTART;VALUE=DATE:{entry.on:%Y%m%d}"
        yield "TRANSP:TRANSPARENT"  # nobody is busy all day because of it
    elif entry.start is not None and (entry.due is None or entry.start < entry.due):
        yield f"DTSTART;VALUE=DATE:{entry.start:%Y%m%d}"  # what is due must be so later than it starts (3.8.2.3)
    if entry.due is not None:
        yield f"DUE;VALUE=DATE:{entry.due:%Y%m%d}"
    yield f"SUMMARY:{_text(entry.summary)}"
    if entry.description:
        yield f"DESCRIPTION:{_text(entry.description)}"
    if entry.category:
        yield f"CATEGORIES:{_text(entry.category)}"
    if kind == "VTODO":
        yield "STATUS:NEEDS-ACTION"
    yield f"END:{kind}"


def _text(text: str) -> str:
    """A value of type TEXT (3.3.11): backslash, semicolon, comma and line ends escaped; no other control characters."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = "".join(char for char in text if char == "\n" or unicodedata.category(char) != "Cc")
    for sign, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(sign, written)
    return text


def _folded(line: str) -> bytes:
    """A content line with its end, folded so that no line is longer than 75 octets and no letter is parted."""
    found, used = bytearray(), 0
    for char in line:
        octets = char.encode()
        if used + len(octets) > FOLD:
            found += b"\r\n "
            used = 1
        found += octets
        used += len(octets)
    return bytes(found) + b"\r\n"


# --- The calendar of a plan -------------------------------------------------------------------------------------------


def plan_calendar(plan: Plan) -> bytes:
    """The calendar of a plan: the events, the last days for orders, and the jobs."""
    entries = [
        *(_event(one) for one in plan.readiness if one.event),
        *(_order(one, plan) for one in plan.purchases if one.latest is not None),
        *(_job(one, plan) for one in plan.jobs),
        *(_open(one) for one in plan.unplanned),
    ]
    return calendar(entries, plan.today, f"Work on {', '.join(plan.cars)}")


def _event(one: Readiness) -> Entry:
    return Entry(
        key=f"event {one.on.year} {one.event}",
        summary=one.event,
        description=f"Chance that all the work for it is done: {chance_words(one)}",
        on=one.on,
        category="Event",
    )


def _order(one: Purchase, plan: Plan) -> Entry:
    cost = f"\nCost: {money_words(one.part.cost, plan.crew.currency)}" if one.part.cost is not None else ""
    return Entry(
        key=f"order {one.task.car} {one.task.job.name} {one.part.what}",
        summary=f"Last day to order: {one.part.what}",
        description=f"For {one.task.car}: {one.task.job.what}{cost}",
        on=one.latest,
        category="Order",
    )


def _job(one: PlannedJob, plan: Plan) -> Entry:
    people = ", ".join(plan.crew.people[name].name for name in one.people)
    return Entry(
        key=f"job {one.task.car} {one.task.job.name}",
        summary=f"{one.task.car}: {one.task.job.what}",
        description=f"{people}; {float(one.hours):.3g} h; planned to {day_words(one.end)}",
        start=one.start,
        due=_due(one.task.due, one.task.event),
        category="Job" if one.necessary else "Wish",
    )


def _open(one: Unplanned) -> Entry:
    return Entry(
        key=f"job {one.task.car} {one.task.job.name}",
        summary=f"{one.task.car}: {one.task.job.what}",
        description=f"Not planned: {one.why}",
        due=_due(one.task.due, one.task.event),
        category="Job" if one.necessary else "Wish",
    )


def _due(day: date | None, event: str) -> date | None:
    """The day on whose first moment something is overdue (3.6.2): that of an event, and the one after a day that counts."""
    return day if day is None or event else day + timedelta(days=1)
