"""Which of several near-identical rules a clause is: the words in which they differ say so, more than number and place do.

"The front rim is at most 10 in wide" and "The rear rim is at most 11 in wide" may change places, and their values as well. What
names a rule are the words that it does not share with the others; a value is what rules change.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf

from rulewatch.compare.likeness import Profile, Profiles, Weights, stem
from rulewatch.model.quantity import find_unit

Pair = tuple[int, int]

# The sign or word behind a number, as far as it may be a unit.
UNIT = re.compile(r"\d ?((?:[^\W\d_]|[%°²³/·\"'])+(?:\([A-Z]\))?)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """The weight of the words, numbers left out, that only the old and that only the new of two clauses has."""

    dropped: float
    added: float

    @property
    def total(self) -> float:
        """Both together."""
        return self.dropped + self.added


def contrast(old: Profile, new: Profile, weights: Weights) -> Contrast:
    """In which words two clauses differ."""
    return Contrast(dropped=extra(old, new, weights), added=extra(new, old, weights))


def extra(one: Profile, other: Profile, weights: Weights) -> float:
    """The weight of the words of one clause that another has not. Whole words, whose stems may be the same."""
    theirs = {word.lower() for word in other.words}
    mine = {word.lower(): word for word in one.words if not word[0].isdigit()}
    return sum(weights.weight[stem(word)] for lower, word in mine.items() if lower not in theirs)


def measured_in(text: str) -> frozenset[str]:
    """The dimensions of the amounts that a text states: a length, a mass."""
    units = (find_unit(symbol) for symbol in UNIT.findall(text))
    return frozenset(unit.dimension for unit in units if unit is not None)


class Contrasts:
    """The contrasts between clauses of two books, worked out once each."""

    def __init__(self, old: Profiles, new: Profiles, weights: Weights) -> None:
        """Look at two books by index."""
        self._old, self._new, self._weights = old, new, weights
        self._known: dict[Pair, Contrast] = {}
        self._measures: dict[str, frozenset[str]] = {}

    def of(self, o: int, n: int) -> Contrast:
        """In which words an old and a new clause differ."""
        found = self._known.get((o, n))
        if found is None:
            found = self._known[o, n] = contrast(self._old[o], self._new[n], self._weights)
        return found

    def measures_other(self, o: int, n: int) -> bool:
        """Whether both state amounts, and none of the same dimension: what was a rule on mass is none on length."""
        ours, theirs = (self._measures_of(text) for text in (self._old.texts[o], self._new.texts[n]))
        return bool(ours and theirs) and ours.isdisjoint(theirs)

    def _measures_of(self, text: str) -> frozenset[str]:
        found = self._measures.get(text)
        if found is None:
            found = self._measures[text] = measured_in(text)
        return found

    def claims(self, pairs: Iterable[Pair], new_of: Sequence[int], old_of: Sequence[int]) -> dict[Pair, float]:
        """How far another partner of one of the two has a better claim by its words, from 0 to 1.

        `new_of` and `old_of` are the pairs found so far: who has found a better partner claims nothing. Only where words were
        replaced: a clause that merely grew or shrank has not become another. 1 says that the other partner differs in no word.
        """
        by_old: defaultdict[int, list[Pair]] = defaultdict(list)
        by_new: defaultdict[int, list[Pair]] = defaultdict(list)
        for pair in pairs:
            by_old[pair[0]].append(pair)
            by_new[pair[1]].append(pair)
        found: dict[Pair, float] = {}
        for row in (*by_old.values(), *by_new.values()):
            claimants = (
                [self.of(*pair).total for pair in row if not self.is_settled(pair, new_of, old_of)] if len(row) > 1 else []
            )
            least = min(claimants, default=inf)
            for pair in row if claimants else ():
                own = self.of(*pair)
                if own.dropped and own.added and least < own.total:
                    found[pair] = max(found.get(pair, 0.0), 1 - least / own.total)
        return found

    def is_settled(self, pair: Pair, new_of: Sequence[int], old_of: Sequence[int]) -> bool:
        """Whether one of the two has found another partner from which it differs no more."""
        o, n = pair
        return (new_of[o] not in {-1, n} and self.of(o, new_of[o]).total <= self.of(o, n).total) or (
            old_of[n] not in {-1, o} and self.of(old_of[n], n).total <= self.of(o, n).total
        )
