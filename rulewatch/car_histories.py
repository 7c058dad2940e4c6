"""Histories of cars: what git knows of a car's spec and what its job list tells, beside what the rules did in that time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from rulewatch.assess.answers import answers
from rulewatch.assess.staleness import alters, done_on, stale_values
from rulewatch.compare.alterations import differences
from rulewatch.courses import Compare
from rulewatch.library import Library
from rulewatch.model.alteration import Alteration, Answer, CarHistory, Doubt, Issued, Kind
from rulewatch.model.car import Car, Stated
from rulewatch.model.change import Comparison
from rulewatch.model.edition import EditionHeader, Point, Selector
from rulewatch.model.fault import Fault
from rulewatch.model.job import Job
from rulewatch.model.timeline import Recorded
from rulewatch.model.vocabulary import within
from rulewatch.parse.cars import parse_car
from rulewatch.workspace import Workspace, car_file, jobs_file

NEAR = 31  # days between a job and the commit that is taken to be the same work


def car_history(library: Library, workspace: Workspace, car: Car, compare: Compare) -> CarHistory:
    """The history of one car. Where git cannot be asked, only what the job list tells, with the reason in words."""
    from rulewatch.store.file_history import file_states

    states = file_states(library.root, car_file(car.id))
    unknown = "" if not isinstance(states, Fault) else states.found
    versions: list[tuple[Recorded | None, Car]] = []
    for state in states if not isinstance(states, Fault) else ():
        then, _ = parse_car(state.source, car.id, vocabulary=workspace.vocabulary)  # its faults were for that day
        if then is not None:
            versions.append((state.recorded, then))
    if not versions:
        unknown = unknown or "car.yaml is not committed yet"
    rules = _Rules(workspace=workspace, compare=compare)
    altered = [
        one
        for (_, old), (by, new) in pairwise((*versions, (None, car)) if versions else ())
        for one in _altered(old, new, by, rules)
    ]
    known = _with_jobs(altered, car)
    first = versions[0][0] if versions else None
    days = [one.day for one in known if one.day is not None] + ([first.on] if first is not None else [])
    return CarHistory(
        car=car,
        alterations=known,
        issued=tuple(one for one in _issued(workspace, car) if days and one.day >= min(days)),
        doubts=tuple(_doubts(car, altered)),
        first=first,
        unknown=unknown,
    )


# --- What git knows ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rules:
    """The books of a workspace, and how two are compared."""

    workspace: Workspace
    compare: Compare

    def comparisons(self, car: Car, day: date | None) -> Iterator[Comparison]:
        """For each body of a car its newest book that was published on or before a day, against the season before it."""
        for body in dict.fromkeys(entry.body for entry in car.entries if entry.body in self.workspace.bodies):
            headers = self.workspace.headers(body)
            known = [one for one in headers.values() if day is None or (published(one) or date.min) <= day]
            before = headers.get(known[-1].previous) if known else None
            if before is None:
                continue
            new = self.workspace.edition(self._point(known[-1], day))
            old = self.workspace.edition(Point(body=body, season=before.season))
            if old is not None and new is not None:
                yield self.compare(old, new)

    def _point(self, header: EditionHeader, day: date | None) -> Point:
        """The season with the bulletins that were published by a day."""
        point = Point(body=header.body, season=header.season)
        out = [one for one in self.workspace.bulletins(header.body, header.season) if not one.events]
        if day is None or all(one.published <= day for one in out):
            return point
        last = max((one.effective for one in out if one.published <= day), default=None)
        return replace(point, selector=Selector.DATE, day=last) if last else replace(point, selector=Selector.PUBLISHED)


def published(header: EditionHeader) -> date | None:
    """The day from which a season's book was known."""
    return header.published or header.effective


def _altered(old: Car, new: Car, recorded: Recorded | None, rules: _Rules) -> Iterator[Alteration]:
    """What one commit altered, each with what it answers; None for what is not committed yet."""
    # Jobs and options are not of that day, and the values alone are to tell.
    before, after = (replace(car, jobs=(), options=()) for car in (old, new))
    day = recorded.on if recorded is not None else None
    found = differences(before.spec, after.spec)
    subjects = [one.subject for one in found if one.kind is Kind.ALTERED]
    comparisons = list(rules.comparisons(new, day)) if subjects else []
    answered = [pair for each in comparisons for pair in answers(before, after, subjects, each, rules.workspace.vocabulary)]
    for one in found:
        own = tuple(answer for subject, answer in answered if subject == one.subject)
        yield Alteration(day=day, subjects=(one.subject,), difference=one, recorded=recorded, answers=own)


# --- What the job list tells ------------------------------------------------------------------------------------------


