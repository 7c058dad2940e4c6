"""Pace as plain data, described by `schema/pace.schema.json`: seconds, metres, metres a second, kg/m³; uncertainties k = 2."""

from __future__ import annotations

from typing import Any

from rulewatch.model.pace import PaceSheet, TrackPace
from rulewatch.publish.cautions import CAUTIONS
from rulewatch.publish.pace_words import PURPOSE


def pace_data(sheet: PaceSheet) -> dict[str, Any]:
    """All that `pace` tells of a car, as data."""
    return {
        "car": sheet.car,
        "mass": float(sheet.mass) if sheet.mass is not None else None,
        "tracks": [_track(one) for one in sheet.tracks],
        "notes": list(sheet.notes),
        "caution": " ".join((*(one.text for one in CAUTIONS if one.topic == "Speed"), PURPOSE)),
    }


def _track(one: TrackPace) -> dict[str, Any]:
    return {
        "track": one.track.id,
        "name": one.track.name,
        "length": one.length,
        "density": one.density,
        "time": one.time,
        "u": one.u,
        "top_speed": one.top_speed,
        "phases": {phase.value: seconds for phase, seconds in one.phases.items()},
        "sensitivities": dict(one.sensitivities),
        "from_inputs": dict(one.from_inputs),
    }
