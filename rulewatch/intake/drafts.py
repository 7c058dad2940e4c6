"""Blocks while a reader still collects them: words with their look, before it is known which colour is that of the text.

A body marks new words by underlining or by a colour of their own. A colour counts as such a mark only where it is a colour at
all, and is not that in which most of the book is printed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby
from operator import itemgetter
from typing import NamedTuple

from rulewatch.intake.document import Block, Kind, Line, Mark, Run, Spot
from rulewatch.intake.remarks import Remarks, Topic

COLOURFUL = 64  # of 255: by how much the strongest of red, green and blue must exceed the weakest; greys stay below
DEEPER = 18.0  # points by which a list or quotation is indented
INVISIBLE = str.maketrans("", "", "\u00ad")  # soft hyphens: they show only where a line was broken
SPACE = re.compile(r"[ \t\r\n\f]+")

UNDERLINED = Topic(
    code="marks-by-look",
    one="word that is underlined",
    many="words that are underlined",
    fate="taken for inserted",
    remedy="check that the body marks new words so",
)
COLOURED = Topic(
    code="marks-by-look",
    one="word in a colour of its own",
    many="words in a colour of their own",
    fate="taken for inserted",
    remedy="check that the body marks new words so",
)


class Look(NamedTuple):
    """How words look. `colour` is six hexadecimal digits, or nothing for that of the text; `keep` keeps white space as it is."""

    mark: Mark = Mark.NONE
    underlined: bool = False
    colour: str = ""
    bold: bool = False
    italic: bool = False
    raised: bool = False
    size: float = 0.0
    keep: bool = False


PLAIN = Look()


@dataclass(slots=True, kw_only=True)
class DraftLine:
    """A line that is being collected."""

    spot: Spot
    indent: float = 0.0
    pieces: list[tuple[str, Look]] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The words alone."""
        return "".join(text for text, _ in self.pieces)

    def add(self, text: str, look: Look) -> None:
        """Words at the end."""
        self.pieces.append((text, look))

    def trim(self) -> None:
        """Take away the white space at its end."""
        while self.pieces and not (kept := self.pieces[-1][0].rstrip(" \t\n")):
            self.pieces.pop()
        if self.pieces:
            self.pieces[-1] = (kept, self.pieces[-1][1])


@dataclass(slots=True, kw_only=True)
class DraftBlock:
    """A block that is being collected."""

    kind: Kind
    spot: Spot
    lines: list[DraftLine] = field(default_factory=list)
    rows: list[list[list[DraftLine]]] = field(default_factory=list)
    level: int = 0
    label: str = ""

    def all_lines(self) -> Iterator[DraftLine]:
        """Its own lines, then those of its cells."""
        yield from self.lines
        for row in self.rows:
            for cell in row:
                yield from cell


class Flow:
    """The blocks of a book, of a note or of a cell, as its words come in."""

    def __init__(self) -> None:
        self.blocks: list[DraftBlock] = []
        self.label = ""
        self._lines: list[DraftLine] = []
        self._open: DraftLine | None = None
        self._behind: list[DraftBlock] = []  # what comes behind the block that is open

    def add(self, text: str, look: Look, spot: Spot, indent: float = 0.0) -> None:
        """Words; white space is folded where the look does not keep it, and none begins a line."""
        text = text.translate(INVISIBLE)
        if look.keep:
            first, *others = text.split("\n")
            self._put(first, look, spot, indent)
            for number, part in enumerate(others, start=1):
                self.break_line(Spot(page=spot.page, line=spot.line + number), indent)
                self._put(part, look, Spot(page=spot.page, line=spot.line + number), indent)
            return
        folded = SPACE.sub(" ", text)
        if folded.startswith(" "):
            before = self._open.pieces[-1][0] if self._open and self._open.pieces else " "
            if before.endswith(" "):
                folded = folded[1:]
                spot = Spot(page=spot.page, line=spot.line + text[: len(text) - len(text.lstrip())].count("\n"))
        self._put(folded, look, spot, indent)

    def _put(self, text: str, look: Look, spot: Spot, indent: float) -> None:
        if not text:
            return
        if self._open is None:
            self._open = DraftLine(spot=spot, indent=indent)
        self._open.add(text, look)

    def break_line(self, spot: Spot, indent: float = 0.0) -> None:
        """End the line and begin another one in the same block."""
        if self._open is not None:
            self._lines.append(self._open)
            self._open = DraftLine(spot=spot, indent=indent)

    def end(self, *, level: int = 0, kind: Kind = Kind.TEXT) -> DraftBlock | None:
        """End the block; nothing where it has no words, and no line without words at either end."""
        if self._open is not None:
            self._lines.append(self._open)
        lines, self._lines, self._open = self._lines, [], None
        block = self._ended(lines, level, kind)
        self.blocks += self._behind
        self._behind = []
        return block

    def aside(self, block: DraftBlock) -> None:
        """Something that stands within the block that is open, and comes behind it: a picture, a note."""
        self._behind.append(block)

    def _ended(self, lines: list[DraftLine], level: int, kind: Kind) -> DraftBlock | None:
        for line in lines:
            line.trim()
        while lines and not lines[-1].text.strip():
            lines.pop()
        while lines and not lines[0].text.strip():
            del lines[0]
        if not lines:
            return None
        block = DraftBlock(kind=kind, spot=lines[0].spot, lines=lines, level=level, label=self.label)
        self.label = ""
        self.blocks.append(block)
        return block

    def flush_label(self, spot: Spot) -> None:
        """Give a number whose own words have not come its own block, before another number takes its place."""
        if self.label:
            self.blocks.append(DraftBlock(kind=Kind.TEXT, spot=spot, lines=[DraftLine(spot=spot)], label=self.label))
            self.label = ""


