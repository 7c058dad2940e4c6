"""Words that a page holds but does not show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rulewatch.intake.pdf_page import Box, Sheet
from rulewatch.intake.pdf_words import Word

_TINY = 1.5  # points: smaller letters are not for reading
_ALIKE = 24  # of 255: colours that differ by less look the same
_WHOLE_PAGE = 0.5  # of a page: a picture that covers more is the page itself, scanned
_WHITE = (255, 255, 255)


def scanned(sheet: Sheet) -> bool:
    """Whether a page is a picture, over which words that a machine recognised may lie unpainted."""
    return any(box.area > _WHOLE_PAGE * sheet.width * sheet.height for box in sheet.pictures)


def shown(words: Iterable[Word], sheet: Sheet) -> tuple[list[Word], list[Word]]:
    """The words that a reader of the page sees, and those that none does. On a scanned page unpainted words count as seen."""
    seen: list[Word] = []
    unseen: list[Word] = []
    picture = scanned(sheet)
    for word in words:
        inside = word.right > 0 and word.left < sheet.width and 0 < word.base < sheet.height + word.size
        look = word.look
        fine = inside and look.size >= _TINY and (picture or (look.drawn and not _vanishes(word, sheet)))
        (seen if fine else unseen).append(word)
    return seen, unseen


def _vanishes(word: Word, sheet: Sheet) -> bool:
    """Whether a word has the colour of what it stands on."""
    colour = word.look.colour
    if not _alike(colour, _WHITE) and not any(_alike(colour, fill.colour) for fill in sheet.fills):
        return False
    x, y = (word.left + word.right) / 2, word.base - word.size / 3
    if any(box.holds(x, y) for box in sheet.pictures):
        return False
    return _alike(colour, _ground(sheet.fills, x, y))


def _ground(fills: Sequence[Box], x: float, y: float) -> tuple[int, int, int]:
    """The colour of the smallest filled area around a place; what is painted later lies above."""
    around = [fill for fill in fills if fill.holds(x, y)]
    return min(reversed(around), key=lambda fill: fill.area).colour if around else _WHITE


def _alike(one: tuple[int, int, int], other: tuple[int, int, int]) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) < _ALIKE
