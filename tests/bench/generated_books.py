"""Books to learn from and to measure on: edited by a known hand, of many sizes, in invented words and in real languages.

Real words come from the Debian Policy Manual (English), the Debian FAQ (French, Italian, Dutch, Russian) and, where the environment variable RULEWATCH_CORPORA names a folder
that has it, from the German vehicle licensing regulation (official work, public domain).
"""

from __future__ import annotations

import os
import random
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from bench.edited_books import edited, invented_text
from bench.open_texts import FAQ, Case, faq, policy_sections

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

GERMAN = Path(os.environ.get("RULEWATCH_CORPORA", "")) / "vehicle-licensing" / "stvzo-2012-07.md"
INVENTED, ENGLISH, GERMAN_WORDS = "invented words", "English", "German"
OTHERS = dict(zip(("French", "Italian", "Dutch", "Russian"), FAQ, strict=True))
# Clauses in a book, and the share of them that something happens to.
SIZES, RATES = (2, 3, 4, 6, 10, 30, 100, 400), (0.1, 0.25, 0.5, 0.8)
LONGEST = 120  # words of a real clause that are taken
SHORTEST = 5  # words of a paragraph that counts as a clause
TITLES, TITLE = 0.1, (1, 7)  # the share of books that are titles only, and how many words one has

Rows = Sequence[tuple[int, str]]  # depth and text


def sources(folder: Path) -> list[str]:
    """The words that are there to be had."""
    english = [ENGLISH] if (folder / "bookworm" / "policy.txt").is_file() else []
    others = [words for words, language in OTHERS.items() if (folder / f"faq-{language}" / "faq.txt").is_file()]
    return [INVENTED, *english, *([GERMAN_WORDS] if GERMAN.is_file() else []), *others]


def generated(words: str, seed: int, folder: Path) -> Case:
    """One book before and after, by chance in everything; the same seed gives the same book."""
    rng = random.Random(f"{words} {seed}")  # noqa: S311 -- books by chance, no secret
    size = rng.choice(SIZES)
    if words == INVENTED:
        rows = invented_text(rng.choice((300, 2000)), size + 2, seed)
    else:
        whole = real(words, folder)
        start = rng.randrange(len(whole) - size)
        rows = stepwise(whole[start : start + size])
    if rng.random() < TITLES:
        rows = [(depth, " ".join(text.split()[: rng.randrange(*TITLE)])) for depth, text in rows]
    old, new, truth = edited(rows, seed, sticky=seed % 2 == 0, rate=rng.choice(RATES), forms=seed % 4 > 1)
    return Case(name=f"{words} {seed}", old=old, new=new, truth=frozenset(truth))


def real(words: str, folder: Path) -> Rows:
    """A text in a real language."""
    if words == ENGLISH:
        return english(folder)
    if words == GERMAN_WORDS:
        return german()
    return other(folder / f"faq-{OTHERS[words]}" / "faq.txt")


@cache
def other(path: Path) -> Rows:
    """The headings of an FAQ, and the paragraphs below them."""
    rows = ((depth, text.split()[:LONGEST]) for depth, text in faq(path))
    return [(depth, " ".join(words)) for depth, words in rows if len(words) >= SHORTEST]


@cache
def english(folder: Path) -> Rows:
    """The sections of the policy manual, and their paragraphs below them."""
    rows = []
    for title, section in policy_sections(folder / "bookworm" / "policy.txt").values():
        depth = section.id.count(".")
        rows.append((depth, title))
        paragraphs = (part.split() for part in section.text.split("\n\n"))
        rows += [(depth + 1, " ".join(words[:LONGEST])) for words in paragraphs if len(words) >= SHORTEST]
    return rows


@cache
def german() -> Rows:
    """The clauses of the licensing regulation."""
    source = Source(path=GERMAN.name, text=GERMAN.read_text(encoding="utf-8"))
    clauses: Sequence[Clause] = parse_book([source], plain=True).clauses
    depth: dict[str, int] = {}
    for clause in clauses:
        depth[clause.id] = depth.get(clause.parent, -1) + 1
    return [(depth[one.id], " ".join(one.text.split()[:LONGEST])) for one in clauses if one.text.strip()]


def stepwise(rows: Rows) -> Rows:
    """Rows cut out of a book: the first at the top, and none more than one below the one before."""
    out: list[tuple[int, str]] = []
    for depth, text in rows:
        below = out[-1][0] + 1 if out else 0
        out.append((max(0, min(depth - rows[0][0], below)), text))
    return out
