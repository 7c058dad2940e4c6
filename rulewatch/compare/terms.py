"""Terms: which clauses of a book define a word, and which use it.

A clause defines what stands in quotation marks or in bold before `means` or its like. In a chapter of definitions it also
defines its own heading, or what it begins with (`Mat: …`, `A mat is …`), and what it says something "is called".
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from rulewatch.model.clause import Clause

# What a chapter of definitions is called, in the languages that rule books of the trade come in (common practice, no source).
_CHAPTER = re.compile(
    r"\b(?:definitions?|glossary|terminology|terms|interpretation|begriffs?bestimmungen|begriffe|definitionen|"
    r"définitions?|glossaire|definizioni|definiciones)\b",
    re.IGNORECASE,
)
_OPEN, _CLOSE = "[\"'“”„‘’«»]", "[\"'“”‘’«»]"
_TERM = r"(?P<term>[^\"'“”„‘’«»*.;:]{3,60})"
_MEANS = r"\s+(?:shall\s+mean|means?|denotes?|refers?\s+to|bedeutet|bezeichnet|désigne|signifie|significa|indica)\b"
_MARKED = re.compile(rf"(?:{_OPEN}{_TERM}{_CLOSE}|\*\*{_TERM.replace('term', 'bold')}\*\*){_MEANS}", re.IGNORECASE)
# How an entry of a list of definitions begins: `Mat: …`, `A mat is …`; a sentence behind `Definition:` begins so anywhere.
_ARTICLE = r"(?:(?:an?|the|der|die|das|eine?)\s+)?"
_NOUN = r"(?P<term>[^\W\d_][\w -]{1,59}?)"
_ENTRY = re.compile(rf"{_ARTICLE}{_NOUN}(?::\s|\s+(?:is|are|means?|ist|sind|umfasst)\b)", re.IGNORECASE)
_ANNOUNCING = ("definition", "begriff", "définition")
_DEFINITION = re.compile(rf"\b(?:{'|'.join(_ANNOUNCING)})\s*:\s*", re.IGNORECASE)
_CALLED = re.compile(r"\bis\s+called\s+(?:an?\s+|the\s+)?(?P<term>[^\W\d_][\w \n-]{2,59}?)(?=[.,;:(]|$)", re.IGNORECASE)
# What every mark of a term begins with: looking for it spares most texts the rest.
_QUOTED = re.compile(rf"{_OPEN}|\*\*")
_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
_NAME = re.compile(
    r"(?=[^a-zäöü])[^\W\d_][\w -]*(?<!\s)"
)  # a title that can be a term: it begins with a capital, and is all words
_NUMBERED = re.compile(r"^[\d.()\s]+")
# Headings of a chapter of definitions that name no term.
_GENERAL = {("general",), ("scope",), ("purpose",), ("introduction",), ("allgemeines",), ("généralité",)}
_LONGEST, _LONGEST_TITLE = 6, 60  # words of a term; letters of a title
_SHORTEST = 3  # letters of the longest word of a term: fewer are an abbreviation of anything

Term = tuple[str, ...]


def defined(clauses: Sequence[Clause]) -> Mapping[str, tuple[str, ...]]:
    """The terms that each clause defines, as printed, by its id; clauses that define none are left out."""
    within = _definitions(clauses)
    found = {clause.id: tuple(dict.fromkeys(_terms(clause, listed=clause.id in within))) for clause in clauses}
    return {name: terms for name, terms in found.items() if terms}


def uses(clauses: Sequence[Clause], terms: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
    """The clauses that use each term, by id, in the order of the book. Of terms inside one another the longest counts."""
    by_first: dict[str, list[tuple[Term, str]]] = {}
    for term in terms:
        key = words(term)
        by_first.setdefault(key[0], []).append((key, term))
    for found in by_first.values():
        found.sort(key=lambda one: -len(one[0]))
    # Looking for the letters that a first word begins with spares most texts being taken apart.
    beginnings = [first.removesuffix("y") for first in by_first]
    users: dict[str, dict[str, None]] = {term: {} for term in terms}
    singular = _Singular()
    for clause in clauses:
        text = clause.text.casefold()
        if any(beginning in text for beginning in beginnings):
            for term in _used(tuple(map(singular.__getitem__, _WORD.findall(clause.text))), by_first):
                users[term][clause.id] = None
    return {term: tuple(found) for term, found in users.items()}


def words(text: str) -> Term:
    """The words of a text as terms are compared: small letters, the plural as the singular."""
    return tuple(map(_Singular().__getitem__, _WORD.findall(text)))


class _Singular(dict[str, str]):
    """Words as terms are compared. A book has each of its words many times, and each is brought to that form once."""

    def __missing__(self, printed: str) -> str:
        word = printed.casefold()
        if word.endswith("ies") and len(word) > len("ties"):
            word = word[:-3] + "y"
        elif word.endswith("s") and not word.endswith("ss") and len(word) > _SHORTEST:
            word = word[:-1]
        self[printed] = word
        return word


def _used(text: Term, by_first: Mapping[str, Sequence[tuple[Term, str]]]) -> Iterator[str]:
    """The terms that a text uses. One that lies inside a longer one is not used by itself."""
    at = 0
    while at < len(text):
        step = 1
        for key, term in by_first.get(text[at], ()):
            if text[at : at + len(key)] == key:
                yield term
                step = len(key)
                break
        at += step


def _definitions(clauses: Sequence[Clause]) -> set[str]:
    """The clauses that stand under a title of definitions, at any depth, with the one that has it."""
    found: set[str] = set()
    for clause in clauses:
        if clause.parent in found or _CHAPTER.search(_title(clause)):
            found.add(clause.id)
    return found


def _title(clause: Clause) -> str:
    """The heading of a clause, or its first line where that stands alone and is no sentence; empty where there is neither."""
    first, _, rest = clause.text.partition("\n")
    alone = clause.heading or (first if not rest or rest.startswith("\n") else "")
    title = _NUMBERED.sub("", alone.strip(" *_")).strip(" *_:\"'“”„")
    return title if len(title) <= _LONGEST_TITLE and not title.endswith((".", ",", ";")) else ""


def _terms(clause: Clause, *, listed: bool) -> Iterator[str]:
    """The terms of one clause; `listed` where it stands under a title of definitions."""
    text, title = clause.folded, _title(clause) if listed else ""
    found = [match["term"] or match["bold"] for match in _MARKED.finditer(text)] if _QUOTED.search(text) else []
    small = text.lower() if ":" in text else ""
    said = _DEFINITION.search(text) if any(word in small for word in _ANNOUNCING) else None
    entries = [_ENTRY.match(text, said.end())] if said is not None else []
    if listed and not _CHAPTER.search(title):
        found += [title] if _NAME.fullmatch(title) and words(title) not in _GENERAL else []
        found += [match["term"] for match in _CALLED.finditer(text)]
        entries += [_ENTRY.match(text)] if not title else []
    found += [match["term"] for match in entries if match is not None]
    for term in found:
        key = words(term)
        if 0 < len(key) <= _LONGEST and max(map(len, key)) >= _SHORTEST:
            yield " ".join(term.split())
