"""Splits and joins: a clause left without a partner that is a part of one that has a partner already.

Said for a split (a join is the same with the sides swapped): what the old clause said and its new one no longer says must
stand in the clause that came, and be most of what that one says. A sentence leaves once: what one part took is gone for the
next.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from rulewatch.compare.candidates import by_words, said
from rulewatch.compare.certainty import PartSigns
from rulewatch.compare.likeness import Profiles, Weights
from rulewatch.compare.outline import Outline

# How much of the part and of what left the whole must be the same words, so that one is the other.
COVERED = 0.5
# What it is worth that the part stands right under or beside what became of the whole.
NEAR = 0.15
# How far beside it may stand.
REACH = 2
# Common words must weigh as much as so many words that stand in one clause only, or they are common by chance. A short part
# near by needs fewer, if nearly all of it was in the whole.
TELLING = 2.0
NEARLY_ALL = 0.8
# A clause with the whole's own number that is this much like it says the same once more: two rules became one.
SAME_RULE = 0.4
SAME_RULE_WORTH = 0.55


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One clause that is a part of another: indices of the whole and of the part, and what speaks for it."""

    whole: int
    part: int
    signs: PartSigns


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One book as parts are sought in it: profiles by index, outline, and the partner of each clause or -1."""

    profiles: Profiles
    outline: Outline
    partner: Sequence[int]


def parts(wholes: Side, came: Side, free: Sequence[int], weights: Weights) -> list[Part]:
    """For each clause of `came` without a partner, given by `free`, the whole that it left, if there is one."""
    search = _Search(wholes, came, weights)
    candidates = search.candidates(free)
    queue = [(-search.judge(part, whole), part, whole) for part in sorted(candidates) for whole in candidates[part]]
    heapq.heapify(queue)
    while queue:
        known, part, whole = heapq.heappop(queue)
        if part in search.found or known == 0:
            continue
        now = -search.judge(part, whole)
        if now > known:
            heapq.heappush(queue, (now, part, whole))
            continue
        search.take(part, whole)
        # What stands below a part is near what stood below its whole, which was not known before.
        for child in came.outline.children(part):
            for other in candidates.get(child, ()):
                heapq.heappush(queue, (-search.judge(child, other), child, other))
    return [search.found[part] for part in sorted(search.found)]


class _Search:
    """What has been found so far, and what is left of each whole."""

    def __init__(self, wholes: Side, came: Side, weights: Weights) -> None:
        self.wholes, self.came, self.weights = wholes, came, weights
        self.found: dict[int, Part] = {}
        self._left: dict[int, Counter[str]] = {}

    def candidates(self, free: Sequence[int]) -> dict[int, list[int]]:
        """For each clause without a partner, those that it may be a part of: they stand near, or have its rare words."""
        found = {part: self.around(part) for part in free}
        for part, whole in by_words(said(self.came.profiles, free), said(self.wholes.profiles, self.lost()), self.weights):
            found[part].append(whole)
        return found

    def around(self, part: int) -> list[int]:
        """The partners of those beside and above a clause, and the one with its number."""
        outline, partner = self.came.outline, self.came.partner
        near = (outline.parent[part], *(outline.beside(part, step) for step in range(-REACH, REACH + 1)))
        found = [partner[one] for one in near if one >= 0 and partner[one] >= 0]
        same = self.wholes.outline.at.get(outline.ids[part], -1)
        return [*found, same] if same >= 0 else found

    def lost(self) -> list[int]:
        """The wholes that something left: each has a partner, which does not say the same."""
        ours, theirs = self.wholes.profiles.texts, self.came.profiles.texts
        return [whole for whole, partner in enumerate(self.wholes.partner) if partner >= 0 and theirs[partner] != ours[whole]]

    def take(self, part: int, whole: int) -> None:
        """Make a clause a part of a whole."""
        self.found[part] = Part(whole=whole, part=part, signs=self.signs(part, whole))
        self._left[whole] = self.left(whole) - self.came.profiles[part].stems

    def left(self, whole: int) -> Counter[str]:
        """The words that left the whole: its partner no longer has them, nor any part found so far."""
        if whole not in self._left:
            kept = self.came.profiles[self.wholes.partner[whole]]
            self._left[whole] = self.wholes.profiles[whole].stems - kept.stems
        return self._left[whole]

    def judge(self, part: int, whole: int) -> float:
        """How much speaks for the part, 0 where it is none of the whole."""
        if self.wholes.partner[whole] < 0:
            return 0.0
        return self.covers(part, whole) or (SAME_RULE_WORTH if self.says_the_same(part, whole) else 0.0)

    def covers(self, part: int, whole: int) -> float:
        """How well the part covers what left the whole, 0 where that is not enough."""
        left = self.left(whole)
        if not left:
            return 0.0
        theirs = self.came.profiles[part]
        common = self.weights.shared(left, theirs.stems)
        near = self.is_near(part, whole)
        if common >= TELLING * self.weights.rare or (near and common >= NEARLY_ALL * theirs.weight > 0):
            covered = 2 * common / (self.weights.total(left) + theirs.weight) + (NEAR if near else 0.0)
            return covered if covered >= COVERED else 0.0
        return 0.0

    def signs(self, part: int, whole: int) -> PartSigns:
        """What speaks for a part."""
        theirs, left = self.came.profiles[part], self.left(whole)
        common, total = self.weights.shared(left, theirs.stems), self.weights.total(left)
        return PartSigns(
            of_left=common / total if total else 0.0,
            of_part=common / theirs.weight if theirs.weight else 0.0,
            common=common / self.weights.rare,
            near=self.is_near(part, whole),
            again=self.covers(part, whole) == 0.0,
        )

    def says_the_same(self, part: int, whole: int) -> bool:
        """Whether the part bears the whole's number and says about the same.

        Among siblings the number says nothing: the partner may have got it only because one of them came or went.
        """
        outline = self.came.outline
        if self.wholes.outline.ids[whole] != outline.ids[part]:
            return False
        mine, theirs = self.wholes.profiles[whole], self.came.profiles[part]
        return (
            outline.family[part] != outline.family[self.wholes.partner[whole]]
            and self.weights.shared(mine.stems, theirs.stems) >= TELLING * self.weights.rare
            and self.weights.likeness(mine, theirs) >= SAME_RULE
        )

    def is_near(self, part: int, whole: int) -> bool:
        """Whether the part stands under what became of the whole, beside it, or under a part of the clause above."""
        kept, outline = self.wholes.partner[whole], self.came.outline
        above = self.found.get(outline.parent[part])
        if outline.parent[part] == kept or (above is not None and above.whole == self.wholes.outline.parent[whole]):
            return True
        return outline.family[part] == outline.family[kept] and abs(outline.rank[part] - outline.rank[kept]) <= REACH
