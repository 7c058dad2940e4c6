"""YAML as a tree in which everything knows its place, with the traps of YAML turned into faults.

Scalars stay text as written: what `no`, `1e3` or `2026-11-20` mean is for the reader of the field to say, not for YAML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from rulewatch.model.fault import Fault, Place, Source

DEEPEST = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalarNode:
    """A scalar's text as YAML gives it; `quoted` tells `"no"` from `no`, `empty` a value that is not there."""

    text: str
    place: Place
    end: Place
    quoted: bool = False

    @property
    def empty(self) -> bool:
        """Whether nothing stands there, or one of YAML's nulls."""
        return not self.quoted and self.text in {"", "~", "null"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ListNode:
    """A sequence."""

    items: tuple[Node, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class MapNode:
    """A mapping, in the order of the file; keys are unique (a repeat is a fault and left out)."""

    pairs: tuple[tuple[ScalarNode, Node], ...]
    place: Place

    def get(self, key: str) -> Node | None:
        """The value of a key, None where it is not there."""
        return next((value for name, value in self.pairs if name.text == key), None)

    def key(self, key: str) -> ScalarNode | None:
        """The key itself, with its place."""
        return next((name for name, _ in self.pairs if name.text == key), None)

    def __iter__(self) -> Iterator[tuple[ScalarNode, Node]]:
        """Keys with values."""
        return iter(self.pairs)


Node = ScalarNode | ListNode | MapNode


def read_yaml(
    source: Source, *, text: str | None = None, first_line: int = 1, indent: int = 0
) -> tuple[Node | None, tuple[Fault, ...]]:
    """Read one YAML document: the tree (None where it is empty or does not parse) and what is wrong with it.

    `text` is the part of the source to read (all of it by default), `first_line` the line it begins on, and `indent` how
    many columns were cut off its lines, so that every place is one in the source.
    """
    part = source.text if text is None else text
    reader = _Reader(source, part.split("\n"), first_line, indent)
    loader = YAML(typ="safe", pure=False)
    try:
        node = loader.compose(part)
    except MarkedYAMLError as error:
        return None, (reader.syntax_fault(error),)
    except (YAMLError, RecursionError) as error:
        return None, (source.fault("yaml-syntax", first_line, 1, _one_line(error), remedy="see the YAML that the docs show"),)
    tree = reader.node(node, 0, set()) if node is not None else None
    return tree, tuple(reader.faults)


class _Reader:
    """Turns the library's nodes into ours; keeps the faults found on the way."""

    def __init__(self, source: Source, lines: list[str], first_line: int, indent: int) -> None:
        self.source, self.lines, self.first_line, self.indent = source, lines, first_line, indent
        self.faults: list[Fault] = []

    def place(self, mark: Any) -> Place:
        return self.source.place(mark.line + self.first_line, mark.column + 1 + self.indent)

    def fault(self, code: str, place: Place, found: str, *, expected: str = "", remedy: str = "") -> None:
        self.faults.append(self.source.fault(code, place.line, place.column, found, expected=expected, remedy=remedy))

    def syntax_fault(self, error: MarkedYAMLError) -> Fault:
        mark = error.problem_mark or error.context_mark
        place = self.place(mark) if mark else self.source.place(self.first_line)
        found = _one_line(error.problem or error.context or "this is not YAML")
        remedy = "quote text that holds : # { [ or begins with @ % * & !" if "mapping values" in found else ""
        return self.source.fault("yaml-syntax", place.line, place.column, found, remedy=remedy or "mend the YAML here")

    def node(self, raw: Any, depth: int, seen: set[int]) -> Node | None:
        """Our node for one of the library's; None where a fault makes it unusable."""
        place = self.place(raw.start_mark)
        if id(raw) in seen or raw.anchor:
            self.fault("yaml-alias", place, "an anchor or alias", remedy="write the value out")
            return None
        if depth > DEEPEST:
            self.fault("yaml-depth", place, f"nesting deeper than {DEEPEST}", remedy="flatten it")
            return None
        seen.add(id(raw))
        if isinstance(raw.value, str):
            end = self.place(raw.end_mark)
            return ScalarNode(text=raw.value, place=place, end=end, quoted=raw.style is not None)
        if raw.tag == "tag:yaml.org,2002:seq":
            items = [self.node(item, depth + 1, seen) for item in raw.value]
            self.check_list_commas(raw.value)
            return ListNode(items=tuple(item for item in items if item is not None), place=place)
        if raw.tag == "tag:yaml.org,2002:map":
            return self.mapping(raw, place, depth, seen)
        self.fault("yaml-alias", place, f"the tag {raw.tag}", remedy="leave the tag out")
        return None

    def mapping(self, raw: Any, place: Place, depth: int, seen: set[int]) -> MapNode:
        pairs: dict[str, tuple[ScalarNode, Node]] = {}
        last: Any = None
        for raw_key, raw_value in raw.value:
            key = self.node(raw_key, depth + 1, seen)
            value = self.node(raw_value, depth + 1, seen)
            if not isinstance(key, ScalarNode):
                self.fault("wrong-type", self.place(raw_key.start_mark), "a key that is not a word", expected="a word")
            elif self.is_comma_piece(last, raw_key, raw_value):
                self.comma_fault(last, raw_key)
            elif key.text in pairs:
                first = pairs[key.text][0].place.line
                self.fault(
                    "duplicate-key", key.place, f"`{key.text}` again (first on line {first})", remedy="keep one of the two"
                )
            elif value is not None:
                pairs[key.text] = (key, value)
            last = raw_value
        return MapNode(pairs=tuple(pairs.values()), place=place)

    def is_comma_piece(self, before: Any, key: Any, value: Any) -> bool:
        """Whether `{max: 13,5 in}` became the key `5 in` without a value."""
        bare = value is not None and value.value == "" and value.start_mark.index == value.end_mark.index
        return bare and self.glued(before, key)

    def check_list_commas(self, items: list[Any]) -> None:
        """`[13,5 in]` is a list of two; say so, unless the second is a plain number too."""
        for left, right in pairwise(items):
            if self.glued(left, right) and not re.fullmatch(r"[\d.]+", right.value):
                self.comma_fault(left, right)

    def glued(self, left: Any, right: Any) -> bool:
        if left is None or not isinstance(left.value, str) or not isinstance(right.value, str):
            return False
        if left.style or right.style or left.end_mark.line != right.start_mark.line:
            return False
        between = self.lines[left.end_mark.line][left.end_mark.column : right.start_mark.column]
        return between == "," and left.value[-1:].isdigit() and right.value[:1].isdigit()

    def comma_fault(self, left: Any, right: Any) -> None:
        number = f"{left.value},{right.value}"
        point = f"{left.value}.{right.value}"
        self.fault(
            "decimal-comma", self.place(left.start_mark), f"`{number}`", remedy=f"write `{point}`: here a comma parts values"
        )


def _one_line(message: object) -> str:
    return " ".join(str(message).split()).rstrip(".")
