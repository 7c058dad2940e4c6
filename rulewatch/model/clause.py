"""Clauses: the smallest numbered pieces of a rule book, verbatim."""

from __future__ import annotations

import hashlib
import html
import re
from dataclasses import dataclass, field
from functools import cached_property

from rulewatch.model.fault import Place

# Digits or letters that make up a label; what stands between them only parts them.
TOKEN = re.compile(r"[0-9]+|[^\W\d_]+")
INSERTED = ("bis", "ter", "quater")  # what was put in behind a number later, without renumbering
SILENT = re.compile(r"\[(Reserved|Suspended)(?: until [^\]]{1,40})?\]\.?", re.IGNORECASE)
ROMAN_ONES = ("", "i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix")


@dataclass(frozen=True, kw_only=True)
class Clause:
    """One clause, verbatim, and where it stands. Not slotted: the folded text and its digest are made once, on first use.

    `id` is the absolute label (`4.2.1(a)`, `Anlage VIII/1.2`); `label` is what is printed there. `text` is the body's own
    text without the label, its readings left out, lines as they stand; `heading` is its first line where the label stands in
    a heading, else empty, and is part of `text`. `parent` is the id of the clause above, or empty. `chapter` names the file
    without folder and ending. `container` marks the heading of an annex or the like that only holds other clauses.
    `references` are the ids of other clauses that the text refers to, in order, each once. `marked` is the text with the words
    that the body shows as struck or inserted (`marks.py`), of which `text` is what is in force; empty where there are none.
    """

    id: str
    label: str
    text: str
    place: Place = field(compare=False)
    last_line: int = field(compare=False)
    heading: str = ""
    parent: str = ""
    chapter: str = ""
    container: bool = False
    references: tuple[str, ...] = ()
    marked: str = ""

    @property
    def shown(self) -> str:
        """The text as the body shows it, with its marks."""
        return self.marked or self.text

    @cached_property
    def folded(self) -> str:
        """The text with every run of white space as one space."""
        return fold(self.text)

    @property
    def says_nothing(self) -> bool:
        """Whether the clause is only a note that its number is reserved, or its text suspended."""
        return bool(self.note)

    @property
    def note(self) -> str:
        """`reserved` or `suspended` where the clause says only that; else empty."""
        match = SILENT.fullmatch(self.text[len(self.heading) :].strip())
        return match[1].casefold() if match else ""

    @property
    def plain(self) -> str:
        """The text as a reader sees it: a sign behind a backslash as itself, an entity as what it stands for."""
        return plain(self.text)

    @cached_property
    def digest(self) -> str:
        """Eight hexadecimal digits of the folded text; what `confirmed.text` of a reading is checked against."""
        return digest(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtfulPlace:
    """A place of a chapter where intake was not sure of what the published book says, until a person takes the mark away.

    `clause` is the id of the clause that it stands under, empty in front of the first; `why` says what to look at.
    """

    clause: str
    why: str
    place: Place = field(compare=False)


def fold(text: str) -> str:
    """Every run of white space as one space, none at the ends."""
    return " ".join(text.split())


# What Markdown writes with a backslash or as an entity, and a reader sees as one sign.
WRITTEN = re.compile(r"\\([!-/:-@\[-`{-~])|&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")


def plain(text: str) -> str:
    """A text in Markdown with its backslash escapes and entities (CommonMark 2.4 and 2.5) as the signs they stand for."""
    return WRITTEN.sub(_sign, text) if "\\" in text or "&" in text else text


def written_at(text: str, offset: int) -> int:
    """Where a character of the plain text stands in the text as written."""
    longer = 0
    for match in WRITTEN.finditer(text):
        if match.start() - longer >= offset:
            break
        longer += len(match[0]) - len(_sign(match))
    return offset + longer


def _sign(match: re.Match[str]) -> str:
    return match[1] or html.unescape(match[0])


def digest(text: str) -> str:
    """The first eight hexadecimal digits of the SHA-256 of a text with white space folded."""
    return hashlib.sha256(fold(text).encode()).hexdigest()[:8]


def natural_order(label: str, *, roman: bool = False) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts labels as a reader counts: 2 before 10, 5 before 5 bis before 5A before 6, z before aa.

    `roman` reads the last part as a Roman numeral where it is one (i, ii, iii, iv, v, viiia). Labels that differ only in brackets,
    dots or letter case give the same key.
    """
    tokens = TOKEN.findall(label.casefold())
    keys = [_number_key(token) if token.isdigit() else _word_key(token) for token in tokens]
    if roman and keys:
        keys[-1:] = _roman_keys(tokens[-1])
    return tuple(keys)


def _number_key(digits: str) -> tuple[int, int, str]:
    # Compared by length and then as text, so that no run of digits is too long.
    plain = digits.lstrip("0")
    return 0, len(plain), plain


def _word_key(word: str) -> tuple[int, int, str]:
    if word in INSERTED:
        return 1, 0, str(INSERTED.index(word))
    return 1, min(len(word), 2), word


def _roman_keys(word: str) -> list[tuple[int, int, str]]:
    """A Roman numeral, alone or with one letter behind it, as a number; any other word as it is."""
    for numeral, letter in ((word, ""), (word[:-1], word[-1:])):
        if number := roman_number(numeral):
            return [_number_key(str(number)), *([_word_key(letter)] if letter else [])]
    return [_number_key(word) if word.isdigit() else _word_key(word)]


def roman_number(text: str) -> int:
    """The value of a Roman numeral below 40, in either letter case; 0 where the text is none."""
    match = re.fullmatch(r"(x{0,3})(ix|iv|v?i{0,3})", text.casefold())
    if not match:
        return 0
    tens, ones = match.groups()
    return 10 * len(tens) + ROMAN_ONES.index(ones)
