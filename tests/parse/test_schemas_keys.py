"""The JSON Schemas of our file formats have the keys and words of the parsers, so that neither can change alone.

At every place that has keys, the parser is asked which it knows and which it needs, by a mapping with a key that is none; at
every place that has a list of words, which it takes, by a word that is none.
"""

from __future__ import annotations

import re

import pytest
from format_schemas import PARSERS, SCHEMAS, SPOTS, at, parts

from rulewatch.model.fault import Source
from rulewatch.model.figures import VULGAR
from rulewatch.parse import editions, readings, vocabulary
from rulewatch.parse.fields import one_of


@pytest.mark.parametrize("spot", SPOTS, ids=str)
def test_schema_and_parser_know_the_same_keys(spot):
    """A key that is like none is answered with all that are known; what a mapping lacks is answered with what it needs."""
    faults = PARSERS[spot.schema](Source(path="probe", text=spot.text.replace("PROBE", '"0":')))
    unknown = next(fault for fault in faults if fault.code == "unknown-key" and fault.found.startswith("`0`"))
    part = at(spot.schema, spot.pointer)
    assert set(part["properties"]) == set(unknown.remedy.removeprefix("known here: ").split(", "))
    where = unknown.found.removeprefix("`0` in ")
    told = [fault.found for fault in faults if fault.code == "missing-key"]
    needed = {key[1] for each in told if (key := re.fullmatch(rf"{re.escape(where)} without `(.*)`", each))}
    given = set(re.findall(r"(\w+): [^{}]*, PROBE", spot.text))  # what tells one form of a mapping from the others
    required = (
        *part.get("required", ()),
        *part.get("else", {}).get("required", ()),
    )  # the latter, unless a word says otherwise
    assert set(required) == needed | given


def test_no_place_with_keys_is_forgotten():
    """Each part of a schema that knows its keys is held against the parser above."""
    places = {
        (name, pointer)
        for name, schema in SCHEMAS.items()
        for pointer, part in parts(schema)
        if part.get("additionalProperties") is False
    }
    assert places == {(spot.schema, spot.pointer) for spot in SPOTS}


# schema, the place in it, and a text with a wrong word there
WORDS = [
    ("body", "/properties/governs", "governs: PROBE"),
    ("body", "/properties/decision/properties/rule", "decision: {rule: PROBE}"),
    ("body", "/properties/decision/properties/rounding", "decision: {rounding: PROBE}"),
    ("body", "/properties/decision/properties/ties", "decision: {ties: PROBE}"),
    ("bulletin", "/properties/status", "---\nstatus: PROBE\n---\n"),
    ("car", "/$defs/plain/anyOf/0", "spec: {aero: PROBE}"),
    ("car", "/$defs/scales-by-class/properties/class", "balance: {inspection: {e: 1 kg, class: PROBE}}"),
    ("car", "/$defs/raised/properties/axle", "balance: {weighed: {raised: {axle: PROBE}}}"),
    (
        "car",
        "/$defs/ballast-place/properties/position",
        "balance: {ballast: {places: {floor: {at: [1 mm, 1 mm, 1 mm], most: 1 kg, position: PROBE}}}}",
    ),
    ("jobs", "/$defs/decided", "- {what: W, decision: PROBE}"),
    ("options", "/$defs/plain/anyOf/0", "options: {tow: {alter: {aero: PROBE}}}"),
    ("reading", "/properties/concerns", "concerns: PROBE"),
    ("reading", "/$defs/dated/properties/until", "dated: {until: PROBE}"),
    ("reading", "/$defs/dated/properties/first_year", "dated: {first_year: PROBE}"),
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
        ("vocabulary", "/$defs/yes-no/anyOf/0"),  # as in car
    }
    assert lists == {(schema, pointer) for schema, pointer, _ in WORDS} | elsewhere
