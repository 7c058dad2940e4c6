"""The fewest wishes that have to be given up for a question to have a car.

Sets of wishes that no car meets together are collected, and one wish of each is given up, as few as possible: when a car meets all
others, no fewer would do (the implicit hitting sets of Davies and Bacchus, 2011). Where the limit of work is reached, more are given up
than need be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

from rulewatch.compare.formulas import Car, Formula
from rulewatch.compare.solver import Answer, Question, Wishes

MOST_ROUNDS, MOST_CHOICES = 40, 5_000
Core = frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewest:
    """A car, the wishes that were given up for it, and whether no other ones as few would do."""

    car: Car
    names: Core
    forced: bool


def fewest(question: Question, wishes: Mapping[str, Formula], most: int | None = None) -> Fewest | None:
    """As few wishes as possible given up; None where there is no car at all, or more than `most` had to be given up."""
    cores: list[Core] = []
    with question.wishes(wishes) as asked:
        for _ in range(MOST_ROUNDS):
            names = _hitting(cores)
            if names is None:
                break
            if most is not None and len(names) > most:
                return None
            answer = asked.find([name for name in wishes if name not in names])
            if not isinstance(answer, frozenset | Answer):
                alone = {name for core in cores if len(core) == 1 for name in core}
                return Fewest(car=answer, names=names, forced=names == alone)
            if not answer or isinstance(answer, Answer):
                break
            cores.append(answer)
        return None if frozenset() in cores else _some(asked, wishes, cores)


def _some(asked: Wishes, wishes: Collection[str], cores: Sequence[Core]) -> Fewest | None:
    """A car for which one wish after the other is given up, of each set the one that is in the way most often."""
    names = frozenset[str]()
    found = list(cores)
    while len(names) <= len(wishes):
        open_cores = [core for core in found if names.isdisjoint(core)]
        if open_cores:
            names |= {_most_often(found, open_cores[0])[0]}
            continue
        answer = asked.find([name for name in wishes if name not in names])
        if not isinstance(answer, frozenset | Answer):
            return Fewest(car=answer, names=names, forced=True)
        if not answer or isinstance(answer, Answer):
            return None
        found.append(answer)
    return None


def _most_often(cores: Sequence[Core], names: Collection[str]) -> list[str]:
    """Names by how many sets they are in."""
    counted = Counter(name for core in cores for name in core)
    return sorted(names, key=lambda name: (-counted[name], name))


def _hitting(cores: Sequence[Core]) -> Core | None:
    """A smallest set with one of each core; None where there are too many to try."""
    forced = frozenset(name for core in cores if len(core) == 1 for name in core)
    left = [core for core in cores if not core & forced]
    if not left:
        return forced
    names = _most_often(left, frozenset[str]().union(*left))
    for few in range(1, len(left) + 1):
        if comb(len(names), few) > MOST_CHOICES:
            return None
        for chosen in combinations(names, few):
            if all(not core.isdisjoint(chosen) for core in left):
                return forced.union(chosen)
    return None
