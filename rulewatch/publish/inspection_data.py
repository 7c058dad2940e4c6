"""Inspection sheets as plain data, described by `schema/inspection.schema.json`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rulewatch.model.inspection import InspectionLine, InspectionSheet


def inspection_data(sheets: Iterable[InspectionSheet]) -> dict[str, Any]:
    """The sheet of each entry, as data."""
    return {"sheets": [_sheet(one) for one in sheets]}


def _sheet(sheet: InspectionSheet) -> dict[str, Any]:
    entry = sheet.assessment.entry
    return {
        "car": sheet.assessment.car.id,
        "body": entry.body,
        "class": entry.class_name,
        "season": sheet.assessment.edition.header.season,
        "day": sheet.day.isoformat(),
        "events": [event.id for event in sheet.events],
        "verdict": sheet.assessment.verdict.value,
        "requirements": [_line(line, sheet) for system in sheet.systems for line in system.lines],
        "lives": [_line(line, sheet) for line in sheet.lives],
        "waivers": [
            {
                "clause": one.waiver.clause,
                "paper": one.waiver.paper,
                "until": one.waiver.until.isoformat(),
                "not_held": one.not_held,
                "not_for": [event.id for event in one.missed],
            }
            for one in sheet.waivers
        ],
        "to_measure": [{"quantity": one.name, "how": one.how, "clauses": list(one.clauses)} for one in sheet.to_measure],
        "questions": [
            {
                "clause": one.clause,
                "text": one.text,
                "answered": one.answered.on.isoformat() if one.answered is not None else None,
            }
            for one in sheet.questions
        ],
        "unread": [clause for one in sheet.unread for clause in one.clauses],
    }


def _line(line: InspectionLine, sheet: InspectionSheet) -> dict[str, Any]:
    one, measured = line.finding, line.measurement
    return {
        "subject": one.subject,
        "clauses": list(one.clauses),
        "asked": one.bound,
        "value": one.value,
        "margin": str(one.margin) if one.margin is not None else None,
        "verdict": one.verdict.value,
        "at_risk": sheet.at_risk(one),
        "p": one.doubt.p if one.doubt is not None else None,
        "measured": None
        if measured is None
        else {
            "on": measured.on.isoformat(),
            "by": measured.by,
            "u": str(line.u or ""),
            "evidence": list(measured.evidence),
        },
        "good_until": one.ends.isoformat() if one.ends is not None else None,
        "not_for": [event.id for event in line.missed],
        "why": one.why,
    }
