"""A published book as its reader gives it: what stands on the pages, in reading order, whatever the format of the file.

Each reader (`pdf`, `docx`, `html`, `markdown`, `text`) turns bytes into a `Document`; everything behind it (`structure`) knows only this.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rulewatch.model.fault import Fault


class Mark(StrEnum):
    """How a body shows that words go or come."""

    NONE = ""
    STRUCK = "struck"
    INSERTED = "inserted"


class Kind(StrEnum):
    """What a block is."""

    TEXT = "text"  # a paragraph, a heading, an item of a list
    TABLE = "table"
    NOTE = "note"  # a footnote, with its sign in front
    PICTURE = "picture"  # something without text; a crew must look at it


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where something stands: the page, from 1, and the line on it; page 0 and the line of the file where there are no pages."""

    page: int = 0
    line: int = 0

    def __str__(self) -> str:
        """As a person would look it up."""
        return f"page {self.page}, line {self.line}" if self.page else f"line {self.line}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Words of one look. `size` is in points, 0 where it is not known; `raised` is a superior figure, such as the call of a footnote."""

    text: str
    mark: Mark = Mark.NONE
    bold: bool = False
    italic: bool = False
    raised: bool = False
    size: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line as printed; a whole paragraph where the format does not fix its lines. `indent` is its left edge in points."""

    runs: tuple[Run, ...]
    spot: Spot
    indent: float = 0.0

    @property
    def text(self) -> str:
        """The words alone."""
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A paragraph, table, footnote or picture.

    `level` is that of a heading (1 is the highest) where the format itself says so, else 0. `label` is a number that the format
    keeps apart from the text (the automatic numbering of a word processor, the items of a numbered list), as a reader
    sees it. `rows` are a table's cells, each the lines in it; the first row is its head. A picture has neither lines nor rows, or
    the text that the format gives in its place. `spot` is where it begins.
    """

    kind: Kind
    spot: Spot
    lines: tuple[Line, ...] = ()
    rows: tuple[tuple[tuple[Line, ...], ...], ...] = ()
    level: int = 0
    label: str = ""

    @property
    def text(self) -> str:
        """The words alone, lines parted by line breaks."""
        return "\n".join(line.text for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A book as its reader gives it.

    `faults` say what could not be read; warnings among them, what was left out (a running head, a script) or needs a look
    (a page without text), each with its page. `pages` is 0 where the format has none.
    """

    blocks: tuple[Block, ...]
    faults: tuple[Fault, ...] = ()
    pages: int = 0
