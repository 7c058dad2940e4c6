"""Bodies and editions: `body.yaml` and `edition.yaml`.

Every function goes on after a fault. It gives a value as long as anything can be said, so that one run reports the faults of
all files; None means that there is no mapping to read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction

from rulewatch.model.edition import (
    Body,
    ClosedScope,
    Decision,
    DecisionRule,
    EditionHeader,
    Event,
    Governs,
    ObservedRounding,
)
from rulewatch.model.fault import Fault, Source
from rulewatch.model.quantity import Amount, NumberStyle
from rulewatch.model.reading import Ties
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.fields import Fields, Report, nearest, one_of, open_fields, read_items, read_text
from rulewatch.parse.nodes import MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.points import NAME_SIGNS, is_name
from rulewatch.parse.values import ReadingContext, read_tolerance, unknown_quantity

BODY_KEYS = ("numbers", "governs", "decision", "numbering")
EDITION_KEYS = ("published", "effective", "previous", "classes", "closed", "tolerance", "events")
DECIMALS = {".": "a point", ",": "a comma"}
# A point, a comma, a space, a space that does not break (wide and narrow), an apostrophe, or nothing.
THOUSANDS = (".", ",", " ", "\u00a0", "\u202f", "'", "’", "")


# --- body.yaml --------------------------------------------------------------------------------------------------------


def parse_body(source: Source, body: str) -> tuple[Body | None, tuple[Fault, ...]]:
    """A body from its `body.yaml`; `body` is its id, the folder's name."""
    node, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    if node is None and faults:
        return None, faults
    fields = open_fields(node, report, "body.yaml", required=("name", "classes"), optional=BODY_KEYS)
    if fields is None:
        return None, tuple(report.faults)
    fields.text("numbering")  # a note on the labels for people; all styles are recognised anyway
    found = Body(
        id=body,
        name=fields.text("name") or body,
        classes=_read_class_titles(fields),
        numbers=_read_numbers(fields),
        governs=fields.word("governs", Governs) or Governs.FIRST,
        decision=_read_decision(fields),
        place=fields.place,
    )
    return found, tuple(report.faults)


def _read_class_titles(fields: Fields) -> dict[str, str]:
    """Classes by id: a mapping of ids to titles, or a list of ids, which are their own titles."""
    node = fields.get("classes")
    if node is None:
        return {}
    report = fields.report
    titles: dict[str, str] = {}
    if isinstance(node, MapNode):
        for key, value in node:
            if _check_name(key, report, "class"):
                titles[key.text] = read_text(value, report, key.text) or key.text
        if not node.pairs:
            report.fault("wrong-value", node, "no class", remedy="name at least one class")
        return titles
    for item in read_items(node, report, "classes"):
        text = read_text(item, report, "classes")
        if text in titles:
            report.fault("duplicate-key", item, f"the class `{text}` again", remedy="keep one of the two")
        elif text and _check_name(item, report, "class"):
            titles[text] = text
    return titles


def _read_numbers(fields: Fields) -> NumberStyle:
    part = fields.fields("numbers", optional=("decimal", "thousands")) if fields.has("numbers") else None
    if part is None:
        return NumberStyle()
    decimal = _read_sign(part, "decimal", tuple(DECIMALS), one_of(tuple(DECIMALS.values()))) or "."
    usual = "," if decimal == "." else "."
    thousands = _read_sign(part, "thousands", THOUSANDS, "a point, a comma, a space, an apostrophe or nothing, in quotes")
    if thousands == decimal:
        found = f"`{thousands}` for both decimals and thousands"
        part.report.fault("wrong-value", part.place_of("thousands"), found, expected="two different signs")
        thousands = None
    return NumberStyle(decimal=decimal, thousands=usual if thousands is None else thousands)


def _read_sign(part: Fields, key: str, signs: Iterable[str], expected: str) -> str | None:
    """A sign as it stands between its quotes, spaces included; None where it is not given or at fault."""
    node = part.get(key)
    if node is None:
        return None
    if isinstance(node, ScalarNode) and node.text in signs and not node.empty:
        return node.text
    found = f"{node.text!r}" if isinstance(node, ScalarNode) else "no single sign"
    part.report.fault("wrong-value", node, f"{found} for `{key}`", expected=expected)
    return None


