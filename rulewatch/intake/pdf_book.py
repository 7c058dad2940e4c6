"""The pages of a PDF into a `Document`: each stage a call into one module.

Pages are read one by one (`pdf_file`) into letters and rules; the rest looks at the book as a whole, since what a running head,
a gutter, a colour or a size means shows only there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from rulewatch.intake.document import Document
from rulewatch.intake.pdf_columns import agreed, flows, may_have_columns
from rulewatch.intake.pdf_file import Book, PageError, opened
from rulewatch.intake.pdf_furniture import Paper, furniture
from rulewatch.intake.pdf_grids import Grid, Walls, grids, is_wall, walls
from rulewatch.intake.pdf_hidden import scanned, shown
from rulewatch.intake.pdf_layout import Figure, Laid, joined, left_edges, placed
from rulewatch.intake.pdf_marks import style, touched, usual, with_lines
from rulewatch.intake.pdf_page import USUAL, Bounds, Box, Sheet
from rulewatch.intake.pdf_pictures import figures, repeated
from rulewatch.intake.pdf_remarks import (
    ACROSS,
    FURNITURE,
    PICTURED,
    RECOGNISED,
    SIDEWAYS,
    SILENT,
    UNKNOWN,
    UNSEEN,
    Remark,
    fault,
    inserted,
)
from rulewatch.intake.pdf_words import Row, Word, once, rows_of, words_of
from rulewatch.model.fault import Fault

Progress = Callable[[int, int], None]

_SCANNED = 0.8  # of the pages: where more hold no text the book is one of pictures
_UNKNOWN = 0.5  # of the letters: where the file says of more not what they are there is nothing to read


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """A page on its way: its words so far, and those that do not show."""

    sheet: Sheet
    words: tuple[Word, ...]
    unseen: tuple[Word, ...] = ()
    letters: int = 0


def read_pages(data: bytes, path: str, progress: Progress | None = None, bounds: Bounds = USUAL) -> Document:
    """As `read_pdf`, but in this process: a file that makes the library run on and on is not stopped."""
    with opened(data, path, bounds) as book:
        if isinstance(book, Fault):
            return Document(blocks=(), faults=(book,))
        count = book.pages
        pages, faults = _pages(book, path, bounds, progress)
    if without := _without_text(pages, count, path):
        return Document(blocks=(), faults=(*faults, without), pages=count)
    bare, heads = _without_furniture(pages)
    laid, size, colour = _laid(bare)
    rows, links = _all_rows(laid)
    look = style(rows, links, size, colour)
    blocks = joined(placed(laid, look, left_edges(laid)))
    about = (*_remarks(pages, heads, laid), inserted(blocks))
    return Document(
        blocks=tuple(blocks), faults=(*faults, *(remark.fault(path) for remark in about if remark.pages)), pages=count
    )


def _pages(book: Book, path: str, bounds: Bounds, progress: Progress | None) -> tuple[list[_Page], list[Fault]]:
    """The words of every page that can be read."""
    pages: list[_Page] = []
    faults: list[Fault] = []
    work = 0
    if progress:
        progress(0, book.pages)
    for number in range(1, book.pages + 1):
        if work > bounds.work:
            found = f"pages {number} to {book.pages} were not read: the pages before hold {work:,} letters and lines"
            faults.append(fault("page-unread", path, found, expected=f"at most {bounds.work:,}", remedy="split the book"))
            break
        try:
            sheet = book.sheet(number)
        except PageError as error:
            faults.append(fault("page-unread", path, f"page {number} was not read: {error}"))
        else:
            work += sheet.work
            seen, unseen = shown(once(words_of(sheet.glyphs)), sheet)
            bare = replace(sheet, glyphs=())
            pages.append(_Page(sheet=bare, words=tuple(seen), unseen=tuple(unseen), letters=len(sheet.glyphs)))
        if progress:
            progress(number, book.pages)
    return pages, faults


def _without_text(pages: Sequence[_Page], count: int, path: str) -> Fault | None:
    """Why a book is none: all or nearly all of its pages hold no words."""
    silent = [page for page in pages if not page.words]
    if sum(page.sheet.unknown for page in pages) > _UNKNOWN * sum(page.letters for page in pages):
        found = "the file does not say which letters its signs are: there is no text to be read"
        return fault("encoding-guessed", path, found, remedy="ask the body for the file that was printed")
    if not pages or len(silent) < _SCANNED * count:
        return None
    if any(page.sheet.pictures or page.sheet.drawn for page in silent):
        found = f"{len(silent)} of {count} pages are pictures without text: the book was scanned"
        remedy = "ask the body for the file that was printed, or have the text recognised and check every word of it"
        return fault("book-scanned", path, found, remedy=remedy)
    return fault("book-empty", path, f"none of the {count} pages holds text") if len(silent) == len(pages) else None


def _without_furniture(pages: Sequence[_Page]) -> tuple[list[_Page], dict[int, list[Row]]]:
    """The pages without their heads and feet, and those by page."""
    papers = [Paper(page.sheet.number, page.sheet.height, tuple(rows_of(page.words))) for page in pages]
    size, _ = usual(row for paper in papers for row in paper.rows)
    gone = furniture(papers, size)
    bare = [
        replace(
            page, words=tuple(word for n, row in enumerate(paper.rows) if n not in gone[paper.number] for word in row.words)
        )
        for page, paper in zip(pages, papers, strict=True)
    ]
    return bare, {paper.number: [paper.rows[n] for n in sorted(gone[paper.number])] for paper in papers}


def _laid(pages: Sequence[_Page]) -> tuple[list[Laid], float, tuple[int, int, int]]:
    """The pages with their tables, pictures and columns; the usual size and colour of letters."""
    signs = repeated([page.sheet for page in pages])
    prepared = [_prepared(page, signs) for page in pages]
    size, colour = usual(row for rest, _ in prepared for row in rows_of(rest))
    shown_gutters = agreed([rows_of(rest) for rest, _ in prepared])
    laid = [
        Laid(sheet=page.sheet, flows=tuple(flows(rest, [thing.box for thing in things], found, size)), things=things)
        for page, (rest, things), found in zip(pages, prepared, shown_gutters, strict=True)
    ]
    return laid, size, colour


def _prepared(page: _Page, signs: set[tuple[int, int, int, int]]) -> tuple[list[Word], tuple[Grid | Figure, ...]]:
    """A page's words with the lines that touch them, without those in tables and pictures; and these."""
    known: list[Walls] = walls(page.sheet.rules)
    free = [rule for rule in page.sheet.rules if rule.level and not is_wall(rule, known)]
    words = with_lines(page.words, touched(page.words, page.sheet, free))
    tables, rest = grids(words, known)
    drawn, rest = figures(rest, page.sheet, signs)
    return rest, (*tables, *drawn)


