"""What came of taking in a published book: the files of a new edition, or of a draft bulletin, and what a person must look at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.model.edition import Point
from rulewatch.model.step import Carriage


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a person asks for: where the book goes, and what it does not say itself.

    `previous` is the season before; empty for the latest one that is earlier. `numbering` are examples of labels. `bulletin`
    is its number, where the book is one.
    """

    body: str
    season: str
    previous: str = ""
    title: str = ""
    published: date | None = None
    effective: date | None = None
    numbering: str = ""
    bulletin: str = ""
    dry: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenChapter:
    """A chapter of the new edition: its file, its title as printed, and how many clauses it has."""

    path: str
    title: str
    clauses: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtfulEntry:
    """A doubtful place: where it is marked, in which clause, where to look in the published book, and why."""

    path: str
    line: int
    clause: str
    book: str
    page: int
    book_line: int
    why: str

    @property
    def where(self) -> str:
        """As a person would look it up."""
        spot = f"page {self.page}, line {self.book_line}" if self.page else f"line {self.book_line}"
        return f"{spot} of {self.book}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelStyle:
    """A style of label that the book has: one of its labels, and how many clauses have such."""

    example: str
    clauses: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """A book that was taken in.

    `files` are the paths that were written, or would be. `contents` is how many entries its contents pages have, all of them
    left out. `carriage` is what became of the readings of the season before; None where there is none. `made_body`: the body
    was new, and its file says only what could be known. `amendments` are the blocks that were recognised in a bulletin.
    """

    point: Point
    title: str
    files: tuple[str, ...]
    chapters: tuple[TakenChapter, ...]
    styles: tuple[LabelStyle, ...]
    doubts: tuple[DoubtfulEntry, ...]
    pages: int = 0
    contents: int = 0
    tables: int = 0
    notes: int = 0
    struck: int = 0
    inserted: int = 0
    carriage: Carriage | None = None
    made_body: bool = False
    amendments: int = 0
    bulletin: str = ""
    dry: bool = False

    @property
    def clauses(self) -> int:
        """How many clauses it has."""
        return sum(chapter.clauses for chapter in self.chapters)
