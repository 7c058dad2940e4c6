"""The JSON Schemas of our file formats, and files as an editor reads them.

That is by the core schema of YAML 1.2.2 (10.3), in which dates are texts, `no` is one too, and numbers are numbers.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.constructor import SafeConstructor

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import ReadingBlock, parse_chapter

SCHEMAS: dict[str, dict[str, Any]] = {
    file.name.removesuffix(".schema.json"): json.loads(file.read_text(encoding="utf-8"))
    for file in sorted(files("rulewatch.data").joinpath("schema").iterdir(), key=lambda file: file.name)
}


class CoreConstructor(SafeConstructor):
    """Plain values by the core schema of YAML 1.2, which has no dates."""


CoreConstructor.add_constructor("tag:yaml.org,2002:timestamp", SafeConstructor.construct_yaml_str)


def load(text: str) -> Any:
    """One YAML document as JSON would hold it."""
    yaml = YAML(typ="safe", pure=True)
    yaml.Constructor = CoreConstructor
    yaml.allow_duplicate_keys = True  # a fault of its own, which no schema sees
    return json.loads(json.dumps(yaml.load(text)))


def front_matter(text: str) -> str:
    """What stands between the first two fences of a bulletin."""
    return re.split(r"^---$", text, flags=re.MULTILINE)[1]


def reading_blocks(text: str) -> tuple[ReadingBlock, ...]:
    """Every reading of a chapter or bulletin."""
    return parse_chapter(Source(path="chapter.md", text=text)).blocks


def errors(schema: str, data: object) -> list[ValidationError]:
    """What a schema finds wrong, with what lies behind it: the errors of each of several forms that it might have been."""
    validator = Draft202012Validator(SCHEMAS[schema], format_checker=FormatChecker(["date"]))
    return [error for top in validator.iter_errors(data) for error in behind(top)]


def behind(error: ValidationError) -> Iterator[ValidationError]:
    """An error and all that it comes from."""
    yield error
    for part in error.context or ():
        yield from behind(part)


def parts(schema: Any, pointer: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """The schemas within a schema, each with its JSON Pointer."""
    if isinstance(schema, dict):
        yield pointer, schema
        for key, value in schema.items():
            yield from parts(value, f"{pointer}/{key}")
    elif isinstance(schema, list):
        for number, value in enumerate(schema):
            yield from parts(value, f"{pointer}/{number}")


def at(schema: str, pointer: str) -> dict[str, Any]:
    """The part of a schema at a JSON Pointer."""
    return dict(parts(SCHEMAS[schema]))[pointer]
