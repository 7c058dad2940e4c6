"""Stale values: what was measured before work that altered it.

Only what the car's own files say counts, never what git knows, so that the same workspace gives the same verdicts everywhere. A
job that is done on a later day than a measurement, and that says it altered the quantity, or a component that holds it, makes it
stale. Nothing is concluded from what a job is about: one that alters the wheels leaves the car's weight as it is, unless it
names that too. A job that is done on no known day makes nothing stale.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from rulewatch.model.car import Car, Stated
from rulewatch.model.job import Job
from rulewatch.model.vocabulary import within


def altering(stated: Stated, jobs: Iterable[Job]) -> Job | None:
    """The last job, of those done after the value was measured, that altered it; None where it is declared, or none did."""
    if stated.measurement is None or not stated.values:
        return None
    later = [
        (done_on(job), number, job)
        for number, job in enumerate(jobs)
        if done_on(job) > stated.measurement.on and alters(job, stated.subject)
    ]
    return max(later)[2] if later else None


def altered_since(car: Car, subject: str, day: date) -> Job | None:
    """The last job, of those done after a day, that altered a quantity; None where there is none."""
    later = [(done_on(job), number, job) for number, job in enumerate(car.jobs) if done_on(job) > day and alters(job, subject)]
    return max(later)[2] if later else None


def alters(job: Job, subject: str) -> bool:
    """Whether a job says that it alters a quantity: by its name, or by that of a component that it stands under."""
    return any(within(subject, name) for name in job.alters)


def done_on(job: Job) -> date:
    """The day on which a job was done; the first of all days where it was not, or where that is not said."""
    return job.done.on if job.done is not None and job.done.on is not None else date.min


def stale_values(car: Car) -> Mapping[str, str]:
    """The stale values of a car's spec by quantity, each with the reason in words."""
    done = [job for job in car.jobs if job.alters and done_on(job) > date.min]
    found = ((stated, altering(stated, done)) for stated in (car.spec.values() if done else ()))
    return {stated.subject: _reason(stated, job) for stated, job in found if job is not None}


def _reason(stated: Stated, job: Job) -> str:
    measured = stated.measurement.on if stated.measurement is not None else ""
    return f"measured on {measured}, and altered on {done_on(job)} (job {job.name})"
