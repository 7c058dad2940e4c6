"""Which pairs of clauses are worth a look, so that no book is compared all against all.

A clause may have become one that shares rare words or rare pairs of words with it, one that bears its number, or one that
stands where its parent, its siblings and its children went.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator
from itertools import pairwise

from rulewatch.compare.books import Books
from rulewatch.compare.likeness import Profiles, Weights

# A word that stands in more clauses than this finds nothing on its own; a pair of words may still.
COMMON = 40
# How many clauses the shared words may propose for each one.
BEST = 8

# What a clause is found by: a word, or two that follow each other.
Key = str | tuple[str, str]
# A clause, what it is found by, and how much its words weigh.
Said = tuple[int, Iterable[Key], float]


def by_words(old: Iterable[Said], new: Iterable[Said], weights: Weights) -> Iterator[tuple[int, int]]:
    """For each old clause, the new ones that share most of its rare words and word pairs."""
    index: defaultdict[Key, list[int]] = defaultdict(list)
    weight: dict[int, float] = {}
    for n, keys, weight[n] in new:
        for key in keys:
            index[key].append(n)
    for o, keys, ours in old:
        found: defaultdict[int, float] = defaultdict(float)
        for key in filter(index.__contains__, keys):
            holders = index[key]
            if len(holders) <= COMMON:
                worth = weights.weight[key] if isinstance(key, str) else weights.weight[key[0]] + weights.weight[key[1]]
                for n in holders:
                    found[n] += worth
        # Long clauses hold every word: rank by the share of both, not by what is common alone.
        ranked = sorted((-worth / (ours + weight[n]), n) for n, worth in found.items())
        yield from ((o, n) for _, n in ranked[:BEST])


def said(profiles: Profiles, among: Iterable[int]) -> Iterator[Said]:
    """What some clauses are found by: their words, and each two words that follow each other."""
    for index in among:
        row = profiles[index].row
        yield index, dict.fromkeys((*row, *pairwise(row))), profiles[index].weight


def by_number(books: Books, free_old: Iterable[int], free_new: Container[int]) -> Iterator[tuple[int, int]]:
    """Free clauses with the same number."""
    for o in free_old:
        n = books.new_outline.at.get(books.old[o].id, -1)
        if n in free_new:
            yield o, n


def by_place(books: Books, free_old: Iterable[int], free_new: Container[int]) -> Iterator[tuple[int, int]]:
    """For each free old clause, the free new ones that stand where its siblings, its parent and its children went."""
    for o in free_old:
        seen = dict.fromkeys((*beside(books, o), *under(books, o), *over(books, o)))
        yield from ((o, n) for n in seen if n in free_new)


def beside(books: Books, o: int) -> Iterator[int]:
    """New clauses about as far from where a sibling went as the old one is from that sibling."""
    for step in (-2, -1, 1, 2):
        kin = books.old_outline.beside(o, step)
        if kin >= 0 and books.new_of[kin] >= 0:
            for slip in (0, 1, -1):
                yield books.new_outline.beside(books.new_of[kin], slip - step)


def under(books: Books, o: int) -> Iterator[int]:
    """New clauses below what became of the parent, with the same last part of the number or the same rank."""
    parent = books.old_outline.parent[o]
    if parent >= 0 and books.new_of[parent] >= 0:
        family = books.new_outline.children(books.new_of[parent])
        yield from (n for n in family if books.new_outline.tail[n] == books.old_outline.tail[o])
        yield from family[books.old_outline.rank[o] :][:1]


def over(books: Books, o: int) -> Iterator[int]:
    """New clauses that the children went to."""
    for child in books.old_outline.children(o):
        if books.new_of[child] >= 0:
            yield books.new_outline.parent[books.new_of[child]]
