"""How alike two clauses are, by the words they share and the order these stand in.

Rare words say more than frequent ones: each word weighs by how few clauses of the two books have it, so that "shall be" and
a book's own stock phrases count for little without any list of such words for any language. A small book tells little about
that, so that short words are taken for frequent until the book says otherwise, as they are in every language.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from rulewatch.compare.spelling import respelled
from rulewatch.compare.words import parts_of
from rulewatch.model.clause import Clause

# A word's first letters stand for it, so that plural and case endings do not hide that it is the same word.
STEM = 7
# A sentence of at least so many words that so many clauses of one book share is a stock phrase, and counts as one word.
STOCK_WORDS, STOCK_CLAUSES = 3, 4
SENTENCE_END = re.compile(r"(?<=[.;:!?]) ")
# What it adds that both have the same words which no other clause of their books has; half of it in a book of so few clauses,
# since there most words stand only once.
ONLY, ONLY_CLAUSES = 0.2, 25
# The share of clauses with a word of one letter, two, three ..., as in a book of so many clauses that every book begins with.
USUAL = (0.25, 0.25, 0.25, 0.1, 0.04)
USUAL_CLAUSES = 60

# What a number weighs beside a word that is as rare: a value is what rules change.
VALUE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A clause as likeness sees it: folded text, its words (a stock phrase is one), their stems in order, and counted."""

    text: str
    words: tuple[str, ...]
    row: tuple[str, ...]
    stems: Mapping[str, int]
    weight: float  # the sum of its stems' weights, repeats counted
    only: frozenset[str]  # the words that stand in one clause of each book, as a name or a defined term does


class Weights:
    """The weight of each stem in two books taken together, and the likeness that follows from it."""

    def __init__(self, old: Sequence[Clause], new: Sequence[Clause]) -> None:
        """Count in how many clauses of the two books each stem stands."""
        books = [Counter(clause.folded for clause in book) for book in (old, new)]
        stock = stock_phrases(books[0]) | stock_phrases(books[1])
        self._words = {text: tuple(significant(text, stock)) for book in books for text in book}
        old_seen, new_seen = (spread(book, self._words) for book in books)
        spelt = respelled(old_seen.keys(), new_seen.keys())
        if spelt:
            self._words = {text: tuple(spelt.get(word, word) for word in words) for text, words in self._words.items()}
            old_seen = spread(books[0], self._words)
        stems = {word: stem(word) for seen in (old_seen, new_seen) for word in seen}
        self._rows = {text: tuple([stems[word] for word in words]) for text, words in self._words.items()}
        self._stems = {text: Counter(row) for text, row in self._rows.items()}
        self._only = frozenset(word for word, seen in old_seen.items() if seen == 1 == new_seen[word])
        together = spread(books[0], self._stems) + spread(books[1], self._stems)
        smaller = min(len(old), len(new))
        self._only_worth = ONLY * smaller / (smaller + ONLY_CLAUSES)
        clauses = USUAL_CLAUSES + len(old) + len(new)
        self.weight = {
            word: log(1 + clauses / (seen + USUAL_CLAUSES * usual(word))) * (VALUE if word[0].isdigit() else 1)
            for word, seen in together.items()
        }
        self.rare = log(1 + clauses)  # the weight of a word that stands in one clause only

    def profile(self, clause: Clause) -> Profile:
        """The profile of a clause of one of the books."""
        text = clause.folded
        words, row, stems = self._words[text], self._rows[text], self._stems[text]
        only = self._only.intersection(words)
        return Profile(text=text, words=words, row=row, stems=stems, weight=sum(map(self.weight.__getitem__, row)), only=only)

    def total(self, stems: Mapping[str, int]) -> float:
        """The weight of counted stems."""
        weight = self.weight
        return sum(weight[word] * count for word, count in stems.items())

    def shared(self, one: Mapping[str, int], other: Mapping[str, int]) -> float:
        """The weight of what two counts of stems have in common."""
        if len(one) > len(other):
            one, other = other, one
        weight = self.weight
        return sum(weight[word] * min(count, other[word]) for word, count in one.items() if word in other)

    def likeness(self, old: Profile, new: Profile) -> float:
        """0 for nothing in common to 1 for the same text.

        The mean of three views: the share of common words in both (twice), their share in the shorter one (a clause that
        only grew is still the same clause), and the words in their order, which tells apart what uses the same words
        otherwise. Words that only these two clauses have add to it.
        """
        from rapidfuzz.distance import Indel

        if old.text == new.text:
            return 1.0
        if not old.weight or not new.weight:
            return 0.0
        common = self.shared(old.stems, new.stems)
        both = 2 * common / (old.weight + new.weight)
        within = common / min(old.weight, new.weight)
        order = Indel.normalized_similarity(old.words, new.words)
        only = len(old.only & new.only) / max(len(old.only | new.only), 1)
        return min((2 * both + within + order) / 4 + self._only_worth * only, 0.99)


def stem(word: str) -> str:
    """What stands for a word in counts: its first letters in lower case; numbers and stock phrases stay whole."""
    return word if word[0].isdigit() or " " in word else word[:STEM].lower()


def spread(book: Mapping[str, int], words: Mapping[str, Collection[str]]) -> Counter[str]:
    """In how many clauses of a book each word stands, from how often it has each text, and the words of each."""
    seen: Counter[str] = Counter()
    for text, times in book.items():
        distinct = set(words[text])
        seen.update(distinct)
        if times > 1:
            seen.update(dict.fromkeys(distinct, times - 1))
    return seen


def usual(word: str) -> float:
    """The share of the clauses of any book that have a word, as far as its length tells."""
    return USUAL[len(word) - 1] if len(word) <= len(USUAL) and not word[0].isdigit() else 0.0


def stock_phrases(book: Mapping[str, int]) -> set[str]:
    """The sentences that many clauses of one book share ("Penalty: ten points."), from how often it has each text."""
    seen: Counter[str] = Counter()
    for text, times in book.items():
        for sentence in set(SENTENCE_END.split(text)):
            seen[sentence] += times
    return {sentence for sentence, count in seen.items() if count >= STOCK_CLAUSES and sentence.count(" ") >= STOCK_WORDS - 1}


def significant(text: str, stock: set[str]) -> Iterable[str]:
    """The words of a text in order, each stock phrase as one; a clause that is nothing else keeps its words."""
    for sentence in SENTENCE_END.split(text):
        if sentence in stock and sentence != text:
            yield sentence
        else:
            yield from parts_of(sentence)
