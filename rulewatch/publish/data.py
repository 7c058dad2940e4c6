"""Comparisons, impacts and faults as plain data for other programs; the same shapes for the site and for the command line.

The shapes are described by the JSON Schemas in `schema/`. Amounts are text with their unit and an ASCII minus.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from importlib.resources import files
from typing import Any

from rulewatch.model.change import Change, ClassEffect, Comparison, ValueChange, Witness
from rulewatch.model.fault import Fault
from rulewatch.model.impact import Impact, OptionEffect, Side
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar
from rulewatch.model.room import Contradiction, End, Law, Room, SharedRoom
from rulewatch.model.site import ImpactReport
from rulewatch.model.together import Together
from rulewatch.publish.job_data import answer_data, cause_data
from rulewatch.publish.together_words import together_data
from rulewatch.publish.weight_words import WeightSide, weight_sides

# What the site publishes, beside the data; `verify.schema.json` is for the command line alone.
SCHEMAS = ("compare.schema.json", "impact.schema.json", "jobs.schema.json")


def comparison_data(comparison: Comparison, *, unchanged: bool = False) -> dict[str, Any]:
    """A comparison as data; clauses without a change of their own only where asked for, with no kinds."""
    changes = comparison.changes if unchanged else comparison.changed
    return {
        "old": str(comparison.old.point),
        "new": str(comparison.new.point),
        "changes": [_change(change) for change in changes],
        "touched": [
            {"old": [one.id for one in change.old], "new": [one.id for one in change.new], "touched_by": _touches(change)}
            for change in comparison.touched
        ],
        "classes": {name: _class(effect) for name, effect in comparison.classes.items()},
        "counts": comparison.counts(),
    }


def room_data(shared: SharedRoom) -> dict[str, Any]:
    """What two classes leave in common, as data."""
    return {
        "both": [shared.first, shared.second],
        "rooms": [_room(room) for room in shared.rooms],
        "conflict": _laws(shared.conflict),
        "undecided": shared.undecided,
        "unread": _laws(shared.unread),
    }


def contradictions_data(found: Iterable[Contradiction]) -> dict[str, Any]:
    """For each class the clauses that no car can meet together, as data."""
    return {
        "contradictions": [
            {"class": one.name, "conflict": _laws(one.laws), "undecided": one.undecided, "unread": _laws(one.unread)}
            for one in found
        ]
    }


def impact_data(reports: Iterable[ImpactReport], together: Iterable[Together] = ()) -> dict[str, Any]:
    """Impacts as data, in the order given; and the cars that are entered more than once, side by side."""
    return {
        "impacts": [_impact(impact, report) for report in reports for impact in report.impacts],
        "together": [together_data(one) for one in together],
    }


def verify_data(faults: Iterable[Fault], warnings: Iterable[Fault], waiting: Iterable[Fault]) -> dict[str, Any]:
    """What is wrong, what is worth a look, and what waits for a person, each in the order given."""
    return {
        "faults": [_point(fault) for fault in faults],
        "warnings": [_point(fault) for fault in warnings],
        "open": [_point(fault) for fault in waiting],
    }


def json_bytes(data: Mapping[str, Any]) -> bytes:
    """Data as a JSON file: keys in the order given, UTF-8, one line feed at the end."""
    return (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()


def schema_bytes(name: str) -> bytes:
    """One of the packaged JSON Schemas."""
    return files("rulewatch.publish").joinpath("schema", name).read_bytes()


def _change(change: Change) -> dict[str, Any]:
    return {
        "kinds": [kind.value for kind in change.kinds],
        "old": [clause.id for clause in change.old],
        "new": [clause.id for clause in change.new],
        **effects_data(change),
        "certainty": round(change.certainty, 4),
        "settled": change.settled,
        "wording_only": change.wording_only,
        "reinterpreted": list(change.reinterpreted),
        "touched_by": _touches(change),
        "words": [[mark.value, text] for mark, text in change.words],
        "values": [_value(value) for value in change.values],
    }


def effects_data(change: Change | None) -> dict[str, Any]:
    """What a change does by class, alone and inside the whole book, with cars that show it; all empty for no change."""
    if change is None:
        return {"effects": {}, "why": {}, "in_book": {}, "masked_by": {}, "witness": {}}
    return {
        "effects": {name: effect.value for name, effect in change.effects.items()},
        "why": dict(change.why),
        "in_book": {name: effect.value for name, effect in change.in_book.items()},
        "masked_by": {name: list(clauses) for name, clauses in change.masked_by.items()},
        "witness": {name: [_witness(one) for one in witnesses] for name, witnesses in change.witness.items()},
    }


def _class(effect: ClassEffect) -> dict[str, Any]:
    return {
        "effect": effect.effect.value,
        "unread": list(effect.unread),
        "witness": [_witness(one) for one in effect.witnesses],
    }


def _witness(witness: Witness) -> dict[str, Any]:
    return {
        "says": str(witness),
        "gained": witness.gained,
        "alone": witness.alone,
        "in_book": witness.in_book,
        "car": witness.car,
        "differs": list(witness.differs),
        "supposed": list(witness.supposed),
        "values": {name: _scalar(value) for name, value in witness.values.items()},
    }


def _room(room: Room) -> dict[str, Any]:
    return {
        "subject": room.subject,
        "label": room.label,
        "low": _end(room.low),
        "high": _end(room.high),
        "values": [_scalar(value) for value in room.values],
        "clauses": _laws(room.laws),
        "undecided": room.undecided,
    }


def _end(end: End | None) -> dict[str, Any] | None:
    return None if end is None else {"value": _scalar(end.value), "strict": end.strict, "clauses": _laws(end.laws)}


def _laws(laws: Iterable[Law]) -> list[dict[str, str]]:
    return [{"class": law.book, "clause": law.clause} for law in laws]


def _scalar(value: Scalar) -> str:
    return str(value).replace("−", "-") if isinstance(value, Amount) else str(value)


def _touches(change: Change) -> list[dict[str, Any]]:
    return [
        {"path": list(touch.path), "reasons": [{"tie": each.tie.value, "about": each.about} for each in touch.reasons]}
        for touch in change.touched_by
    ]


def _value(value: ValueChange) -> dict[str, str | None]:
    return {"old": _amount(value.old), "new": _amount(value.new), "delta": _amount(value.delta)}


def _impact(impact: Impact, report: ImpactReport) -> dict[str, Any]:
    return {
        "car": impact.car,
        "body": impact.entry.body,
        "class": impact.entry.class_name,
        "from": str(report.comparison.old.point),
        "to": str(report.comparison.new.point),
        "draft": report.draft,
        "old": list(impact.old),
        "new": list(impact.new),
        "subject": impact.subject,
        "outcome": impact.outcome.value,
        "also": [outcome.value for outcome in impact.also],
        "before": _side(impact.before),
        "after": _side(impact.after),
        "on": impact.on.isoformat() if impact.on is not None else None,
        "why": impact.why,
        "weight": {side.when: _build_up(side) for side in weight_sides(impact)},
        "further": [
            {"outcome": one.outcome.value, "subject": one.subject, "why": one.why, "job": one.job} for one in impact.further
        ],
        "options": [_option(effect) for effect in impact.options],
        "job": impact.job,
        "cause": cause_data(impact.cause),
        "kept": answer_data(impact.kept, again=impact.again),
        "others": [answer_data(one, again=False) for one in impact.others],
    }


def _build_up(side: WeightSide) -> list[dict[str, str | bool]]:
    return [
        {"clause": step.clause, "what": step.label, "adds": step.adds, "total": step.total, "certain": step.certain}
        for step in side.steps
    ]


def _option(effect: OptionEffect) -> dict[str, str]:
    return {"option": effect.option, "what": effect.what, "outcome": effect.outcome.value, "why": effect.why}


def _side(side: Side) -> dict[str, str | None]:
    return {"verdict": side.verdict.value, "margin": _amount(side.margin), "alone": side.alone.value}


def _point(fault: Fault) -> dict[str, str | int]:
    return {
        "code": fault.code,
        "path": fault.place.path,
        "line": fault.place.line,
        "column": fault.place.column,
        "found": fault.found,
        "expected": fault.expected,
        "remedy": fault.remedy,
    }


def _amount(amount: Amount | None) -> str | None:
    return None if amount is None else str(amount).replace("−", "-")
