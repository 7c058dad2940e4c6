"""Habits: how often the rules of a chapter and of a quantity change, and how long a new freedom lasts before it is taken again.

A freedom is given by a change that loosened a rule for a class, and taken by the next one that tightened or shifted any rule
on the same part of the car for that class. What one clause gives while another takes it on the same day only moved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rulewatch.compare.keys import amount_key, bound_key, condition_key, constraint_key, minimum_shape
from rulewatch.compare.ripple import WEIGHT, changes_rule
from rulewatch.model.change import Change, Comparison, Effect, Kind
from rulewatch.model.reading import Reading
from rulewatch.model.timeline import Course, Freedom, Habit, Scope
from rulewatch.model.vocabulary import within

TAKES = frozenset({Effect.TIGHTENED, Effect.SHIFTED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule as habits see it: where it last stood, what it ever spoke of, how many seasons it lived, and how it changed."""

    number: str
    chapter: str
    subjects: tuple[str, ...]
    seasons: int
    changes: tuple[Change, ...]


@dataclass(frozen=True, kw_only=True)
class Habits:
    """The habits of all rules of a course; each chapter and each quantity is counted once."""

    course: Course
    rules: tuple[Rule, ...]

    def of(self, rule: Rule) -> tuple[Habit, ...]:
        """The habits of a rule, of its chapter, and of each quantity it speaks of."""
        own = replace(rule, changes=tuple(change for change in rule.changes if Kind.INSERTION not in change.kinds))
        return (
            self._habit(Scope.CLAUSE, rule.number, (own,)),
            self._of_chapters[rule.chapter],
            *(self._of_subjects[subject] for subject in rule.subjects),
        )

    @cached_property
    def _of_chapters(self) -> Mapping[str, Habit]:
        found: dict[str, list[Rule]] = {}
        for rule in self.rules:
            found.setdefault(rule.chapter, []).append(rule)
        return {chapter: self._habit(Scope.CHAPTER, chapter, rules) for chapter, rules in found.items()}

    @cached_property
    def _of_subjects(self) -> Mapping[str, Habit]:
        found: dict[str, list[Rule]] = {}
        for rule in self.rules:
            for subject in rule.subjects:
                found.setdefault(subject, []).append(rule)
        return {subject: self._habit(Scope.QUANTITY, subject, rules) for subject, rules in found.items()}

    def _habit(self, scope: Scope, about: str, rules: Sequence[Rule]) -> Habit:
        # A split or a join belongs to several rules, and is one change.
        changes = {id(change): change for rule in rules for change in rule.changes if changes_rule(change)}
        given = [(number, self._freedoms[number]) for number in changes if number in self._freedoms]
        about_it = [one for one in given if scope is not Scope.QUANTITY or about in one[1].subjects]
        return Habit(
            scope=scope,
            about=about,
            rules=len(rules),
            seasons=sum(rule.seasons for rule in rules),
            changes=len(changes),
            freedoms=tuple(given.freedom for _, given in sorted(about_it, key=lambda one: one[1].at)),
        )

    @cached_property
    def _freedoms(self) -> Mapping[int, _Given]:
        """Every freedom that was given, by the change that gave it."""
        standing: dict[int, _Given] = {}
        found: dict[int, _Given] = {}
        for at, comparison in enumerate(self.course.comparisons, 1):
            moves = list(_moves(comparison))
            for move in moves:
                if move.looser:
                    standing[id(move.change)] = self._given(move, at)
            for move in moves:
                for key in [key for key, given in standing.items() if move.takes(given)]:
                    given = standing.pop(key)
                    if given.at < at:
                        taken = replace(given.freedom, until=self.course.points[at], days=self._days(given.at, at))
                        found[key] = replace(given, freedom=taken)
        return found | standing

    def _given(self, move: _Move, at: int) -> _Given:
        days = self._days(at, len(self.course.points) - 1)
        freedom = Freedom(clause=move.change.key, classes=move.looser, since=self.course.points[at], until=None, days=days)
        return _Given(freedom=freedom, subjects=move.subjects, at=at)

    def _days(self, first: int, last: int) -> int | None:
        since, until = self.course.day(first), self.course.day(last)
        return (until - since).days if since is not None and until is not None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Given:
    """A freedom with what it is about, and the station at which it was given."""

    freedom: Freedom
    subjects: frozenset[str]
    at: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Move:
    """A change with what it moved, and the classes for which it loosened and tightened."""

    change: Change
    subjects: frozenset[str]
    looser: tuple[str, ...]
    tighter: frozenset[str]

    def takes(self, given: _Given) -> bool:
        """Whether this takes of a freedom."""
        return not self.tighter.isdisjoint(given.freedom.classes) and any(
            within(one, other) or within(other, one) for one in self.subjects for other in given.subjects
        )


def _moves(comparison: Comparison) -> Iterator[_Move]:
    for change in comparison.changed:
        looser = tuple(name for name, effect in change.effects.items() if effect is Effect.LOOSENED)
        tighter = frozenset(name for name, effect in change.effects.items() if effect in TAKES)
        if looser or tighter:
            before = _claims(reading for one in change.old for reading in comparison.old.readings.get(one.id, ()))
            after = _claims(reading for one in change.new for reading in comparison.new.readings.get(one.id, ()))
            moved = frozenset(name for name in before | after if before.get(name) != after.get(name))
            yield _Move(change=change, subjects=moved, looser=looser, tighter=tighter)


def _claims(readings: Iterator[Reading]) -> dict[str, set[object]]:
    """What readings ask or permit, by what it is about; equal for what says the same."""
    found: dict[str, set[object]] = {}
    for reading in readings:
        scope = (reading.classes, condition_key(reading.when), reading.since, reading.until, amount_key(reading.tolerance))
        for permitted, tests in ((False, reading.limits), (True, reading.allows)):
            for test in tests:
                found.setdefault(test.subject, set()).add((permitted, scope, constraint_key(test.constraint)))
        if reading.minimum is not None:
            minimum = (bound_key(reading.minimum.bound), minimum_shape(reading.minimum))
            found.setdefault(WEIGHT, set()).add((scope, minimum))
        if reading.adder is not None:
            found.setdefault(WEIGHT, set()).add((scope, amount_key(reading.adder.amount), reading.adder.share))
    return found
