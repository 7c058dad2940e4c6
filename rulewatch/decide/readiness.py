"""A crew's plan: the schedule, the last days for orders, the chance to be ready, and what another decision would change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from math import ceil
from typing import TYPE_CHECKING

from rulewatch.decide.money import months, priced_parts
from rulewatch.decide.network import Network
from rulewatch.decide.planning import Ordered, order
from rulewatch.decide.serial import Slot
from rulewatch.decide.simulation import Runs, Step, draw, run, steps_of
from rulewatch.decide.works import (
    GRAINS,
    WEEK,
    Work,
    Works,
    arrival,
    first_day,
    last_day,
    late_days,
    moment,
    ordered_on,
    speed,
    works_of,
)
from rulewatch.model.car import Crew, Person
from rulewatch.model.plan import Driver, Plan, PlannedJob, Purchase, Readiness, Unplanned, WhatIf
from rulewatch.model.work import Part
from rulewatch.model.worklist import State, Task

if TYPE_CHECKING:
    from rulewatch.decide.simulation import Numbers

RUNS = 4000
SEED = 1
SHOWN = 0.05  # the least share of runs of a driver that is named
MOST = 0.9  # the share of runs for the day by which it is as good as sure
NO_TIME = "there is no time for it before its day"


def plan(
    tasks: Sequence[Task],
    cars: Sequence[str],
    crew: Crew,
    today: date,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    tell: Callable[[str], None] = lambda _: None,
) -> Plan:
    """The plan of some cars for a day. `tell` is told what is being worked out."""
    works = works_of(tasks, crew, today)
    network = works.network()
    found = order(network, tell=tell)
    tell("drawing hours and waits")
    return _Made(tasks=tuple(tasks), cars=tuple(cars), works=works, network=network, found=found, runs=runs, seed=seed).plan


@dataclass(frozen=True, kw_only=True)
class _Made:
    """A schedule, and what follows from it."""

    tasks: tuple[Task, ...]
    cars: tuple[str, ...]
    works: Works
    network: Network
    found: Ordered
    runs: int
    seed: int

    @property
    def plan(self) -> Plan:
        found, needed = self.found, [work for work in self.planned if work.necessary]
        readiness = tuple(self._readiness(event, on, self.simulated) for event, on in self.events)
        return Plan(
            today=self.works.today,
            cars=self.cars,
            crew=self.works.crew,
            jobs=tuple(sorted(map(self._planned, self.planned), key=lambda one: (one.start, one.end, one.task.job.name))),
            unplanned=tuple(self._unplanned()),
            purchases=tuple(sorted(self._purchases(), key=lambda one: (one.latest or date.max, one.order, one.part.what))),
            readiness=readiness,
            what_ifs=tuple(self._what_ifs()) if readiness else (),
            months=months(self.tasks, self.works.crew, self.works.today),
            late=sum(late_days(found.slots[work.id].end, work.due) for work in needed),
            late_proved=found.late == found.late_bound,
            kept_proved=found.kept == found.kept_bound,
            over=ceil((found.end - found.end_bound) / GRAINS) if needed else None,
            unpriced=sum(part.cost is None for part in priced_parts(self.tasks)),
            runs=self.runs,
        )

    @cached_property
    def planned(self) -> tuple[Work, ...]:
        return tuple(work for work in self.works.works if work.id in self.found.slots)

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        return steps_of(self.network, self.found.slots)

    def _slot(self, work: Work) -> Slot:
        return self.found.slots[work.id]

    def _team(self, work: Work) -> tuple[Person, ...]:
        return work.teams[self._slot(work).mode]

    # --- Days -----------------------------------------------------------------------------------------------------------

    @cached_property
    def latest(self) -> Mapping[str, int | None]:
        """When each job must end at the latest, in this order of work, so that nothing necessary is late."""
        ends: dict[str, int | None] = {}
        by_id = {work.id: work for work in self.planned}
        starts: dict[str, list[int]] = {step.id: [] for step in self.steps}
        for step in reversed(self.steps):
            due = by_id[step.id].due
            bounds = [*starts[step.id], *([due] if due is not None else [])]
            ends[step.id] = min(bounds, default=None)
            end = ends[step.id]
            if end is not None:
                mode = self.network.by_id[step.id].modes[self.found.slots[step.id].mode]
                for before in step.after:
                    starts[before].append(mode.latest_start(end))
        return ends

    def _planned(self, work: Work) -> PlannedJob:
        today, slot, latest = self.works.today, self._slot(work), self.latest[work.id]
        return PlannedJob(
            task=work.task,
            people=tuple(person.id for person in self._team(work)),
            start=first_day(today, slot.start),
            end=last_day(today, slot.end),
            hours=work.rest,
            necessary=work.necessary,
            missing=late_days(slot.end, work.due) if work.necessary else 0,
            latest=today + timedelta(days=(latest - 1) // GRAINS) if latest is not None else None,
            drives=self.drives.get(work.id, 0.0),
        )

    def _unplanned(self) -> Iterator[Unplanned]:
        yield from self.works.unplanned
        for work in self.works.works:
            if work.id not in self.found.slots:
                yield Unplanned(task=work.task, why=NO_TIME, necessary=False, dropped=True)

    def _purchases(self) -> Iterator[Purchase]:
        today = self.works.today
        by_task = {id(work.task): work for work in self.planned}
        for task in self.tasks:
            for part in task.job.parts if task.state in {State.TO_DO, State.ASK} else ():
                if not part.there:
                    work = by_task.get(id(task))
                    known = part.lead is not None or part.expected is not None
                    yield Purchase(
                        task=task,
                        part=part,
                        order=ordered_on(part, today),
                        arrives=arrival(part, today) if known else None,
                        latest=self._latest_order(part, work),
                        drives=self.waits.get(work.id, 0.0) if work is not None and len(work.waits) == 1 else 0.0,
                    )

    def _latest_order(self, part: Part, work: Work | None) -> date | None:
        """The last day for an order: even the longest wait is over when the job must begin."""
        if part.ordered is not None:
            return None
        days = [part.order_by] if part.order_by is not None else []
        end = self.latest[work.id] if work is not None else None
        if work is not None and end is not None and part.lead is not None:
            start = self.network.by_id[work.id].modes[self._slot(work).mode].latest_start(end)
            days.append(self.works.today + timedelta(days=start // GRAINS - ceil(part.lead.high)))
        return min(days, default=None)

    # --- Chances --------------------------------------------------------------------------------------------------------

    @cached_property
    def events(self) -> tuple[tuple[str, date], ...]:
        """The events and days for which something necessary is due, by day."""
        found = {
            (task.event, task.due)
            for task in (*(work.task for work in self.planned if work.necessary), *self._open_tasks)
            if task.due is not None
        }
        return tuple(sorted(found, key=lambda one: (one[1], one[0])))

    @property
    def _open_tasks(self) -> tuple[Task, ...]:
        return tuple(one.task for one in self.works.unplanned if one.necessary)

    def simulate(self, *, faster: str = "", order_on: Mapping[int, date] | None = None) -> Runs:
        """Draw hours and waits: with the hours of one person doubled, or parts (by identity) ordered on other days, where asked."""
        durations: dict[str, Numbers] = {}
        released: dict[str, Numbers] = {}
        for work in self.planned:
            team = [replace(one, hours=speed([one]) * 2) if one.id == faster else one for one in self._team(work)]
            hours = draw(work.hours, work.id, runs=self.runs, seed=self.seed, spent=float(work.spent))
            durations[work.id] = hours * WEEK / float(speed(team))
            released[work.id] = self._released(work, order_on or {})
        return run(self.steps, durations, released)

    def _released(self, work: Work, order_on: Mapping[int, date]) -> Numbers:
        import numpy as np

        today = self.works.today
        found = np.zeros(self.runs)
        for part in work.waits:
            day = order_on.get(id(part), ordered_on(part, today))
            if part.expected is not None or part.lead is None:
                came = np.full(self.runs, float(moment(today, arrival(part, today))))
            else:
                days = draw(part.lead, f"{work.id} {part.what}", runs=self.runs, seed=self.seed)
                came = np.maximum(((day - today).days + np.ceil(days)) * GRAINS, 0.0)
            found = np.maximum(found, came)
        return found

    @cached_property
    def simulated(self) -> Runs:
        return self.simulate()

    def _for(self, on: date) -> list[Work]:
        """The necessary jobs that are due by a day."""
        return [work for work in self.planned if work.necessary and work.task.due is not None and work.task.due <= on]

    def _chance(self, on: date, event: str, simulated: Runs) -> float:
        until = (on - self.works.today).days * GRAINS + (0 if event else GRAINS)
        works = self._for(on)
        return float(simulated.by({work.id: until for work in works}).mean()) if works else 1.0

    @cached_property
    def _hangs(self) -> tuple[Mapping[str, float], Mapping[str, float]]:
        """The greatest share of any event, by job: hanging on the job, and on the parts that it waits for."""
        jobs: dict[str, float] = {}
        parts: dict[str, float] = {}
        for _, on in self.events:
            names = [work.id for work in self._for(on)]
            for found, each in zip((jobs, parts), self.simulated.drivers(names) if names else ({}, {}), strict=True):
                for name, share in each.items():
                    found[name] = max(found.get(name, 0.0), share)
        return jobs, parts

    @property
    def drives(self) -> Mapping[str, float]:
        return self._hangs[0]

    @property
    def waits(self) -> Mapping[str, float]:
        return self._hangs[1]

    def _readiness(self, event: str, on: date, simulated: Runs) -> Readiness:
        import numpy as np

        works, today = self._for(on), self.works.today
        ends = np.quantile(simulated.last([work.id for work in works]), [0.5, MOST], method="higher") if works else ()
        days = [last_day(today, ceil(end)) for end in ends]
        still = sum(task.due is not None and task.due <= on for task in self._open_tasks)
        return Readiness(
            event=event,
            on=on,
            chance=self._chance(on, event, simulated),
            jobs=len(works),
            open=still,
            ready=max((last_day(today, self._slot(work).end) for work in works), default=None) if not still else None,
            half=days[0] if days else None,
            most=days[1] if days else None,
            drivers=tuple(self._drivers(works, simulated)),
        )

    def _drivers(self, works: Sequence[Work], simulated: Runs) -> Iterator[Driver]:
        if not works:
            return
        jobs, parts = simulated.drivers([work.id for work in works])
        found = [Driver(name=f"{one.task.car}: {one.task.job.what}", share=jobs[one.id]) for one in self.planned]
        for one in self.planned:
            if one.waits:
                names = " or ".join(part.what for part in one.waits)
                found.append(Driver(name=f"waiting for {names}", share=parts[one.id]))
        yield from sorted((one for one in found if one.share >= SHOWN), key=lambda one: (-one.share, one.name))

    # --- Other decisions ------------------------------------------------------------------------------------------------

    def _what_ifs(self) -> Iterator[WhatIf]:
        """More hands beside whoever is needed most, each order today instead of later, and each a week later where that can be."""
        weight: dict[str, float] = {}
        for work in self.planned:
            for person in self._team(work):
                weight[person.id] = weight.get(person.id, 0.0) + self.drives.get(work.id, 0.0) * float(work.rest)
        busiest = max(weight, key=lambda name: (weight[name], name), default="")
        if busiest and weight[busiest] > 0:
            name = self.works.crew.people[busiest].name
            yield self._what_if(f"a helper beside {name}, with as many hours", self.simulate(faster=busiest))
        today = self.works.today
        for part in (part for work in self.planned for part in work.waits):
            if part.ordered is None and part.lead is not None:
                day = ordered_on(part, today)
                if day > today:
                    yield self._what_if(f"{part.what} ordered today", self.simulate(order_on={id(part): today}))
                later = min(day + timedelta(days=7), part.order_by or date.max)
                if later > day:
                    what = f"{part.what} ordered {(later - day).days} days later"
                    yield self._what_if(what, self.simulate(order_on={id(part): later}))

    def _what_if(self, what: str, simulated: Runs) -> WhatIf:
        return WhatIf(what=what, chances=tuple(self._chance(on, event, simulated) for event, on in self.events))
