"""Markdown into the blocks that clauses are made of: headings, paragraphs, items, fences, each with its lines and columns.

Two liberties are taken with CommonMark, both because rule text comes from many sources: indented text is never code, and
raw HTML and link definitions are text like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.token import Token

from rulewatch.parse.labels import Setting

DEEPEST = 100  # block levels; a list takes two. What is nested deeper stays text of the block around it.
MARKER = re.compile(r"[\s>]*(?:[-*+]|(?P<count>\d{1,9})[.)])(?=\s|$)")
TITLE = re.compile(r"[\s>]*(?:[-*+]\s+|\d{1,9}[.)]\s+)*(?P<hashes>#{1,6})(?:[ \t]+(?P<title>.*?))?(?:[ \t]+#+)?[ \t]*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One block. Lines count from 0 within the chapter, `end` is the first line behind, columns count from 0.

    `column` is where the block begins on its first line, list markers included, and `start` where its own text begins.
    `ordered` holds the columns of the ordered list markers that belong to it. `level` is a heading's, else 0. `unlabelled`
    means that no label can stand there: in a fence, and in a table's row behind its first block. `info` and `content` are a
    fence's.
    """

    first: int
    end: int
    column: int
    start: int
    setting: Setting = Setting.TEXT
    level: int = 0
    title: str = ""
    ordered: tuple[int, ...] = ()
    unlabelled: bool = False
    info: str | None = None
    content: str = ""


@cache
def _parser() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"maxNesting": DEEPEST})
    parser.disable(["code", "html_block", "reference"])
    return parser


def read_blocks(lines: Sequence[str]) -> Iterator[Block]:
    """The blocks of a text in order of its lines."""
    tokens: list[Token] = []
    parser = _parser()
    parser.block.parse("\n".join(lines).replace("\0", "\ufffd"), parser, {}, tokens)
    return _Walk(lines).blocks(tokens)


@dataclass(slots=True)
class _Row:
    """A row of a table that is written as a list item which begins with another: where it begins, and its blocks so far."""

    column: int
    blocks: int = 0


class _Walk:
    """Goes through the library's tokens, and keeps the list items that are open and not yet begun."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines
        self.pending: list[int] = []  # lines of the items whose first block is still to come
        self.rows: list[_Row | None] = []  # for each open list, the row that is open in it

    def blocks(self, tokens: Sequence[Token]) -> Iterator[Block]:
        """The blocks of the tokens, in order."""
        for token in tokens:
            if token.type in {"bullet_list_open", "ordered_list_open"}:
                if self.pending:
                    self.rows[-1] = _Row(self.indent(self.pending[0]))
                self.rows.append(None)
            elif token.type in {"bullet_list_close", "ordered_list_close"}:
                self.rows.pop()
            elif token.type == "list_item_open" and token.map:
                self.open_item(token.map[0])
            elif token.type == "list_item_close" and self.pending:
                yield self.block(token, self.pending[0], self.pending[0] + 1)
            elif token.type in {"paragraph_open", "heading_open", "fence"} and token.map:
                yield self.block(token, *token.map)

    def indent(self, number: int) -> int:
        """The column at which a line begins."""
        return len(self.lines[number]) - len(self.lines[number].lstrip())

    def open_item(self, number: int) -> None:
        """An item further in than the row before it is one of its cells, whatever CommonMark makes of the columns."""
        row = self.rows[-1]
        if row is not None and self.indent(number) <= row.column:
            self.rows[-1] = None
        self.pending.append(number)

    def block(self, token: Token, first: int, end: int) -> Block:
        """The block of a token, the markers of the items that it opens taken off."""
        opened = self.pending
        self.pending = []
        first = min([first, *opened])
        column = self.indent(first)
        start, ordered = self.skip_markers(self.lines[first], sum(item == first for item in opened))
        block = Block(first=first, end=end, column=column, start=start, ordered=ordered)
        if token.type == "heading_open":
            return self.heading(token, block)
        if token.type == "fence":
            fence = max(self.lines[first].find(token.markup), 0)
            return replace(block, start=fence, info=token.info.strip(), content=token.content, unlabelled=True)
        row = next((row for row in self.rows if row is not None), None)
        if row is None:
            return replace(block, setting=Setting.ITEM if opened else Setting.TEXT)
        row.blocks += 1
        return replace(block, setting=Setting.CELL, unlabelled=row.blocks > 1)

    @staticmethod
    def skip_markers(line: str, markers: int) -> tuple[int, tuple[int, ...]]:
        """Where a line's own text begins behind so many list markers, and the columns of the ordered ones."""
        start, ordered = 0, []
        for _ in range(markers):
            match = MARKER.match(line, start)
            if match is None:
                break
            if match["count"]:
                ordered.append(match.start("count"))
            start = match.end()
        return start + len(line[start:]) - len(line[start:].lstrip(" \t>")), tuple(ordered)

    def heading(self, token: Token, block: Block) -> Block:
        """A heading with its title: without the signs that make it one."""
        line = self.lines[block.first]
        start = block.start
        if token.markup.startswith("#"):
            match = TITLE.match(line)
            title = (match["title"] or "") if match else ""
            start = match.start("title") if match and title else len(line)
        else:
            title = " ".join(part.strip() for part in (line[start:], *self.lines[block.first + 1 : block.end - 1]))
        return replace(block, start=start, setting=Setting.HEADING, level=int(token.tag[1:]), title=title)
