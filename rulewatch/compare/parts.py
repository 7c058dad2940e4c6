"""Splits and joins: a clause left without a partner that is a part of one that has a partner already.

Said for a split (a join is the same with the sides swapped): what the old clause said and its new one no longer says must
stand in the clause that came, and be most of what that one says.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rulewatch.compare.likeness import Profile, Weights
from rulewatch.compare.outline import Outline

# How much of the part, and of what left the whole, must be the same words.
COVERED = 0.5
# What it is worth that the part stands right under or beside what became of the whole.
NEAR = 0.15
# A part of fewer rare words may cover by chance: the weight of common words that tells, in units of a word that stands once.
TELLING = 2.0
# A clause with the whole's own number is its continuation when it is this much like it.
NUMBER = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One clause that is a part of another: indices of the whole and of the part, and how sure that is."""

    whole: int
    part: int
    certainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One book as parts are sought in it: profiles by index, outline, and the partner of each clause or -1."""

    profiles: Sequence[Profile]
    outline: Outline
    partner: Sequence[int]


def parts(wholes: Side, came: Side, candidates: Mapping[int, Sequence[int]], weights: Weights) -> list[Part]:
    """For each clause of `came` without a partner, the whole that it left, if there is one. `candidates` are by part.

    Parts are sought in document order, so that a clause below a part finds its whole below the part's whole.
    """
    found: dict[int, Part] = {}
    for part in sorted(candidates):
        over = found.get(came.outline.parent[part])
        judged = []
        for whole in candidates[part]:
            near = is_near(whole, part, wholes, came) or (over is not None and wholes.outline.parent[whole] == over.whole)
            judged.append((judge(whole, part, wholes, came, weights, near=near), -whole))
        best, whole = max(judged, default=(0.0, 0))
        if best > 0:
            found[part] = Part(whole=-whole, part=part, certainty=best)
    return list(found.values())


def judge(whole: int, part: int, wholes: Side, came: Side, weights: Weights, *, near: bool) -> float:
    """How sure it is that the part left the whole, 0 where it did not."""
    kept = wholes.partner[whole]
    if kept < 0:
        return 0.0
    mine, theirs = wholes.profiles[whole], came.profiles[part]
    left = Counter(mine.stems)
    left.subtract(came.profiles[kept].stems)
    gone = {word: count for word, count in left.items() if count > 0}
    common = weights.shared(gone, theirs.stems)
    if common >= TELLING * weights.rare or (near and common >= 0.8 * theirs.weight > 0):
        covered = 2 * common / (weights.total(gone) + theirs.weight) + (NEAR if near else 0.0)
        if covered >= COVERED:
            return min(covered, 1.0) * 0.9
    return same_rule(whole, part, wholes, came, weights, near=near)


def same_rule(whole: int, part: int, wholes: Side, came: Side, weights: Weights, *, near: bool) -> float:
    """How sure it is that the part says once more what the whole says, under the whole's number or where the whole went."""
    mine, theirs = wholes.profiles[whole], came.profiles[part]
    if weights.shared(mine.stems, theirs.stems) < TELLING * weights.rare:
        return 0.0
    alike = weights.likeness(mine, theirs)
    if wholes.outline.ids[whole] == came.outline.ids[part] and alike >= NUMBER:
        return 0.6
    return 0.0


def is_near(whole: int, part: int, wholes: Side, came: Side) -> bool:
    """Whether the part stands under what became of the whole, or beside it."""
    kept, outline = wholes.partner[whole], came.outline
    if outline.parent[part] == kept:
        return True
    return outline.family[part] == outline.family[kept] and abs(outline.rank[part] - outline.rank[kept]) <= 2
