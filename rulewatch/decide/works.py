"""Jobs as a network: people and equipment as resources, days off as breaks, parts as the moment before which nothing begins.

Time is counted in parts of a day from the morning of the day that the plan is made for. The hours that someone gives in a week
count as spread evenly over its days: a job of 6 h takes someone who gives 12 h half a week.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from rulewatch.decide.network import Activity, CircleError, Mode, Network, Span, sorted_after
from rulewatch.model.car import Crew, Person
from rulewatch.model.impact import Outcome
from rulewatch.model.job import Job
from rulewatch.model.plan import Unplanned
from rulewatch.model.work import Estimate, Part
from rulewatch.model.worklist import State, Task

GRAINS = 8  # parts of a day
WEEK = 7 * GRAINS
NECESSARY = frozenset({Outcome.BREACH, Outcome.STILL_IN_BREACH, Outcome.MEASURE, Outcome.READ})
NOT_KEPT = "a change asks for it, and it is not in jobs.yaml: `rulewatch impact --keep` adds it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A job that can be planned. `spent` hours of the `hours` were worked already; `waits` are the parts that are not there."""

    id: str
    task: Task
    hours: Estimate
    spent: Fraction
    teams: tuple[tuple[Person, ...], ...]
    after: tuple[str, ...]
    waits: tuple[Part, ...]
    necessary: bool
    due: int | None

    @property
    def rest(self) -> Fraction:
        """The mean of the hours that are left."""
        return self.hours.rest(self.spent)


@dataclass(frozen=True, kw_only=True)
class Works:
    """What of some job lists can be planned from a day on, and what cannot."""

    today: date
    crew: Crew
    works: tuple[Work, ...]
    unplanned: tuple[Unplanned, ...]

    def network(self) -> Network:
        """The jobs as activities, each way of manning one as a mode."""
        capacities = {f"person {name}": 1 for name in self.crew.people}
        capacities |= {f"equipment {name}": count for name, count in self.crew.equipment.items()}
        return Network(activities=tuple(self._activity(work) for work in self.works), capacities=capacities)

    def _activity(self, work: Work) -> Activity:
        return Activity(
            id=work.id,
            modes=tuple(self._mode(work, team) for team in work.teams),
            after=work.after,
            release=max((moment(self.today, arrival(part, self.today)) for part in work.waits), default=0),
            due=work.due,
            wish=not work.necessary,
        )

    def _mode(self, work: Work, team: Sequence[Person]) -> Mode:
        uses = {f"person {person.id}": 1 for person in team}
        uses |= {f"equipment {name}": 1 for name in work.task.job.equipment}
        return Mode(
            duration=ceil(work.rest * WEEK / speed(team)),
            uses=uses,
            breaks=breaks(team, self.today),
            name=" ".join(person.id for person in team),
        )


def speed(team: Iterable[Person]) -> Fraction:
    """The hours that a team gives in a week."""
    return sum((person.hours or Fraction(0) for person in team), Fraction(0))


def moment(today: date, day: date) -> int:
    """The morning of a day; 0 for every day that is past."""
    return max((day - today).days, 0) * GRAINS


def first_day(today: date, start: int) -> date:
    """The day on which something starts."""
    return today + timedelta(days=start // GRAINS)


def last_day(today: date, end: int) -> date:
    """The last day of something that ends then."""
    return today + timedelta(days=max(end - 1, 0) // GRAINS)


def breaks(team: Iterable[Person], today: date) -> tuple[Span, ...]:
    """The spans in which not all of a team are there, from a day on, joined where they touch."""
    found: list[Span] = []
    spans = sorted(span for person in team for span in person.off if span[1] >= today)
    for since, until in ((moment(today, first), moment(today, last) + GRAINS) for first, last in spans):
        if found and since <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], until))
        else:
            found.append((since, until))
    return tuple(found)


def ordered_on(part: Part, today: date) -> date:
    """The day on which a part is ordered, was ordered, or is to be: never before today where it is not yet."""
    return part.ordered or max(part.order or today, today)


def arrival(part: Part, today: date, wait: Fraction | None = None) -> date:
    """The day from which a part can be used: as the supplier says, else after a wait, that of the mean where none is given."""
    if part.there:
        return today
    if part.ordered is not None and part.expected is not None and wait is None:
        return max(part.expected, today)
    days = wait if wait is not None else part.lead.mean if part.lead is not None else Fraction(0)
    return max(ordered_on(part, today) + timedelta(days=ceil(days)), today)


# --- From tasks to works ----------------------------------------------------------------------------------------------


def works_of(tasks: Sequence[Task], crew: Crew, today: date) -> Works:
    """Every job that waits for somebody, as far as it can be planned.

    What only a change suggests is not on the list and has no hours; it is told where the car is not known to be legal without it.
    """
    kept = [task for task in tasks if task.state in {State.TO_DO, State.ASK}]
    names = _names(kept)
    necessary = _necessary(kept)
    there = {(task.car, task.job.id): task for task in tasks if task.job.id and task.state is not State.SUGGESTED}
    reasons = {names[id(task)]: reason for task in kept if (reason := _reason(task, crew) or _not_coming(task, there))}
    waiting = {
        names[id(task)]: tuple(
            names[id(other)] for before in task.job.after if id(other := there.get((task.car, before))) in names
        )
        for task in kept
    }
    _circles(reasons, waiting)
    _spread(reasons, waiting)
    works = tuple(
        _work(task, names[id(task)], waiting[names[id(task)]], crew, today, necessary=id(task) in necessary)
        for task in kept
        if names[id(task)] not in reasons
    )
    unplanned = tuple(
        Unplanned(task=task, why=reasons[names[id(task)]], necessary=id(task) in necessary)
        for task in kept
        if names[id(task)] in reasons
    )
    unplanned += tuple(
        Unplanned(task=task, why=NOT_KEPT, necessary=True)
        for task in tasks
        if task.state is State.SUGGESTED and task.outcome in NECESSARY
    )
    return Works(today=today, crew=crew, works=works, unplanned=unplanned)


