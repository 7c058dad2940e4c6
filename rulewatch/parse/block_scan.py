"""Markdown into the signs of its blocks: where lists, items, paragraphs, headings and fences open and close.

This is a line by line reading of the block structure of CommonMark, as far as rule books use it. What it does not read itself
(block quotes, and tabs that stand for columns) it leaves to markdown-it, one top-level block at a time, and what it does
read comes out exactly as markdown-it has it, including the order of its rules and its limit on depth; a property test holds
one to the other. The reason is time: a book of 50,000 lines takes the library half a second.

The same two liberties are taken with CommonMark as in `clause_blocks.py`: indented text is never code, and raw HTML and link
definitions are text like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from enum import Enum, auto
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from markdown_it.rules_block import StateBlock

DEEPEST = 100  # block levels; a list takes two. What is nested deeper stays text of the block around it.
LAZY = 4  # columns further in than its block from which a line only goes on with a paragraph


class Kind(Enum):
    """What a sign stands for."""

    LIST = auto()
    LIST_END = auto()
    ITEM = auto()
    ITEM_END = auto()
    PARAGRAPH = auto()
    HEADING = auto()
    FENCE = auto()


class Sign(NamedTuple):
    """A block, or the start or end of a list or item. Lines count from 0, `end` is the first line behind.

    `markup` is what makes a heading (`##`, `=`) or a fence; `level` a heading's; `info` and `content` a fence's. A tuple, since
    a book has tens of thousands of them.
    """

    kind: Kind
    first: int = 0
    end: int = 0
    markup: str = ""
    level: int = 0
    info: str = ""
    content: str = ""


LIST, LIST_END, ITEM_END = Sign(Kind.LIST), Sign(Kind.LIST_END), Sign(Kind.ITEM_END)  # these know nothing else
ITEM, PARAGRAPH, HEADING, FENCE = Kind.ITEM, Kind.PARAGRAPH, Kind.HEADING, Kind.FENCE

# What a line can begin with other than text, in the order in which CommonMark asks for it.
OPENING = re.compile(
    r"(?P<fence>`{3,}+(?=[^`]*\Z)|~{3,}+)"
    r"|(?P<rule>(?P<sign>[-*_])(?:[ \t]*+(?P=sign)){2,}+[ \t]*+\Z)"
    r"|(?:[-+*]|(?P<count>[0-9]{1,9})[.)])(?=[ \t]|\Z)"
    r"|(?P<heading>\#{1,6}+(?=[ \t]|\Z))"
)
FIRST_SIGNS = frozenset("`~-*_+#0123456789")
UNDERLINE = re.compile(r"(?:=++|-++)[ \t]*\Z")
LEFT_SIGNS = frozenset(">\t")  # at the start of a line: left to the library
ANY_SIGNS = FIRST_SIGNS | LEFT_SIGNS | {"="}


class Left(Exception):  # noqa: N818 - no error: a block that is left to the library
    """A block holds what is not read here."""


def scan(lines: Sequence[str]) -> Iterator[Sign]:
    """The signs of a text, in the order of its lines."""
    reader, library = _Scan(lines), _Library(lines)
    line = reader.filled(0)
    while line < reader.count:
        found = reader.signs = []
        try:
            line = reader.block(line)
        except Left:
            found, line = library.block(line)
        yield from found
        line = reader.filled(line)


class _Scan:
    """The reading of the lines, and the items that are open.

    `inner` is the column at which the text of the innermost item begins, and `outer` the `inner` of what is around that item's
    list, -1 at the top level. `level` counts as markdown-it does, for `DEEPEST`.
    """

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines
        self.count = _count(lines)
        # Where each line's text begins, behind the markers of the items that are open on it; of an empty line its end.
        self.column = [0 if not line or line[0] > " " else _indent(line) for line in lines]
        self.inner, self.outer, self.level = 0, -1, 0
        self.signs: list[Sign] = []

    def filled(self, line: int) -> int:
        """The first line from one on that is not empty."""
        lines, column = self.lines, self.column
        while line < self.count and column[line] >= len(lines[line]):
            line += 1
        return line

    def block(self, line: int) -> int:
        """Read the block that begins on a line; the line behind it."""
        text, at = self.lines[line], self.column[line]
        if text[at] in LEFT_SIGNS:
            raise Left
        opening = OPENING.match(text, at) if text[at] in FIRST_SIGNS else None
        if opening is None:
            return self.paragraph(line)
        if opening["fence"]:
            return self.fence(line, opening["fence"])
        if opening["rule"]:
            return line + 1
        if opening["heading"]:
            markup = opening["heading"]
            self.signs.append(Sign(HEADING, line, line + 1, markup, len(markup)))
            return line + 1
        return self.list(line, opening)

    def paragraph(self, first: int) -> int:
        """A paragraph, or the heading that an underline makes of it, with every line that goes on with it."""
        lines, column, inner = self.lines, self.column, self.inner
        for line in range(first + 1, self.count):
            text, at = lines[line], column[line]
            if at >= len(text):
                break
            if text[at] not in ANY_SIGNS:
                continue
            if text[at] == "\t":
                raise Left
            if at - inner >= LAZY:
                continue
            if text[at] == ">":
                raise Left
            if at >= inner and UNDERLINE.match(text, at):
                self.signs.append(Sign(HEADING, first, line + 1, text[at], 1 if text[at] == "=" else 2))
                return line + 1
            if self.interrupts(text, at):
                break
        else:
            line = self.count
        self.signs.append(Sign(PARAGRAPH, first, line))
        return line

    def interrupts(self, text: str, at: int) -> bool:
        """Whether a line ends the paragraph above it. A list within the same item does so only with its first item, filled."""
        opening = OPENING.match(text, at)
        if opening is None:
            return False
        if opening["fence"] or opening["rule"] or opening["heading"]:
            return True
        if at < self.inner:
            return self.outer < 0 or at - self.outer < LAZY
        first = opening["count"] is None or int(opening["count"]) == 1
        return first and bool(text[opening.end() :].strip(" \t"))

    def fence(self, first: int, markup: str) -> int:
        """A fence, which ends with its own sign, with the item that it stands in, or with the text."""
        lines, column = self.lines, self.column
        closing = re.compile(rf"{markup}{markup[0]}*+[ \t]*\Z")
        line, end = first + 1, 0
        while line < self.count:
            text, at = lines[line], column[line]
            if "\t" in text[: at + 1]:
                raise Left
            if at < len(text) and at < self.inner:
                break
            if closing.match(text, at):
                end = line + 1
                break
            line += 1
        indent = column[first]
        content = "\n".join(text[min(indent, len(text) - len(text.lstrip(" "))) :] for text in lines[first + 1 : line])
        content += "\n" if first + 1 < line < len(lines) else ""
        info = lines[first][indent + len(markup) :]
        self.signs.append(Sign(FENCE, first, end or line, markup, 0, _shown(info), _shown(content)))
        return end or line

    def list(self, line: int, opening: re.Match[str]) -> int:
        """A list: items with one kind of marker, each with the blocks in it."""
        marker = opening.string[opening.end() - 1]
        self.signs.append(LIST)
        while True:
            line = self.item(line, opening.end())
            self.signs.append(ITEM_END)
            if line >= self.count:
                break
            text, at = self.lines[line], self.column[line]
            if at >= len(text) or at < self.inner:
                break
            if text[at] in LEFT_SIGNS:
                raise Left
            following = OPENING.match(text, at)
            if following is None or following["fence"] or following["rule"] or following["heading"]:
                break
            if (following["count"] is None) is not (opening["count"] is None) or text[following.end() - 1] != marker:
                break
            opening = following
        self.signs.append(LIST_END)
        return line

    def item(self, line: int, behind: int) -> int:
        """An item whose marker ends at a column; the line behind it."""
        lines, column = self.lines, self.column
        around = self.inner, self.outer, column[line]
        rest = lines[line][behind:]
        width = _indent(rest)
        start, empty = behind + width, width == len(rest)
        if not empty and rest[width] == "\t":
            raise Left
        self.signs.append(Sign(ITEM, line))
        self.outer, self.inner, column[line] = self.inner, behind + (1 if empty or width > LAZY else width), start
        self.level += 2
        try:
            if empty and (line + 1 >= self.count or column[line + 1] >= len(lines[line + 1])):
                return min(line + 2, self.count)
            return self.blocks(line)
        finally:
            self.level -= 2
            self.inner, self.outer, column[line] = around

    def blocks(self, line: int) -> int:
        """The blocks of an item, up to a line that is further out; the line behind them."""
        while (line := self.filled(line)) < self.count and self.column[line] >= self.inner:
            if self.level >= DEEPEST:
                return self.count
            line = self.block(line)
        return line


class _Library:
    """The same by markdown-it, whose state is made when it is first needed."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines

    @cached_property
    def state(self) -> StateBlock:
        """The library's own reading of the lines, at its top level."""
        from markdown_it import MarkdownIt
        from markdown_it.rules_block import StateBlock

        parser = MarkdownIt("commonmark", {"maxNesting": DEEPEST})
        parser.disable(["code", "html_block", "reference"])
        return StateBlock(_shown("\n".join(self.lines)), parser, {}, [])

    def block(self, line: int) -> tuple[list[Sign], int]:
        """The signs of the top-level block that begins on a line, and the line behind it."""
        state = self.state
        state.line, state.tokens = line, []
        for rule in state.md.block.ruler.getRules(""):
            if rule(state, line, state.lineMax, False):  # noqa: FBT003 - markdown-it's signature
                break
        return list(_signs(state)), state.line


def _signs(state: StateBlock) -> Iterator[Sign]:
    """The library's tokens as signs."""
    for token in state.tokens:
        first, end = token.map or (0, 0)
        if token.type in {"bullet_list_open", "ordered_list_open"}:
            yield LIST
        elif token.type in {"bullet_list_close", "ordered_list_close"}:
            yield LIST_END
        elif token.type == "list_item_open":
            yield Sign(ITEM, first)
        elif token.type == "list_item_close":
            yield ITEM_END
        elif token.type == "paragraph_open":
            yield Sign(PARAGRAPH, first, end)
        elif token.type == "heading_open":
            yield Sign(HEADING, first, end, token.markup, int(token.tag[1:]))
        elif token.type == "fence":
            yield Sign(FENCE, first, end, token.markup, 0, token.info, token.content)


def _count(lines: Sequence[str]) -> int:
    """How many lines there are: white space behind the last line feed is none."""
    return len(lines) - (not lines[-1].strip(" \t")) if lines else 0


def _indent(text: str) -> int:
    """The column at which a text begins behind spaces; of an empty one its end."""
    return len(text) - len(text.lstrip(" ")) if text.strip(" \t") else len(text)


def _shown(text: str) -> str:
    return text.replace("\0", "\ufffd")
