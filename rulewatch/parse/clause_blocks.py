"""Markdown into the blocks that clauses are made of: headings, paragraphs, items, fences, each with its lines and columns.

Two liberties are taken with CommonMark, both because rule text comes from many sources: indented text is never code, and
raw HTML and link definitions are text like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rulewatch.parse.block_scan import FENCE, HEADING, ITEM, ITEM_END, LIST, LIST_END, Sign, scan
from rulewatch.parse.labels import IN_CELL, IN_HEADING, IN_ITEM, IN_TEXT, Setting

MARKER = re.compile(r"[\s>]*(?:[-*+]|(?P<count>\d{1,9})[.)])(?=\s|$)")
TITLE = re.compile(r"[\s>]*(?:[-*+]\s+|\d{1,9}[.)]\s+)*(?P<hashes>#{1,6})(?:[ \t]+(?P<title>.*?))?(?:[ \t]+#+)?[ \t]*$")


class Block(NamedTuple):
    """One block. Lines count from 0 within the chapter, `end` is the first line behind, columns count from 0.

    `column` is where the block begins on its first line, list markers included, and `start` where its own text begins.
    `ordered` holds the columns of the ordered list markers that belong to it. `level` is a heading's, else 0. `unlabelled`
    means that no label can stand there: in a fence, and in a table's row behind its first block. `info` and `content` are a
    fence's. A tuple, since a book has tens of thousands of them.
    """

    first: int
    end: int
    column: int
    start: int
    setting: Setting = IN_TEXT
    level: int = 0
    title: str = ""
    ordered: tuple[int, ...] = ()
    unlabelled: bool = False
    info: str | None = None
    content: str = ""


def read_blocks(lines: Sequence[str]) -> Iterator[Block]:
    """The blocks of a text in order of its lines."""
    return _Walk(lines).blocks(scan(lines))


@dataclass(slots=True)
class _Row:
    """A row of a table that is written as a list item which begins with another: where it begins, and its blocks so far."""

    column: int
    blocks: int = 0


class _Walk:
    """Goes through the signs of a text, and keeps the list items that are open and not yet begun."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines
        self.pending: list[int] = []  # lines of the items whose first block is still to come
        self.rows: list[_Row | None] = []  # for each open list, the row that is open in it

    def blocks(self, signs: Iterable[Sign]) -> Iterator[Block]:
        """The blocks that the signs stand for, in order."""
        for sign in signs:
            if sign.kind is ITEM:
                self.open_item(sign.first)
            elif sign is LIST:
                if self.pending:
                    self.rows[-1] = _Row(self.indent(self.pending[0]))
                self.rows.append(None)
            elif sign is LIST_END:
                self.rows.pop()
            elif sign is not ITEM_END:
                yield self.block(sign, sign.first, sign.end)
            elif self.pending:
                yield self.block(sign, self.pending[0], self.pending[0] + 1)

    def indent(self, number: int) -> int:
        """The column at which a line begins."""
        return len(self.lines[number]) - len(self.lines[number].lstrip())

    def open_item(self, number: int) -> None:
        """An item further in than the row before it is one of its cells, whatever CommonMark makes of the columns."""
        row = self.rows[-1]
        if row is not None and self.indent(number) <= row.column:
            self.rows[-1] = None
        self.pending.append(number)

    def block(self, sign: Sign, first: int, end: int) -> Block:
        """The block of a sign, the markers of the items that it opens taken off."""
        opened = self.pending
        if opened:
            self.pending = []
            first = opened[0]
        line = self.lines[first]
        column = self.indent(first)
        start, ordered = self.skip_markers(line, opened.count(first)) if opened else (_behind_quotes(line, 0), ())
        if sign.kind is HEADING:
            return self.heading(sign, Block(first, end, column, start, IN_HEADING, sign.level, ordered=ordered))
        if sign.kind is FENCE:
            fence = max(line.find(sign.markup), 0)
            return Block(
                first, end, column, fence, ordered=ordered, unlabelled=True, info=sign.info.strip(), content=sign.content
            )
        row = next(filter(None, self.rows), None)
        if row is None:
            return Block(first, end, column, start, IN_ITEM if opened else IN_TEXT, ordered=ordered)
        row.blocks += 1
        return Block(first, end, column, start, IN_CELL, ordered=ordered, unlabelled=row.blocks > 1)

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
        return _behind_quotes(line, start), tuple(ordered)

    def heading(self, sign: Sign, block: Block) -> Block:
        """A heading with its title: without the signs that make it one."""
        line = self.lines[block.first]
        start = block.start
        if sign.markup.startswith("#"):
            match = TITLE.match(line)
            title = (match["title"] or "") if match else ""
            start = match.start("title") if match and title else len(line)
        else:
            title = " ".join(part.strip() for part in (line[start:], *self.lines[block.first + 1 : block.end - 1]))
        return block._replace(start=start, title=title)


def _behind_quotes(line: str, start: int) -> int:
    """Where the text behind blanks and signs of quotation begins."""
    rest = line[start:]
    return len(line) - len(rest.lstrip(" \t>"))