def _with_jobs(altered: Sequence[Alteration], car: Car) -> tuple[Alteration, ...]:
    """The alterations by day, each with the job that is nearest to it; then jobs without one, and what has no day."""
    found, alone = list(altered), []
    for job in (job for job in car.jobs if job.done is not None and job.alters):
        taken = {number for name in job.alters if (number := _nearest(found, job, name)) is not None}
        for number in taken:
            found[number] = replace(
                found[number], job=job, answers=(*found[number].answers, *_said(job, found[number].answers))
            )
        if not taken:
            day = job.done.on if job.done is not None else None
            alone.append(Alteration(day=day, subjects=job.alters, job=job, answers=tuple(_said(job, ()))))
    return tuple(sorted((*found, *alone), key=lambda one: one.day or date.max))


def _nearest(altered: Sequence[Alteration], job: Job, name: str) -> int | None:
    """The alteration of something that a job names that was committed nearest to the day of the work, within a month."""
    away = [
        (abs((one.day - done_on(job)).days) if one.day is not None else NEAR, number)
        for number, one in enumerate(altered)
        if one.job is None and one.kind is Kind.ALTERED and within(one.subjects[0], name)
    ]
    nearest, number = min(away, default=(NEAR + 1, -1))
    return number if nearest <= NEAR and done_on(job) > date.min else None


def _said(job: Job, known: Sequence[Answer]) -> Iterator[Answer]:
    """The rule that a job names as its cause, where it is not known already."""
    cause = job.cause
    same = (one for one in known if cause is not None and (one.body, one.season) == (cause.body, cause.season))
    if cause is not None and not any(cause.clause in one.clauses for one in same):
        yield Answer(body=cause.body, season=cause.season, clauses=(cause.clause,), said=True)


# --- What the rules did, and what is stale ----------------------------------------------------------------------------


def _issued(workspace: Workspace, car: Car) -> Iterator[Issued]:
    """The books and bulletins of the car's bodies that have a day; drafts count for nothing."""
    for body in dict.fromkeys(entry.body for entry in car.entries if entry.body in workspace.bodies):
        for season, header in workspace.headers(body).items():
            day = published(header)
            if day is not None:
                yield Issued(day=day, body=body, season=season, effective=header.effective)
            edition = workspace.edition(Point(body=body, season=season))
            for bulletin in edition.applied if edition is not None else ():
                yield Issued(
                    day=bulletin.published, body=body, season=season, bulletin=bulletin.number, effective=bulletin.effective
                )


def _doubts(car: Car, altered: Sequence[Alteration]) -> Iterator[Doubt]:
    """The measured values that are older than an alteration: first what verdicts count, then what only git or a lost day tells."""
    stale = stale_values(car)
    again = "measure it again, and write the day as `on`"
    for name, why in stale.items():
        yield Doubt(subject=name, why=why, counted=True, todo=again)
    for stated in car.spec.values():
        if stated.measurement is None or not stated.values or stated.subject in stale:
            continue
        dayless = next(
            (job for job in car.jobs if job.done is not None and job.done.on is None and alters(job, stated.subject)), None
        )
        if dayless is not None:
            why = f"measured on {stated.measurement.on}; the job {dayless.name} altered it, on a day that is not written"
            todo = f"write the day as `done` in {jobs_file(car.id)}; if that is later, verdicts count the value as unknown"
            yield Doubt(subject=stated.subject, why=why, counted=False, todo=todo)
            continue
        last = next((one for one in reversed(altered) if _outlived(stated, one)), None)
        if last is not None and last.difference is not None:
            when = f"in the commit of {last.day}" if last.day is not None else "and not committed yet"
            what = (
                "the value was altered"
                if last.difference.subject == stated.subject
                else f"{last.difference.subject} was altered"
            )
            todo = (
                f"{again}; if it was altered after that day, write the work in {jobs_file(car.id)} with "
                f"`alters: {stated.subject}` and the day as `done`, and verdicts count the value as unknown until then"
            )
            yield Doubt(
                subject=stated.subject, why=f"measured on {stated.measurement.on}; {what} {when}", counted=False, todo=todo
            )


def _outlived(stated: Stated, one: Alteration) -> bool:
    """Whether a measurement is from before an alteration of the value, or of a component that holds it."""
    on = stated.measurement.on if stated.measurement is not None else date.max
    found = one.difference
    if found is None or one.kind is not Kind.ALTERED or (one.day is not None and one.day <= on):
        return False
    if found.subject != stated.subject:
        return within(stated.subject, found.subject)
    sides = [
        side.measurement.on if side is not None and side.measurement is not None else None for side in (found.old, found.new)
    ]
    return sides == [on, on]
