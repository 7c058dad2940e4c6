"""Markdown into the blocks that clauses are made of: headings, paragraphs, items, fences, each with its lines and columns.

Two liberties are taken with CommonMark, both because rule text comes from many sources: indented text is never code, and
raw HTML and link definitions are text like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.token import Token

from rulewatch.parse.labels import Setting

DEEPEST = 100  # block levels; a list takes two. What is nested deeper stays text of the block around it.
MARKER = re.compile(r"[\s>]*(?:[-*+]|(?P<count>\d{1,9})[.)])(?=\s|$)")
FIRST_CELL = 2
TITLE = re.compile(r"[\s>]*(?:[-*+]\s+|\d{1,9}[.)]\s+)*(?P<hashes>#{1,6})(?:[ \t]+(?P<title>.*?))?(?:[ \t]+#+)?[ \t]*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One block. Lines count from 0 within the chapter, `end` is the first line behind, columns count from 0.

    `column` is where the block begins on its first line, list markers included, and `start` where its own text begins.
    `ordered` holds the columns of the ordered list markers that belong to it. `level` is a heading's, else 0. For a fence
    `info` and `content` are set.
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


class _Walk:
    """Goes through the library's tokens, and keeps the list items that are open and not yet begun."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines
        self.pending: list[int] = []  # lines of the items whose first block is still to come
        self.rows: list[int] = []  # for each open list: 0 for no row of a table, else 1 + blocks seen in it

    def blocks(self, tokens: Sequence[Token]) -> Iterator[Block]:
        for token in tokens:
            if token.type in {"bullet_list_open", "ordered_list_open"}:
                self.rows.append(1 if self.pending else 0)
            elif token.type in {"bullet_list_close", "ordered_list_close"}:
                self.rows.pop()
            elif token.type == "list_item_open" and token.map:
                self.pending.append(token.map[0])
            elif token.type == "list_item_close" and self.pending:
                yield self.block(token, self.pending[0], self.pending[0] + 1)
            elif token.type in {"paragraph_open", "heading_open", "fence"} and token.map:
                yield self.block(token, *token.map)

    def block(self, token: Token, first: int, end: int) -> Block:
        """The block of a token, the markers of the items that it opens taken off."""
        opened = self.pending
        self.pending = []
        first = min([first, *opened])
        line = self.lines[first] if first < len(self.lines) else ""
        column = len(line) - len(line.lstrip())
        start, ordered = self.skip_markers(line, sum(item == first for item in opened))
        settings = self.setting(in_item=bool(opened))
        if token.type == "heading_open":
            return self.heading(token, first, end, column, start, ordered)
        if token.type == "fence":
            return Block(
                first=first,
                end=end,
                column=column,
                start=max(line.find(token.markup), 0),
                info=token.info.strip(),
                content=token.content,
                unlabelled=True,
            )
        return Block(
            first=first, end=end, column=column, start=start, ordered=ordered, setting=settings[0], unlabelled=settings[1]
        )

    def setting(self, *, in_item: bool) -> tuple[Setting, bool]:
        """Where a block stands, and whether it cannot have a label: every cell of a row but the first."""
        row = next((depth for depth, seen in enumerate(self.rows) if seen), None)
        if row is None:
            return (Setting.ITEM if in_item else Setting.TEXT), False
        self.rows[row] += 1
        return Setting.CELL, self.rows[row] > FIRST_CELL

    @staticmethod
    def skip_markers(line: str, markers: int) -> tuple[int, tuple[int, ...]]:
        start, ordered = 0, []
        for _ in range(markers):
            match = MARKER.match(line, start)
            if match is None:
                break
            if match["count"]:
                ordered.append(match.start("count"))
            start = match.end()
        while line[start : start + 1] in {" ", "\t", ">"}:
            start += 1
        return start, tuple(ordered)

    def heading(self, token: Token, first: int, end: int, column: int, start: int, ordered: tuple[int, ...]) -> Block:
        level = int(token.tag[1:])
        if token.markup.startswith("#"):
            match = TITLE.match(self.lines[first])
            title = (match["title"] or "") if match else ""
            start = match.start("title") if match and match["title"] else len(self.lines[first])
        else:
            title = " ".join(line.strip() for line in (self.lines[first][start:], *self.lines[first + 1 : end - 1]))
        return Block(
            first=first, end=end, column=column, start=start, setting=Setting.HEADING, level=level, title=title, ordered=ordered
        )
