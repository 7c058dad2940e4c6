"""The automatic numbers of a DOCX, counted as the programs that show them count (ECMA-376, part 1, 17.9).

Lists of one definition count on together, unless one of them begins anew. A number of a level makes those below begin anew. A
level above that no paragraph has used yet is written with its first number.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from rulewatch.intake.docx_styles import is_on
from rulewatch.intake.docx_xml import Node
from rulewatch.intake.numerals import repeated_letters, written

LEVELS = 9
PLACE = re.compile(r"%([1-9])")
LONGEST = 200  # characters of the pattern of a number
BULLETS = frozenset({"bullet", "none"})
FORMATS = {"decimalZero": "decimal-zero", "upperRoman": "upper-roman", "lowerRoman": "lower-roman"}
REPEATED = {"lowerLetter": str.lower, "upperLetter": str.upper}
ENDINGS = {1: "st", 2: "nd", 3: "rd"}
TEENS = range(11, 14)


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One level of a list: its first number, how it is written, after which levels it begins anew (0: never)."""

    start: int = 1
    kind: str = "decimal"
    pattern: str = ""
    restart: int
    legal: bool = False
    style: str = ""


@dataclass(slots=True, kw_only=True)
class _Counts:
    """How far the levels of one definition have counted; a level that has not begun is not among them."""

    reached: dict[int, int] = field(default_factory=dict)
    lists: set[tuple[str, int]] = field(default_factory=set)  # list and level that have begun anew


class Numbering:
    """The lists of a book, and how far each has counted."""

    def __init__(self, root: Node | None) -> None:
        children = root.children if root else []
        self.definitions = {
            node.attributes.get("w:abstractNumId", ""): node for node in children if node.name == "w:abstractNum"
        }
        self.lists = {node.attributes.get("w:numId", ""): node for node in children if node.name == "w:num"}
        self.shared = {
            node.value("w:styleLink"): name for name, node in self.definitions.items() if node.first("w:styleLink") is not None
        }
        self.levels: dict[str, tuple[str, dict[int, Level], dict[int, int]]] = {}
        self.counts: dict[str, _Counts] = {}

    def level_of(self, list_id: str, stated: str, style: str) -> int:
        """The level in a list: that which is tied to a style, else the stated one."""
        if not stated:
            tied = (level for level, facts in self.known(list_id)[1].items() if style and facts.style == style)
            return next(tied, 0)
        return min(int(stated), LEVELS - 1) if stated.isdecimal() and len(stated) == 1 else 0

    def known(self, list_id: str) -> tuple[str, dict[int, Level], dict[int, int]]:
        """The definition of a list, its levels, and the numbers at which levels of this list begin anew."""
        if list_id not in self.levels:
            self.levels[list_id] = self._known(list_id)
        return self.levels[list_id]

    def _known(self, list_id: str) -> tuple[str, dict[int, Level], dict[int, int]]:
        stated = self.lists.get(list_id)
        if stated is None:
            return "", {}, {}
        definition = stated.value("w:abstractNumId")
        node = self.definitions.get(definition)
        linked = node.value("w:numStyleLink") if node else ""
        if linked in self.shared:
            definition = self.shared[linked]
            node = self.definitions[definition]
        levels = dict(map(_level, (each for each in node.children if each.name == "w:lvl"))) if node else {}
        starts: dict[int, int] = {}
        for over in (each for each in stated.children if each.name == "w:lvlOverride"):
            level = _whole(over.attributes.get("w:ilvl", ""), 0)
            own = over.first("w:lvl")
            if own is not None:
                levels[level] = _level(own)[1]
                starts[level] = levels[level].start
            if over.first("w:startOverride") is not None:
                starts[level] = _whole(over.value("w:startOverride"), 1)
        return definition, levels, starts

    def writes(self, list_id: str, level: int) -> bool:
        """Whether the paragraphs of a level have numbers, not bullets."""
        facts = self.known(list_id)[1].get(level)
        return facts is not None and bool(PLACE.search(facts.pattern))

    def label(self, list_id: str, level: int) -> str:
        """Count one paragraph of a list; its number as a reader sees it, nothing for a bullet or a list that is not there."""
        definition, levels, starts = self.known(list_id)
        facts = levels.get(level)
        if facts is None:
            return ""
        counts = self.counts.setdefault(definition, _Counts())
        if level in starts and (list_id, level) not in counts.lists:
            counts.lists.add((list_id, level))
            counts.reached[level] = starts[level]
        else:
            counts.reached[level] = counts.reached[level] + 1 if level in counts.reached else starts.get(level, facts.start)
        for deeper in [each for each in counts.reached if each > level]:
            restart = levels[deeper].restart if deeper in levels else deeper
            if level < restart:
                del counts.reached[deeper]
        return "" if facts.kind == "bullet" else _written(facts, levels, counts.reached)


def _written(facts: Level, levels: Mapping[int, Level], reached: Mapping[int, int]) -> str:
    """The pattern of a level with the numbers in their places."""

    def number(match: re.Match[str]) -> str:
        level = int(match[1]) - 1
        own = levels.get(level)
        if own is None:
            return ""
        return formatted(reached.get(level, own.start), "decimal" if facts.legal else own.kind)

    return PLACE.sub(number, facts.pattern).strip()


def _level(node: Node) -> tuple[int, Level]:
    """A level of a list, from 0, with its place."""
    at = _whole(node.attributes.get("w:ilvl", ""), 0)
    restart = node.first("w:lvlRestart")
    return at, Level(
        start=_whole(node.value("w:start"), 1 if node.first("w:start") is not None else 0),
        kind=node.value("w:numFmt") or node.value("mc:AlternateContent", "mc:Fallback", "w:numFmt") or "decimal",
        pattern=node.value("w:lvlText")[:LONGEST],
        restart=at if restart is None else min(_whole(restart.attributes.get("w:val", ""), at), at),
        legal=is_on(node, "w:isLgl"),
        style=node.value("w:pStyle"),
    )


def _whole(text: str, otherwise: int) -> int:
    """A whole number as written, of at most nine digits."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= 9 else otherwise  # noqa: PLR2004 - 32 bits


def formatted(number: int, kind: str) -> str:
    """A number in a format of ECMA-376; in figures where that is not one of figures, letters or Roman numerals."""
    if kind in BULLETS:
        return ""
    if kind in REPEATED and number > 0:
        return REPEATED[kind](repeated_letters(number))
    if kind == "ordinal":
        return f"{number}{'th' if number % 100 in TEENS else ENDINGS.get(number % 10, 'th')}"
    return written(number, FORMATS.get(kind, "decimal"))
