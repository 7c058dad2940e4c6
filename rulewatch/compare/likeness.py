"""How alike two clauses are, by the words they share and the order these stand in.

Rare words say more than frequent ones: each word weighs by how few clauses of the two books have it, so that "shall be" and
a book's own stock phrases count for little without any list of such words for any language. A small book tells little about
that, so that short words are taken for frequent until the book says otherwise, as they are in every language.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from math import log
from operator import mul

from rulewatch.compare.spelling import respelled
from rulewatch.compare.words import PART, Parts
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
    words: Sequence[str]
    row: tuple[str, ...]
    stems: Counter[str]
    weight: float  # the sum of its stems' weights, repeats counted
    only: frozenset[str]  # the words that stand in one clause of each book, as a name or a defined term does


class Weights:
    """The weight of each stem in two books taken together, and the likeness that follows from it.

    Most texts stand in both books, and nobody asks what they are like: each text is taken apart once, and its words are
    counted. Everything else that likeness sees of a text is worked out when it is first asked for.
    """

    def __init__(self, old: Sequence[Clause], new: Sequence[Clause]) -> None:
        """Count in how many clauses of the two books each stem stands."""
        from rapidfuzz.distance import Indel

        self._in_order = Indel.normalized_similarity
        self.old_texts, self.new_texts = ([clause.folded for clause in book] for book in (old, new))
        books = Counter(self.old_texts), Counter(self.new_texts)
        self._words = taken_apart(dict.fromkeys((*self.old_texts, *self.new_texts)))
        self._words |= with_stock_phrases(self._words, *books)
        old_seen, new_seen = spread(self._words.__getitem__, *books)
        spelt = respelled(old_seen.keys(), new_seen.keys())
        for before, after in spelt.items():
            old_seen[after] = old_seen.pop(before)
        # What is spelt otherwise stands in none of the texts that both books have.
        for text in [text for text in books[0] if spelt and text not in books[1]]:
            self._words[text] = [spelt.get(word, word) for word in self._words[text]]
        self._stem = {word: stem(word) for word in old_seen | new_seen}
        self._only = frozenset(word for word, seen in old_seen.items() if seen == 1 == new_seen[word])
        smaller = min(len(old), len(new))
        self._only_worth = ONLY * smaller / (smaller + ONLY_CLAUSES)
        clauses = USUAL_CLAUSES + len(old) + len(new)
        (seen_in,) = spread(self._row, books[0] + books[1])
        self.weight = {
            word: log(1 + clauses / (seen + USUAL_CLAUSES * usual(word))) * (VALUE if word[0].isdigit() else 1)
            for word, seen in seen_in.items()
        }
        self.rare = log(1 + clauses)  # the weight of a word that stands in one clause only
        self._profiles: dict[str, Profile] = {}

    def _row(self, text: str) -> Iterator[str]:
        """The stems of a text in order."""
        return map(self._stem.__getitem__, self._words[text])

    def profile(self, text: str) -> Profile:
        """The profile of a text of one of the books."""
        profile = self._profiles.get(text)
        if profile is None:
            words, row = self._words[text], tuple(self._row(text))
            self._profiles[text] = profile = Profile(
                text=text,
                words=words,
                row=row,
                stems=Counter(row),
                weight=sum(map(self.weight.__getitem__, row)),
                only=self._only.intersection(words),
            )
        return profile

    def total(self, stems: Mapping[str, int]) -> float:
        """The weight of counted stems."""
        weight = self.weight
        return sum(weight[word] * count for word, count in stems.items())

    def shared(self, one: Mapping[str, int], other: Mapping[str, int]) -> float:
        """The weight of what two counts of stems have in common."""
        if len(one) > len(other):
            one, other = other, one
        both = [*filter(other.__contains__, one)]
        counts = map(min, map(one.__getitem__, both), map(other.__getitem__, both))
        return sum(map(mul, map(self.weight.__getitem__, both), counts), 0.0)

    def likeness(self, old: Profile, new: Profile) -> float:
        """0 for nothing in common to 1 for the same text.

        The mean of three views: the share of common words in both (twice), their share in the shorter one (a clause that
        only grew is still the same clause), and the words in their order, which tells apart what uses the same words
        otherwise. Words that only these two clauses have add to it.
        """
        if old.text == new.text:
            return 1.0
        if not old.weight or not new.weight:
            return 0.0
        common = self.shared(old.stems, new.stems)
        both = 2 * common / (old.weight + new.weight)
        within = common / min(old.weight, new.weight)
        order = self._in_order(old.words, new.words)
        only = len(old.only & new.only) / max(len(old.only | new.only), 1)
        return min((2 * both + within + order) / 4 + self._only_worth * only, 0.99)


class Profiles:
    """The profiles of a book's clauses by index. A profile is worked out when it is asked for; the texts are there."""

    def __init__(self, texts: Sequence[str], weights: Weights) -> None:
        """Take the folded texts of a book."""
        self.texts, self._profile = texts, weights.profile

    def __getitem__(self, index: int) -> Profile:
        return self._profile(self.texts[index])


def stem(word: str) -> str:
    """What stands for a word in counts: its first letters in lower case; numbers and stock phrases stay whole."""
    return word if word[0].isdigit() or " " in word else word[:STEM].lower()


def spread(items: Callable[[str], Iterable[str]], *books: Mapping[str, int]) -> list[Counter[str]]:
    """In how many clauses of each book each item of its texts stands; a book tells how often it has each text."""
    # Texts that stand equally often in each book, nearly always once, are counted together.
    alike: defaultdict[tuple[int, ...], list[str]] = defaultdict(list)
    for text in dict.fromkeys(chain(*books)):
        alike[tuple([book.get(text, 0) for book in books])].append(text)
    seen = [Counter[str]() for _ in books]
    for often, texts in alike.items():
        counted = Counter(chain.from_iterable(set(items(text)) for text in texts))
        for book, times in zip(seen, often, strict=True):
            if times:
                book.update({item: count * times for item, count in counted.items()})
    return seen


def usual(word: str) -> float:
    """The share of the clauses of any book that have a word, as far as its length tells."""
    return USUAL[len(word) - 1] if len(word) <= len(USUAL) and not word[0].isdigit() else 0.0


def taken_apart(texts: Iterable[str]) -> dict[str, list[str]]:
    """The words of each folded text."""
    parts = Parts()
    return {text: [*chain.from_iterable(map(parts.__getitem__, text.split(" ")))] for text in texts}


def with_stock_phrases(texts: Iterable[str], *books: Mapping[str, int]) -> dict[str, list[str]]:
    """The words of each text that has a stock phrase, which is one word; a text that is nothing else keeps its words.

    A stock phrase is a sentence that many clauses of one book share ("Penalty: ten points.").
    """
    sentences = {text: SENTENCE_END.split(text) for text in texts}
    stock = {
        sentence
        for seen in spread(sentences.__getitem__, *books)
        for sentence, count in seen.items()
        if count >= STOCK_CLAUSES and sentence.count(" ") >= STOCK_WORDS - 1
    }
    return {
        text: [word for sentence in row for word in ([sentence] if sentence in stock else PART.findall(sentence))]
        for text, row in sentences.items()
        if len(row) > 1 and not stock.isdisjoint(row)
    }
