"""Job lists: what the changes ask of each car beside what its crew keeps in `jobs.yaml`, and adding the one to the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from rulewatch import courses
from rulewatch.assess.jobs import Matter, answered, matters, new_jobs
from rulewatch.assess.trails import Trails
from rulewatch.assess.worklist import Calendar, tasks
from rulewatch.compare.threads import Threads
from rulewatch.model.car import Car
from rulewatch.model.fault import Fault
from rulewatch.model.job import Job
from rulewatch.model.site import ImpactReport
from rulewatch.model.worklist import Kept, Task
from rulewatch.parse.additions import add_jobs
from rulewatch.parse.jobs import parse_jobs
from rulewatch.store.folder import FolderTree
from rulewatch.store.tree import decode
from rulewatch.store.updating import update_file
from rulewatch.workspace import Workspace, jobs_file

BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, kw_only=True)
class Joblists:
    """The job lists of some cars, held against impact reports; causes are followed along the trails of their bodies."""

    workspace: Workspace
    cars: tuple[Car, ...]
    reports: tuple[ImpactReport, ...]
    trails: Trails

    @cached_property
    def _matters(self) -> Mapping[str, list[Matter]]:
        """The matters of each car, by its id."""
        found: dict[str, list[Matter]] = {}
        for matter in matters(self.reports, self.trails):
            found.setdefault(matter.car, []).append(matter)
        return found

    def _of(self, car: Car) -> list[Matter]:
        return self._matters.get(car.id, [])

    @cached_property
    def told(self) -> tuple[ImpactReport, ...]:
        """The reports, each impact with its cause and with the crew's job in the same matter."""
        told = {id(was): now for car in self.cars for was, now in answered(self._of(car), car.jobs, self.trails)}
        return tuple(
            replace(report, impacts=tuple(told.get(id(impact), impact) for impact in report.impacts)) for report in self.reports
        )

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """The work list of each car, one after the other."""
        workspace = self.workspace
        headers = {(body, season): header for body in workspace.bodies for season, header in workspace.headers(body).items()}
        return tuple(
            task
            for car in self.cars
            for task in tasks(
                car,
                car.jobs,
                self._of(car),
                trails=self.trails,
                calendar=Calendar(headers=headers),
                vocabulary=workspace.vocabulary,
            )
        )

    def keep(self, root: Path) -> Iterator[Kept | Fault]:
        """Add what the changes suggest to the `jobs.yaml` of each car, where it is not there yet; tells of each file changed."""
        for car in self.cars:
            addition = _Addition(car.id, self._of(car), self)
            result = update_file(FolderTree(root), addition.path, addition.edit) if addition.matters else False
            if isinstance(result, Fault):
                yield result
            elif result:
                yield Kept(car=car.id, path=addition.path, added=addition.added)


class _Addition:
    """One car's jobs to add; what is added is decided by the file as it is when it is written."""

    def __init__(self, car: str, found: Sequence[Matter], lists: Joblists) -> None:
        self.path, self.matters, self.lists = jobs_file(car), found, lists
        self.added: tuple[Job, ...] = ()

    def edit(self, data: bytes) -> bytes | Fault:
        source = decode(self.path, data)
        if isinstance(source, Fault):
            return source
        vocabulary = self.lists.workspace.vocabulary
        jobs, faults = parse_jobs(source, vocabulary=vocabulary)
        wrong = next((fault for fault in faults if not fault.warning), None)
        if wrong is not None:
            return wrong
        self.added = new_jobs(self.matters, jobs, self.lists.trails, self.path)
        if not self.added:
            return data
        mark = BOM if data.startswith(BOM) else b""
        new = add_jobs(self.path, data.removeprefix(mark).decode(), self.added, vocabulary)
        return mark + new.encode() if isinstance(new, str) else new[0]


def trails(workspace: Workspace, bodies: Iterable[str], compare: courses.Compare) -> Trails:
    """The rules of some bodies, each followed through all its seasons and bulletins."""
    found = {}
    for body in dict.fromkeys(bodies):
        editions = courses.seasons(workspace, body) if body in workspace.bodies else ()
        if editions:
            found[body] = Threads(course=courses.course(workspace, editions, compare))
    return Trails(threads=found)


def bodies_of_causes(cars: Iterable[Car]) -> tuple[str, ...]:
    """The bodies whose rules caused a job of some cars."""
    causes = (job.cause for car in cars for job in car.jobs)
    return tuple(dict.fromkeys(cause.body for cause in causes if cause is not None))
