"""References between clauses: "see 4.2.1", "article 5.2", "§ 36a Absatz 2", "clause 4.2.1(a)", "5.2.1 to 5.2.3".

One pass of one expression finds what looks like a number of a clause, the words around it say how to take it, and a look-up
tells whether the book has such a clause. What the book does not have is no reference.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from rulewatch.parse.labels import LONGEST_DECIMAL, UNIT

FARTHEST = 50  # the longest range whose inner clauses count as referred to
WINDOW = 28  # characters before a number in which the word that introduces it stands

# The word that introduces a number, and how ids call it; an empty name is a bare number, RELATIVE a part of a clause.
RELATIVE = "()"
ANNEX_NAME = "annex"
NAMES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"articles?|art\.|artikeln?s?", ("Article", "Art.", "Artikel", "")),
    (r"sections?|sec\.", ("Section", "Sec.", "")),
    (r"rules?", ("Rule", "")),
    (r"regulations?", ("Regulation", "")),
    (r"clauses?", ("Clause", "")),
    (r"chapters?", ("Chapter", "")),
    (r"parts?", ("Part", "")),
    (r"abschnitt(?:s|es|en?)?", ("Abschnitt", "")),
    (r"kapiteln?s?", ("Kapitel", "")),
    (r"§§?", ("§", "")),
    (r"paragraphs?|paras?\.?|sub-?paragraphs?|points?|items?|ziffern?|nummern?|nr\.", ("", RELATIVE)),
    (r"absatz(?:es)?|absätzen?|abs\.|buchstaben?s?", (RELATIVE,)),
)
BLANKS, MOST_BLANKS = " \u00a0\n", 2  # between that word and the number
NAMED = re.compile(r"(?<!\w)(?i:" + "|".join(f"({words})" for words, _ in NAMES) + rf")[{BLANKS}]{{0,{MOST_BLANKS}}}\(?\Z")
CUE = re.compile(
    r"(?<!\w)(?i:see|siehe|as|in|with|under|per|by|to|from|of|notwithstanding|following|nach|gemäß|laut)\s+(?:\[|\*\*?)?\Z"
)
FARTHEST_LINKED = 12  # more than what can stand between two numbers of a list
BETWEEN = re.compile(r"\s?(?:,|,?\s?(?:and|or|und|oder|to|bis|through)|–|-)\s?\Z")
RANGE = re.compile(r"\s?(?:to|bis|through|–|-)\s?\Z")
ANNEX = r"(?i:annex(?:e)?|appendix|schedule|attachment|addendum|supplement|anlage|anhang)[ \u00a0\n](?:[A-Z]{1,6}|\d{1,3})[a-z]?(?:\.\d{1,3})*(?!\w)"
# One sign that no number goes on from, then the number. It begins with a set of signs so that the search passes quickly over
# what is none; `_references` puts a space in front of the text for it.
CANDIDATE = re.compile(
    rf"[^\w.,:/=#-](?:(?=[aAsSſ])(?P<annex>{ANNEX})|(?P<label>"
    r"(?=\d|[A-Z]{1,3}+[\d.])(?:(?:\d{1,3}[A-Za-z]{0,2}|[A-Z]{1,3}\d{0,3})(?:\.(?:\d{1,3}[A-Za-z]{0,2}|[A-Za-z]))+"
    r"|[A-Z]?\d{1,3}(?:[a-z]{1,2}\d{1,3})*(?:[a-z]{1,2})?)"
    r"|[a-z](?:[a-z]?(?=\)|\s(?:and|or|und|oder|bis|to)\s)|(?!\w))))"
    r"(?P<tail>(?:[ ]?\((?:\d{1,3}[a-z]{0,2}|[a-zA-Z]{1,3})\))*"
    r"(?:\s(?:Absatz|Abs\.|Nummer|Nr\.|Buchstabe|Doppelbuchstabe|paragraph|sub-?paragraph|point|item)"
    r"\s\(?(?:\d{1,3}[a-z]?|[a-z]{1,2})(?!\w)\)?)*)"
    r"(?![\w=]|[.,/]\d)"
)
PART = re.compile(r"(?<![\w])(?:\d{1,3}[a-z]{0,2}|[a-z]{1,3}|[A-Z])(?![\w.])")
OF_ANNEX = re.compile(rf"\s(?:of|to|in|der|des|von|zu|zur)\s(?:the\s|this\s)?(?P<annex>{ANNEX})")
# "§ 4 der Fahrzeug-Zulassungsverordnung": another book's clause.
FOREIGN = re.compile(
    rf"(?:\sSatz\s\d)?\s(?:of\s(?:the\s)?|der\s|des\s)(?!{ANNEX})(?!(?i:these|this|book|regulations|rules|anhangs?|anlage)\b)[A-ZÄÖÜ]"
)
LAST_NUMBER = re.compile(r"(.*?)(\d{1,3})(\)?)", re.DOTALL)
GROUPS = re.compile(r"\d+|[A-Za-z]+")


class _Found(NamedTuple):
    """A reference in a text, and the words that introduced it, for the ones that follow in a list."""

    start: int
    end: int
    id: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Book:
    """What numbers are looked up in, and from where: the clause that refers, and the annex around it."""

    known: Collection[str]
    clause: str
    annex: str


def reference_spans(
    text: str, known: Collection[str], *, clause: str = "", annex: str = ""
) -> tuple[tuple[int, int, str], ...]:
    """Where a text refers to known clauses: start, end and id, in order of the text.

    `clause` is the id of the clause whose text it is, from which "Absatz 2" counts; `annex` that of the annex around it, whose
    own numbers come first. Give the known ids as a set.
    """
    return tuple((found.start, found.end, found.id) for found in _references(text, _Book(known, clause, annex)))


def find_references(text: str, known: Collection[str], *, clause: str = "", annex: str = "") -> tuple[str, ...]:
    """The ids that a text refers to, in order, each once, the clause itself left out; a range counts with all within it."""
    ids: dict[str, None] = {}
    last: _Found | None = None
    for found in _references(text, _Book(known, clause, annex)):
        if last is not None and RANGE.fullmatch(text, last.end, found.start):
            ids.update(dict.fromkeys(_within(last.id, found.id, known)))
        ids[found.id] = None
        last = found
    ids.pop(clause, None)
    return tuple(ids)


def _references(text: str, book: _Book) -> Iterator[_Found]:
    last: _Found | None = None
    for match, introduced in _candidates(text):
        text, start, end = match.string, match.start() + 1, match.end()
        names = introduced
        if last is not None and start - last.end <= FARTHEST_LINKED and not match["annex"]:
            names = last.names if BETWEEN.fullmatch(text, last.end + 1, start) else introduced
        if not names or (RELATIVE not in names and FOREIGN.match(text, end)):
            continue
        found = _resolve(match, names, book)
        if found is not None:
            last = _Found(start - 1, found[1] - 1, found[0], names)
            yield last


@lru_cache(maxsize=16_384)  # most texts of a book stand in its next edition too
def _candidates(text: str) -> tuple[tuple[re.Match[str], tuple[str, ...]], ...]:
    """What looks like a number of a clause and is introduced as one, or stands close enough behind such a one to go on from it."""
    found = []
    nearest = -FARTHEST_LINKED - 1
    for match in CANDIDATE.finditer(f" {text}"):
        start = match.start() + 1
        names = _names(match, start)
        if names or start - nearest <= FARTHEST_LINKED:
            found.append((match, names))
            nearest = match.end()
    return tuple(found)


def _names(match: re.Match[str], start: int) -> tuple[str, ...]:
    """How a number is introduced; empty where nothing shows that it is one of a clause."""
    if match["annex"]:
        return (ANNEX_NAME,)
    text, label = match.string, match["label"]
    if names := _introduced(text, start):
        return names
    parts = 1 if label.isdigit() else len(label.split(".") if "." in label else GROUPS.findall(label))
    if parts < LONGEST_DECIMAL or UNIT.match(text[match.end() : match.end() + WINDOW].lstrip()):
        return ()
    if parts > LONGEST_DECIMAL or match["tail"].startswith("(") or OF_ANNEX.match(text, match.end()):
        return ("",)
    return ("",) if "." in label and CUE.search(text[max(start - WINDOW, 0) : start]) else ()


def _introduced(text: str, start: int) -> tuple[str, ...]:
    """What the word in front of a number says of it; empty where it introduces none."""
    end = start - text.startswith("(", start - 1)
    before = text[max(end - WINDOW, 0) : end]
    word = before.rstrip(BLANKS)
    if len(before) - len(word) > MOST_BLANKS or not (word[-1:].isalpha() or word[-1:] in {".", "§"}):
        return ()
    begin = end - len(before) + 1 + max(word.rfind(" "), word.rfind("\n"), word.rfind("\u00a0"))
    named = NAMED.search(text, begin, start)
    return NAMES[(named.lastindex or 1) - 1][1] if named else ()


def _resolve(match: re.Match[str], names: tuple[str, ...], book: _Book) -> tuple[str, int] | None:
    """The id of a known clause and where the words that name it end."""
    text, tail = match.string, match.span("tail")
    details = [(part.group(), part.end()) for part in PART.finditer(text, *tail)] if match["tail"] else []
    for head in _heads(match, names, book):
        for length in range(len(details), -1, -1):
            candidate = head + "".join(f"({part})" for part, _ in details[:length])
            if candidate in book.known:
                end = details[length - 1][1] if length else tail[0]
                return candidate, end + (bool(length) and text.startswith(")", end))
    return None


def _heads(match: re.Match[str], names: tuple[str, ...], book: _Book) -> Iterator[str]:
    """The ids that the number could mean, without its details, the nearest first."""
    label = match["label"]
    if label is None:
        word, designator = match["annex"].split()
        yield f"{word.capitalize()} {designator}"
        yield f"{word} {designator}"
        return
    behind = OF_ANNEX.match(match.string, match.end())
    around = " ".join(behind["annex"].split()) if behind else book.annex
    for name in names:
        if name == RELATIVE:
            above = book.clause
            while "(" in above:
                above = above[: above.rindex("(")]
                yield f"{above}({label})"
            yield f"{book.clause}({label})"
            continue
        head = f"{name} {label}".strip()
        if around:
            yield f"{around}/{head}"
        yield head


def _within(first: str, last: str, known: Collection[str]) -> Iterator[str]:
    """The known ids between two that differ in their last number only."""
    low, high = LAST_NUMBER.fullmatch(first), LAST_NUMBER.fullmatch(last)
    if low is None or high is None or low[1] != high[1]:
        return
    for number in range(int(low[2]) + 1, min(int(high[2]), int(low[2]) + FARTHEST)):
        candidate = f"{low[1]}{number}{low[3]}"
        if candidate in known:
            yield candidate