def cell_lines(blocks: Iterable[DraftBlock]) -> list[DraftLine]:
    """What stands in a cell as lines: a number is put in front of its words, a table in it becomes a line a row."""
    lines: list[DraftLine] = []
    for block in blocks:
        own = block.lines
        if block.rows:
            own = [joined(row) for row in block.rows]
        elif block.label:
            first = own[0]
            first.pieces.insert(0, (f"{block.label} ", first.pieces[0][1] if first.pieces else PLAIN))
        lines += own
    return lines


def joined(row: list[list[DraftLine]]) -> DraftLine:
    """The cells of a row in one line."""
    filled = [line for cell in row for line in cell if line.pieces]
    whole = DraftLine(spot=filled[0].spot if filled else Spot())
    for line in filled:
        if whole.pieces:
            whole.add("; ", PLAIN)
        whole.pieces += line.pieces
    return whole


def finished(drafts: Iterable[DraftBlock], remarks: Remarks) -> tuple[Block, ...]:
    """The blocks of a book, once all of it is collected; says how many words were taken for inserted by their look alone."""
    drafts = list(drafts)
    usual = _usual_colour(drafts)
    return tuple(_finished(draft, usual, remarks) for draft in drafts)


def _finished(draft: DraftBlock, usual: str, remarks: Remarks) -> Block:
    return Block(
        kind=draft.kind,
        spot=draft.spot,
        lines=tuple(_line(line, usual, remarks, heading=draft.level > 0) for line in draft.lines),
        rows=tuple(
            tuple(tuple(_line(line, usual, remarks, heading=False) for line in cell) for cell in row) for row in draft.rows
        ),
        level=draft.level,
        label=draft.label,
    )


def _line(draft: DraftLine, usual: str, remarks: Remarks, *, heading: bool) -> Line:
    """A line with its marks. A heading has colours of its own for the eye."""
    runs: list[Run] = []
    for look, pieces in groupby(draft.pieces, key=itemgetter(1)):
        text, mark = "".join(text for text, _ in pieces), look.mark
        if mark is Mark.NONE and text.strip():
            coloured = look.colour and look.colour != usual and not heading and colourful(look.colour)
            if look.underlined or coloured:
                mark = Mark.INSERTED
                remarks.add(UNDERLINED if look.underlined else COLOURED, remarks.at(draft.spot), text, len(text.split()))
        run = Run(text=text, mark=mark, bold=look.bold, italic=look.italic, raised=look.raised, size=look.size)
        runs.append(run)
    return Line(runs=tuple(runs), spot=draft.spot, indent=draft.indent)


def _usual_colour(drafts: Iterable[DraftBlock]) -> str:
    """The colour in which more than half of the words stand."""
    words = Counter[str]()
    for draft in drafts:
        for line in draft.all_lines():
            for text, look in line.pieces:
                words[look.colour] += len(text.split())
    colour, count = words.most_common(1)[0] if words else ("", 0)
    return colour if 2 * count > words.total() else ""


def colourful(colour: str) -> bool:
    """Whether six hexadecimal digits are a colour, not black, white or a grey."""
    parts = [int(colour[at : at + 2], 16) for at in (0, 2, 4)]
    return max(parts) - min(parts) >= COLOURFUL
