"""The XML of a part of a DOCX as a tree with short names, within bounds. A part that declares a document type is refused.

The standard of these files (ECMA-376, part 2) forbids such declarations, and with them go entities that expand without end and
addresses outside the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from xml.parsers import expat

from rulewatch.intake.docx_bounds import DEEPEST

OFFICE, STRICT = "http://schemas.openxmlformats.org", "http://purl.oclc.org/ooxml"
# The names of ECMA-376, in both of its forms, and of what programs add to it.
PREFIXES: Mapping[str, str] = {
    f"{OFFICE}/wordprocessingml/2006/main": "w",
    f"{STRICT}/wordprocessingml/main": "w",
    f"{OFFICE}/officeDocument/2006/relationships": "r",
    f"{STRICT}/officeDocument/relationships": "r",
    f"{OFFICE}/drawingml/2006/wordprocessingDrawing": "wp",
    f"{STRICT}/drawingml/wordprocessingDrawing": "wp",
    f"{OFFICE}/drawingml/2006/picture": "pic",
    f"{STRICT}/drawingml/picture": "pic",
    f"{OFFICE}/drawingml/2006/chart": "c",
    f"{OFFICE}/drawingml/2006/diagram": "dgm",
    f"{OFFICE}/officeDocument/2006/math": "m",
    f"{STRICT}/officeDocument/math": "m",
    f"{OFFICE}/markup-compatibility/2006": "mc",
    f"{OFFICE}/package/2006/relationships": "pr",
    "urn:schemas-microsoft-com:vml": "v",
    "urn:schemas-microsoft-com:office:office": "o",
}
WITH_TEXT = frozenset({"w:t", "w:delText", "w:instrText", "w:delInstrText", "m:t"})
NO_ATTRIBUTES: Mapping[str, str] = MappingProxyType({})
SEPARATOR = " "
BUFFER = 1_000_000  # characters that come at once; what comes in small pieces is joined slowly


class PartError(Exception):
    """A part that is not read; the first argument says why, the second what was expected, the third is a code."""


@dataclass(slots=True, kw_only=True, eq=False)
class Node:
    """A tag such as `w:p`, with what is in it. Only tags that hold words have a text."""

    name: str
    attributes: Mapping[str, str]
    children: list[Node] = field(default_factory=list)
    text: str = ""

    def first(self, *names: str) -> Node | None:
        """The first tag below of a name, or the one that a way of names leads to."""
        found: Node | None = self
        for name in names:
            found = next((child for child in found.children if child.name == name), None) if found else None
        return found

    def value(self, *names: str) -> str:
        """What a tag below says by its `w:val`; nothing where there is no such tag."""
        found = self.first(*names)
        return found.attributes.get("w:val", "") if found else ""


def parsed(data: bytes, most_elements: int) -> tuple[Node, int]:
    """The tree of a part and the number of its tags. Raises `PartError`."""
    tree = _Tree(most_elements)
    parser = expat.ParserCreate(namespace_separator=SEPARATOR)
    parser.buffer_text, parser.buffer_size = True, BUFFER
    parser.StartDoctypeDeclHandler = tree.doctype
    parser.StartElementHandler = tree.start
    parser.EndElementHandler = tree.end
    parser.CharacterDataHandler = tree.words
    try:
        parser.Parse(data, True)  # noqa: FBT003 - the library has no name for it
    except (expat.ExpatError, LookupError, ValueError) as error:
        raise PartError(f"XML that cannot be read ({error})", "the file as its program saved it", "book-damaged") from error
    return tree.root.children[0], tree.count


def below(node: Node) -> Iterator[Node]:
    """Everything in a tag, in order, without recursion; of two forms of one thing for older and newer programs the first."""
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if each is not node:
            yield each
        waiting += reversed(chosen(each))


def chosen(node: Node) -> list[Node]:
    """What is in a tag; of an `mc:AlternateContent` what is in the first of its forms."""
    return node.children[:1] if node.name == "mc:AlternateContent" else node.children


class _Tree:
    """The tags that are open."""

    def __init__(self, most_elements: int) -> None:
        self.root = Node(name="#part", attributes=NO_ATTRIBUTES)
        self.open = [self.root]
        self.count, self.most = 0, most_elements
        self.names: dict[str, str] = {}

    def doctype(self, *_: object) -> None:
        """A declaration of a document type."""
        raise PartError("a declaration of a document type in its XML", "none, as in every DOCX", "book-damaged")

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """A start tag."""
        self.count += 1
        if self.count > self.most:
            raise PartError("more tags than are read", f"at most {self.most:,}", "book-too-large")
        if len(self.open) > DEEPEST:
            raise PartError("tags within each other deeper than is read", f"at most {DEEPEST}", "book-too-large")
        found = {self.short(each): value for each, value in attributes.items()} if attributes else NO_ATTRIBUTES
        node = Node(name=self.short(name), attributes=found)
        self.open[-1].children.append(node)
        self.open.append(node)

    def end(self, _name: str) -> None:
        """An end tag."""
        self.open.pop()

    def words(self, text: str) -> None:
        """Characters."""
        if self.open[-1].name in WITH_TEXT:
            self.open[-1].text += text

    def short(self, name: str) -> str:
        """A name with the short sign of its space in front; `?` for a space that is not known."""
        found = self.names.get(name)
        if found is None:
            space, separator, local = name.rpartition(SEPARATOR)
            found = self.names[name] = f"{PREFIXES.get(space, '?')}:{local}" if separator else local
        return found
