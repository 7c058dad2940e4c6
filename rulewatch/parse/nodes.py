"""YAML as a tree in which everything knows its place, with the traps of YAML turned into faults.

Scalars stay text as written: what `no`, `1e3` or `2026-11-20` mean is for the reader of the field to say, not for YAML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from rulewatch.model.fault import Fault, Place, Source

DEEPEST = 24
UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # YAML 1.2.2, 5.1
# YAML breaks lines at more characters than editors do; to keep our line numbers these become spaces.
OTHER_BREAKS = re.compile("[\x85\u2028\u2029]|\r(?!\n)")


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
    source: Source, *, text: str | None = None, first_line: int = 1, indent: int = 0, anchors: bool = False
) -> tuple[Node | None, tuple[Fault, ...]]:
    """Read one YAML document: the tree (None where it is empty or does not parse) and what is wrong with it.

    `text` is the part of the source to read (all of it by default), `first_line` the line it begins on, and `indent` how
    many columns were cut off its lines, so that every place is one in the source. With `anchors` an alias stands for what
    its anchor named, merge keys too; otherwise they are faults.
    """
    part = source.text if text is None else text
    reader = _Reader(source, part, first_line, indent, anchors=anchors)
    bad = UNPRINTABLE.search(part)
    if bad is not None:
        reader.fault("yaml-syntax", reader.place_at(bad.start()), f"the character U+{ord(bad[0]):04X}", remedy="delete it")
        return None, tuple(reader.faults)
    try:
        tree = reader.document(YAML(typ="safe", pure=False).parse(OTHER_BREAKS.sub(" ", part)))
    except MarkedYAMLError as error:
        return None, (*reader.faults, reader.syntax_fault(error))
    except _TooDeepError:
        return None, tuple(reader.faults)
    return tree, tuple(reader.faults)


class _TooDeepError(Exception):
    """Nesting deeper than any of our formats; the rest is not read, so that no input can use up the stack."""


class _Reader:
    """Turns the library's events into our nodes; keeps the faults found on the way."""

    def __init__(self, source: Source, part: str, first_line: int, indent: int, *, anchors: bool) -> None:
        self.source, self.part, self.first_line, self.indent = source, part, first_line, indent
        self.anchored: dict[str, Node | None] | None = {} if anchors else None
        self.faults: list[Fault] = []
        self.last = self.place_at(len(part))

    def fault(self, code: str, place: Place, found: str, *, expected: str = "", remedy: str = "") -> None:
        self.faults.append(self.source.fault(code, place.line, place.column, found, expected=expected, remedy=remedy))

    # --- Places ---

    def place(self, mark: Any) -> Place:
        """The place of the library's mark, which may be on a line below the last."""
        return min(self.source.place(mark.line + self.first_line, mark.column + 1 + self.indent), self.last)

    def place_at(self, offset: int) -> Place:
        """The place of a character of the part."""
        line = self.part.count("\n", 0, offset)
        return self.source.place(line + self.first_line, offset - self.part.rfind("\n", 0, offset) + self.indent)

    def syntax_fault(self, error: MarkedYAMLError) -> Fault:
        mark = error.problem_mark or error.context_mark
        place = min(self.place(mark), self.place_at(len(self.part.rstrip("\n")))) if mark else self.last
        found = _one_line(error.problem or error.context or "this is not YAML")
        remedy = "quote text that holds : # { [ or begins with @ % * & !" if "mapping values" in found else "mend the YAML here"
        return self.source.fault("yaml-syntax", place.line, place.column, found, remedy=remedy)

    # --- Nodes ---

    def document(self, events: Iterator[Any]) -> Node | None:
        """The first document; a second one is a fault."""
        tree: Node | None = None
        documents = 0
        for event in events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self.fault("yaml-syntax", self.place(event.start_mark), "a second document", remedy="keep to one in a file")
                    return tree
                tree = self.node(next(events), events, 0)
        return tree

    def node(self, event: Any, events: Iterator[Any], depth: int) -> Node | None:
        """The node that begins with an event; None where a fault makes it unusable."""
        place = self.place(event.start_mark)
        if depth > DEEPEST:
            self.fault("yaml-depth", place, f"nesting deeper than {DEEPEST}", remedy="flatten it")
            raise _TooDeepError
        if isinstance(event, AliasEvent):
            return self.aliased(event.anchor, place)
        usable = self.is_plain(event, place)
        node: Node | None = None
        if isinstance(event, ScalarEvent):
            node = ScalarNode(text=event.value, place=place, end=self.place(event.end_mark), quoted=bool(event.style))
        elif isinstance(event, SequenceStartEvent):
            node = self.sequence(place, events, depth)
        elif isinstance(event, MappingStartEvent):
            node = self.mapping(place, events, depth)
        node = node if usable else None
        if self.anchored is not None and event.anchor is not None:
            self.anchored[event.anchor] = node
        return node

    def aliased(self, name: str, place: Place) -> Node | None:
        """What an alias stands for; None with a fault where it stands for nothing, or for what it stands in."""
        if self.anchored is None:
            self.fault("yaml-alias", place, "an anchor or alias", remedy="write the value out")
        elif name not in self.anchored:
            self.fault("yaml-alias", place, f"`*{name}` without `&{name}` before it", remedy="write the value out")
        return (self.anchored or {}).get(name)

    def is_plain(self, event: Any, place: Place) -> bool:
        """Whether a node is without tag, and without anchor where that is not used."""
        if event.anchor is not None and self.anchored is None:
            self.fault("yaml-alias", place, "an anchor or alias", remedy="write the value out")
        elif getattr(event, "tag", None) is not None:
            self.fault("yaml-alias", place, "a tag", remedy="leave the tag out, or quote the text that begins with !")
        else:
            return True
        return False

    def sequence(self, place: Place, events: Iterator[Any], depth: int) -> ListNode:
        items: list[Node | None] = []
        while not isinstance(event := next(events), SequenceEndEvent):
            items.append(self.node(event, events, depth + 1))
        for index, (left, right) in enumerate(pairwise(items)):
            # `[13,5 in]` is a list of two; it is no slip where the second is a plain number too.
            glued = self.glued(left, right)
            if glued and not re.fullmatch(r"[\d.]+", glued[1].text):
                items[index : index + 2] = [None, self.mended(*glued)]
        return ListNode(items=tuple(item for item in items if item is not None), place=place)

    def mapping(self, place: Place, events: Iterator[Any], depth: int) -> MapNode:
        pairs: dict[str, tuple[ScalarNode, Node]] = {}
        merged: list[Node] = []
        last: Node | None = None
        while not isinstance(event := next(events), MappingEndEvent):
            key = self.node(event, events, depth + 1)
            value = self.node(next(events), events, depth + 1)
            glued = self.glued(last, key) if isinstance(value, ScalarNode) and not value.text else None
            last = value
            if glued:
                # `{max: 13,5 in}` has the key `5 in` without a value
                last = self.mended(*glued)
                pairs.update({name: (key_node, last) for name, (key_node, old) in pairs.items() if old is glued[0]})
            elif isinstance(key, ScalarNode) and self.is_merge(key):
                merged += value.items if isinstance(value, ListNode) else [value] if value is not None else []
            elif isinstance(key, ScalarNode) and self.is_new(key, pairs) and value is not None:
                pairs[key.text] = (key, value)
            elif key is not None and not isinstance(key, ScalarNode):
                self.fault("wrong-type", key.place, "a key that is not a word", expected="a word")
        for node in merged:  # what a mapping says itself goes before
            for key, value in node if isinstance(node, MapNode) else ():
                pairs.setdefault(key.text, (key, value))
        return MapNode(pairs=tuple(pairs.values()), place=place)

    def is_merge(self, key: ScalarNode) -> bool:
        """Whether a key is YAML's merge key, where that is used."""
        return self.anchored is not None and key.text == "<<" and not key.quoted

    def is_new(self, key: ScalarNode, pairs: Mapping[str, tuple[ScalarNode, Node]]) -> bool:
        """Whether a key is neither a repeat nor YAML's merge key."""
        if key.text == "<<" and not key.quoted:
            self.fault("yaml-alias", key.place, "a merge key", remedy="write the values out")
        elif key.text in pairs:
            first = pairs[key.text][0].place.line
            self.fault("duplicate-key", key.place, f"`{key.text}` again (first on line {first})", remedy="keep one of the two")
        else:
            return True
        return False

    # --- Decimal commas ---

    def glued(self, left: Node | None, right: Node | None) -> tuple[ScalarNode, ScalarNode] | None:
        """Two scalars that are digits with nothing but a comma between: `13,5`."""
        if not isinstance(left, ScalarNode) or not isinstance(right, ScalarNode) or left.quoted or right.quoted:
            return None
        if left.end.line != right.place.line:
            return None
        between = self.source.lines[left.end.line - 1][left.end.column - 1 : right.place.column - 1]
        is_number = between == "," and left.text[-1:].isdigit() and right.text[:1].isdigit()
        return (left, right) if is_number else None

    def mended(self, left: ScalarNode, right: ScalarNode) -> ScalarNode:
        """Report a decimal comma, and go on as if it were a point, so that one slip gives one fault."""
        remedy = f"write `{left.text}.{right.text}`"
        if re.match(r"\d{3}(?!\d)", right.text):
            remedy += f", or `{left.text}{right.text}` if the comma parts thousands"
        self.fault("decimal-comma", left.place, f"`{left.text},{right.text}`", remedy=f"{remedy}; here a comma parts values")
        return ScalarNode(text=f"{left.text}.{right.text}", place=left.place, end=right.end)


def _one_line(message: object) -> str:
    return " ".join(str(message).split()).rstrip(".")
