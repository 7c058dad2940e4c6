"""What the JSON Schemas of our file formats refuse of the broken files in tests/broken, and what is left to the parsers."""

from __future__ import annotations

import re
import runpy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from format_schemas import errors, front_matter, load, reading_blocks
from jsonschema.exceptions import ValidationError

from rulewatch.model.fault import Place, Source
from rulewatch.parse.nodes import ListNode, MapNode, Node, read_yaml

BROKEN = Path(__file__).parents[1] / "broken"
SPLIT = runpy.run_path(str(BROKEN / "test_broken_files.py"))["split"]
STRUCTURAL = {"unknown-key", "missing-key", "wrong-type", "wrong-value", "bad-date"}
FOLDERS = {
    "bodies": "body",
    "bulletins": "bulletin",
    "cars": "car",
    "crews": "crew",
    "editions": "edition",
    "jobs": "jobs",
    "pairs": "pairs",
    "readings": "reading",
}

# Faults that a schema cannot tell: it compares no two values, and does not know the vocabulary.
BEYOND = {
    # two values compared
    "bodies/body.yaml:5: `,` for both decimals and thousands, expected two different signs",
    "cars/car.yaml:4: until 2027-05-01, from 2027-06-01, expected an end after the start",
    "editions/edition.yaml:10: until 2027-04-16, on 2027-04-17, expected an end after the start",
    "readings/bounds.md:7: `2000 cc` after `2500 cc`, expected steps in ascending order",
    "readings/bounds.md:22: `above` before another step; put it last",
    "readings/keys.md:24: until 2027-05-01, from 2027-06-01, expected an end after the start",
    "readings/values.md:40: a range that no value is in, for `tyres.front.width`, expected `max` above `min`",
    "readings/values.md:41: a range that no value is in, for `tyres.rear.width`, expected `under` above `over`",
    # what a quantity is, and which words it takes
    "cars/car.yaml:16: `raer` for `drivetrain.driven_wheels`, expected front, rear or four; did you mean `rear`?",
    "cars/car.yaml:19: `45 mm` for `aero.splitter`, expected present, absent or standard",
    "readings/bounds.md:24: `engine.layout` is a word of a list, expected an amount to make steps of",
    "readings/bounds.md:28: `engine.layout` is a word of a list, expected an amount for car.height",
    "readings/bounds.md:50: `plus` for a date; leave `plus` out",
    "readings/bounds.md:54: a range for `driver.licence.grade`, expected a text",
    "readings/values.md:39: `semislick` for `tyres.kind`, expected road, semi-slick, slick or treaded racing; did you mean `semi-slick`?",
    "readings/values.md:45: `2` for `tyres.warmers`, expected present or absent",
    "readings/values.md:57: `safety.harness.points` for `from`, expected a quantity that is a date",
    "readings/values.md:46: a range for `wheels.material`, expected steel, cast aluminium, forged aluminium, magnesium or carbon",
    "readings/values.md:49: `1 January 2026` for `car.built`, expected a date such as 2027-05-01",
}


@dataclass(frozen=True, kw_only=True)
class Sample:
    """A document of a broken file: its schema, its text, and the line that it begins on."""

    schema: str
    text: str
    first_line: int
    file: str


def samples() -> Iterator[tuple[Sample, list[str]]]:
    """Every document of the broken files that parses as YAML, with what is expected of its file."""
    for folder, schema in FOLDERS.items():
        for file in sorted((BROKEN / folder).iterdir()):
            text, expected = SPLIT(file.read_text(encoding="utf-8"))
            if schema == "reading":
                documents = [(block.text, block.first_line) for block in reading_blocks(text)]
            elif schema == "bulletin":
                documents = [(front_matter(text).removeprefix("\n"), 2)] if text.startswith("---") else []
            else:
                documents = [(text, 1)]
            for document, first_line in documents:
                yield Sample(schema=schema, text=document, first_line=first_line, file=f"{folder}/{file.name}"), expected


def places(node: Node, path: tuple[str | int, ...] = ()) -> Iterator[tuple[Place, bool, tuple[str | int, ...]]]:
    """Where everything of a document stands: place, whether it is a key, and its path of keys and numbers."""
    yield node.place, False, path
    if isinstance(node, MapNode):
        for key, value in node:
            yield key.place, True, (*path, key.text)
            yield from places(value, (*path, key.text))
    elif isinstance(node, ListNode):
        for number, item in enumerate(node.items):
            yield from places(item, (*path, number))


def is_refused(code: str, path: tuple[str | int, ...], found: list[ValidationError]) -> bool:
    """Whether a schema's errors hold a fault: an unknown key as such, anything else at its very place.

    What a key needs beside it, or must not have there, is an error of the mapping.
    """
    if code == "unknown-key":
        *above, key = path
        return any(
            list(error.absolute_path) == above and error.validator == "additionalProperties" and f"'{key}'" in error.message
            for error in found
        )
    return any(
        tuple(error.absolute_path) == path or (tuple(error.absolute_path) == path[:-1] and is_about(str(path[-1]), error))
        for error in found
    )


def is_about(key: str, error: ValidationError) -> bool:
    """Whether an error of a mapping is one of what stands, or lacks, beside a key."""
    if error.validator == "dependentRequired":
        return f"dependency of '{key}'" in error.message
    if error.validator == "not":
        return key in error.validator_value.get("required", ())
    return ["dependentSchemas", key] == list(error.absolute_schema_path)[-3:-1]


def told_by_schema() -> Iterator[tuple[str, bool]]:
    """Every structural fault of the broken files, and whether the schema refuses it."""
    for sample, expected in samples():
        node, faults = read_yaml(Source(path="x", text=sample.text))
        if node is None or faults:
            continue
        found = errors(sample.schema, load(sample.text))
        for line in expected:
            row, column, code, message = re.fullmatch(r"(\d+):(\d+): (\S+) (.*)", line).groups()
            where = (int(row) - sample.first_line + 1, int(column))
            paths = [
                path
                for place, is_key, path in places(node)
                if (place.line, place.column) == where and is_key == (code == "unknown-key")
            ]
            if code in STRUCTURAL and paths:
                yield f"{sample.file}:{row}: {message}", any(is_refused(code, path, found) for path in paths)


def test_structural_faults_of_the_broken_files_are_refused():
    """An editor marks them too: unknown and missing keys, wrong types, words outside a list, days that do not exist."""
    told = dict(told_by_schema())
    assert {fault for fault, refused in told.items() if not refused} == BEYOND
    assert sum(told.values()) > 40
