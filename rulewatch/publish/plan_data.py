"""Plans as plain data, described by `schema/plan.schema.json`: hours, days, shares of one, and the crew's own money."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

from rulewatch.model.plan import Plan, PlannedJob, Purchase, Readiness


def plan_data(plan: Plan) -> dict[str, Any]:
    """All that `plan` tells, as data."""
    return {
        "today": plan.today.isoformat(),
        "cars": list(plan.cars),
        "late": {"days": plan.late, "proved": plan.late_proved},
        "dropped": {"wishes": sum(one.dropped for one in plan.unplanned), "proved": plan.kept_proved},
        "earlier": plan.over,
        "jobs": [_job(one) for one in plan.jobs],
        "unplanned": [
            {
                "car": one.task.car,
                "id": one.task.job.id,
                "what": one.task.job.what,
                "necessary": one.necessary,
                "dropped": one.dropped,
                "due": _day(one.task.due),
                "event": one.task.event,
                "why": one.why,
            }
            for one in plan.unplanned
        ],
        "parts": [_part(one) for one in plan.purchases],
        "readiness": [_readiness(one) for one in plan.readiness],
        "what_if": [{"what": one.what, "chances": list(one.chances)} for one in plan.what_ifs],
        "money": {
            "currency": plan.crew.currency,
            "unpriced": plan.unpriced,
            "months": [
                {
                    "month": one.month,
                    "budget": float(one.budget),
                    "spent": float(one.spent),
                    "committed": float(one.committed),
                    "to_come": float(one.to_come),
                    "left": float(one.left),
                }
                for one in plan.months
            ],
        },
        "runs": plan.runs,
    }


def _job(one: PlannedJob) -> dict[str, Any]:
    return {
        "car": one.task.car,
        "id": one.task.job.id,
        "what": one.task.job.what,
        "necessary": one.necessary,
        "people": list(one.people),
        "start": one.start.isoformat(),
        "end": one.end.isoformat(),
        "hours": round(float(one.hours), 3),
        "due": _day(one.task.due),
        "event": one.task.event,
        "missing": one.missing,
        "latest": _day(one.latest),
        "drives": one.drives,
    }


def _part(one: Purchase) -> dict[str, Any]:
    return {
        "car": one.task.car,
        "job": one.task.job.name,
        "what": one.part.what,
        "latest": _day(one.latest),
        "order": one.order.isoformat(),
        "ordered": one.part.ordered is not None,
        "arrives": _day(one.arrives),
        "cost": _number(one.part.cost),
        "drives": one.drives,
    }


def _readiness(one: Readiness) -> dict[str, Any]:
    return {
        "event": one.event,
        "on": one.on.isoformat(),
        "chance": one.chance,
        "jobs": one.jobs,
        "open": one.open,
        "ready": _day(one.ready),
        "half": _day(one.half),
        "most": _day(one.most),
        "drivers": [{"name": each.name, "share": each.share} for each in one.drivers],
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None


def _number(value: Fraction | None) -> float | None:
    return float(value) if value is not None else None
