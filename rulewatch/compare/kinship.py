"""What the place of two clauses says about whether one became the other.

A careful reader looks at more than the text: the number, whether the clause above went to the clause above, whether the
neighbours still are neighbours, where the clauses below went, and what is referred to. All of it depends on the pairs found
so far, so that it is asked again in each round.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rulewatch.compare.outline import Outline
from rulewatch.model.clause import Clause

# What each sign is worth beside a likeness of text that goes from 0 to 1. Together they nearly carry a pair, as a reader
# takes a reworded rule in its old place for the same rule; none of them does so alone, nor all of them for an unlike text.
NUMBER = 0.2
PARENT = 0.1
BESIDE = 0.1
BELOW = 0.1
REFERENCES = 0.05
# What of BELOW it is worth that neither has clauses below, and how far children that went along outweigh parted parents.
ALONE, FOLLOWED = 0.25, 1.0
# So many clauses that went together, and no other on either side, say that what stands above them is the same.
FLOCK = 2
# How many siblings may have come or gone between a clause and the neighbour that tells its place.
REACH = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """An old sibling whose partner is a sibling of the new clause, and how many old siblings were passed over."""

    kin: int
    gap: int


@dataclass(slots=True, kw_only=True)
class Kinship:
    """Two books, their outlines, and the pairs found so far, by index; -1 for none."""

    old: Sequence[Clause]
    new: Sequence[Clause]
    old_outline: Outline
    new_outline: Outline
    new_of: list[int]
    old_of: list[int]
    chapters: dict[str, str] = field(default_factory=dict)  # what became of each chapter's file
    _referring: dict[str, list[int]] = field(init=False)  # the old clauses that refer to each

    def __post_init__(self) -> None:
        self._referring = {}
        for o, clause in enumerate(self.old):
            for reference in clause.references:
                self._referring.setdefault(reference, []).append(o)

    def learn_chapters(self) -> bool:
        """Take for the same chapter what most clauses of an old one went to: files are renamed, clauses say where they are.

        Tell whether anything came of it that was not known before.
        """
        went = Counter((self.old[o].chapter, self.new[n].chapter) for o, n in enumerate(self.new_of) if n >= 0)
        before = dict(self.chapters)
        self.chapters.update(chapters for chapters, _ in reversed(went.most_common()))
        return self.chapters != before

    def around(self, changed: Iterable[tuple[int, int]]) -> tuple[set[int], set[int]]:
        """The old and the new clauses whose places may say something else since some old clauses lost a partner, or got one.

        `changed` has each of those with the partner that it had before, or -1. This follows what the signs below look at.
        """
        ours, theirs = set[int](), set[int]()
        for o, was in changed:
            ours.update(self.old_outline.beside(o, step) for step in range(-REACH, REACH + 1))
            ours.update((self.old_outline.parent[o], *self.old_outline.children(o), *self._referring.get(self.old[o].id, ())))
            for n in {was, self.new_of[o]} - {-1}:
                theirs.update(self.new_outline.children(n))
        return ours, theirs

    def worth(self, o: int, n: int) -> float:
        """What the place says for the pair: from about -0.3, where everything speaks against it, to 0.55."""
        sides = [(step, self.nearest(o, n, step)) for step in (-1, 1)]
        below = self.below(o, n)
        # A clause that went elsewhere with all that stood below it has not parted from its parent by mistake.
        parent = max(self.parent(o, n), -1.0 + FOLLOWED * below)
        return (
            NUMBER * self.number(o, n, [found.kin for _, found in sides if found])
            + PARENT * parent
            + BESIDE * sum(self.beside(o, n, step, found, together=parent > 0) for step, found in sides)
            + BELOW * below
            + REFERENCES * self.references(o, n)
        )

    def number(self, o: int, n: int, kin: Sequence[int]) -> float:
        """1 for the same number where the siblings kept theirs; the less, the more of them were renumbered.

        Under a parent that has got another number, the same last part counts, a little less.
        """
        same = 1.0 if self.old[o].id == self.new[n].id else 0.8
        if same < 1:
            above = self.old_outline.parent[o]
            together = above >= 0 and self.new_of[above] >= 0 and self.new_of[above] == self.new_outline.parent[n]
            if not together or self.old_outline.tail[o] != self.new_outline.tail[n]:
                return 0.0
        kept = sum(self.old_outline.tail[one] == self.new_outline.tail[self.new_of[one]] for one in kin)
        return same * kept / len(kin) if kin else same

    def parent(self, o: int, n: int) -> float:
        """1 where the parents are a pair, -1 where they are known to have parted, 0 where nothing is known."""
        above, over = self.old_outline.parent[o], self.new_outline.parent[n]
        if above < 0 and over < 0:
            return 1.0 if self.chapters.get(self.old[o].chapter) == self.new[n].chapter else 0.0
        if above < 0 or over < 0:
            return -0.5
        if self.new_of[above] == over:
            return 1.0
        if self.new_of[above] >= 0 or self.old_of[over] >= 0:
            return -1.0
        return 1.0 if self.old[above].id == self.new[over].id else 0.0

    def beside(self, o: int, n: int, step: int, found: Neighbour | None, *, together: bool) -> float:
        """1 where the next siblings on a side are a pair; less where others stand between; -1 where they changed sides."""
        if found is None:
            # Both the first, or both the last, of siblings under one parent is a weak sign of the same place.
            ends = self.old_outline.beside(o, step) < 0 and self.new_outline.beside(n, step) < 0
            return 0.5 if ends and together else 0.0
        away = (self.new_outline.rank[self.new_of[found.kin]] - self.new_outline.rank[n]) * step
        return 1.0 / (away + found.gap) if away > 0 else -1.0

    def nearest(self, o: int, n: int, step: int) -> Neighbour | None:
        """The nearest old sibling on a side that went to a sibling of the new clause, within reach."""
        family = self.new_outline.family[n]
        for gap in range(REACH):
            kin = self.old_outline.beside(o, step * (gap + 1))
            if kin < 0:
                return None
            partner = self.new_of[kin]
            if partner >= 0 and partner != n and self.new_outline.family[partner] == family:
                return Neighbour(kin=kin, gap=gap)
        return None

    def below(self, o: int, n: int) -> float:
        """The share of the clauses below that went together; that neither has any is a weak sign."""
        ours, theirs = self.old_outline.children(o), self.new_outline.children(n)
        if not ours or not theirs:
            return 0.0 if ours or theirs else ALONE
        along = sum(self.new_of[child] >= 0 and self.new_outline.parent[self.new_of[child]] == n for child in ours)
        return along / max(len(ours), len(theirs))

    def is_flock(self, o: int, n: int) -> bool:
        """Whether the clauses below two are the same ones, at least two of them: a heading is what stands below it."""
        count = len(self.old_outline.children(o))
        return count >= FLOCK and self.below(o, n) == 1

    def references(self, o: int, n: int) -> float:
        """How far the clauses refer to the same clauses, old numbers read as they are in the new book."""
        ours, theirs = self.old[o].references, self.new[n].references
        if not ours or not theirs:
            return 0.0
        renamed = {self.renamed(reference) for reference in ours}
        return len(renamed & set(theirs)) / len(renamed | set(theirs))

    def renamed(self, reference: str) -> str:
        """The number that a clause of the old book has in the new one, as far as known."""
        at = self.old_outline.at.get(reference, -1)
        return self.new[self.new_of[at]].id if at >= 0 and self.new_of[at] >= 0 else reference
