"""Footnotes: small rows at the foot of a column that begin with the sign by which the text calls them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rulewatch.intake.pdf_words import Row

_SMALL = 0.92  # of the text's size
_SIGN = re.compile(r"\(?(\d{1,3}|[*†‡§¶]{1,4}|[a-z])\)?\.?")


def footnotes(rows: Sequence[Row], size: float) -> tuple[list[Row], list[list[Row]]]:
    """The rows of a column without its footnotes, and those, one by one. `size` is that of the book's text."""
    start = len(rows)
    while start and rows[start - 1].size <= _SMALL * size:
        start -= 1
    while start < len(rows) and not _signed(rows[start], size):
        start += 1
    if start == 0 or start == len(rows):  # all of it small is no text with notes
        return list(rows), []
    notes: list[list[Row]] = []
    for row in rows[start:]:
        if _signed(row, size):
            notes.append([row])
        else:
            notes[-1].append(row)
    return list(rows[:start]), notes


def _signed(row: Row, size: float) -> bool:
    first = row.words[0]
    if row.size > _SMALL * size or len(row.words) < 2 or not _SIGN.fullmatch(first.text):  # noqa: PLR2004 - a sign and a word
        return False
    return first.raised or first.size < row.size or row.words[1].left - first.right > 0
