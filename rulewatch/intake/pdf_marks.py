"""Which letters a body shows as struck or inserted: by lines through or under them, by a colour, or by notes laid over the page.

A level line counts if it lies within the words that it runs through (in the middle of the small letters: struck) or under (just below
the base: inserted); one that reaches beyond them is the line of a table or a page. What is a matter of style is no
mark: lines under links, lines under headings where most headings have one, colours used for headings, labels or links, and greys.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rulewatch.intake.document import Mark
from rulewatch.intake.pdf_page import Box, Glyph, Rule, Sheet
from rulewatch.intake.pdf_words import Row, Word

Colour = tuple[int, int, int]

_THICK = 0.16  # of the size: the most that a line through or under words has
_THROUGH = (0.12, 0.5)  # of the size, above the base
_UNDER = (-0.3, 0.06)
_BEYOND = 0.4  # of the size: a line may take in the space behind a word
_COLOURFUL = 64  # of 255, between the strongest and the weakest part of a colour
_STYLE = 0.6  # of a colour's letters: where more stand in headings, labels and links it is a style
_EVERYWHERE = 0.3  # of a book's letters: a colour or line that more have is a style
_DELETIONS = 0.9  # of a colour's letters: where more are struck it is the colour of deletions
_LARGE = 1.1  # of the text's size: larger letters are a heading's
_HEADINGS = 0.5  # of the headings: where more are underlined it is a style


class Touched(NamedTuple):
    """Which letters of a page a line runs through, and under, by word and letter."""

    struck: frozenset[tuple[int, int]]
    underlined: frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What is a matter of looks in a book: the size of its text, what other colours mean, whether underlining marks (in headings too)."""

    size: float
    colours: Mapping[Colour, Mark]
    underlines: bool
    heading_underlines: bool


def touched(words: Sequence[Word], sheet: Sheet, rules: Iterable[Rule]) -> Touched:
    """The letters of a page's words that lines run through and under. `rules` are those of the page that make no table."""
    order = sorted(range(len(words)), key=lambda n: words[n].base)
    bases = [words[n].base for n in order]
    struck: set[tuple[int, int]] = set()
    under: set[tuple[int, int]] = set()
    for rule in rules:
        if not rule.level or rule.right - rule.left < 1:
            continue
        near = order[bisect_left(bases, rule.middle - 12) : bisect_right(bases, rule.middle + 24)]
        beside = [(n, words[n]) for n in near]
        struck |= _along(rule, beside, _THROUGH)
        under |= _along(rule, beside, _UNDER)
    struck.update(*(_inside(box, words) for box in sheet.struck))
    under.update(*(_inside(box, words) for box in sheet.underlined))
    links = [box for box in sheet.links if box.area < sheet.width * sheet.height / 4]
    under -= {(n, k) for n, k in under if any(_over(box, words[n].glyphs[k]) for box in links)}
    return Touched(frozenset(struck), frozenset(under))


def _along(rule: Rule, near: Iterable[tuple[int, Word]], window: tuple[float, float]) -> set[tuple[int, int]]:
    low, high = window
    beside = [
        (n, word)
        for n, word in near
        if low * word.size <= word.base - rule.middle <= high * word.size
        and rule.bottom - rule.top <= max(_THICK * word.size, 1.0)
        and word.right >= rule.left - 1
        and word.left <= rule.right + 1
    ]
    if not beside:
        return set()
    slack = _BEYOND * max(word.size for _, word in beside)
    left, right = min(word.left for _, word in beside), max(word.right for _, word in beside)
    if rule.left < left - slack or rule.right > right + slack:
        return set()
    return {
        (n, k)
        for n, word in beside
        for k, glyph in enumerate(word.glyphs)
        if rule.left - 0.5 <= (glyph.left + glyph.right) / 2 <= rule.right + 0.5
    }


def _inside(box: Box, words: Sequence[Word]) -> set[tuple[int, int]]:
    return {
        (n, k)
        for n, word in enumerate(words)
        if box.top - 1 < word.base - 0.25 * word.size < box.bottom + 1
        for k, glyph in enumerate(word.glyphs)
        if box.left - 0.5 <= (glyph.left + glyph.right) / 2 <= box.right + 0.5
    }


def _over(box: Box, glyph: Glyph) -> bool:
    return box.holds((glyph.left + glyph.right) / 2, glyph.base - 0.2 * glyph.look.size)


