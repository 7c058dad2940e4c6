"""Rule books made from known text, to be printed by two producers and read again.

Everything in them is invented: sentences are drawn from short lists by a fixed seed. A `Book` is the truth that a reader is
held to; `by_chromium` and `by_reportlab` (in `printed_books`) turn it into a PDF.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field

STRUCK, INSERTED = "struck", "inserted"

PARTS = (
    "wheel", "rim", "flange", "offset spacer", "rear wing", "end plate", "flat floor", "fixed filler", "filter housing", "roll hoop",
    "side bar", "foot rest", "fuel cell", "fire-wall", "sill", "diffuser", "splitter", "brake disc", "brake duct", "wishbone", "damper",
    "ballast box", "seat belt", "head rest", "air inlet", "exhaust outlet", "gearbox casing", "flywheel", "battery tray", "towing eye",
    "wind-screen", "door panel", "bonnet pin", "rear axle", "drive shaft", "steering column", "rein|force|ment", "cross-member",
    "trans|mis|sion tunnel", "sus|pen|sion mount", "in|stal|la|tion plate", "aero|dy|nam|ic device",
)  # fmt: skip
NATURES = (
    "standard", "fixed", "stiff", "flat", "rigid", "flexible", "original", "efficient", "metallic", "modified", "homol|o|gated",
    "sealed", "removable", "visible", "specified", "sufficient", "trans|parent", "con|tinu|ous", "non-flammable", "ad|just|able",
)  # fmt: skip
DUTIES = (
    "shall not exceed", "must be at least", "may be no wider than", "must not be less than", "is limited to", "shall be fixed at",
    "must remain within", "may differ from the original by no more than",
)  # fmt: skip
UNITS = ("mm", "kg", "cm³", "kPa", "l/min", "mm²", "N·m", "m/s")
WAYS = (
    "measured at the stiffest fixing point", "without the driver on board", "with the tank filled", "in a vertical plane",
    "with all tyres at the pressure of the race", "before and after qual|i|fi|ca|tion", "as fitted on the first day",
    "over the full width of the car", "by means of the officially issued profile", "seen from above", "at any moment of the event",
)  # fmt: skip
REST = (
    "The officials may ask for a certificate.", "Any other modification is forbidden.", "The finish is free.",
    "A duly fitted cover suffices.", "This does not affect the first fifteen cars.", "It may be re|placed, but not left off.",
    "Fixings must be flush, and no fluid may flow out.", "The manu|fac|turer’s identi|fi|ca|tion must stay legible.",
)  # fmt: skip
HEADS = ("Definitions", "Bodywork", "Wheels and tyres", "Engine", "Fuel system", "Suspension", "Brakes", "Safety", "Weight", "Electrics",
         "Transmission", "Cockpit", "Lighting", "Paperwork", "Officials", "Conduct")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Words of one mark. `text` may hold `|` where a word may be broken; `plain` has none."""

    text: str
    mark: str = ""

    @property
    def plain(self) -> str:
        """As it is to be read."""
        return self.text.replace("|", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A footnote: its sign, its words."""

    sign: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Cells row by row; the first row is the head."""

    rows: tuple[tuple[str, ...], ...]
    ruled: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One numbered piece.

    `level` 1 is a chapter, 2 a section with a heading of its own, 3 a paragraph that begins with its number, 4 an item such as
    `(a)`. `number` is as printed. A note is called at the end of the text. A table stands behind the text.
    """

    number: str
    level: int
    heading: str = ""
    pieces: tuple[Piece, ...] = ()
    note: Note | None = None
    table: Table | None = None

    @property
    def text(self) -> str:
        """The words under the number, without its heading, with what is struck."""
        return " ".join(piece.plain for piece in self.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter or an appendix (`number` such as `Appendix A`, whose clauses begin at 1 again); the first clause is its heading."""

    clauses: tuple[Clause, ...]

    @property
    def title(self) -> str:
        """Number and heading, as a running head shows them."""
        return f"{self.clauses[0].number} {self.clauses[0].heading}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A book and how it is to look.

    `head` is the running head's fixed half, to which the chapter's title is added (on the other side of left pages); `foot`
    stands before the page number. `colours`: marks are a red strike and blue letters instead of black lines.
    """

    title: str
    chapters: tuple[Chapter, ...]
    columns: int = 1
    head: str = "Saltmarsh Circuit Club"
    foot: str = "Issue of 14 December 2026"
    colours: bool = False
    contents: tuple[tuple[str, str, int], ...] = field(default=())

    @property
    def clauses(self) -> Iterator[Clause]:
        """Every clause in order."""
        return (clause for chapter in self.chapters for clause in chapter.clauses)

    @property
    def notes(self) -> tuple[Note, ...]:
        """Every footnote in order."""
        return tuple(clause.note for clause in self.clauses if clause.note)

    @property
    def tables(self) -> tuple[Table, ...]:
        """Every table in order."""
        return tuple(clause.table for clause in self.clauses if clause.table)

    def words(self, *, notes: bool) -> list[str]:
        """Every word from the title on, contents page included (without its leaders), in reading order.

        `notes`: with each chapter's footnotes at its end; else without footnotes. Their signs are left out either way.
        """
        found = [*self.title.split(), "Contents"]
        for number, heading, page in self.contents:
            found += [*number.split(), *heading.split(), str(page)]
        for chapter in self.chapters:
            for clause in chapter.clauses:
                found += [*clause.number.split(), *clause.heading.split(), *clause.text.split()]
                if clause.table:
                    found += [word for row in clause.table.rows for cell in row for word in cell.split()]
            if notes:
                found += [word for clause in chapter.clauses if clause.note for word in clause.note.text.split()]
        return found

    def marked(self, mark: str) -> list[str]:
        """The words of one mark in order."""
        return [
            word for clause in self.clauses for piece in clause.pieces if piece.mark == mark for word in piece.plain.split()
        ]


def book(*, seed: int, chapters: int, columns: int = 1, colours: bool = False, sections: int = 6, appendices: int = 2) -> Book:
    """A book of that many chapters, the same for the same seed. Ten chapters fill some thirty pages of one column."""
    writer = _Writer(random.Random(seed))  # noqa: S311 - repeatable, not secret
    found = [writer.chapter(str(n), f"{n}.", HEADS[(n - 1) % len(HEADS)], sections) for n in range(1, chapters + 1)]
    found += [
        writer.chapter(f"Appendix {letter}", "", f"{HEADS[ord(letter) % len(HEADS)]} in detail", 3)
        for letter in "ABCDEFGH"[:appendices]
    ]
    contents = tuple(
        (clause.number, clause.heading, 3 + 4 * n + k // 4)
        for n, chapter in enumerate(found)
        for k, clause in enumerate(chapter.clauses)
        if clause.level <= 2
    )
    title = f"Technical rules of the Saltmarsh Circuit Club for the season {2020 + seed % 10}"
    return Book(title=title, chapters=tuple(found), columns=columns, colours=colours, contents=contents)


class _Writer:
    """Makes up clauses; counts the footnotes."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.notes = 0

    def chapter(self, number: str, prefix: str, heading: str, sections: int) -> Chapter:
        clauses = [Clause(number=number, level=1, heading=heading)]
        for s in range(1, sections + 1):
            section = f"{prefix}{s}"
            clauses.append(Clause(number=section, level=2, heading=self.heading(), pieces=self.pieces(2)))
            for p in range(1, self.chance.randint(3, 6)):
                clauses.append(self.paragraph(f"{section}.{p}"))
                if self.chance.random() < 0.35:
                    clauses += [
                        Clause(number=f"({letter})", level=4, pieces=self.pieces(1))
                        for letter in "abcde"[: self.chance.randint(2, 5)]
                    ]
        return Chapter(clauses=tuple(clauses))

    def paragraph(self, number: str) -> Clause:
        note = table = None
        if self.chance.random() < 0.12:
            self.notes += 1
            note = Note(sign=str(self.notes), text=self.sentence().replace("|", ""))
        elif self.chance.random() < 0.15:
            table = self.table(self.chance.choice((3, 4, 5, 8, 14)))
        return Clause(number=number, level=3, pieces=self.pieces(self.chance.randint(1, 4)), note=note, table=table)

    def table(self, size: int) -> Table:
        rows = [("Class", "Part", "Limit in mm", "Mass")]
        for n in range(size):
            part = self.chance.choice(PARTS).replace("|", "")
            rows.append((f"S{n + 1}", part, str(self.chance.randint(10, 900)), f"{self.chance.randint(1, 99)} kg"))
        return Table(rows=tuple(rows), ruled=self.chance.random() < 0.7)

    def heading(self) -> str:
        return f"{self.chance.choice(NATURES).capitalize()} {self.chance.choice(PARTS)}s".replace("|", "")

    def sentence(self) -> str:
        pick = self.chance.choice
        number = pick((str(self.chance.randint(2, 990)), f"{self.chance.randint(1, 40)}.{self.chance.randint(1, 9)}"))
        text = f"The {pick(NATURES)} {pick(PARTS)} {pick(DUTIES)} {number} {pick(UNITS)}, {pick(WAYS)}."
        return f"{text} {pick(REST)}" if self.chance.random() < 0.4 else text

    def pieces(self, sentences: int) -> tuple[Piece, ...]:
        words = " ".join(self.sentence() for _ in range(sentences)).split()
        if self.chance.random() > 0.3:
            return (Piece(text=" ".join(words)),)
        at = self.chance.randint(1, len(words) - 4)
        length = self.chance.randint(1, 3)
        struck, after = " ".join(words[at : at + length]), " ".join(words[at + length :])
        inserted = " ".join(self.sentence().rstrip(".").split()[1 : 1 + self.chance.randint(1, 9)])
        made = [Piece(text=" ".join(words[:at]))]
        kind = self.chance.random()
        if kind < 0.7:
            made.append(Piece(text=struck, mark=STRUCK))
        if kind > 0.3:
            made.append(Piece(text=inserted, mark=INSERTED))
        return (*made, Piece(text=after))
