"""Simple ways to pair two books, to measure against: what a short script would do. Each gives pairs of ids."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from rulewatch.model.clause import Clause

LEAST = 0.5  # likeness from which a pair is made

Pairs = set[tuple[str, str]]


def by_number(old: Sequence[Clause], new: Sequence[Clause]) -> Pairs:
    """The same number is the same rule."""
    return {(number, number) for number in {one.id for one in old} & {one.id for one in new}}


def by_difflib(old: Sequence[Clause], new: Sequence[Clause]) -> Pairs:
    """difflib's ratio of words, the best pairs first; what cannot reach LEAST is not worked out."""
    scored = []
    before = [one.folded.split() for one in old]
    matcher: SequenceMatcher[str] = SequenceMatcher(autojunk=False)
    for n, clause in enumerate(new):
        matcher.set_seq2(clause.folded.split())
        for o, words in enumerate(before):
            matcher.set_seq1(words)
            if matcher.real_quick_ratio() >= LEAST and matcher.quick_ratio() >= LEAST:
                scored.append((matcher.ratio(), o, n))
    made: dict[int, int] = {}
    taken: set[int] = set()
    for ratio, o, n in sorted(scored, key=lambda one: (-one[0], one[1], one[2])):
        if ratio >= LEAST and o not in made and n not in taken:
            made[o] = n
            taken.add(n)
    return {(old[o].id, new[n].id) for o, n in made.items()}


def by_assignment(old: Sequence[Clause], new: Sequence[Clause]) -> Pairs:
    """rapidfuzz's token_sort_ratio, and the assignment with the greatest sum (scipy)."""
    from rapidfuzz.fuzz import token_sort_ratio
    from rapidfuzz.process import cdist
    from scipy.optimize import linear_sum_assignment

    ratios = cdist([one.folded for one in old], [one.folded for one in new], scorer=token_sort_ratio, workers=-1)
    rows, columns = linear_sum_assignment(ratios, maximize=True)
    pairs = zip(rows.tolist(), columns.tolist(), strict=True)
    return {(old[o].id, new[n].id) for o, n in pairs if ratios[o, n] >= 100 * LEAST}
