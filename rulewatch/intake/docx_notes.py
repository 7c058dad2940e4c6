"""The footnotes and endnotes of a DOCX: their signs, counted as they are called, and their content, given once."""

from __future__ import annotations

from dataclasses import dataclass, field

from rulewatch.intake.docx_numbering import formatted
from rulewatch.intake.docx_styles import OFF
from rulewatch.intake.docx_xml import Node
from rulewatch.intake.drafts import DraftBlock

USUAL = {"w:footnote": "decimal", "w:endnote": "lowerRoman"}  # formats where the book names none
SYMBOLS = "*†‡§"  # the signs of the format `chicago`, then doubled and so on
MOST_SYMBOLS = 10  # times that a sign is repeated


@dataclass(slots=True, kw_only=True)
class _Count:
    """How notes of one kind are counted."""

    kind: str
    start: int = 1
    anew: str = "continuous"
    reached: int = 0
    page: int = 0


@dataclass(slots=True, kw_only=True)
class Notes:
    """The notes of a book by (tag, id). `at_end` gathers the endnotes that were called."""

    found: dict[tuple[str, str], Node] = field(default_factory=dict)
    counts: dict[str, _Count] = field(default_factory=lambda: {tag: _Count(kind=kind) for tag, kind in USUAL.items()})
    given: set[tuple[str, str]] = field(default_factory=set)
    at_end: list[DraftBlock] = field(default_factory=list)
    open: bool = False  # whether a note is read: no note is called in a note

    def add(self, root: Node | None) -> None:
        """Take up the notes of a part."""
        for node in root.children if root else ():
            if node.name in USUAL and node.attributes.get("w:type", "normal") == "normal":
                self.found.setdefault((node.name, node.attributes.get("w:id", "")), node)

    def rule(self, properties: Node | None) -> None:
        """How a section, or the book, counts its notes."""
        for tag, count in self.counts.items():
            stated = properties.first(f"{tag}Pr") if properties else None
            if stated is not None:
                count.kind = stated.value("w:numFmt") or count.kind
                start = stated.value("w:numStart")
                count.start = int(start) if start.isdecimal() and start.isascii() and len(start) <= 6 else count.start  # noqa: PLR2004
                count.anew = stated.value("w:numRestart") or count.anew

    def new_section(self) -> None:
        """A section begins."""
        for count in self.counts.values():
            if count.anew == "eachSect":
                count.reached = 0

    def sign(self, call: Node, page: int) -> str:
        """The sign of a note that is called on a page; nothing where the text has a sign of its own, or the book no such note."""
        if _key(call) not in self.found or self.open or call.attributes.get("w:customMarkFollows", "0") not in OFF:
            return ""
        count = self.counts[_key(call)[0]]
        if count.anew == "eachPage" and page != count.page:
            count.reached, count.page = 0, page
        count.reached += 1
        number = count.start + count.reached - 1
        return _symbols(number) if count.kind == "chicago" else formatted(number, count.kind)

    def taken(self, call: Node) -> Node | None:
        """The content of a note, the first time that it is called."""
        key = _key(call)
        if self.open or key in self.given:
            return None
        self.given.add(key)
        return self.found.get(key)


def _key(call: Node) -> tuple[str, str]:
    """The tag and id of the note that is called."""
    return call.name.removesuffix("Reference"), call.attributes.get("w:id", "")


def _symbols(number: int) -> str:
    """The sign of a note as printers write it: *, †, ‡, §, then **, ††."""
    times, place = divmod(max(number, 1) - 1, len(SYMBOLS))
    return SYMBOLS[place] * (times + 1) if times < MOST_SYMBOLS else str(number)
