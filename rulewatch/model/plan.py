"""Plans: who does what when, what must be ordered by when, what it costs, and how likely it is to be ready in time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.model.car import Crew
from rulewatch.model.work import Part
from rulewatch.model.worklist import Task


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedJob:
    """A job with its days, the first and the last on which it is worked on, and the people (ids) who do it.

    `hours` is the mean of what is left. `missing` are the days by which it ends too late. `latest` is the last day on which it
    may end so that neither it nor what comes after it is late, in this order of work; None where nothing is due. `drives` is
    the share of all runs in which the last moment of some event's work hangs on it.
    """

    task: Task
    people: tuple[str, ...]
    start: date
    end: date
    hours: Fraction
    necessary: bool
    missing: int = 0
    latest: date | None = None
    drives: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplanned:
    """A job without a place in the plan, and why. `necessary` as in a planned one."""

    task: Task
    why: str
    necessary: bool
    dropped: bool = False  # a wish for which there is no time


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """A part that is not there yet: when it is ordered in this plan, and when it comes, by the mean of its wait.

    `latest` is the last day for the order: with the longest wait it still comes in time for its job, and the supplier takes
    the order. None where nothing asks for a day. `drives` is the share of all runs in which the last moment of some event's work
    hangs on it.
    """

    task: Task
    part: Part
    order: date
    arrives: date | None
    latest: date | None = None
    drives: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What the last moment of an event's work hangs on: a job's or part's name, and in which share of all runs."""

    name: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """The chance that everything necessary for an event, or for a day, is done by then.

    `event` is empty for a day. `ready` is the day on which the plan has it all done, `half` and `most` those by which half and
    nine in ten of all runs have. `open` counts necessary jobs that could not be planned: with any, `chance` is only the most
    that it can be.
    """

    event: str
    on: date
    chance: float
    jobs: int
    open: int
    ready: date | None
    half: date | None
    most: date | None
    drivers: tuple[Driver, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What another decision would change: the chance for each event of the plan, in its order."""

    what: str
    chances: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """The money of one month, written YYYY-MM; `left` is what the budget has left after it, and all months before."""

    month: str
    budget: Fraction
    spent: Fraction
    committed: Fraction
    to_come: Fraction
    left: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of some cars for a day.

    `late` is the sum of the days by which necessary jobs end too late; `late_proved` says that no plan has fewer,
    `kept_proved` that none keeps more wishes. `over` says by how many days at most the necessary work could end earlier in a
    better plan, 0 where that is proved to be none; None where there is no necessary work. `unpriced` counts parts to be bought
    whose price is not known. `runs` is how often the hours were drawn.
    """

    today: date
    cars: tuple[str, ...]
    crew: Crew
    jobs: tuple[PlannedJob, ...]
    unplanned: tuple[Unplanned, ...]
    purchases: tuple[Purchase, ...]
    readiness: tuple[Readiness, ...]
    what_ifs: tuple[WhatIf, ...]
    months: tuple[Month, ...]
    late: int = 0
    late_proved: bool = True
    kept_proved: bool = True
    over: int | None = None
    unpriced: int = 0
    runs: int = 0

    @property
    def last(self) -> date:
        """The last day that the plan speaks of."""
        days = [one.end for one in self.jobs] + [one.on for one in self.readiness]
        return max(days, default=self.today + timedelta(days=7))
