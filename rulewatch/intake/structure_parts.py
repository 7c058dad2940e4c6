"""A book between its pages and its chapters: clauses in the making, and what stands in them, in the order of the book."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum, auto
from typing import NamedTuple

from rulewatch.intake.document import Block, Spot
from rulewatch.intake.structure_words import Passage
from rulewatch.parse.clause_numbering import Node

LINES_OF_TITLE, LENGTH_OF_TITLE = 12, 1000


class At(NamedTuple):
    """Where something is among what was read: the file, the block in it, the line in that, all from 0."""

    file: int
    block: int
    line: int = 0


@dataclass(slots=True, eq=False, kw_only=True)
class Part:
    """A clause in the making: its number as placed, where it begins, and its own words so far, for those who look at them.

    `level` is that of its heading, 0 for a paragraph. `alone`: its number is to be written as a heading of its own, where it
    could not be read back otherwise.
    """

    node: Node
    spot: Spot
    at: At
    level: int = 0
    pieces: list[str] = field(default_factory=list)
    alone: bool = False

    @property
    def text(self) -> str:
        """Its own words, a line for each piece."""
        return "\n".join(self.pieces).strip()

    @property
    def beginning(self) -> str:
        """Its first words, enough to hold a title."""
        return "\n".join(self.pieces[:LINES_OF_TITLE])[:LENGTH_OF_TITLE]


class What(Enum):
    """What an item is."""

    OPENS = auto()  # a clause begins, with its number and its title or first words
    WORDS = auto()
    HEADING = auto()  # without a number
    TABLE = auto()
    NOTE = auto()
    DOUBT = auto()  # something that a person must look at


@dataclass(slots=True, eq=False, kw_only=True)
class Item:
    """One piece of the book, and the clause that it falls to; none in front of the first.

    `level` is that of a heading. `notes` are the signs of footnotes that it calls and that were found. `why` is for a person,
    of a doubtful place. `title` are words of a heading that stood below its number.
    """

    what: What
    owner: Part | None
    spot: Spot
    at: At
    passage: Passage | None = None
    title: Passage | None = None
    table: Block | None = None
    level: int = 0
    why: str = ""
    indent: float = 0.0
    notes: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An entry of a table of contents: its number as printed and as an id, empty where it has none, and its title."""

    spot: Spot
    file: int
    label: str
    id: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """A table of contents that was left out: in which file, and its entries."""

    file: int
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A line that begins with what looks like the number of a clause, and was taken for text.

    `again`: as such it was tried first. `lone`: a number without full stop or bracket, in an `annex` or in the main part.
    """

    number: str
    spot: Spot
    at: At
    again: bool = False
    lone: bool = False
    annex: Node | None = None


@dataclass(slots=True, kw_only=True)
class Draft:
    """A book in the making: its items in order, its clauses, the labels that were not taken, and its footnotes.

    `notes` are the footnotes that are not yet put where they belong.
    """

    items: list[Item] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    notes: list[Item] = field(default_factory=list)
