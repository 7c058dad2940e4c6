"""How alike two clauses are, by the words they share and the order these stand in.

Rare words say more than frequent ones: each word weighs by how few clauses of the two books have it, so that "shall be" and
a book's own stock phrases count for little without any list of such words for any language.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from rulewatch.compare.words import parts_of
from rulewatch.model.clause import Clause, fold

# A word's first letters stand for it, so that plural and case endings do not hide that it is the same word.
STEM = 7
# A sentence of at least so many words that so many clauses of one book share is a stock phrase, and counts as one word.
STOCK_WORDS, STOCK_CLAUSES = 3, 4
SENTENCE_END = re.compile(r"(?<=[.;:!?]) ")
# What it adds that both have the same words which no other clause of their books has.
ONLY = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A clause as likeness sees it: folded text, its words (a stock phrase is one), and their stems counted."""

    text: str
    words: tuple[str, ...]
    stems: Mapping[str, int]
    weight: float  # the sum of its stems' weights, repeats counted
    only: frozenset[str]  # the words that stand in one clause of each book, as a name or a defined term does


class Weights:
    """The weight of each stem in two books taken together, and the likeness that follows from it."""

    def __init__(self, old: Sequence[Clause], new: Sequence[Clause]) -> None:
        """Count in how many clauses of the two books each stem stands."""
        books = [[fold(clause.text) for clause in book] for book in (old, new)]
        texts = [text for book in books for text in book]
        stock = set().union(*(stock_phrases(book) for book in books))
        self._words = {text: tuple(significant(text, stock)) for text in dict.fromkeys(texts)}
        self._stems = {text: Counter(map(stem, words)) for text, words in self._words.items()}
        spread = Counter(word for text in texts for word in self._stems[text])
        self._only = frozenset(self._in_one(books[0]) & self._in_one(books[1]))
        self.weight = {word: log(1 + len(texts) / seen) for word, seen in spread.items()}
        self.rare = log(1 + len(texts))  # the weight of a word that stands in one clause only

    def profile(self, clause: Clause) -> Profile:
        """The profile of a clause of one of the books."""
        text = fold(clause.text)
        words, stems = self._words[text], self._stems[text]
        return Profile(text=text, words=words, stems=stems, weight=self.total(stems), only=self._only.intersection(words))

    def _in_one(self, texts: Iterable[str]) -> set[str]:
        """The words that stand in just one of the texts."""
        spread = Counter(word for text in texts for word in set(self._words[text]))
        return {word for word, seen in spread.items() if seen == 1}

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
        return min((2 * both + within + order) / 4 + ONLY * only, 0.99)


def stem(word: str) -> str:
    """What stands for a word in counts: its first letters in lower case; numbers and stock phrases stay whole."""
    return word if word[0].isdigit() or " " in word else word[:STEM].lower()


def stock_phrases(texts: Iterable[str]) -> set[str]:
    """The sentences that many clauses of one book share ("Penalty: ten points.")."""
    seen = Counter(sentence for text in texts for sentence in set(SENTENCE_END.split(text)))
    return {sentence for sentence, count in seen.items() if count >= STOCK_CLAUSES and sentence.count(" ") >= STOCK_WORDS - 1}


def significant(text: str, stock: set[str]) -> Iterable[str]:
    """The words of a text in order, each stock phrase as one; a clause that is nothing else keeps its words."""
    for sentence in SENTENCE_END.split(text):
        if sentence in stock and sentence != text:
            yield sentence
        else:
            yield from parts_of(sentence)
