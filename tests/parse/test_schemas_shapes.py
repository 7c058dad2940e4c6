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
    beyond = DIGITS if spot.pointer == "/properties/confirmed" else set()
    assert {shape for shape, (schema, _, form) in told.items() if form and not schema} == beyond
