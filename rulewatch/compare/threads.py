"""Threads: every rule of a body followed through its course, whatever its numbers, and one of them as a timeline.

All threads are found together, in one pass over the comparisons; a timeline then costs only its own stations.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rulewatch.compare.habits import Habits, Rule
from rulewatch.compare.lineage import heirs
from rulewatch.compare.lines import lines
from rulewatch.compare.ripple import stated
from rulewatch.model.change import Change, Lineage
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Point, Selector
from rulewatch.model.timeline import Course, Station, Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One rule: the station at which it first stood, and its number at that and each further one."""

    first: int
    numbers: tuple[str, ...]

    @property
    def last(self) -> int:
        """The last station at which it stood."""
        return self.first + len(self.numbers) - 1


@dataclass(frozen=True, kw_only=True)
class Threads:
    """The rules of a course by thread."""

    course: Course

    @cached_property
    def all(self) -> tuple[Thread, ...]:
        """Every rule that ever stood, in the order in which they came."""
        found: list[tuple[int, list[str]]] = []
        standing: dict[str, list[str]] = {}
        parents: list[Mapping[str, str]] = [{}]
        parents += [{new.id: old.id for old, new in heirs(comparison)} for comparison in self.course.comparisons]
        for at, edition in enumerate(self.course.editions):
            now: dict[str, list[str]] = {}
            for clause in edition.clauses:
                numbers = standing.get(parents[at].get(clause.id, ""))
                if numbers is None:
                    numbers = []
                    found.append((at, numbers))
                numbers.append(clause.id)
                now[clause.id] = numbers
            standing = now
        return tuple(Thread(first=first, numbers=tuple(numbers)) for first, numbers in found)

    @cached_property
    def at(self) -> Mapping[tuple[int, str], Thread]:
        """The thread of a clause, by station and number."""
        return {(thread.first + n, name): thread for thread in self.all for n, name in enumerate(thread.numbers)}

    def find(self, body: str, number: str, point: Point | None = None) -> Thread | None:
        """The rule that has a number at a point, or of those that ever had it the one that had it last; None where none has."""
        stations = [at for at, one in enumerate(self.course.points) if point is None or within(one, point, self.course, at)]
        found = (self.at.get((at, number)) for at in reversed(stations if body == self._body else []))
        return next((thread for thread in found if thread is not None), None)

    @property
    def numbers(self) -> frozenset[str]:
        """Every number that ever was."""
        return frozenset(name for thread in self.all for name in thread.numbers)

    @property
    def _body(self) -> str:
        return self.course.editions[0].body.id if self.course.editions else ""

    def timeline(self, thread: Thread) -> Timeline:
        """A rule's stations, values and habits."""
        stations = tuple(self._stations(thread))
        first = self.course.editions[thread.first]
        return Timeline(
            body=self.course.editions[-1].body,
            lineage=Lineage(season=first.header.season, clause=thread.numbers[0]),
            stations=stations,
            lines=lines(stations, self.course.editions[-1].body.numbers),
            habits=self._habits.of(self._rule(thread)),
        )

    def _stations(self, thread: Thread) -> Iterator[Station]:
        """Where the rule stood, and where it went, if it did."""
        end = min(thread.last + 1, len(self.course.editions) - 1)
        for at in range(thread.first, end + 1):
            edition, standing = self.course.editions[at], at <= thread.last
            number = thread.numbers[at - thread.first] if standing else ""
            yield Station(
                point=self.course.points[at],
                day=self.course.day(at),
                bulletins=tuple(each.number for each in edition.applied if each.effective == self.course.points[at].day),
                classes=edition.classes,
                clause=self._by_id[at][number] if standing else None,
                readings=edition.readings.get(number, ()) if standing else (),
                change=self._change(thread, at),
            )

    def _change(self, thread: Thread, at: int) -> Change | None:
        """How the rule came from the station before, or went."""
        if at == 0:
            return None
        old, new = self._changes[at - 1]
        return new[thread.numbers[at - thread.first]] if at <= thread.last else old[thread.numbers[-1]]

    @cached_property
    def _by_id(self) -> tuple[Mapping[str, Clause], ...]:
        return tuple(edition.by_id for edition in self.course.editions)

    @cached_property
    def _changes(self) -> Sequence[tuple[Mapping[str, Change], Mapping[str, Change]]]:
        """For each comparison its changes by old and by new number; of several the one that pairs one with one."""
        found = []
        for comparison in self.course.comparisons:
            ordered = sorted(comparison.changes, key=lambda change: -len(change.old) - len(change.new))
            old = {clause.id: change for change in ordered for clause in change.old}
            found.append((old, {clause.id: change for change in ordered for clause in change.new}))
        return found

    @cached_property
    def _habits(self) -> Habits:
        return Habits(course=self.course, rules=tuple(self._rule(thread) for thread in self.all))

    def _rule(self, thread: Thread) -> Rule:
        """What habits need to know of a rule."""
        placed = list(enumerate(thread.numbers, thread.first))
        return Rule(
            number=thread.numbers[-1],
            chapter=self._by_id[thread.last][thread.numbers[-1]].chapter,
            subjects=tuple(
                dict.fromkeys(
                    subject
                    for at, number in placed
                    for reading in self.course.editions[at].readings.get(number, ())
                    for subject in stated(reading)
                )
            ),
            seasons=len({self.course.points[at].season for at, _ in placed}),
            changes=tuple(
                change
                for at in range(max(thread.first, 1), min(thread.last + 1, len(self.course.editions) - 1) + 1)
                if (change := self._change(thread, at)) is not None
            ),
        )


def within(station: Point, point: Point, course: Course, at: int) -> bool:
    """Whether a station may be meant by a point: any of the season, or the last one that counts on the point's day."""
    if station.season != point.season:
        return False
    if point.selector is Selector.ALL:
        return True
    if point.selector is Selector.PUBLISHED:
        return station.day is None
    events = {event.id: event.on for event in course.editions[at].header.events}
    day = events.get(point.event) if point.selector is Selector.EVENT else point.day
    return station.day is None or (day is not None and station.day <= day)
