"""A book as rules: the readings that apply to a class on a day, what is closed, and which rules stand instead of which clauses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading

# A clause's number in the old or the new book.
Number = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rule:
    """One reading in its book. `names` are the numbers that its clause goes by, `replaces` those that it stands instead of."""

    reading: Reading
    names: frozenset[Number]
    replaces: tuple[Number, ...] = ()
    tolerances: tuple[Amount, ...] = ()


Replacers = Mapping[Number, Sequence[Rule]]  # by number, the rules that stand instead of its clause


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """A closed scope, the number of the clause that closes it, and all the numbers that this clause goes by.

    What is `free` is not closed, by an official paper.
    """

    scope: str
    clause: Number | None = None
    names: frozenset[Number] = frozenset()
    free: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The rules that apply to a class on a day, in document order, and what is closed.

    `subjects` are the only parts looked at in closed scopes; None for all.
    """

    rules: tuple[Rule, ...]
    closings: tuple[Closing, ...] = ()
    subjects: frozenset[str] | None = None


def replacers(book: Book) -> dict[Number, list[Rule]]:
    """For each number, the rules that stand instead of it."""
    found: dict[Number, list[Rule]] = {}
    for rule in book.rules:
        for name in rule.replaces:
            found.setdefault(name, []).append(rule)
    return found


def replacing(names: frozenset[Number], replaced: Replacers) -> tuple[Rule, ...]:
    """The rules that stand instead of a clause that goes by some numbers."""
    if not replaced or replaced.keys().isdisjoint(names):
        return ()
    found = {id(each): each for name in sorted(names) for each in replaced.get(name, ())}
    return tuple(found.values())


def ways_back(by: Rule, names: frozenset[Number], replaced: Replacers) -> tuple[tuple[Rule, ...], ...]:
    """The ways from a clause, rule by rule that stands instead of the next, back to one that stands instead of it."""
    found: list[tuple[Rule, ...]] = []
    waiting: list[tuple[Rule, ...]] = [()]
    goal = by.names
    if goal & names:
        return ((),)
    while waiting:
        way = waiting.pop()
        end = way[-1].names if way else goal
        for rule in replacing(end, replaced):
            if rule in way:
                continue
            if rule.names & names:
                found.append((*way, rule))
            else:
                waiting.append((*way, rule))
    return tuple(found)


def around(by: Sequence[Rule], names: frozenset[Number], replaced: Replacers) -> tuple[int, ...]:
    """What the ways back go by, for a key."""
    return tuple(id(rule) for each in by for way in ways_back(each, names, replaced) for rule in way)


def replacement_key(names: frozenset[Number], replaced: Replacers) -> tuple[object, ...]:
    """What stands instead of a clause, and by what ways that comes back to it, for a key."""
    by = replacing(names, replaced)
    return (tuple(map(id, by)), around(by, names, replaced))
