"""Cars and the crew: `car.yaml` and `crew.yaml`.

A value that is at fault is left out, so that it counts as unknown; it is never guessed.
"""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

from rulewatch.model.car import Car, Crew, Entry, Person, Waiver
from rulewatch.model.fault import Fault, Source
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.balance import read_balance
from rulewatch.parse.constraints import read_tests
from rulewatch.parse.editions import read_probability
from rulewatch.parse.fields import Fields, Report, described, open_fields, read_date, read_text, shortened
from rulewatch.parse.nodes import MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.pace import read_pace
from rulewatch.parse.stated import SHEETS, read_sheet
from rulewatch.parse.values import ReadingContext
from rulewatch.parse.work import MONEY, read_number

HOURS_IN_WEEK = 168


def parse_car(source: Source, car: str, *, vocabulary: Vocabulary) -> tuple[Car | None, tuple[Fault, ...]]:
    """A car from its `car.yaml`; `car` is its id, the folder's name. None where there is no mapping to read."""
    node, faults = read_yaml(source)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None and faults:
        return None, faults
    optional = ("note", "number", "model", "entries", "spec", *SHEETS, "balance", "pace")
    fields = open_fields(node, context, "car.yaml", required=("name",), optional=optional)
    if fields is None:
        return None, tuple(context.faults)
    found = Car(
        id=car,
        name=fields.text("name") or car,
        note=fields.text("note"),
        number=fields.text("number"),
        model=fields.text("model"),
        entries=_read_entries(fields, context),
        spec=read_sheet(fields, "spec", context),
        standard=read_sheet(fields, "standard", context),
        homologated=read_sheet(fields, "homologated", context),
        balance=read_balance(fields, context),
        pace=read_pace(fields, context),
        place=fields.place,
    )
    _check_ballast(found, fields, context)
    return found, tuple(context.faults)


def _check_ballast(car: Car, fields: Fields, context: ReadingContext) -> None:
    """Ballast that is aboard by one part of the file is not absent by the other."""
    stated = car.spec.get("ballast")
    if stated is not None and not stated.present and car.balance is not None and any(one.has for one in car.balance.places):
        found = "`has` under `balance: ballast:`, and `ballast` is absent in the spec"
        context.fault("stated-of-absent", fields.place_of("balance"), found, remedy="correct one of the two")


# --- Entries ----------------------------------------------------------------------------------------------------------


def _read_entries(fields: Fields, context: ReadingContext) -> tuple[Entry, ...]:
    found: list[Entry] = []
    for item in fields.items("entries"):
        part = open_fields(item, context, "an entry", required=("body", "class"), optional=("from", "until", "waivers"))
        if part is None:
            continue
        since, until = part.day("from"), part.day("until")
        if since and until and until < since:
            found_text = f"until {until}, from {since}"
            context.fault("wrong-value", part.place_of("until"), found_text, expected="an end after the start")
        entry = Entry(
            body=part.text("body"),
            class_name=part.text("class"),
            since=since,
            until=until,
            waivers=tuple(waiver for node in part.items("waivers") if (waiver := _read_waiver(node, context)) is not None),
            place=item.place,
        )
        if any(_overlap(entry, other) for other in found):
            what = f"the entry in {entry.class_name} of {entry.body} again"
            context.fault("wrong-value", item, what, remedy="keep one, or give them dates that do not overlap")
        elif entry.body and entry.class_name:
            found.append(entry)
    return tuple(found)


def _overlap(one: Entry, other: Entry) -> bool:
    """Whether two entries are for the same class on some day."""
    first, last = date.min, date.max
    overlap = (one.since or first) <= (other.until or last) and (other.since or first) <= (one.until or last)
    return (one.body, one.class_name) == (other.body, other.class_name) and overlap


def _read_waiver(node: Node, context: ReadingContext) -> Waiver | None:
    part = open_fields(node, context, "a waiver", required=("clause", "limit", "until", "paper"), optional=("season",))
    if part is None:
        return None
    limit, clause, until, paper = part.get("limit"), part.text("clause"), part.day("until"), part.text("paper")
    limits = read_tests(limit, context, "limit") if limit is not None else ()
    if not (limits and clause and until and paper):
        return None
    return Waiver(clause=clause, season=part.text("season"), limits=limits, until=until, paper=paper, place=node.place)


# --- The crew ---------------------------------------------------------------------------------------------------------


def parse_crew(source: Source) -> tuple[Crew | None, tuple[Fault, ...]]:
    """The crew from `crew.yaml`. None where there is no mapping to read."""
    node, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    if node is None and faults:
        return None, faults
    fields = open_fields(
        node, report, "crew.yaml", required=("people",), optional=("equipment", "budget", "currency", "crew_p")
    )
    if fields is None:
        return None, tuple(report.faults)
    people = (_read_person(key, value, report) for key, value in fields.mapping("people"))
    crew = Crew(
        people={person.id: person for person in people if person is not None},
        equipment=dict(filter(None, (_read_equipment(item, report) for item in fields.items("equipment")))),
        budget=dict(filter(None, (_read_month(key, value, report) for key, value in fields.mapping("budget")))),
        currency=fields.text("currency"),
        p=read_probability(fields, "crew_p") or Crew().p,
    )
    return crew, tuple(report.faults)


def _read_person(key: ScalarNode, node: Node, report: Report) -> Person | None:
    part = open_fields(node, report, key.text, required=("name",), optional=("skills", "hours", "off"))
    if part is None:
        return None
    off = tuple(span for item in part.items("off") if (span := _read_days(item, report)) is not None)
    return Person(
        id=key.text, name=part.text("name") or key.text, skills=part.texts("skills"), hours=_read_hours(part), off=off
    )


def _read_equipment(node: Node, report: Report) -> tuple[str, int] | None:
    """What the people share: its name, or a mapping that says how many there are too."""
    if not isinstance(node, MapNode):
        name = read_text(node, report, "equipment")
        return (name, 1) if name else None
    part = open_fields(node, report, "equipment", required=("name", "count"))
    name, count = (part.text("name"), part.integer("count", least=1)) if part is not None else ("", None)
    return (name, count) if name and count else None


def _read_month(key: ScalarNode, node: Node, report: Report) -> tuple[str, Fraction] | None:
    """The money of one month."""
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", key.text, re.ASCII):
        report.fault("bad-date", key, f"`{shortened(key.text)}` in `budget`", expected="a month such as 2027-01")
        return None
    number = read_number(node, report, key.text, MONEY)
    return (key.text, number) if number is not None else None


def _read_hours(part: Fields) -> Fraction | None:
    """Hours in a week: a plain number."""
    node = part.get("hours")
    if node is None:
        return None
    text = read_text(node, part.report, "hours") or ""
    number = Fraction(text) if text.replace(".", "", 1).isdecimal() and text[-1] != "." else None
    if number is None or number > HOURS_IN_WEEK:
        part.report.fault("wrong-value", node, f"{described(node)} for `hours`", expected="hours in a week, such as 8")
        return None
    return number


def _read_days(node: Node, report: Report) -> tuple[date, date] | None:
    """A day, or days `from` and `until`, both included."""
    if not isinstance(node, MapNode):
        day = read_date(node, report, "off")
        return (day, day) if day else None
    part = open_fields(node, report, "off", required=("from", "until"))
    first, last = (part.day("from"), part.day("until")) if part else (None, None)
    if part is None or first is None or last is None:
        return None
    if last < first:
        report.fault("wrong-value", part.place_of("until"), f"until {last}, from {first}", expected="an end after the start")
        return None
    return first, last
