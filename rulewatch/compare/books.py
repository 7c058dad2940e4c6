"""Two books on the table: their clauses, what likeness and place see of them, and the pairs found so far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rulewatch.compare.certainty import Signs, of_pair
from rulewatch.compare.contrast import Contrasts
from rulewatch.compare.kinship import Kinship
from rulewatch.compare.likeness import Profiles, Weights
from rulewatch.compare.outline import Outline
from rulewatch.model.clause import Clause

# How alike neighbours usually are, and how many of them tell it of a book; fewer tell in proportion.
USUAL_CHANCE = 0.15
FEW = 20
# So many tell enough of a large book.
MANY = 2000

# What speaks at least for two clauses whose rules below are all the same, whatever they say themselves.
HEAD = 0.6

# What a place no longer counts for a pair of which the words say that one is another rule.
OTHER = 0.95

# Beyond chance so alike must two texts be for their place to count in full; below it counts in proportion.
TOLD = 0.1


class Books:
    """What every stage of pairing reads, and the pairs that each adds for the next. Clauses go by their index."""

    def __init__(self, old: Sequence[Clause], new: Sequence[Clause]) -> None:
        """Look at two books of which nothing is paired yet."""
        self.old, self.new = old, new
        self.weights = Weights(old, new)
        self.old_profiles = Profiles(self.weights.old_texts, self.weights)
        self.new_profiles = Profiles(self.weights.new_texts, self.weights)
        self.old_outline, self.new_outline = Outline(old), Outline(new)
        self.new_of, self.old_of = [-1] * len(old), [-1] * len(new)
        self.kinship = Kinship(
            old=old,
            new=new,
            old_outline=self.old_outline,
            new_outline=self.new_outline,
            new_of=self.new_of,
            old_of=self.old_of,
        )
        self.signs: dict[tuple[int, int], Signs | None] = {}  # of each pair; none where nothing else can be meant
        self.contrasts = Contrasts(self.old_profiles, self.new_profiles, self.weights)
        self.claimed: dict[tuple[int, int], float] = {}  # how far another partner has a better claim by its words
        self._settled_old: set[int] = set()
        self._settled_new: set[int] = set()
        self._chance = self._neighbours_alike()
        self._alike: dict[tuple[int, int], float] = {}

    def take_out(self, old: Sequence[int], new: Sequence[int]) -> None:
        """Leave clauses that a person settled out of everything that follows."""
        self._settled_old.update(old)
        self._settled_new.update(new)

    def take(self, o: int, n: int) -> None:
        """Make two clauses a pair."""
        self.new_of[o], self.old_of[n] = n, o

    def certainty(self, o: int, n: int) -> float:
        """How sure a pair is."""
        signs = self.signs[o, n]
        return 1.0 if signs is None else of_pair(signs)

    def release(self, o: int) -> int:
        """Undo the pair of an old clause, if it has one; give what was its partner, or -1."""
        n = self.new_of[o]
        if n >= 0:
            self.new_of[o] = self.old_of[n] = -1
        return n

    def free(self) -> tuple[list[int], list[int]]:
        """The old and the new clauses that have no partner yet."""
        old = [o for o, partner in enumerate(self.new_of) if partner < 0 and o not in self._settled_old]
        new = [n for n, partner in enumerate(self.old_of) if partner < 0 and n not in self._settled_new]
        return old, new

    def score(self, o: int, n: int) -> float:
        """How much speaks for a pair: likeness beyond chance, up to 1, and what the place says."""
        alike = self.likeness(o, n)
        if self.kinship.is_flock(o, n):
            return max(alike + self.kinship.worth(o, n), HEAD)
        if alike <= 0:
            return alike
        place = self.kinship.worth(o, n)
        if place > 0:
            # A number used again stands in the old rule's place, between the same neighbours; its words tell.
            place *= min(alike / TOLD, 1) * (1 - OTHER * self.is_other(o, n))
        return alike + place

    def is_other(self, o: int, n: int) -> float:
        """How far the words say that two clauses are two rules, from 0 to 1, however well the place fits."""
        return 1.0 if self.contrasts.measures_other(o, n) else self.claimed.get((o, n), 0.0)

    def likeness(self, o: int, n: int) -> float:
        """How alike two clauses are beyond chance: 1 for the same text, below 0 for less than neighbours usually are."""
        alike = self._alike.get((o, n))
        if alike is None:
            alike = self.weights.likeness(self.old_profiles[o], self.new_profiles[n])
            self._alike[o, n] = alike = (alike - self._chance) / (1 - self._chance)
        return alike

    def _neighbours_alike(self) -> float:
        """How alike clauses are that only stand beside each other: likeness that says nothing yet. The median."""
        beside = [(book, at) for book in (self.old_profiles, self.new_profiles) for at in range(len(book.texts) - 1)]
        seen = sorted(
            self.weights.likeness(book[at], book[at + 1])
            for book, at in beside[:: 1 + len(beside) // MANY]
            if book.texts[at] != book.texts[at + 1]
        )
        told = min(len(seen) / FEW, 1.0)
        return told * seen[len(seen) // 2] + (1 - told) * USUAL_CHANCE if seen else USUAL_CHANCE


def by_text(texts: Sequence[str], among: Iterable[int]) -> dict[str, list[int]]:
    """Of some clauses those that have each text."""
    found: dict[str, list[int]] = {}
    for index in among:
        found.setdefault(texts[index], []).append(index)
    return found
