"""Clauses: the smallest numbered pieces of a rule book, verbatim."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field

from rulewatch.model.fault import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One clause, verbatim, and where it stands.

    `id` is the absolute label (`4.2.1(a)`, `Anlage VIII/1.2`); `label` is what is printed there. `text` is the body's own
    text without the label, its readings left out, lines as they stand; `heading` is its first line where the label stands in
    a heading, else empty, and is part of `text`. `parent` is the id of the clause above, or empty. `chapter` names the file
    without folder and ending. `container` marks the heading of an annex or the like that only holds other clauses.
    `references` are the ids of other clauses that the text refers to, in order, each once.
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

    @property
    def folded(self) -> str:
        """The text with every run of white space as one space."""
        return fold(self.text)

    @property
    def digest(self) -> str:
        """Eight hexadecimal digits of the folded text; what `confirmed.text` of a reading is checked against."""
        return digest(self.text)


def fold(text: str) -> str:
    """Every run of white space as one space, none at the ends."""
    return " ".join(text.split())


def digest(text: str) -> str:
    """The first eight hexadecimal digits of the SHA-256 of a text with white space folded."""
    return hashlib.sha256(fold(text).encode()).hexdigest()[:8]
