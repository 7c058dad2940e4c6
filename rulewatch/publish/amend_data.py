"""What a bulletin does, as plain data for other programs; its shape is `schema/amend.schema.json`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rulewatch.model.amended import Amended
from rulewatch.model.change import Change
from rulewatch.model.edition import Edition
from rulewatch.model.fault import Fault
from rulewatch.publish.data import comparison_data, verify_data


def amend_data(amended: Amended, faults: Iterable[Fault]) -> dict[str, Any]:
    """The bulletin, what is wrong with it, what it changes, and which later ones change the same."""
    bulletin = amended.bulletin
    told = comparison_data(amended.comparison)["changes"]
    return {
        "bulletin": bulletin.number,
        "title": bulletin.title,
        "path": bulletin.place.path,
        "status": bulletin.status.value,
        "published": str(bulletin.published),
        "effective": str(bulletin.effective),
        "events": list(bulletin.events),
        "point": str(amended.after.point),
        "before": [each.number for each in amended.before.applied],
        "faults": verify_data(faults, (), ())["faults"],
        "changes": [
            {
                **{key: data[key] for key in ("kinds", "old", "new", "effects", "words", "values")},
                "texts": list(_texts(change, amended.after)),
            }
            for change, data in zip(amended.comparison.changed, told, strict=True)
        ],
        "later": [
            {"bulletin": each.bulletin.number, "effective": str(each.bulletin.effective), "clauses": list(each.clauses)}
            for each in amended.later
        ],
    }


def _texts(change: Change, after: Edition) -> Iterable[dict[str, Any]]:
    for clause in change.new:
        until = after.suspended[clause.id].until if clause.id in after.suspended else None
        yield {
            "clause": clause.id,
            "text": clause.text,
            "marked": clause.marked,
            "suspended": clause.id in after.suspended,
            "until": str(until) if until else None,
        }
