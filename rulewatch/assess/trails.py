"""Trails: which rule a clause is, whatever its number, so that a job stays with what caused it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.compare.threads import Threads, within
from rulewatch.model.edition import Point
from rulewatch.model.job import Cause
from rulewatch.model.reading import Reading
from rulewatch.model.worklist import Trail

# A rule: its body, and the point and number under which it first stood.
Rule = tuple[str, str, str]


def speaks(reading: Reading, quantity: str) -> bool:
    """Whether a reading speaks of a quantity or component."""
    return quantity in reading.subjects() or (quantity == WEIGHT and reading.minimum is not None)


@dataclass(frozen=True, kw_only=True)
class Paths:
    """A body's rules by what they ask: of a split or a join, what is asked of a quantity goes on with who speaks of it."""

    threads: Threads

    def find(self, number: str, point: Point, quantity: str = "") -> int | None:
        """The last station within a point that has a number: rather one where it speaks of the quantity, if one is given."""
        course = self.threads.course
        stations = [at for at, one in enumerate(course.points) if within(one, point, course, at)]
        having = [at for at in reversed(stations) if (at, number) in self.threads.at]
        return next((at for at in having if self._speaks(at, number, quantity)), next(iter(having), None))

    def back(self, at: int, number: str, quantity: str) -> tuple[int, str]:
        """Where what a clause asks of a quantity first stood."""
        while at > 0:
            before = self._on(at - 1, self._own(at, number, -1), self._olds[at].get(number, ()), quantity)
            if before is None or (before != self._own(at, number, -1) and not self._left(at, before, quantity)):
                break
            at, number = at - 1, before
        return at, number

    def forward(self, at: int, number: str, quantity: str, *, season: str = "") -> tuple[int, str]:
        """Where what a clause asks of a quantity last stood, at all or in a season."""
        points = self.threads.course.points
        while at + 1 < len(points) and season in {"", points[at + 1].season}:
            after = self._on(at + 1, self._own(at, number, 1), self._news[at + 1].get(number, ()), quantity)
            if after is None:
                break
            at, number = at + 1, after
        return at, number

    def _on(self, at: int, own: str, kin: tuple[str, ...], quantity: str) -> str | None:
        """Which clause of a neighbouring station goes on: the thread's own, unless only another speaks of the quantity."""
        if quantity and not (own and self._speaks(at, own, quantity)):
            other = next((name for name in kin if name != own and self._speaks(at, name, quantity)), None)
            own = other or own
        return own or None

    def _left(self, at: int, before: str, quantity: str) -> bool:
        """Whether a clause of the station before left what it asks of a quantity to another."""
        own = self._own(at - 1, before, 1)
        return not own or not self._speaks(at, own, quantity)

    def _own(self, at: int, number: str, step: int) -> str:
        """The number of the same thread at the station before or after; empty where it does not stand there."""
        thread = self.threads.at[at, number]
        there = at + step - thread.first
        return thread.numbers[there] if 0 <= there < len(thread.numbers) else ""

    def _speaks(self, at: int, number: str, quantity: str) -> bool:
        readings = self.threads.course.editions[at].readings.get(number, ())
        return any(speaks(reading, quantity) for reading in readings)

    @cached_property
    def _olds(self) -> tuple[Mapping[str, tuple[str, ...]], ...]:
        """For each station, which clauses of the one before a clause came from, by its number."""
        return self._kin(new=True)

    @cached_property
    def _news(self) -> tuple[Mapping[str, tuple[str, ...]], ...]:
        """For each station, which of its clauses a clause of the one before became, by that one's number."""
        return self._kin(new=False)

    def _kin(self, *, new: bool) -> tuple[Mapping[str, tuple[str, ...]], ...]:
        found: list[Mapping[str, tuple[str, ...]]] = [{}]
        for comparison in self.threads.course.comparisons:
            kin: dict[str, tuple[str, ...]] = {}
            for change in comparison.changes:
                ours, theirs = (change.new, change.old) if new else (change.old, change.new)
                for clause in ours:
                    kin[clause.id] = (*kin.get(clause.id, ()), *(one.id for one in theirs))
            found.append(kin)
        return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Trails:
    """The rules of some bodies through all their seasons and bulletins.

    Of a split the surest child goes on with a rule; with what it asks of a quantity, the one that speaks of that.
    """

    threads: Mapping[str, Threads]

    def rule(self, body: str, clause: str, point: Point, quantity: str = "") -> Rule:
        """Which rule a clause is at a point, in what it asks of a quantity; by itself where the body's seasons do not have it."""
        return self._rule(Cause(body=body, season=point.season, clause=clause, quantity=quantity), point, "")

    def rule_of(self, cause: Cause) -> Rule:
        """The rule of a cause."""
        return self._rule(cause, _season(cause), cause.quantity)

    def _rule(self, cause: Cause, point: Point, rather: str) -> Rule:
        paths, at = self._find(cause, point, rather)
        if paths is None or at is None:
            return cause.body, str(point), cause.clause
        first, number = paths.back(at, cause.clause, cause.quantity)
        return cause.body, str(paths.threads.course.points[first]), number

    def follow(self, cause: Cause) -> Trail | None:
        """Where the rule of a cause is now, or was last; None where the season never had such a clause."""
        paths, at = self._find(cause, _season(cause), cause.quantity)
        if paths is None or at is None:
            return None
        last, number = paths.forward(at, cause.clause, cause.quantity)
        points = paths.threads.course.points
        return Trail(body=cause.body, season=points[last].season, clause=number, gone=last < len(points) - 1)

    def settled(self, cause: Cause, point: Point) -> Cause:
        """A cause that names a clause as at a point, with the number that it has or had last in its season."""
        paths, at = self._find(cause, point, "")
        if paths is None or at is None:
            return cause
        return replace(cause, clause=paths.forward(at, cause.clause, cause.quantity, season=cause.season)[1])

    def rank(self, body: str, season: str) -> int:
        """The place of a season among those of its body, from old to new; -1 where it is none of them."""
        points = self.threads[body].course.points if body in self.threads else ()
        seasons = list(dict.fromkeys(point.season for point in points))
        return seasons.index(season) if season in seasons else -1

    def _find(self, cause: Cause, point: Point, rather: str) -> tuple[Paths | None, int | None]:
        """The paths of a cause's body, and the station within a point that has its number: rather one that speaks of a quantity."""
        paths = self._paths.get(cause.body)
        return paths, paths.find(cause.clause, point, rather) if paths is not None else None

    @cached_property
    def _paths(self) -> Mapping[str, Paths]:
        return {body: Paths(threads=threads) for body, threads in self.threads.items()}


def _season(cause: Cause) -> Point:
    return Point(body=cause.body, season=cause.season)
