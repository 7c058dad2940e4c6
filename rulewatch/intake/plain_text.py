"""A plain text into a document: paragraphs, underlined headings, tables, footnotes, pages.

Lines stay as they are, hyphens at their ends included. A paragraph ends at an empty line, where an item begins, and where the
indent says so.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from rulewatch.intake.document import Block, Document, Kind, Line, Run, Spot
from rulewatch.intake.encoding import decoded, too_large
from rulewatch.intake.plain_pages import Row, furniture, pages
from rulewatch.intake.plain_tables import Cells, aligned, drawn, ruled
from rulewatch.intake.remarks import Remarks, Topic
from rulewatch.model.fault import Fault, Place

LINE_FEED = "\n"
MOST_LINES = 500_000
CHARACTER = 6.0  # points: the width of a letter of a typewriter face at 10 points
RULE = re.compile(r"\s*([=\-*~^\"'`#+_.:–—])\1{2,}\s*\Z")  # a line of one sign
SHORTER = 3  # characters by which the line under a heading may be shorter than its words
ITEM = re.compile(
    r"(?:[-*•–—]\s+|\(?(?:[0-9]{1,3}|[a-zA-Z]|[ivxIVX]{1,5})[.)]\s+|(?:§ ?)?[0-9A-Z]{1,3}(?:\.[0-9]{1,3})+\.?\s+|\[[0-9]{1,3}\]\s+)(?=\S)"
)
SENTENCE_END = (".", ";", ":", "!", "?", "and", "or", "und", "oder", ",")
NOTE = re.compile(r"\[([0-9]{1,3})\]\s")
CALL = re.compile(r"\[([0-9]{1,3})\]")
NOTE_INDENT = 2  # columns by which the paragraphs of a footnote are at least further in than its sign

FURNITURE = Topic(code="furniture", one="running head or foot", many="running heads and feet")


def read_plain_text(data: bytes, path: str, stated: str = "") -> Document:
    """The document of a plain text. `stated` is its encoding, where a person knows it."""
    text, faults = decoded(data, path, stated)
    if text.count(LINE_FEED) > MOST_LINES:
        fault = too_large(path, f"{text.count(LINE_FEED):,} lines", f"at most {MOST_LINES:,}")
        return Document(blocks=(), faults=(*faults, fault))
    if not text.strip():
        nothing = () if faults else (Fault(code="book-empty", place=Place(path=path), found="no text in this file"),)
        return Document(blocks=(), faults=(*faults, *nothing))
    book = pages(text)
    heads = furniture(book)
    remarks = Remarks(path)
    for row in sorted(heads, key=lambda row: row.file_line):
        remarks.add(FURNITURE, row.file_line, row.text)
    blocks = _Reader().blocks([[row for row in page if row not in heads] for page in book])
    return Document(
        blocks=tuple(_with_notes(blocks)), faults=(*faults, *remarks.warnings()), pages=len(book) if len(book) > 1 else 0
    )


class _Reader:
    """The kinds of underlining so far: the first to occur is that of the highest headings."""

    def __init__(self) -> None:
        self.styles: list[tuple[str, bool]] = []

    def blocks(self, book: Sequence[Sequence[Row]]) -> Iterator[Block]:
        """The blocks of all pages."""
        for page in book:
            for chunk in _chunks(page):
                yield from self.chunk(chunk)

    def chunk(self, rows: Sequence[Row]) -> Iterator[Block]:
        """The blocks of lines that no empty line parts."""
        table = drawn(rows) or ruled(rows) or aligned(rows)
        if table:
            yield _table(table)
            return
        at = 0
        while at < len(rows):
            heading, behind = self.heading(rows, at)
            if heading:
                yield heading
            else:
                behind = next((each for each in range(at + 1, len(rows)) if _is_framed(rows, each)), len(rows))
                words = [row for row in rows[at:behind] if not RULE.match(row.text)]
                yield from (_text(part) for part in _paragraphs(words))
            at = behind

    def heading(self, rows: Sequence[Row], at: int) -> tuple[Block | None, int]:
        """The heading that begins with a line, and the number of the line behind it."""
        framed = _is_framed(rows, at)
        words = at + 1 if framed else at
        if not framed and not (at + 1 < len(rows) and _underlines(rows[at + 1], rows[at])):
            return None, at
        style = (rows[words + 1].text.strip()[0], framed)
        if style not in self.styles:
            self.styles.append(style)
        return _text([rows[words]], level=self.styles.index(style) + 1), words + 2


def _is_framed(rows: Sequence[Row], at: int) -> bool:
    """Whether a line is the first of a heading between two lines of signs."""
    return at + 2 < len(rows) and bool(RULE.match(rows[at].text)) and _underlines(rows[at + 2], rows[at + 1])


def _underlines(line: Row, words: Row) -> bool:
    """Whether a line of signs is about as long as the words above it."""
    return (
        not RULE.match(words.text)
        and bool(RULE.match(line.text))
        and len(line.text.strip()) >= len(words.text.strip()) - SHORTER
    )


def _chunks(rows: Sequence[Row]) -> Iterator[list[Row]]:
    """Lines parted by empty ones."""
    chunk: list[Row] = []
    for row in rows:
        if row.text:
            chunk.append(row)
        elif chunk:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _paragraphs(rows: Sequence[Row]) -> Iterator[list[Row]]:
    """The paragraphs and items among lines that no empty line parts."""
    open_rows: list[Row] = []
    for at, row in enumerate(rows):
        following = rows[at + 1] if at + 1 < len(rows) else None
        if open_rows and _begins(open_rows, row, following):
            yield open_rows
            open_rows = []
        open_rows.append(row)
    if open_rows:
        yield open_rows


def _begins(before: Sequence[Row], row: Row, following: Row | None) -> bool:
    """Whether a line begins a paragraph, given the lines of the one that is open and the line behind."""
    first, last = before[0], before[-1]
    ended = last.text.endswith(SENTENCE_END)
    if ITEM.match(row.text, row.indent):
        # An item that hangs is sure; a number that a line only happens to begin with stands in the middle of a sentence.
        hangs = ITEM.match(first.text, first.indent) and (len(before) == 1 or last.indent > first.indent)
        return ended or row.indent < last.indent or bool(hangs and row.indent == first.indent)
    if len(before) > 1 and first.indent < last.indent and row.indent <= first.indent:
        return True
    return ended and row.indent > last.indent and (following is None or following.indent == last.indent) and len(before) > 1


def _line(row: Row, text: str, column: int) -> Line:
    spot = Spot(page=row.page, line=row.line)
    return Line(runs=(Run(text=text.replace("\u00ad", "")),), spot=spot, indent=CHARACTER * column)


def _text(rows: Sequence[Row], level: int = 0) -> Block:
    lines = tuple(_line(row, row.text.strip(), row.indent) for row in rows)
    return Block(kind=Kind.TEXT, spot=lines[0].spot, lines=lines, level=level)


def _table(rows: Sequence[Cells]) -> Block:
    cells = tuple(tuple(tuple(_line(row, text, 0) for row, text in cell) for cell in row) for row in rows)
    spot = next(line.spot for row in cells for cell in row for line in cell)
    return Block(kind=Kind.TABLE, spot=spot, rows=cells)


def _with_notes(blocks: Iterator[Block]) -> Iterator[Block]:
    """The blocks, in which those that begin with a sign such as [1], which is called elsewhere, are footnotes.

    The paragraphs behind one that are further in belong to it.
    """
    found = list(blocks)
    signs = [match[1] if block.lines and (match := NOTE.match(block.lines[0].text)) else "" for block in found]
    called = Counter(sign for block in found for line in block.lines for sign in CALL.findall(line.text))
    called.subtract(sign for sign in signs if sign)
    note: Block | None = None
    for block, sign in zip(found, signs, strict=True):
        if note and not sign and block.lines and _further_in(block, note):
            note = Block(kind=Kind.NOTE, spot=note.spot, lines=(*note.lines, *block.lines))
            continue
        if note:
            yield note
        note = Block(kind=Kind.NOTE, spot=block.spot, lines=block.lines) if sign and called[sign] > 0 else None
        if note is None:
            yield block
    if note:
        yield note


def _further_in(block: Block, note: Block) -> bool:
    return block.level == 0 and block.lines[0].indent >= note.lines[0].indent + NOTE_INDENT * CHARACTER