def _all_rows(laid: Sequence[Laid]) -> tuple[list[Row], list[Sequence[Box]]]:
    rows: list[Row] = []
    links: list[Sequence[Box]] = []
    for page in laid:
        own = [row for flow in page.flows for row in flow.rows]
        own += [
            row for thing in page.things if isinstance(thing, Grid) for cells in thing.rows for cell in cells for row in cell
        ]
        rows += own
        links += [page.sheet.links] * len(own)
    return rows, links


def _remarks(pages: Sequence[_Page], heads: dict[int, list[Row]], laid: Sequence[Laid]) -> tuple[Remark, ...]:
    """What was left out or needs a look, with its pages."""
    topped = [number for number, rows in heads.items() if rows]
    sideways = [page for page in pages if page.sheet.sideways]
    unseen = [page for page in pages if page.unseen]
    recognised = [page for page in pages if page.words and scanned(page.sheet) and not all(w.look.drawn for w in page.words)]
    across = [page for page in laid if len(page.flows) == 1 and may_have_columns(page.flows[0].rows)]
    pictured = [page for page in laid if any(isinstance(thing, Figure) for thing in page.things)]
    return (
        Remark("furniture", topped, FURNITURE, [row.text for number in topped[:2] for row in heads[number]]),
        Remark("text-hidden", _numbers(sideways), SIDEWAYS, [page.sheet.sideways for page in sideways[:1]]),
        Remark("text-hidden", _numbers(unseen), UNSEEN, [word.text for page in unseen[:1] for word in page.unseen]),
        Remark("book-scanned", _numbers(recognised), RECOGNISED),
        Remark("page-without-text", _numbers([page for page in pages if not page.words]), SILENT),
        Remark("encoding-guessed", _numbers([page for page in pages if page.sheet.unknown]), UNKNOWN),
        Remark("picture", _numbers(pictured), PICTURED),
        Remark("columns-unsure", _numbers(across), ACROSS),
    )


def _numbers(pages: Iterable[_Page | Laid]) -> list[int]:
    return [page.sheet.number for page in pages]
