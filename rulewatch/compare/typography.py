"""Differences of a text that change no rule: a closed list, and nothing beyond it.

White space, line breaks, the form of quotation marks and dashes, letter case of the first letter, ligatures, and references
that were renumbered with the clauses they refer to. A comma is not among them: it can change a rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rulewatch.model.amounts import find_numbers

LIGATURES = {"ﬀ": "ff", "ﬁ": "fi", "ﬂ": "fl", "ﬃ": "ffi", "ﬄ": "ffl", "ﬅ": "ft", "ﬆ": "st"}
_SIGNS = str.maketrans(
    LIGATURES | dict.fromkeys("“”„‟«»", '"') | dict.fromkeys("‘’‚‛‹›", "'") | dict.fromkeys("‐‑‒–−", "-") | {"\u00ad": ""}
)
# Blanks that printers set or leave out: inside brackets, before a stop, between a number and its unit, around a long dash.
_BLANKS = (
    (re.compile(r"\s*—\s*"), " - "),
    (re.compile(r"(?<=[(\[]) | (?=[)\]])| (?=[,;:.?!](?!\d))"), ""),
    (re.compile(r"(?<=\d) (?=[^\W\d_]|[%°])"), ""),
)
# Single quotation marks around words; an apostrophe stands between letters, and a foot behind a number.
_SINGLE = re.compile(r"(?<![\w'])'(?=\w)([^']*?\w[.,!?]?)'(?!\w)")

# What may be the number of a clause; brackets belong to it as long as they are short.
_NUMBER = re.compile(r"(?<![\w.])\w+(?:\.\w+)*(?:\(\w{1,4}\))*")
_PLAIN = re.compile(r"\d+(?:\.\d+)?")
# A plain number is a reference only behind a word for a clause: "class 4" and "version 4.2" are none.
LONGEST_WORD = 20
_CLAUSE_WORD = re.compile(
    r"(?:\b(?:articles?|clauses?|rules?|regulations?|sections?|paragraphs?|items?|chapters?|appendix|annex|schedules?|see|"
    r"artikel|nummern?|nr\.|absatz|abs\.|anlagen?|anhang|ziffern?|kapitel|abschnitte?|siehe|paragraf)|§)\s*$",
    re.IGNORECASE,
)


def same_but_for_typography(old: str, new: str, renumbered: Mapping[str, str], gone: str, came: str) -> bool:
    """Whether two texts differ by nothing beyond the closed list. Where in doubt, they do.

    `gone` and `came` are what only one of them has: of most changes their letters already tell that it is more.
    """
    followed_up = follow(old, renumbered)
    if followed_up == old and has_other_letters(gone, came):
        return False
    return plain(new) in {plain(old), plain(followed_up)}


def has_other_letters(gone: str, came: str) -> bool:
    """Whether the letters and digits of two texts are not the same; where one text is empty, whether the other has any."""
    if not gone or not came:
        return any(map(str.isalnum, (gone or came).translate(_SIGNS).casefold()))
    return letters(gone) != letters(came)


def letters(text: str) -> list[str]:
    """The letters and digits of a text in no order; nothing on the closed list but references changes them."""
    return sorted(filter(str.isalnum, text.translate(_SIGNS).casefold()))


def plain(text: str) -> str:
    """A text with everything on the closed list but references made alike."""
    text = " ".join(text.translate(_SIGNS).split())
    for pattern, instead in _BLANKS:
        text = pattern.sub(instead, text)
    text = _SINGLE.sub(r'"\1"', " ".join(text.split()))
    return text[:1].lower() + text[1:]


def follow(text: str, renumbered: Mapping[str, str]) -> str:
    """A text of the old book with its references as the new book numbers their clauses."""
    out, at = "", 0
    for start, end, number in followed(text, renumbered):
        out, at = out + text[at:start] + number, end
    return out + text[at:]


def followed(text: str, renumbered: Mapping[str, str]) -> Iterator[tuple[int, int, str]]:
    """The references of an old text whose clauses have got other numbers: start, end, and the new number."""
    for match in _NUMBER.finditer(text) if renumbered else ():
        number = match[0]
        while number:
            if renumbered.get(number, number) != number and is_reference(text, match.start(), number):
                yield match.start(), match.start() + len(number), renumbered[number]
                break
            number = number.rpartition("(")[0]


def is_reference(text: str, start: int, number: str) -> bool:
    """Whether what looks like the number of a clause is one here, and no count, amount, class or version."""
    if _PLAIN.fullmatch(number) and not _CLAUSE_WORD.search(text, max(start - LONGEST_WORD, 0), start):
        return False
    return not any(found.start <= start < found.end for found in find_numbers(text))
