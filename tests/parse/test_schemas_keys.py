"""The JSON Schemas of our file formats have the keys and words of the parsers, so that neither can change alone.

At every place that has keys, the parser is asked which it knows and which it needs, by a mapping with a key that is none; at
every place that has a list of words, which it takes, by a word that is none.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from format_schemas import SCHEMAS, at, parts

from rulewatch.model.edition import Body
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.figures import VULGAR
from rulewatch.parse import editions, readings, vocabulary
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.cars import parse_car, parse_crew
from rulewatch.parse.clauses import ReadingBlock
from rulewatch.parse.fields import one_of
from rulewatch.parse.pairs import parse_pairs
from rulewatch.parse.site import parse_site
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary

BODY = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={"silhouette-b": "B"}, place=Place(path="body.yaml"))


def read_reading(source: Source) -> tuple[Fault, ...]:
    """A reading by itself."""
    block = ReadingBlock(clause="5.2.1", text=source.text, place=source.place(1), first_line=1, indent=0)
    return readings.parse_reading(block, source, vocabulary=packaged_vocabulary())[1]


PARSERS: dict[str, Callable[[Source], tuple[Fault, ...]]] = {
    "body": lambda source: editions.parse_body(source, "saltmarsh")[1],
    "bulletin": lambda source: parse_bulletin(source, vocabulary=packaged_vocabulary())[1],
    "car": lambda source: parse_car(source, "marram", vocabulary=packaged_vocabulary())[1],
    "crew": lambda source: parse_crew(source)[1],
    "edition": lambda source: editions.parse_edition_header(source, body=BODY, season="2027", vocabulary=packaged_vocabulary())[
        1
    ],
    "pairs": lambda source: parse_pairs(source)[1],
    "reading": read_reading,
    "site": lambda source: parse_site(source)[1],
    "vocabulary": lambda source: parse_vocabulary(source)[1],
}

# schema, the place in it, and a text in which PROBE stands for a key there
KEYS = [
    ("body", "", "PROBE"),
    ("body", "/properties/numbers", "numbers: {PROBE}"),
    ("body", "/properties/decision", "decision: {PROBE}"),
    ("bulletin", "", "---\nPROBE\n---\n"),
    ("car", "", "PROBE"),
    ("car", "/$defs/entry", "entries: {PROBE}"),
    ("car", "/$defs/waiver", "entries: {waivers: {PROBE}}"),
    ("car", "/$defs/known", "spec: {car.width: {PROBE}}"),
    ("crew", "", "PROBE"),
    ("crew", "/$defs/person", "people: {mara: {PROBE}}"),
    ("crew", "/$defs/days/anyOf/1", "people: {mara: {off: {PROBE}}}"),
    ("edition", "", "PROBE"),
    ("edition", "/$defs/closed/anyOf/1", "closed: {PROBE}"),
    ("edition", "/$defs/event", "events: {PROBE}"),
    ("pairs", "/$defs/pair", "- {PROBE}"),
    ("reading", "", "PROBE"),
    ("reading", "/$defs/minimum", "weight: {PROBE}"),
    ("reading", "/$defs/minimum/properties/round", "weight: {minimum: 1 kg, round: {PROBE}}"),
    ("reading", "/$defs/adder", "weight: {add: 1 kg, PROBE}"),
    ("reading", "/$defs/dated", "dated: {PROBE}"),
    ("reading", "/properties/answered", "answered: {PROBE}"),
    ("reading", "/properties/confirmed", "confirmed: {PROBE}"),
    ("site", "", "PROBE"),
    ("vocabulary", "", "PROBE"),
    ("vocabulary", "/$defs/component", "components: {tow: {PROBE}}"),
    ("vocabulary", "/$defs/quantity", "quantities: {tow.force: {PROBE}}"),
    *(
        (schema, f"/$defs/{form}", text)
        for schema, before, after in (("reading", "limit: ", ""), ("car", "entries: {waivers: {limit: ", "}}"))
        for form, text in (
            ("range", f"{before}{{car.width: {{PROBE}}}}{after}"),
            ("steps", f"{before}{{car.width: {{max: {{by: engine.capacity, PROBE}}}}}}{after}"),
            ("linear", f"{before}{{car.width: {{max: {{of: car.width, PROBE}}}}}}{after}"),
            ("greatest", f"{before}{{car.width: {{max: {{greatest: 1 mm, PROBE}}}}}}{after}"),
            ("least", f"{before}{{car.width: {{max: {{least: 1 mm, PROBE}}}}}}{after}"),
        )
    ),
]


@pytest.mark.parametrize(("schema", "pointer", "text"), KEYS, ids=[f"{schema}{pointer}" for schema, pointer, _ in KEYS])
def test_schema_and_parser_know_the_same_keys(schema, pointer, text):
    """A key that is like none is answered with all that are known; what a mapping lacks is answered with what it needs."""
    faults = PARSERS[schema](Source(path="probe", text=text.replace("PROBE", '"0":')))
    unknown = next(fault for fault in faults if fault.code == "unknown-key" and fault.found.startswith("`0`"))
    part = at(schema, pointer)
    assert set(part["properties"]) == set(unknown.remedy.removeprefix("known here: ").split(", "))
    where = unknown.found.removeprefix("`0` in ")
    told = [fault.found for fault in faults if fault.code == "missing-key"]
    needed = {key[1] for each in told if (key := re.fullmatch(rf"{re.escape(where)} without `(.*)`", each))}
    given = set(re.findall(r"(\w+): [^{}]*, PROBE", text))  # what tells one form of a mapping from the others
    assert set(part.get("required", ())) == needed | given


def test_no_place_with_keys_is_forgotten():
    """Each part of a schema that knows its keys is held against the parser above."""
    places = {
        (name, pointer)
        for name, schema in SCHEMAS.items()
        for pointer, part in parts(schema)
        if part.get("additionalProperties") is False
    }
    assert places == {(schema, pointer) for schema, pointer, _ in KEYS}


# schema, the place in it, and a text with a wrong word there
WORDS = [
    ("body", "/properties/governs", "governs: PROBE"),
    ("body", "/properties/decision/properties/rule", "decision: {rule: PROBE}"),
    ("body", "/properties/decision/properties/rounding", "decision: {rounding: PROBE}"),
    ("body", "/properties/decision/properties/ties", "decision: {ties: PROBE}"),
    ("bulletin", "/properties/status", "---\nstatus: PROBE\n---\n"),
    ("car", "/$defs/plain/anyOf/0", "spec: {aero: PROBE}"),
    ("reading", "/properties/concerns", "concerns: PROBE"),
    ("reading", "/$defs/dated/properties/until", "dated: {until: PROBE}"),
    ("reading", "/$defs/minimum/properties/with", "weight: {minimum: 1 kg, with: PROBE}"),
    ("reading", "/$defs/minimum/properties/adders", "weight: {minimum: 1 kg, adders: PROBE}"),
    ("reading", "/$defs/minimum/properties/round/properties/ties", "weight: {minimum: 1 kg, round: {to: 1 kg, ties: PROBE}}"),
    ("reading", "/$defs/minimum/properties/round/properties/at", "weight: {minimum: 1 kg, round: {to: 1 kg, at: PROBE}}"),
    (
        "vocabulary",
        "/$defs/quantity/properties/type",
        "components: {tow: {label: T}}\nquantities: {tow.x: {label: X, type: PROBE}}",
    ),
]


@pytest.mark.parametrize(("schema", "pointer", "text"), WORDS, ids=[f"{schema}{pointer}" for schema, pointer, _ in WORDS])
def test_schema_and_parser_know_the_same_words(schema, pointer, text):
    """A word that is like none is answered with all that may stand there."""
    faults = PARSERS[schema](Source(path="probe", text=text.replace("PROBE", '"0"')))
    fault = next(fault for fault in faults if fault.code == "wrong-value")
    words = at(schema, pointer)["enum"]
    assert {fault.expected, fault.remedy} >= {one_of(words)} or fault.remedy == f"known here: {', '.join(words)}"


def test_the_other_words_are_those_of_the_parsers():
    """Signs in numbers, what a reading can say, reserved words, and the forms of names and numbers."""
    numbers = at("body", "/properties/numbers")["properties"]
    assert numbers["decimal"]["enum"] == list(editions.DECIMALS)
    assert numbers["thousands"]["enum"] == list(editions.THOUSANDS)
    assert [each["required"] for each in SCHEMAS["reading"]["anyOf"]] == [[key] for key in readings.SAYS]
    assert set(at("reading", "/$defs/condition")["properties"]) == vocabulary.RESERVED_NAMES
    assert at("vocabulary", "/$defs/new-name/not")["pattern"] == rf"(^|\.)({'|'.join(sorted(vocabulary.RESERVED_NAMES))})(\.|$)"
    assert set(at("vocabulary", "/$defs/choice/not")["enum"]) == vocabulary.RESERVED_CHOICES
    assert at("reading", "/$defs/subject")["pattern"] == f"^{vocabulary.NAME.pattern}$"
    assert VULGAR in at("reading", "/$defs/amount")["pattern"]


def test_every_list_of_words_is_held_against_a_parser():
    """An enumeration that stands in none of the tests above is one that can grow old."""
    lists = {
        (name, pointer)
        for name, schema in SCHEMAS.items()
        for pointer, part in parts(schema)
        if isinstance(part.get("enum"), list) and not pointer.endswith(("/not", "/if/properties/type"))
    }
    elsewhere = {
        ("body", "/properties/numbers/properties/decimal"),
        ("body", "/properties/numbers/properties/thousands"),
        ("car", "/$defs/constraint/anyOf/0"),  # beside any other word
        ("car", "/$defs/yes-no/anyOf/0"),  # beside them in other letter cases
        ("reading", "/$defs/constraint/anyOf/0"),
    }
    assert lists == {(schema, pointer) for schema, pointer, _ in WORDS} | elsewhere
