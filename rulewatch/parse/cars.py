"""Cars and the crew: `car.yaml` and `crew.yaml`.

A value that is at fault is left out, so that it counts as unknown; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction

from rulewatch.model.car import Car, Crew, Entry, Measurement, Person, Stated, Waiver
from rulewatch.model.fault import Fault, Source
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import Scalar
from rulewatch.model.vocabulary import Quantity, ValueKind, Vocabulary, ancestors
from rulewatch.parse.constraints import read_tests
from rulewatch.parse.editions import read_probability
from rulewatch.parse.fields import Fields, Report, described, open_fields, read_date, read_items, read_text
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.values import ReadingContext, read_amount_of, read_condition_word, read_value, unknown_quantity

STATES = ("present", "absent", "standard")
MEASURED_KEYS = ("u", "by", "evidence")
SHEETS = ("standard", "homologated")
HOURS_IN_WEEK = 168


def parse_car(source: Source, car: str, *, vocabulary: Vocabulary) -> tuple[Car | None, tuple[Fault, ...]]:
    """A car from its `car.yaml`; `car` is its id, the folder's name. None where there is no mapping to read."""
    node, faults = read_yaml(source)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None and faults:
        return None, faults
    optional = ("note", "number", "model", "entries", "spec", *SHEETS)
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
        spec=_read_sheet(fields, "spec", context),
        standard=_read_sheet(fields, "standard", context),
        homologated=_read_sheet(fields, "homologated", context),
        place=fields.place,
    )
    return found, tuple(context.faults)


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


# --- Values -----------------------------------------------------------------------------------------------------------


def _read_sheet(fields: Fields, key: str, context: ReadingContext) -> Mapping[str, Stated]:
    """A spec or reference sheet: what it states by quantity or component."""
    found: dict[str, Stated] = {}
    for name, node in fields.mapping(key):
        if not context.vocabulary.knows(name.text):
            unknown_quantity(name, context)
            continue
        before = len(context.faults)
        stated = _read_stated(name, node, context)
        if stated is not None and stated.standard and key in SHEETS:
            context.fault("wrong-value", node, f"`standard` in the sheet `{key}`", expected="what the model has")
        elif stated is not None and len(context.faults) == before:
            found[name.text] = stated
    _check_absent(found, context)
    return found


def _check_absent(sheet: Mapping[str, Stated], context: ReadingContext) -> None:
    """A component that is absent has nothing under it."""
    for name, stated in sheet.items():
        above = next((each for each in ancestors(name) if each in sheet and not sheet[each].present), None)
        if above is not None and stated.present:
            line = sheet[above].place.line
            found = f"`{name}` is stated, and `{above}` is absent (line {line})"
            context.fault("stated-of-absent", stated.place, found, remedy="correct one of the two")


def _read_stated(name: ScalarNode, node: Node, context: ReadingContext) -> Stated | None:
    """What is stated of one quantity or component: a value, several, a state, or a mapping that says how it is known."""
    if not isinstance(node, MapNode):
        return _read_plain(name, node, context)
    fields = open_fields(node, context, name.text, required=("value",), optional=("on", "with", "fixed", *MEASURED_KEYS))
    value = fields.get("value") if fields else None
    if fields is None or value is None:
        return None
    stated = _read_plain(name, value, context)
    fixed = fields.yes_no("fixed") or False
    measurement = _read_measurement(fields, context.vocabulary.quantities.get(name.text), context)
    conditions = tuple((key.text, read_condition_word(value, context, "with")) for key, value in fields.mapping("with"))
    if stated is None:
        return None
    return replace(stated, measurement=measurement, conditions=conditions, fixed=fixed)


def _read_plain(name: ScalarNode, node: Node, context: ReadingContext) -> Stated | None:
    """`present`, `absent` or `standard`; for a quantity also a value, or a list with one for each instance."""
    quantity = context.vocabulary.quantities.get(name.text)
    if isinstance(node, ScalarNode) and node.text in STATES:
        return Stated(subject=name.text, place=name.place, present=node.text != "absent", standard=node.text == "standard")
    if quantity is None:
        context.fault("wrong-value", node, f"{described(node)} for `{name.text}`", expected="present, absent or standard")
        return None
    values = _read_values(node, quantity, context)
    return Stated(subject=name.text, place=name.place, values=values) if values else None


def _read_values(node: Node, quantity: Quantity, context: ReadingContext) -> tuple[Scalar, ...]:
    """All values, or none after a fault in one of them."""
    items = read_items(node, context, quantity.name) if isinstance(node, ListNode) else (node,)
    values = tuple(value for item in items if (value := _read_size(item, quantity, context)) is not None)
    return values if len(values) == len(items) else ()


def _read_size(node: Node, quantity: Quantity, context: ReadingContext) -> Scalar | None:
    """One value; an amount below zero only where there can be one."""
    value = read_value(node, quantity, context)
    if isinstance(value, Amount) and value.number < 0 and not quantity.below_zero:
        context.fault("wrong-value", node, f"`{value}` for {quantity.name}", expected="nothing or more")
        return None
    return value


def _read_measurement(fields: Fields, quantity: Quantity | None, context: ReadingContext) -> Measurement | None:
    """How a value was taken; None for a value that is declared, which says nothing of that."""
    if not fields.has("on"):
        stray = next((key for key in MEASURED_KEYS if fields.has(key)), "")
        if stray or not (fields.has("fixed") or fields.has("with")):
            found = f"`{stray}` without `on`" if stray else "a mapping without `on`"
            remedy = "add the day of the measurement as `on:`, or write the value alone"
            context.fault("missing-key", fields.place_of(stray), found, remedy=remedy)
        return None
    day = fields.day("on")
    if day is None:
        return None
    return Measurement(
        on=day,
        by=fields.text("by"),
        u=_read_uncertainty(fields, quantity, context),
        evidence=fields.texts("evidence"),
    )


def _read_uncertainty(fields: Fields, quantity: Quantity | None, context: ReadingContext) -> Amount | None:
    node = fields.get("u")
    if node is None:
        return None
    if quantity is None or quantity.kind is not ValueKind.AMOUNT:
        context.fault("wrong-value", node, f"an uncertainty of `{fields.name}`", remedy="leave `u` out: it is no amount")
        return None
    amount = read_amount_of(node, quantity.unit or NUMBER, "u", context)
    if amount is not None and amount.number < 0:
        context.fault("wrong-value", node, f"`{amount}` for `u`", expected="nothing or more")
        return None
    return amount


# --- The crew ---------------------------------------------------------------------------------------------------------


def parse_crew(source: Source) -> tuple[Crew | None, tuple[Fault, ...]]:
    """The crew from `crew.yaml`. None where there is no mapping to read."""
    node, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    if node is None and faults:
        return None, faults
    fields = open_fields(node, report, "crew.yaml", required=("people",), optional=("equipment", "crew_p"))
    if fields is None:
        return None, tuple(report.faults)
    people = (_read_person(key, value, report) for key, value in fields.mapping("people"))
    crew = Crew(
        people={person.id: person for person in people if person is not None},
        equipment=fields.texts("equipment"),
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
