"""Letters into words, and words into the rows that they stand in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rulewatch.intake.document import Mark
from rulewatch.intake.pdf_page import Glyph, Look

_SOFT_HYPHEN = "\xad"  # shows only at the end of a line
_SPACE = 0.15  # of the size: a wider gap parts words. Spaces are a fifth to a third of it, the widest kerning a tenth
_SAME_BASE = 0.2  # of the size: letters whose bases differ by less stand in one row
_SHADOW = 0.15  # of the size: the same word so near is drawn twice, to look bold or raised
_TRIED = 200  # equal words at one height that a word is held against
_SMALL = 0.85  # of the size of its neighbours: the most that a superior figure has
_REACH = 0.75  # of the size: how high above the base a superior figure may stand
_LOW = 0.35  # of the size: how far below the base an inferior one may


class Word(NamedTuple):
    """Letters without a gap. `spaced`: the file itself has a space before it. `marks` is one for all letters, or one each."""

    glyphs: tuple[Glyph, ...]
    text: str
    left: float
    right: float
    base: float
    size: float
    spaced: bool = False
    raised: bool = False
    marks: tuple[Mark, ...] = (Mark.NONE,)

    @property
    def look(self) -> Look:
        """How its first letter looks."""
        return self.glyphs[0].look

    @property
    def top(self) -> float:
        """About where its capitals end."""
        return self.base - 0.75 * self.size


class Row(NamedTuple):
    """Words on one base, from left to right."""

    words: tuple[Word, ...]
    base: float
    size: float

    @property
    def left(self) -> float:
        """Where its first word begins."""
        return self.words[0].left

    @property
    def right(self) -> float:
        """Where its last word ends."""
        return self.words[-1].right

    @property
    def top(self) -> float:
        """About where its capitals end."""
        return self.base - 0.75 * self.size

    @property
    def bold(self) -> bool:
        """Whether every word of letters or figures is."""
        return all(word.look.bold for word in self.words if any(map(str.isalnum, word.text)))

    @property
    def text(self) -> str:
        """Its words with the spaces that show."""
        parts: list[str] = []
        for n, word in enumerate(self.words):
            if n and parted(self.words[n - 1], word):
                parts.append(" ")
            parts.append(word.text)
        return "".join(parts)


def parted(first: Word, second: Word) -> bool:
    """Whether a space shows between two words of a row."""
    if second.raised and not second.spaced:
        return second.left - first.right > _SPACE * first.size
    return second.spaced or second.left - first.right > _SPACE * min(first.size, second.size)


def words_of(glyphs: Sequence[Glyph]) -> list[Word]:
    """Words in the order in which the file sets them."""
    found: list[Word] = []
    held: list[Glyph] = []
    spaced = False

    def close() -> None:
        last = held[-1] if held else None
        kept = [glyph for glyph in held if glyph.text != _SOFT_HYPHEN]
        if kept and last and last.text == _SOFT_HYPHEN:
            kept.append(last._replace(text="-"))
        if kept:
            found.append(_word(tuple(kept), spaced=spaced))
        held.clear()

    for glyph in glyphs:
        if glyph.text.isspace() or not glyph.text.isprintable():
            close()
            spaced = True
            continue
        if held:
            last = held[-1]
            size = max(glyph.look.size, last.look.size)
            gap = glyph.left - last.right
            far = gap > _SPACE * min(glyph.look.size, last.look.size) or gap < -0.5 * size
            if far or abs(glyph.base - last.base) > 0.1 * size or _SMALL * size > min(glyph.look.size, last.look.size):
                close()
                spaced = False
        held.append(glyph)
    close()
    return found


def _word(glyphs: tuple[Glyph, ...], *, spaced: bool) -> Word:
    return Word(
        glyphs=glyphs,
        text="".join([glyph.text for glyph in glyphs]),
        left=glyphs[0].left,
        right=max(glyphs[-1].right, glyphs[0].right),
        base=glyphs[0].base,
        size=glyphs[0].look.size,
        spaced=spaced,
    )


def once(words: Iterable[Word]) -> list[Word]:
    """The words without those that are drawn again at nearly the same place."""
    kept: list[Word] = []
    seen: defaultdict[tuple[str, int], list[Word]] = defaultdict(list)
    for word in words:
        near = _SHADOW * word.size
        height = round(word.base / 4)
        beside = [one for k in (height - 1, height, height + 1) for one in seen.get((word.text, k), ())[-_TRIED:]]
        if any(abs(word.left - one.left) < near and abs(word.base - one.base) < near for one in beside):
            continue
        seen[word.text, height].append(word)
        kept.append(word)
    return kept


def rows_of(words: Iterable[Word]) -> list[Row]:
    """Words into rows from the top; superior and inferior figures go to the row that they belong to."""
    rows: list[list[Word]] = []
    for word in sorted(words, key=lambda w: (w.base, w.left)):
        if rows and word.base - rows[-1][0].base <= _SAME_BASE * max(word.size, rows[-1][0].size):
            rows[-1].append(word)
        else:
            rows.append([word])
    return [_row(row) for row in _with_figures(rows)]


def _row(words: list[Word]) -> Row:
    words.sort(key=lambda w: w.left)
    sizes: defaultdict[float, int] = defaultdict(int)
    for word in words:
        if not word.raised:
            sizes[word.size] += len(word.text)
    size = max(sizes, key=lambda s: (sizes[s], s)) if sizes else words[0].size
    base = next((w.base for w in words if w.size == size and not w.raised), words[0].base)
    return Row(tuple(words), base, size)


def _with_figures(rows: list[list[Word]]) -> list[list[Word]]:
    """Take small words that touch a word of the row beside them into that row."""
    for n, row in enumerate(rows):
        for other in (rows[n + 1] if n + 1 < len(rows) else None, rows[n - 1] if n else None):
            if other:
                _take(row, other)
    return [row for row in rows if row]


def _take(small: list[Word], row: list[Word]) -> None:
    largest = max(word.size for word in row)
    for word in tuple(small):
        if word.size > _SMALL * largest or abs(word.base - row[0].base) > largest:
            continue
        host = next((w for w in row if _belongs(word, w)), None)
        if host:
            small.remove(word)
            row.append(word._replace(raised=word.base < host.base))


def _belongs(word: Word, host: Word) -> bool:
    """Whether a word is a superior or inferior figure at the end, or at the beginning, of another."""
    height = host.base - word.base
    beside = min(abs(word.left - host.right), abs(host.left - word.right))
    return (
        word.size <= _SMALL * host.size
        and -_LOW * host.size < height < _REACH * host.size
        and abs(height) > _SAME_BASE * word.size / 2
        and beside < 0.8 * host.size
    )