def _names(tasks: Iterable[Task]) -> Mapping[int, str]:
    """A name for each task, by identity: car and id, or what it is; counted on where two have one."""
    found: dict[int, str] = {}
    for task in tasks:
        name = f"{task.car}/{task.job.name}"
        count = sum(other == name or other.startswith(f"{name} #") for other in found.values())
        found[id(task)] = f"{name} #{count + 1}" if count else name
    return found


def _necessary(tasks: Sequence[Task]) -> set[int]:
    """What is no wish, by identity, and all that must come before it."""
    by_id = {(task.car, task.job.id): task for task in tasks if task.job.id}
    found: set[int] = set()
    open_ = [task for task in tasks if is_necessary(task)]
    while open_:
        task = open_.pop()
        if id(task) not in found:
            found.add(id(task))
            open_ += [by_id[task.car, before] for before in task.job.after if (task.car, before) in by_id]
    return found


def is_necessary(task: Task) -> bool:
    """Whether a job may not be left out: as the crew says, else because the car is not known to be legal, or it has its day."""
    if task.job.wish is not None:
        return not task.job.wish
    return task.outcome in NECESSARY or task.due is not None


def _reason(task: Task, crew: Crew) -> str:
    """Why a job cannot be planned, empty where it can."""
    job = task.job
    if task.state is State.ASK:
        return "somebody must be asked before it is decided"
    if job.hours is None and job.left is None:
        return "it says no hours"
    hours, spent = hours_of(job)
    if spent and spent >= hours.high:
        return "more hours are booked than it was thought to take: say what is left"
    if not teams(job, crew):
        lacking = [name for name in job.by if name not in crew.people or not crew.people[name].hours]
        return f"{' and '.join(lacking)} gives no hours" if lacking else "nobody who can do it gives hours"
    missing = [part.what for part in job.parts if not part.there and part.lead is None and part.expected is None]
    if missing:
        return f"it is not known how long {' and '.join(missing)} takes to come"
    lost = [name for name in job.equipment if name not in crew.equipment]
    return f"there is no {' and no '.join(lost)}" if lost else ""


def _not_coming(task: Task, there: Mapping[tuple[str, str], Task]) -> str:
    """Why a job that comes first will not be done, empty where it will or was."""
    for before in task.job.after:
        other = there.get((task.car, before))
        if other is None:
            return f"it comes after {before}, which is not on the list"
        if other.state is State.DECLINED:
            return f"it comes after {before}, which was declined"
    return ""


def _circles(reasons: dict[str, str], waiting: Mapping[str, Sequence[str]]) -> None:
    """Jobs that wait for each other cannot be planned."""
    while True:
        try:
            sorted_after({name: [one for one in each if one not in reasons] for name, each in waiting.items()})
        except CircleError as error:
            reasons.update(dict.fromkeys(error.ids, f"it waits for itself: {error}"))
        else:
            return


def _spread(reasons: dict[str, str], waiting: Mapping[str, Sequence[str]]) -> None:
    """What waits for a job that cannot be planned cannot be planned either."""
    while True:
        more = {
            name: f"it waits for {before}"
            for name, each in waiting.items()
            if name not in reasons
            for before in each
            if before in reasons
        }
        if not more:
            return
        reasons.update(more)


def hours_of(job: Job) -> tuple[Estimate, Fraction]:
    """The hours of a job as a whole, and those spent; where it says what is left, that, and none spent."""
    if job.left is not None:
        return job.left, Fraction(0)
    return job.hours or Estimate.exactly(0), sum((one.hours for one in job.booked), Fraction(0))


def teams(job: Job, crew: Crew) -> tuple[tuple[Person, ...], ...]:
    """Who could do a job: those who do it together, or each one of those who can."""
    giving = {name: person for name, person in crew.people.items() if person.hours}
    if job.by:
        return (tuple(giving[name] for name in job.by),) if all(name in giving for name in job.by) else ()
    return tuple(
        (person,)
        for name, person in giving.items()
        if (not job.can or name in job.can) and set(job.skills) <= set(person.skills)
    )


def _work(task: Task, name: str, after: Sequence[str], crew: Crew, today: date, *, necessary: bool) -> Work:
    hours, spent = hours_of(task.job)
    return Work(
        id=name,
        task=task,
        hours=hours,
        spent=spent,
        teams=teams(task.job, crew),
        after=tuple(dict.fromkeys(after)),
        waits=tuple(part for part in task.job.parts if not part.there),
        necessary=necessary,
        due=due_of(task, today),
    )


def due_of(task: Task, today: date) -> int | None:
    """The moment by which a job should be done: the evening of a day, or the morning of an event; before 0 where it is past."""
    if task.due is None:
        return None
    return ((task.due - today).days + (not task.event)) * GRAINS


def late_days(end: int, due: int | None) -> int:
    """By how many days something ends too late."""
    return max(ceil(Fraction(end - due, GRAINS)), 0) if due is not None else 0
