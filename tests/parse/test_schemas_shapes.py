"""The JSON Schemas of our file formats take and refuse the same shapes as the parsers: nothing, lists, mappings, texts, numbers.

Each of a few shapes is put at every key of every place. What a schema refuses, the parser must too. The reverse holds for
faults of form alone: that a quantity is not in the vocabulary, or a mass where a length belongs, no schema can tell.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from format_schemas import PARSERS, SPOTS, at, errors, front_matter, load

from rulewatch.model.fault import Source

FORM = {"wrong-type", "wrong-value", "missing-key", "unknown-key", "bad-date"}
# Eight digits, some of which YAML reads as another number: 00000169.
DIGITS = {"text: 0", "text: 0.5", "text: 169"}
SHAPES = (
    "~",
    '" "',
    "[]",
    "{}",
    "[~]",
    "[[]]",
    "[{}]",
    '{"0": 1}',
    "0",
    "-1 mm",
    "1 mm",
    "0.5",
    "169",
    "true",
    "x y",
    "present",
    "aero.splitter",
    "2027-02-28",
    "2027-02-30",
    "[x y, 1]",
    "[[1 mm, 2 mm]]",
    "[[above, 1 mm]]",
    "{car.width: 1 mm}",
    "{car.width: []}",
    "{car.width: {}}",
    "{car..width: 1 mm}",
)


def find(data: Any, value: str, path: tuple[str | int, ...] = ()) -> tuple[str | int, ...] | None:
    """The path of keys and numbers that leads to a value."""
    if data == value:
        return path
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return next((found for key, part in inner if (found := find(part, value, (*path, key))) is not None), None)


def refusals(schema: str, text: str, shape: str) -> tuple[bool, bool, bool]:
    """Whether a schema refuses what stands at SHAPE in a text, whether the parser does, and whether for its form."""
    cut = front_matter if schema == "bulletin" else str
    path = find(load(cut(text)), "SHAPE")
    assert path is not None
    whole = text.replace("SHAPE", shape)
    by_schema = any(tuple(error.absolute_path)[: len(path)] == path for error in errors(schema, load(cut(whole))))
    before = text[: text.index("SHAPE")]
    line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    codes = {
        fault.code
        for fault in PARSERS[schema](Source(path="probe", text=whole))
        if fault.place.line == line and column <= fault.place.column < column + len(shape) and not fault.warning
    }
    return by_schema, bool(codes), not FORM.isdisjoint(codes)


@pytest.mark.parametrize("spot", SPOTS, ids=str)
def test_schema_and_parser_refuse_the_same_shapes(spot):
    """At every key of a place."""
    given = set(re.findall(r"(\w+): [^{}]*, PROBE", spot.text))  # what tells one form of a mapping from the others
    told = {}
    for key in set(at(spot.schema, spot.pointer)["properties"]) - given:
        beside = "".join(f", {name}: {value}" for name, value in spot.beside.items() if name != key)
        text = spot.text.replace("PROBE", f"{key}: SHAPE{beside}")
        told |= {f"{key}: {shape}": refusals(spot.schema, text, shape) for shape in SHAPES}
    assert [shape for shape, (schema, parser, _) in told.items() if schema and not parser] == []
    # Which amounts may be less than nothing is the vocabulary's to say.
    below_zero = {"value: -1 mm"}
    beyond = {"/properties/confirmed": DIGITS, "/$defs/known": below_zero, "/$defs/conditioned": below_zero}
    assert {shape for shape, (schema, _, form) in told.items() if form and not schema} == beyond.get(spot.pointer, set())


TOW = "components: {tow: {label: T}}\nquantities: "
REFUSED = [
    *(
        (schema, "---\n- x\n---\n" if schema == "bulletin" else "- x")
        for schema in ("body", "bulletin", "car", "crew", "edition", "site", "vocabulary")
    ),
    ("jobs", "what: Clutch"),
    ("jobs", "- {what: W, cause: saltmarsh 4.3}"),
    ("jobs", "- {what: W, due: 2027-02-30}"),
    ("jobs", "- {what: W, due: the spring}"),
    ("jobs", "- {what: W, done: nearly}"),
    ("jobs", "- {what: W, hours: -1}"),
    ("pairs", "x"),
    ("pairs", "- {note: why}"),
    ("pairs", "- {old: , new: []}"),
    ("body", "name: B\nclasses: {two words: B}"),
    ("car", "name: C\nspec: {Width: 1 mm}"),
    ("car", "name: C\nstandard: {Width: 1 mm}"),
    ("car", "name: C\nhomologated: {Width: 1 mm}"),
    ("car", "name: C\nspec: {car.width: {value: 1 mm}}"),
    ("car", "name: C\nstandard: {car.width: {value: standard, fixed: yes}}"),
    ("car", "name: C\nspec: {car.seats: {value: 2, on: 2027-01-01, u: -1}}"),
    ("crew", "people: {mara: {name: Mara, hours: -1}}"),
    ("reading", "limit: {car.seats: 2}\nwhen: {Width: 1 mm}"),
    ("reading", "limit: {car.seats: 2}\nwhen: {any: []}"),
    ("reading", "limit: {car.seats: 2}\nwhen: {any: {Width: 1 mm}}"),
    ("vocabulary", "components: {Tow: {label: T}}"),
    ("vocabulary", f"{TOW}{{tow.x: mass}}"),
    ("vocabulary", f"{TOW}{{Tow.x: {{label: X, type: mass}}}}"),
    ("vocabulary", f"{TOW}{{mass: {{label: X, type: mass}}}}"),
    ("vocabulary", f"{TOW}{{tow.any: {{label: X, type: mass}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, type: text, choices: [a]}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, choices: [a, a]}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, type: date, unit: kg}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, type: text, step: 1 kg}}}}"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, type: yes-no, unit: kg}}}}"),
]
TAKEN = [
    *(
        ("car", f"name: C\nspec: {{car.width: {{value: 1 mm, fixed: {word}}}}}")
        for word in ("yes", "no", "true", "false", "Yes", "NO")
    ),
    ("car", "name: C\nspec: {car.seats: {value: 2, on: 2027-01-01, u: 1}}"),
    ("car", "name: C\nstandard: {car.width: {value: 1 mm, fixed: yes}}"),
    ("body", "name: 24\nclasses: [2, b]"),
    ("body", "name: Ö\nclasses: {größe-2: Größe 2}"),
    ("pairs", "{old: 5.1, new: [5.1, 5.10]}"),
    ("jobs", "# nothing to do"),
    ("jobs", "- {what: W, due: spring, done: no, hours: 2.5}"),
    ("jobs", "- {what: W, due: 2027-02-20, done: 2027-02-20, hours: 2}"),
    ("jobs", "- &a {what: W, decision: &d {choice: never}}\n- {what: V, decision: *d}"),
    ("pairs", "# none so far"),
    ("site", "# as usual"),
    ("vocabulary", "# nothing beyond the packaged one"),
    ("vocabulary", f"{TOW}{{tow.x: {{label: X, type: mass, unit: kg, step: 1 kg}}}}"),
    ("reading", "limit: {car.seats: 2}\nwhen: {any: [{car.seats: 2}, {not: {car.seats: 1}}]}"),
    ("reading", "limit: {car.width: {max: 1 mm}}\ntolerance: +/- 5 mm\nnoted: [½ in, 3]"),
]


@pytest.mark.parametrize(("schema", "text"), REFUSED)
def test_what_schema_and_parser_refuse_beyond_single_keys(schema, text):
    """Names that are none, keys that exclude or need each other, documents of another kind."""
    assert PARSERS[schema](Source(path="probe", text=text)) != ()
    assert errors(schema, load(front_matter(text) if schema == "bulletin" else text)) != []


@pytest.mark.parametrize(("schema", "text"), TAKEN)
def test_what_schema_and_parser_take_beyond_single_keys(schema, text):
    """Numbers where a text belongs, files with comments alone, letters of other scripts, signs of a tolerance."""
    assert [str(fault) for fault in PARSERS[schema](Source(path="probe", text=text))] == []
    assert [error.message for error in errors(schema, load(text))] == []
