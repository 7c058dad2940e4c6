"""Ripple: what a change reaches beyond its own clause, and by which way.

A clause hangs on another that it refers to or is read in place of, on one that defines a term it uses, and on one that states
a quantity which its own reading depends on. From everything that changed these ties are followed together, breadth first, so
that each clause is reached once and by a shortest way; only what is reached is looked at.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rulewatch.compare.keys import bound_subjects, condition_subjects, constraint_bounds
from rulewatch.compare.terms import defined, uses
from rulewatch.model.change import Change, Kind, Reason, Tie, Touch
from rulewatch.model.edition import Edition
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import ancestors

MOST_STEPS = 3  # beyond, a change is hardly to be felt, and everything is reached in the end (common practice, no source)
RULE_CHANGED = frozenset({Kind.SUBSTITUTION, Kind.SPLIT, Kind.JOIN, Kind.INSERTION, Kind.REPEAL})
WEIGHT = "car.weight"


@dataclass(frozen=True, kw_only=True)
class Dependents:
    """Which clauses of an edition hang on which. Each sort of tie is worked out once, when it is first asked for."""

    edition: Edition

    def of(self, clause: str) -> Iterator[tuple[str, Reason]]:
        """The clauses that hang on one, each with the reason; itself never, and one perhaps for several reasons."""
        reference = Reason(tie=Tie.REFERENCE)
        for name in self._referring.get(clause, ()):
            yield name, reference
        for term in self._terms.get(clause, ()):
            yield from ((name, Reason(tie=Tie.DEFINITION, about=term)) for name in self._users[term] if name != clause)
        for subject in self._states.get(clause, ()):
            for name, about in self._depending.get(subject, ()):
                if name != clause:
                    yield name, Reason(tie=Tie.QUANTITY, about=about)

    @cached_property
    def _referring(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, dict[str, None]] = {}
        for clause in self.edition.clauses:
            replaced = (name for reading in self.edition.readings.get(clause.id, ()) for name in reading.instead_of)
            for target in (*clause.references, *replaced):
                if target != clause.id:
                    found.setdefault(target, {})[clause.id] = None
        return {target: tuple(names) for target, names in found.items()}

    @cached_property
    def _terms(self) -> Mapping[str, tuple[str, ...]]:
        return defined(self.edition.clauses)

    @cached_property
    def _users(self) -> Mapping[str, tuple[str, ...]]:
        return uses(self.edition.clauses, [*dict.fromkeys(term for terms in self._terms.values() for term in terms)])

    @cached_property
    def _states(self) -> Mapping[str, tuple[str, ...]]:
        """The quantities and components that each clause's readings limit, allow, or add to."""
        return {
            clause: tuple(dict.fromkeys(name for reading in readings for name in stated(reading)))
            for clause, readings in self.edition.readings.items()
        }

    @cached_property
    def _depending(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """For each quantity or component, the clauses whose readings depend on it or on what stands under it, and on which."""
        found: dict[str, dict[tuple[str, str], None]] = {}
        for clause, readings in self.edition.readings.items():
            for about in sorted(frozenset[str]().union(*map(needed, readings))):
                for name in (about, *ancestors(about)):
                    found.setdefault(name, {})[clause, about] = None
        return {name: tuple(clauses) for name, clauses in found.items()}


def stated(reading: Reading) -> Iterator[str]:
    """The quantities and components that a reading says something about."""
    yield from reading.subjects()
    if reading.minimum is not None or reading.adder is not None:
        yield WEIGHT


def needed(reading: Reading) -> frozenset[str]:
    """The quantities and components that a reading's condition and bounds depend on."""
    bounds = [bound for test in (*reading.limits, *reading.allows) for bound in constraint_bounds(test.constraint)]
    bounds += [reading.minimum.bound] if reading.minimum is not None else []
    return condition_subjects(reading.when).union(*map(bound_subjects, bounds))


def changes_rule(change: Change) -> bool:
    """Whether more changed than a number, a place, or the wording alone."""
    return not change.wording_only and not RULE_CHANGED.isdisjoint(change.kinds)


def rippled(changes: Sequence[Change], old: Edition, new: Edition) -> tuple[Change, ...]:
    """The same changes; those whose own rule stayed are marked with how others reach them."""
    graph = _Graph(changes, old, new)
    reached: dict[int, list[Touch]] = {}
    sources = [number for number, change in enumerate(changes) if changes_rule(change)]
    seen = set(sources)
    queue = deque((number, Touch(path=(changes[number].key,), reasons=())) for number in sources)
    while queue:
        at, way = queue.popleft()
        if len(way.reasons) == MOST_STEPS:
            continue
        met: set[int] = set()
        for number, reason in graph.hanging_on(at):
            direct = not way.reasons and not changes_rule(changes[number])
            if number in met or (number in seen and not direct):
                continue
            met.add(number)
            further = Touch(path=(*way.path, changes[number].key), reasons=(*way.reasons, reason))
            reached.setdefault(number, []).append(further)
            if number not in seen:
                seen.add(number)
                queue.append((number, further))
    return tuple(
        replace(change, touched_by=tuple(reached[number])) if number in reached else change
        for number, change in enumerate(changes)
    )


class _Graph:
    """Both books' ties, between changes: what hung on a clause that is gone is found in the old one."""

    def __init__(self, changes: Sequence[Change], old: Edition, new: Edition) -> None:
        self.changes = changes
        self.old, self.new = Dependents(edition=old), Dependents(edition=new)
        self.by_old = {clause.id: number for number, change in enumerate(changes) for clause in change.old}
        self.by_new = {clause.id: number for number, change in enumerate(changes) for clause in change.new}

    def hanging_on(self, number: int) -> Iterator[tuple[int, Reason]]:
        """The changes whose clauses hang on those of one, by number."""
        change = self.changes[number]
        for clause in change.new:
            yield from self._named(self.new.of(clause.id), self.by_new, number)
        if changes_rule(change):
            for clause in change.old:
                yield from self._named(self.old.of(clause.id), self.by_old, number)

    @staticmethod
    def _named(found: Iterator[tuple[str, Reason]], numbers: Mapping[str, int], number: int) -> Iterator[tuple[int, Reason]]:
        for name, reason in found:
            other = numbers.get(name, number)
            if other != number:
                yield other, reason
