"""The main path, in the order of its stages. Read this first.

    files → text → clauses and readings → the edition at a point → pairs and changes → verdicts on a car → impacts → the site

Each stage is a call into one room, takes values and gives values. The faults travel beside them: a command reports every one
that was found on its way, and gives no result where something is wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Generic, TypeVar

from rulewatch import checks
from rulewatch.assess.impact import impacts
from rulewatch.assess.verdicts import judge
from rulewatch.compare.comparison import compare_editions
from rulewatch.library import Library
from rulewatch.model.car import Car, Entry
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Fault, in_order
from rulewatch.model.impact import Assessment, Impact
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.workspace import Workspace

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Result(Generic[T]):
    """What came of a command: its value, what is wrong, and what is worth a warning. None where it could not be worked out."""

    value: T | None
    faults: tuple[Fault, ...] = ()

    @property
    def wrong(self) -> tuple[Fault, ...]:
        """The faults that are more than warnings."""
        return tuple(fault for fault in self.faults if not fault.warning)


# --- Compare ----------------------------------------------------------------------------------------------------------


def compare(root: Path, old: Point, new: Point) -> Result[Comparison]:
    """Compare the books at two points."""
    with Library(root) as library:
        before, after = library.edition(old), library.edition(new)
        comparison = _compared(library, before, after) if before is not None and after is not None else None
        return Result(value=comparison, faults=library.faults)


def _compared(library: Library, old: Edition, new: Edition) -> Comparison:
    return compare_editions(old, new, library.settled(old, new))


def _comparisons(library: Library, sides: Iterable[tuple[Edition | None, Edition | None]]) -> tuple[Comparison, ...]:
    """A comparison for every pair that has both sides."""
    return tuple(_compared(library, old, new) for old, new in sides if old is not None and new is not None)


def _newest(library: Library, workspace: Workspace, body: str) -> tuple[Edition | None, Edition | None]:
    """A body's newest edition and the one before it, old and new, with every bulletin; None where there is none."""
    headers = workspace.headers(body)
    latest = headers.get(workspace.latest(body))
    if latest is None:
        return None, None
    before = library.edition(Point(body=body, season=latest.previous)) if latest.previous in headers else None
    return before, library.edition(Point(body=body, season=latest.season))


# --- Verdicts and impacts ---------------------------------------------------------------------------------------------


def entry_day(edition: Edition, entry: Entry) -> date | None:
    """The day on which an entry is judged: the edition's, or the first event that the entry covers; None if it is not entered."""
    days = [day for day in (edition.day, *(event.on for event in edition.header.events)) if day is not None]
    return next((day for day in days if entry.covers(day)), None)


def assess(edition: Edition, cars: tuple[Car, ...], workspace: Workspace) -> Iterator[Assessment]:
    """Every entry of the cars in an edition's body, judged by it."""
    for car in cars:
        for entry in car.entries:
            day = entry_day(edition, entry) if entry.body == edition.body.id else None
            if day is not None and entry.class_name in edition.classes:
                yield judge(edition, car, entry, day, workspace.vocabulary)


def report(comparison: Comparison, cars: tuple[Car, ...], workspace: Workspace) -> ImpactReport:
    """What the changes do to every entry; each side is judged on its own edition's day, with the car's values as they are now."""
    found: list[Impact] = []
    for after in assess(comparison.new, cars, workspace):
        day = comparison.old.day or after.day
        before = judge(comparison.old, after.car, after.entry, day, workspace.vocabulary)
        found += impacts(comparison, before, after, workspace.vocabulary)
    return ImpactReport(comparison=comparison, impacts=tuple(found))


def impact(
    root: Path, *, old: Point | None = None, new: Point | None = None, car: str = ""
) -> Result[tuple[ImpactReport, ...]]:
    """What changed for every entry, or for one car's: between two points, or of each body's newest edition and the one before."""
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        one = workspace.car(car) if car else None
        cars = workspace.cars if not car else (one,) if one is not None else ()
        if old is not None and new is not None:
            sides = [(library.edition(old), library.edition(new))]
        else:
            bodies = dict.fromkeys(entry.body for each in cars for entry in each.entries if entry.body in workspace.bodies)
            sides = [_newest(library, workspace, body) for body in bodies]
        comparisons = _comparisons(library, sides)
        reports = tuple(report(comparison, cars, workspace) for comparison in comparisons)
        return Result(value=reports, faults=library.faults)


# --- Everything: verify and publish -----------------------------------------------------------------------------------


def site(root: Path, day: date) -> Result[SiteInput]:
    """Work out everything that the site shows for a day, what is open among it. Every season is read, so every fault is found."""
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        history = tuple(_every_edition(library, workspace))
        sides = [_newest(library, workspace, body) for body in workspace.bodies]
        newest = tuple(now for _, now in sides if now is not None)
        comparisons = _comparisons(library, sides)
        current = checks.Everything(
            vocabulary=workspace.vocabulary,
            editions=tuple(edition for pair in sides for edition in pair if edition is not None),
            comparisons=comparisons,
            settled=tuple((one, pair) for one in comparisons for pair in library.settled(one.old, one.new)),
            cars=workspace.cars,
            crew=workspace.crew,
            assessments=tuple(one for edition in newest for one in assess(edition, workspace.cars, workspace)),
        )
        wrong = checks.run(checks.FAULTS, replace(current, editions=history))
        value = SiteInput(
            title=workspace.settings.title,
            base=workspace.settings.base,
            day=day,
            vocabulary=workspace.vocabulary,
            bodies=tuple(edition.body for edition in newest),
            editions=current.editions,
            comparisons=comparisons,
            cars=workspace.cars,
            assessments=current.assessments,
            impacts=tuple(report(comparison, workspace.cars, workspace) for comparison in comparisons),
            open_points=workspace.with_lines(checks.run(checks.OPEN, current)),
            crew=workspace.crew,
        )
        return Result(value=value, faults=in_order((*library.faults, *workspace.with_lines(wrong))))


def _every_edition(library: Library, workspace: Workspace) -> Iterator[Edition]:
    for body in workspace.bodies:
        for season in workspace.headers(body):
            edition = library.edition(Point(body=body, season=season))
            if edition is not None:
                yield edition