def _read_decision(fields: Fields) -> Decision:
    keys = ("rule", "guard", "p", "rounding", "ties")
    part = fields.fields("decision", optional=keys) if fields.has("decision") else None
    usual = Decision()
    if part is None:
        return usual
    guard = _read_pattern(part, "guard", r"-?\d+(\.\d+)? U", "a multiple of the expanded uncertainty, such as 1 U")
    p = read_probability(part, "p")
    return Decision(
        rule=part.word("rule", DecisionRule) or usual.rule,
        guard=Fraction(guard.removesuffix(" U")) if guard else usual.guard,
        p=Fraction(p) if p else usual.p,
        rounding=part.word("rounding", ObservedRounding) or usual.rounding,
        ties=part.word("ties", Ties) or usual.ties,
    )


def _read_pattern(part: Fields, key: str, pattern: str, expected: str) -> str:
    text = part.text(key)
    if text and not re.fullmatch(pattern, text, re.ASCII):
        part.report.fault("wrong-value", part.place_of(key), f"`{text}` for `{key}`", expected=expected)
        return ""
    return text


def read_probability(part: Fields, key: str) -> str:
    """A probability between 0 and 1, neither included, as the digits that were written; empty without one."""
    expected = "a probability between 0 and 1, such as 0.95"
    text = _read_pattern(part, key, r"\d+(\.\d+)?", expected)
    if text and not 0 < Decimal(text) < 1:
        part.report.fault("wrong-value", part.place_of(key), f"`{text}` for `{key}`", expected=expected)
        return ""
    return text


# --- edition.yaml -----------------------------------------------------------------------------------------------------


def parse_edition_header(
    source: Source, *, body: Body, season: str, vocabulary: Vocabulary
) -> tuple[EditionHeader | None, tuple[Fault, ...]]:
    """An edition's header from its `edition.yaml`; `season` is the folder's name."""
    node, faults = read_yaml(source)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None and faults:
        return None, faults
    fields = open_fields(node, context, "edition.yaml", required=("title",), optional=EDITION_KEYS)
    if fields is None:
        return None, tuple(context.faults)
    previous = fields.get("previous")
    found = EditionHeader(
        body=body.id,
        season=season,
        title=fields.text("title") or f"{body.name} {season}",
        published=fields.day("published"),
        effective=fields.day("effective"),
        previous=fields.text("previous") if previous and _check_name(previous, context, "season") else "",
        previous_place=previous.place if previous else None,
        classes=_read_classes(fields, body),
        closed=_read_closed(fields, context),
        tolerances=_read_tolerances(fields, context),
        events=_read_events(fields),
        place=fields.place,
    )
    return found, tuple(context.faults)


def _read_classes(fields: Fields, body: Body) -> tuple[str, ...]:
    """The classes that the edition has, each one of the body's."""
    found = []
    for item in fields.items("classes"):
        text = read_text(item, fields.report, "classes")
        if text in found:
            fields.report.fault("duplicate-key", item, f"the class `{text}` again", remedy="keep one of the two")
        elif text and text not in body.classes:
            near = nearest(text, body.classes)
            remedy = f"did you mean `{near}`?" if near else "add it to body.yaml"
            fields.report.fault("unknown-class", item, f"`{text}` is no class of {body.name}", remedy=remedy)
        elif text:
            found.append(text)
    return tuple(found)


def _read_closed(fields: Fields, context: ReadingContext) -> tuple[ClosedScope, ...]:
    """Closed scopes: names of the vocabulary, each alone or with the clause that closes it."""
    found: list[ClosedScope] = []
    for item in fields.items("closed"):
        name, clause = item, ""
        if isinstance(item, MapNode):
            part = open_fields(item, context, "closed", required=("scope",), optional=("clause",))
            scope = part.get("scope") if part else None
            if part is None or scope is None:
                continue
            name, clause = scope, part.text("clause")
        text = read_text(name, context, "closed")
        if text and isinstance(name, ScalarNode):
            if not context.vocabulary.knows(text):
                unknown_quantity(name, context)
            found.append(ClosedScope(scope=text, clause=clause, place=name.place))
    return tuple(found)


