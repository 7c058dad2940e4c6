"""What stands on a page of a PDF: letters and rules by their places, before anyone has made lines of them.

Lengths are in points, from the left and from the top of the page as it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """How much of a PDF is read. What is beyond is a fault; nothing beyond is looked at.

    `size`: of the file in bytes. `unpacked`: of what a compressed part of it holds, in bytes. `letters` and `objects` (lines, pictures):
    on one page. `work`: letters, and objects fourfold, on all pages. `paper`: of a page's side in points. `seconds`: for one page, and
    for opening the file. `memory`: of the process that reads, in bytes, where the system can hold it to that.
    """

    size: int = 100_000_000
    unpacked: int = 64_000_000
    pages: int = 2_000
    letters: int = 60_000
    objects: int = 60_000
    work: int = 6_000_000
    paper: float = 15_000.0
    seconds: float = 60.0
    memory: int = 4_000_000_000


USUAL = Bounds()


class Look(NamedTuple):
    """How letters look. `colour` is red, green and blue from 0 to 255; `drawn` is False for letters that are placed but not painted."""

    size: float
    bold: bool
    italic: bool
    colour: tuple[int, int, int]
    drawn: bool


class Glyph(NamedTuple):
    """One letter; several, where the font joins them. `base` is the line it stands on; `piece` numbers what was set in one go."""

    text: str
    left: float
    right: float
    base: float
    look: Look
    piece: int


class Rule(NamedTuple):
    """A straight line, level or upright, or a rectangle as thin as one."""

    left: float
    top: float
    right: float
    bottom: float
    colour: tuple[int, int, int]

    @property
    def level(self) -> bool:
        """Whether it lies rather than stands."""
        return self.right - self.left >= self.bottom - self.top

    @property
    def middle(self) -> float:
        """Where it is: from the top if level, else from the left."""
        return (self.top + self.bottom) / 2 if self.level else (self.left + self.right) / 2


class Box(NamedTuple):
    """A part of the page: a filled area (with its colour), a picture, a link."""

    left: float
    top: float
    right: float
    bottom: float
    colour: tuple[int, int, int] = (0, 0, 0)

    def holds(self, x: float, y: float) -> bool:
        """Whether a point is inside."""
        return self.left <= x <= self.right and self.top <= y <= self.bottom

    @property
    def area(self) -> float:
        """In square points."""
        return max(0.0, self.right - self.left) * max(0.0, self.bottom - self.top)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A page: `number` counts from 1. `struck` and `underlined` are marks that the file keeps as notes of a reader's, not as lines.

    `drawn` are the extents of what is neither letter nor rule. `unknown` counts letters of which the file does not say what they are.
    `sideways` is the text that does not run as the page's does.
    """

    number: int
    width: float
    height: float
    glyphs: tuple[Glyph, ...] = ()
    rules: tuple[Rule, ...] = ()
    fills: tuple[Box, ...] = ()
    pictures: tuple[Box, ...] = ()
    drawn: tuple[Box, ...] = ()
    links: tuple[Box, ...] = ()
    struck: tuple[Box, ...] = ()
    underlined: tuple[Box, ...] = ()
    sideways: str = ""
    unknown: int = 0
    work: int = field(default=0, compare=False)
