"""Weight and balance as plain data, described by `schema/weigh.schema.json`: kilograms, metres, shares of one; uncertainties k = 2."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from rulewatch.model.weighing import AtSpeed, BalanceSheet, Height, Outlook, Placed, Standing

COVERAGE = 2


def balance_data(sheet: BalanceSheet) -> dict[str, Any]:
    """All that `weigh` tells of a car, as data."""
    return {
        "car": sheet.car.id,
        "states": [_standing(one) for one in sheet.states],
        "heights": [_height(one) for one in sheet.heights],
        "at_speed": [_at_speed(one) for one in sheet.at_speed],
        "entries": [_outlook(one) for one in sheet.outlooks],
        "notes": list(sheet.notes),
    }


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _standing(one: Standing) -> dict[str, Any]:
    return {
        "what": one.what,
        "mass": float(one.mass),
        "u": float(COVERAGE * one.u),
        "corners": {corner.value: float(load) for corner, load in one.corners.items()} if one.corners else None,
        "front": _number(one.front),
        "left": _number(one.left_share),
        "cross": _number(one.cross),
        "gravity": {"behind": _number(one.behind), "left": _number(one.left), "above": _number(one.height)},
    }


def _height(one: Height) -> dict[str, Any]:
    return {
        "axle": one.of.axle.value,
        "by": float(one.of.lift.base),
        "height": float(one.height),
        "u": float(COVERAGE * one.u),
    }


def _at_speed(one: AtSpeed) -> dict[str, Any]:
    return {"what": one.what, "speed": str(one.speed), "front": float(one.front), "rear": float(one.rear)}


def _outlook(one: Outlook) -> dict[str, Any]:
    entry = one.assessment.entry
    return {
        "body": entry.body,
        "class": entry.class_name,
        "season": one.assessment.edition.header.season,
        "minimum": _number(one.minimum),
        "at_scales": _standing(one.standing) if one.standing is not None else None,
        "under": one.under,
        "turned_away": one.turned_away,
        "ballast": {
            "aboard": float(one.aboard),
            "needed": _number(one.needed),
            "suggested": _number(one.suggested),
            "margin": _number(one.margin),
        },
        "placed": _placed(one.placed) if one.placed is not None else None,
        "notes": list(one.notes),
    }


def _placed(one: Placed) -> dict[str, Any]:
    return {
        "loads": {name: float(load) for name, load in one.loads.items()},
        "standing": _standing(one.standing),
        "refused": [{"place": name, "why": why} for name, why in one.refused],
    }
