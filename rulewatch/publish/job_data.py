"""Jobs as plain data for other programs; the shape is described by `schema/jobs.schema.json`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from rulewatch.model.job import Cause, Decision, Done, Job
from rulewatch.model.worklist import Kept, State, Task, Trail


def jobs_data(tasks: Sequence[Task]) -> dict[str, Any]:
    """Jobs as data, in the order given, with how many there are in each state."""
    return {
        "jobs": [_task(task) for task in tasks],
        "counts": {state.value: sum(task.state is state for task in tasks) for state in State},
    }


def kept_data(kept: Iterable[Kept]) -> list[dict[str, Any]]:
    """What was added to which file, by the ids of the jobs."""
    return [{"car": one.car, "path": one.path, "added": [job.id for job in one.added]} for one in kept]


def cause_data(cause: Cause | None) -> str | None:
    """A cause as it is written."""
    return str(cause) if cause is not None else None


def answer_data(job: Job | None, *, again: bool) -> dict[str, Any] | None:
    """The crew's own job in the matter of an impact."""
    if job is None:
        return None
    return {"id": job.id, "what": job.what, "decision": _decision(job.decision), "done": _done(job.done), "again": again}


def _task(task: Task) -> dict[str, Any]:
    job = task.job
    return {
        "car": task.car,
        "id": job.id,
        "what": job.what,
        "state": task.state.value,
        "by": list(job.by),
        "system": task.system,
        "due": _day(task.due),
        "event": task.event,
        "hours": float(job.hours.likely) if job.hours is not None else None,
        "cause": cause_data(job.cause),
        "now": _trail(task.trail),
        "lost": task.lost,
        "outcome": task.outcome.value if task.outcome is not None else None,
        "asks": task.asks,
        "decision": _decision(job.decision),
        "done": _done(job.done),
    }


def _trail(trail: Trail | None) -> dict[str, Any] | None:
    if trail is None:
        return None
    return {"body": trail.body, "season": trail.season, "clause": trail.clause, "gone": trail.gone}


def _decision(decision: Decision | None) -> dict[str, Any] | None:
    if decision is None:
        return None
    return {"choice": decision.choice.value, "by": decision.by, "on": _day(decision.on), "why": decision.why}


def _done(done: Done | None) -> dict[str, Any] | None:
    return {"on": _day(done.on), "by": list(done.by)} if done is not None else None


def _day(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None
