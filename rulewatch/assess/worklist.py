"""The work list of a car: its jobs, and what the changes suggest beyond them, with what each is due for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from rulewatch.assess.jobs import Matter, answers, is_work_again, new_jobs, says
from rulewatch.assess.trails import Trails
from rulewatch.model.car import Car
from rulewatch.model.edition import EditionHeader, Event
from rulewatch.model.job import Cause, Job
from rulewatch.model.vocabulary import Vocabulary, ancestors
from rulewatch.model.worklist import State, Task, Trail


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """The seasons of some bodies: their headers by body and season, from old to new."""

    headers: Mapping[tuple[str, str], EditionHeader]

    def event(self, name: str, cause: Cause | None, bodies: Iterable[str]) -> Event | None:
        """An event by its id: of the cause's own season, else of the newest season that has it of some bodies.

        Where several bodies have one, that of the newest year, and the earlier one within a year.
        """
        own = self._event(name, (cause.body, cause.season)) if cause is not None else None
        if own is not None:
            return own
        newest: dict[str, Event] = {}
        among = set(bodies)
        for key in self.headers:
            event = self._event(name, key)
            if event is not None and key[0] in among:
                newest[key[0]] = event
        return min(newest.values(), key=lambda event: (-event.on.year, event.on), default=None)

    def _event(self, name: str, key: tuple[str, str]) -> Event | None:
        return next((event for event in self._events(key) if event.id == name), None)

    def first(self, body: str, season: str, on: date | None) -> Event | None:
        """The first event of a season from the day on which a change holds; None stands for the season's beginning."""
        header = self.headers.get((body, season))
        day = on or (header.effective if header is not None else None) or date.min
        events = self._events((body, season))
        return min((event for event in events if event.on >= day), key=lambda event: event.on, default=None)

    def _events(self, key: tuple[str, str]) -> tuple[Event, ...]:
        header = self.headers.get(key)
        return header.events if header is not None else ()


def tasks(
    car: Car, jobs: Sequence[Job], found: Sequence[Matter], *, trails: Trails, calendar: Calendar, vocabulary: Vocabulary
) -> Iterator[Task]:
    """The jobs of a car in the order of its `jobs.yaml`, then those that its matters suggest, the most important first."""
    answered = {id(job): matter for matter in found for job in answers(matter, jobs, trails)}
    suggested = new_jobs(found, jobs, trails, "")
    by_cause: dict[Cause | None, Matter] = {matter.cause: matter for matter in found}
    for number, job in enumerate((*jobs, *suggested)):
        matter = answered.get(id(job)) if number < len(jobs) else by_cause.get(job.cause)
        if matter is not None and is_work_again(job, matter, trails):
            matter = None  # what it comes to now is the matter of the new job
        due, event = _due(job, matter, calendar, [entry.body for entry in car.entries])
        trail = _trail(job, trails, new=number >= len(jobs))
        yield Task(
            car=car.id,
            job=job,
            state=state_of(job) if number < len(jobs) else State.SUGGESTED,
            system=_system(job, vocabulary),
            due=due,
            event=event,
            trail=trail,
            lost=job.cause is not None and trail is None,
            outcome=matter.outcome if matter is not None else None,
            asks=matter.what if matter is not None and not says(job, matter) else "",
        )


def state_of(job: Job) -> State:
    """What is to be done about a job that is kept."""
    if job.done is not None:
        return State.DONE
    if job.declined:
        return State.DECLINED
    return State.ASK if job.asked else State.TO_DO


def _due(job: Job, matter: Matter | None, calendar: Calendar, bodies: Sequence[str]) -> tuple[date | None, str]:
    """The day by which a job should be done, and the title of its event; of a day that is written down there is none."""
    if isinstance(job.due, date):
        return job.due, ""
    if job.due is not None:
        event = calendar.event(job.due, job.cause, bodies)
    elif matter is not None:
        event = calendar.first(matter.cause.body, matter.season, matter.on)
    else:
        event = calendar.first(job.cause.body, job.cause.season, None) if job.cause is not None else None
    return (event.on, event.title or event.id) if event is not None else (None, "")


def _trail(job: Job, trails: Trails, *, new: bool) -> Trail | None:
    """Where the cause of a job is now; what was just suggested is where it is."""
    if job.cause is None:
        return None
    if new:
        return Trail(body=job.cause.body, season=job.cause.season, clause=job.cause.clause)
    return trails.follow(job.cause)


def _system(job: Job, vocabulary: Vocabulary) -> str:
    """The system of the car that a job is about, as the vocabulary calls it; empty where it is about none."""
    names = (job.cause.quantity if job.cause is not None else "", *job.alters)
    name = next((name for name in names if vocabulary.knows(name)), "")
    top = (name, *ancestors(name))[-1]
    return vocabulary.label(top) if name else ""
