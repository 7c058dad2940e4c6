"""A book in PDF into a `Document`."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rulewatch.intake.document import Block, Document, Kind, Spot
from rulewatch.intake.pdf_blocks import line, paragraphs
from rulewatch.intake.pdf_file import Book, PageError, opened
from rulewatch.intake.pdf_page import Bounds, Sheet
from rulewatch.intake.pdf_words import Row, once, rows_of, words_of
from rulewatch.model.fault import Fault, Place


def read_pdf(
    data: bytes, path: str, *, progress: Callable[[int, int], None] | None = None, bounds: Bounds | None = None
) -> Document:
    """The book's blocks in reading order, with the page and line of each.

    `path` is named in faults. `progress` is told how many pages of how many are read. Nothing is raised for a bad file: what
    could not be read, or was left out, is in the document's faults.
    """
    bounds = bounds or Bounds()
    with opened(data, path, bounds) as book:
        if isinstance(book, Fault):
            return Document(blocks=(), faults=(book,))
        sheets, faults = _sheets(book, path, progress)
    blocks = [block for sheet in sheets for block in _blocks(sheet)]
    return Document(blocks=tuple(blocks), faults=tuple(faults), pages=book.pages)


def _sheets(book: Book, path: str, progress: Callable[[int, int], None] | None) -> tuple[list[Sheet], list[Fault]]:
    sheets: list[Sheet] = []
    faults: list[Fault] = []
    for number in range(1, book.pages + 1):
        try:
            sheets.append(book.sheet(number))
        except PageError as error:
            faults.append(Fault(code="page-unread", place=Place(path=path), found=f"page {number} was not read: {error}"))
        if progress:
            progress(number, book.pages)
    return sheets, faults


def _blocks(sheet: Sheet) -> list[Block]:
    rows: Sequence[Row] = rows_of(once(words_of(sheet.glyphs)))
    edge = min((row.left for row in rows), default=0.0)
    found: list[Block] = []
    number = 0
    for paragraph in paragraphs(rows):
        lines = []
        for row in paragraph:
            number += 1
            lines.append(line(row, Spot(page=sheet.number, line=number), edge))
        found.append(Block(kind=Kind.TEXT, spot=lines[0].spot, lines=tuple(lines)))
    return found
