"""The fields of a DOCX: what they were last shown as is text, their instructions are not, and tables of contents are left out."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from rulewatch.intake.docx_xml import Node, below
from rulewatch.intake.remarks import Remarks, Topic

CONTENTS = Topic(code="left-out", one="table of contents or index", many="tables of contents or indexes")
UNCOUNTED = Topic(
    code="left-out",
    one="number that the program counts when it shows the text",
    many="numbers that the program counts when it shows the text",
    remedy="compare the numbers with the book as it is shown, or take in a PDF of it",
)
UNENDED = Topic(
    code="left-out",
    one="field that never ends",
    many="fields that never end",
    fate="read as text",
    remedy="look at the text there",
)
CONTENTS_FIELD = re.compile(r"\s*(?:TOC|INDEX|TOA|RD)\b", re.IGNORECASE)
COUNTED_FIELD = re.compile(r"\s*(?:LISTNUM|AUTONUM(?:LGL|OUT)?)\b", re.IGNORECASE)
LINK_FIELD = re.compile(r"\s*HYPERLINK\b", re.IGNORECASE)
LONGEST_CODE = 500  # characters of a field's instruction
FIELD_TAGS = frozenset({"w:fldChar", "w:instrText", "w:delInstrText"})


@dataclass(slots=True, kw_only=True)
class _Field:
    """A field that is open: its instruction, and whether its result has begun."""

    code: str = ""
    shows: bool = False


@dataclass(slots=True, kw_only=True)
class Fields:
    """The fields that are open in the text, in a note or in a text box, and how many of them are of which kind."""

    remarks: Remarks
    unended: frozenset[int]  # fields that never end, by the identity of their beginnings
    open: list[_Field] = field(default_factory=list)
    hiding: int = 0  # whose instruction is read, so that nothing shows
    contents: int = 0  # whose result is a table of contents
    links: int = 0  # whose result is a link

    def tag(self, node: Node, place: int) -> None:
        """The beginning, the middle or the end of a field, or a piece of its instruction."""
        kind = node.attributes.get("w:fldCharType", "")
        if node.name != "w:fldChar":
            if self.open and not self.open[-1].shows:
                self.open[-1].code = (self.open[-1].code + node.text)[:LONGEST_CODE]
        elif kind == "begin" and id(node) in self.unended:
            self.remarks.add(UNENDED, place)
        elif kind == "begin":
            self.open.append(_Field())
            self.hiding += 1
        elif kind == "separate" and self.open and not self.open[-1].shows:
            self.hiding -= 1
            self.show(self.open[-1], place)
        elif kind == "end" and self.open:
            self.end(place)

    def show(self, each: _Field, place: int) -> None:
        """The result of a field begins."""
        each.shows = True
        if CONTENTS_FIELD.match(each.code):
            self.contents += 1
            self.remarks.add(CONTENTS, place)
        self.links += bool(LINK_FIELD.match(each.code))

    def begin(self, code: str, place: int) -> None:
        """A field that is written in one tag begins with its result."""
        self.open.append(_Field(code=code[:LONGEST_CODE]))
        self.show(self.open[-1], place)

    def end(self, place: int, *, empty: bool = False) -> None:
        """The innermost field ends; `empty` says that its result has no words."""
        ended = self.open.pop()
        self.hiding -= not ended.shows
        self.contents -= ended.shows and bool(CONTENTS_FIELD.match(ended.code))
        self.links -= ended.shows and bool(LINK_FIELD.match(ended.code))
        if (empty or not ended.shows) and COUNTED_FIELD.match(ended.code):
            self.remarks.add(UNCOUNTED, place, ended.code)


def unended_fields(root: Node) -> frozenset[int]:
    """The beginnings of fields in a part that have no end, by their identity."""
    opened: list[int] = []
    for node in below(root):
        kind = node.attributes.get("w:fldCharType", "") if node.name == "w:fldChar" else ""
        if kind == "begin":
            opened.append(id(node))
        elif kind == "end" and opened:
            opened.pop()
    return frozenset(opened)
