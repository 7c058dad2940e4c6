"""Options compared, as data: see `schema/tradeoff.schema.json`."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from rulewatch.model.tradeoff import Combination, InClass, Tradeoff, Worth


def tradeoff_data(found: Tradeoff) -> dict[str, Any]:
    """Kilograms, seconds, shares of one; what is not known is null."""
    return {
        "car": found.car,
        "currency": found.currency,
        "base": _combination(found.base),
        "singles": [{"option": name, **_combination(one)} for name, one in found.singles],
        "allowed": [_combination(one) for one in found.allowed],
        "waiting": [_combination(one) for one in found.waiting],
        "whole": found.whole,
        "explained": _worth(found.explained) if found.explained is not None else None,
        "notes": list(found.notes),
    }


def _combination(one: Combination) -> dict[str, Any]:
    return {
        "options": list(one.options),
        "money": float(one.money),
        "money_high": float(one.money_high),
        "hours": float(one.hours),
        "ready": one.ready.isoformat(),
        "gain": one.gain,
        "front": _number(one.front),
        "at_speed": [{"speed": str(each.speed), "front": float(each.front), "rear": float(each.rear)} for each in one.at_speed],
        "classes": [_in_class(each) for each in one.classes],
        "notes": list(one.notes),
    }


def _in_class(one: InClass) -> dict[str, Any]:
    return {
        "body": one.body,
        "class": one.class_name,
        "season": one.season,
        "verdict": one.verdict.value,
        "against": list(one.against),
        "waits": list(one.waits),
        "broken": list(one.broken),
        "mended": list(one.mended),
        "minimum": _number(one.minimum),
        "race": _number(one.race),
        "ballast": _number(one.ballast),
        "kilowatts_per_kilogram": one.power_to_weight,
        "laps": dict(one.laps),
    }


def _worth(one: Worth) -> dict[str, Any]:
    return {
        "option": one.option,
        "with": list(one.alone.options),
        "gain": one.gain,
        "gain_without_penalty": one.free,
        "u": one.u,
        "chance": one.p,
        "break_even": one.break_even,
        "penalty": {name: float(added) for name, added in one.penalty.items()},
        "inputs": dict(one.inputs),
        "freedoms": [
            {"body": body, "about": habit.about, "taken_after_days": list(habit.taken), "standing_days": list(habit.standing)}
            for body, habit in one.habits
        ],
    }


def _number(value: Fraction | None) -> float | None:
    return float(value) if value is not None else None
