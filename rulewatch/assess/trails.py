"""Trails: which rule a clause is, whatever its number, so that a job stays with what caused it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rulewatch.compare.threads import Thread, Threads
from rulewatch.model.edition import Point
from rulewatch.model.job import Cause
from rulewatch.model.worklist import Trail

# A rule: its body, and the point and number under which it first stood.
Rule = tuple[str, str, str]


@dataclass(frozen=True, kw_only=True)
class Trails:
    """The rules of some bodies through all their seasons and bulletins. Of a split the surest child goes on with a rule."""

    threads: Mapping[str, Threads]

    def rule(self, body: str, clause: str, point: Point) -> Rule:
        """Which rule a clause is at a point; by itself where the body's seasons do not have it."""
        thread = self._thread(body, clause, point)
        if thread is None:
            return body, str(point), clause
        return body, str(self.threads[body].course.points[thread.first]), thread.numbers[0]

    def rule_of(self, cause: Cause) -> Rule:
        """The rule of a cause."""
        return self.rule(cause.body, cause.clause, Point(body=cause.body, season=cause.season))

    def follow(self, cause: Cause) -> Trail | None:
        """Where the rule of a cause is now, or was last; None where the season never had such a clause."""
        thread = self._thread(cause.body, cause.clause, Point(body=cause.body, season=cause.season))
        if thread is None:
            return None
        points = self.threads[cause.body].course.points
        gone = thread.last < len(points) - 1
        return Trail(body=cause.body, season=points[thread.last].season, clause=thread.numbers[-1], gone=gone)

    def rank(self, body: str, season: str) -> int:
        """The place of a season among those of its body, from old to new; -1 where it is none of them."""
        points = self.threads[body].course.points if body in self.threads else ()
        seasons = list(dict.fromkeys(point.season for point in points))
        return seasons.index(season) if season in seasons else -1

    def _thread(self, body: str, clause: str, point: Point) -> Thread | None:
        threads = self.threads.get(body)
        return threads.find(body, clause, point) if threads is not None else None