def with_lines(words: Sequence[Word], found: Touched) -> list[Word]:
    """Words with a mark for every letter that a line touches; nothing is decided yet about what a line under them means."""
    hit = {n for n, _ in found.struck} | {n for n, _ in found.underlined}
    return [
        word._replace(
            marks=tuple(
                Mark.STRUCK if (n, k) in found.struck else Mark.INSERTED if (n, k) in found.underlined else Mark.NONE
                for k in range(len(word.glyphs))
            )
        )
        if n in hit
        else word
        for n, word in enumerate(words)
    ]


def usual(rows: Iterable[Row]) -> tuple[float, Colour]:
    """The size and the colour in which most of a book's letters stand."""
    sizes: Counter[float] = Counter()
    colours: Counter[Colour] = Counter()
    for row in rows:
        for word in row.words:
            sizes[word.size] += len(word.text)
            colours[word.look.colour] += len(word.text)
    return (
        sizes.most_common(1)[0][0] if sizes else 0.0,
        colours.most_common(1)[0][0] if colours else (0, 0, 0),
    )


def style(rows: Sequence[Row], links: Sequence[Sequence[Box]], size: float, colour: Colour) -> Style:
    """What is a matter of looks, from all rows of a book, each with the links of its page."""
    use: defaultdict[Colour, _Use] = defaultdict(_Use)
    headings = underlined_headings = letters = underlined = 0
    for row, around in zip(rows, links, strict=True):
        heading = _is_heading(row, size)
        lined = sum(len(word.text) for word in row.words if Mark.INSERTED in word.marks)
        count = sum(len(word.text) for word in row.words)
        letters, underlined = letters + count, underlined + lined
        headings += heading
        underlined_headings += heading and 2 * lined > count
        for n, word in enumerate(row.words):
            own = word.look.colour
            if own == colour:
                continue
            label = n == 0 and len(row.words) > 1 and row.words[1].look.colour != own
            use[own].letters += len(word.text)
            if heading or label or any(_over(box, word.glyphs[0]) for box in around):
                use[own].for_looks += len(word.text)
            if Mark.STRUCK in word.marks:
                use[own].struck += len(word.text)
    return Style(
        size=size,
        colours={own: used.means for own, used in use.items() if _may_mark(own) and used.letters <= _EVERYWHERE * letters},
        underlines=underlined <= _EVERYWHERE * letters,
        heading_underlines=underlined_headings <= max(1, _HEADINGS * headings),
    )


@dataclass(slots=True)
class _Use:
    """What the letters of a colour are used for: how many there are, and how many of them are for looks, and are struck."""

    letters: int = 0
    for_looks: int = 0
    struck: int = 0

    @property
    def means(self) -> Mark:
        """A colour in which nearly all is struck is that of deletions."""
        if self.struck >= _DELETIONS * self.letters:
            return Mark.STRUCK
        return Mark.NONE if self.for_looks > _STYLE * self.letters else Mark.INSERTED


def _may_mark(colour: Colour) -> bool:
    """Whether it is a colour at all, not black, white or a grey."""
    return max(colour) - min(colour) >= _COLOURFUL


def _is_heading(row: Row, size: float) -> bool:
    return row.size > _LARGE * size or row.bold


def marked(row: Row, look: Style, links: Sequence[Box]) -> Row:
    """A row whose words have the marks that the book's style leaves them."""
    if all(word.marks == (Mark.NONE,) and not look.colours.get(word.look.colour) for word in row.words):
        return row
    under = look.underlines and (look.heading_underlines or not _is_heading(row, look.size))
    return row._replace(words=tuple(_marked(word, look, links, under=under) for word in row.words))


def _marked(word: Word, look: Style, links: Sequence[Box], *, under: bool) -> Word:
    before = word.marks if len(word.marks) > 1 else word.marks * len(word.glyphs)
    marks = []
    for glyph, mark in zip(word.glyphs, before, strict=True):
        kept = Mark.NONE if mark is Mark.INSERTED and not under else mark
        meant = look.colours.get(glyph.look.colour)
        if meant and not kept and not any(_over(box, glyph) for box in links):
            kept = meant
        marks.append(kept)
    return word._replace(marks=tuple(marks) if len(set(marks)) > 1 else (marks[0],))
