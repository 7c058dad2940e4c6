"""The JSON Schemas of our file formats: sound by themselves, and met by all that is shipped."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from format_schemas import SCHEMAS, errors, front_matter, load, parts, reading_blocks
from jsonschema import Draft202012Validator

ROOT = Path(__file__).parents[2]


def shipped() -> Iterator[tuple[str, str, str]]:
    """Schema, file and YAML of everything that comes with the project, and of every example in the page of formats."""
    start = ROOT / "rulewatch/data/start"
    for top in (ROOT, start):
        for file in sorted(file for folder in ("rulesets", "cars", "site") for file in (top / folder).rglob("*.yaml")):
            if "public" not in file.relative_to(top).parts:
                schema = "track" if file.parent.name == "tracks" else file.stem
                yield schema, file.relative_to(ROOT).as_posix(), file.read_text()
        for file in sorted((top / "rulesets").rglob("*.md")):
            name = file.relative_to(ROOT).as_posix()
            yield from (("reading", name, block.text) for block in reading_blocks(file.read_text()))
            if file.parent.name == "bulletins":
                yield "bulletin", name, front_matter(file.read_text())
    packaged = ROOT / "rulewatch/data/vocabulary.yaml"
    yield "vocabulary", packaged.name, packaged.read_text()
    page = ROOT / "docs/reference/formats.md"
    for found in re.finditer(r"^```(?:yaml (\w+)\.yaml|(reading))\n(.*?)^```$", page.read_text(), re.MULTILINE | re.DOTALL):
        yield found[1] or found[2], page.name, found[3]


SHIPPED = list(shipped())


@pytest.mark.parametrize("name", SCHEMAS)
def test_each_schema_is_a_schema(name):
    """By JSON Schema 2020-12's own schema; its name is ours and no address, and it needs no other file."""
    schema = SCHEMAS[name]
    Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:rulewatch:schema:{name}"
    refs = {part["$ref"] for _, part in parts(schema) if "$ref" in part}
    assert refs <= {f"#/$defs/{each}" for each in schema.get("$defs", {})}
    assert {f"#/$defs/{each}" for each in schema.get("$defs", {})} <= refs, "a part that nothing uses"


@pytest.mark.parametrize(("schema", "name", "text"), SHIPPED, ids=[f"{name}-{n}" for n, (_, name, _) in enumerate(SHIPPED)])
def test_what_is_shipped_meets_its_schema(schema, name, text):
    """Every file of the demo and of a new workspace, every reading in them, the vocabulary, every example in the docs."""
    assert [f"{error.json_path}: {error.message}" for error in errors(schema, load(text))] == []


def test_every_schema_is_met_by_something():
    """No schema goes without a file that it is tried on."""
    assert {schema for schema, _, _ in SHIPPED} == set(SCHEMAS)


def test_every_key_has_a_title_and_says_what_it_is_for():
    """An editor shows both."""
    said = [
        (f"{name}{pointer}/{key}", value)
        for name, schema in SCHEMAS.items()
        for pointer, part in parts(schema)
        if part.get("type") in ("object", ["object", "null"])
        for key, value in part.get("properties", {}).items()
        if "const" not in value
    ]
    assert len(said) > 100
    assert [where for where, value in said if not re.fullmatch(r"[A-Z].*[^.]", value.get("title", ""))] == []
    assert [where for where, value in said if not value.get("description", "").endswith(".")] == []


def test_what_several_schemas_share_is_the_same_in_each():
    """A part has one meaning by its name; it stands in each file because an editor is given one of them alone."""
    by_name: dict[str, dict[str, Any]] = {}
    for schema in SCHEMAS.values():
        for name, part in schema.get("$defs", {}).items():
            assert by_name.setdefault(name, part) == part, name