def _read_tolerances(fields: Fields, context: ReadingContext) -> tuple[Amount, ...]:
    """General tolerances, at most one of each dimension."""
    found: list[Amount] = []
    for item in fields.items("tolerance"):
        amount = read_tolerance(item, context)
        if amount is None:
            continue
        if any(amount.unit.dimension == other.unit.dimension for other in found):
            context.fault("wrong-value", item, f"a second tolerance of its dimension, `{amount}`", remedy="keep one of the two")
        else:
            found.append(amount)
    return tuple(found)


def _read_events(fields: Fields) -> tuple[Event, ...]:
    found: dict[str, Event] = {}
    for item in fields.items("events"):
        part = open_fields(
            item, fields.report, "an event", required=("id", "on"), optional=("title", "until", "track", "entries_close")
        )
        if part is None:
            continue
        name, day, until = part.text("id"), part.day("on"), part.day("until")
        if not name or day is None or not _check_name(part.get("id"), fields.report, "event"):
            continue
        if until is not None and until < day:
            part.report.fault(
                "wrong-value", part.place_of("until"), f"until {until}, on {day}", expected="an end after the start"
            )
        if name in found:
            part.report.fault(
                "duplicate-key", part.place_of("id"), f"the event `{name}` again", remedy="give it an id of its own"
            )
        else:
            found[name] = Event(
                id=name,
                title=part.text("title") or name,
                on=day,
                until=until,
                track=part.text("track"),
                track_at=part.place_of("track") if part.has("track") else None,
                entries_close=part.day("entries_close"),
            )
    return tuple(found.values())


def _check_name(node: Node | None, report: Report, what: str) -> bool:
    """Whether a node holds a name that points and pages can use; a fault where it does not."""
    if node is None:
        return False
    text = read_text(node, report, what)
    if text is None or is_name(text):
        return text is not None
    report.fault(
        "name-unsafe", node, f"`{text}` as the name of a{'n' if what[0] in 'aeiou' else ''} {what}", expected=NAME_SIGNS
    )
    return False


def check_previous(headers: Mapping[str, EditionHeader]) -> tuple[Fault, ...]:
    """Whether every edition's previous one is there, and no editions name each other in a circle.

    `headers` are the editions of one body or of several; the keys are not looked at. A circle gives one fault, at its first
    edition by season. The faults know their place, not their line (`with_lines`).
    """
    editions = {(header.body, header.season): header for header in headers.values()}
    faults = []
    circled: set[tuple[str, str]] = set()
    for key in sorted(editions):
        header = editions[key]
        place = header.previous_place or header.place
        if not header.previous:
            continue
        if (header.body, header.previous) not in editions:
            others = [season for body, season in editions if body == header.body and season != header.season]
            remedy = f"name one of {', '.join(sorted(others))}" if others else "add that edition, or leave `previous` out"
            found = f"{header.body} has no edition `{header.previous}`"
            faults.append(Fault(code="previous-missing", place=place, found=found, remedy=remedy))
        elif key not in circled and (circle := _circle(key, editions)):
            circled.update(circle)
            found = " → ".join(season for _, season in (*circle, key))
            faults.append(
                Fault(code="previous-cycle", place=place, found=found, remedy="name the edition before each, or none")
            )
    return tuple(faults)


def _circle(start: tuple[str, str], editions: Mapping[tuple[str, str], EditionHeader]) -> list[tuple[str, str]]:
    """The editions from one back to itself; empty where the way does not come back to it."""
    way = [start]
    while (key := way[-1]) in editions and editions[key].previous:
        before = (key[0], editions[key].previous)
        if before in way:
            return way if before == start else []
        way.append(before)
    return []
