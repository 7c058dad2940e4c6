"""Pace in words: lap times with their spread, where the time goes, what a little more of everything would change."""

from __future__ import annotations

from collections.abc import Iterator

from rulewatch.model.pace import PaceSheet, Phase, TrackPace

PURPOSE = "It is an estimate for differences between options on one car; it says nothing of one car against another."
PHASES = {
    Phase.POWER: "as fast as the engine can",
    Phase.TRACTION: "as fast as the driven tyres can",
    Phase.BRAKING: "braking",
    Phase.CORNERING: "cornering at the limit",
}
KMH = 3.6  # of a metre a second
MOST_INPUTS = 3  # told of those that make the time unsure


# What a car states under `pace`, in words.
INPUTS = {
    "power_scale": "engine power",
    "efficiency": "what the drivetrain takes",
    "final_drive": "final drive",
    "tyre_radius": "tyre radius",
    "shift_time": "shift time",
    "driven": "load on the driven wheels",
    "grip_longitudinal": "grip along the car",
    "grip_lateral": "grip across the car",
    "load_sensitivity": "how grip falls with load",
    "brakes": "brakes",
    "drag": "drag",
    "downforce": "downforce",
}


def lap_words(seconds: float) -> str:
    """`1:43.27`: minutes, seconds and hundredths."""
    minutes, hundredths = divmod(round(seconds * 100), 6000)
    return f"{minutes}:{hundredths // 100:02d}.{hundredths % 100:02d}"


def track_words(one: TrackPace) -> Iterator[str]:
    """What there is to say of the pace on a track, a line each."""
    spread = f" ± {one.u:.2f} s" if one.u else ""
    yield f"{lap_words(one.time)}{spread} for {one.length:.0f} m; top speed {one.top_speed * KMH:.0f} km/h"
    gone = (f"{PHASES[phase]} {seconds / one.time:.0%}".replace("%", " %") for phase, seconds in one.phases.items() if seconds)
    yield f"where the time goes: {', '.join(gone)}"
    more = (f"{seconds:+.3f} s for {_unit(unit)}".replace("-", "−") for unit, seconds in one.sensitivities.items())
    yield f"what one more changes: {', '.join(more)}"
    unsure = sorted(one.from_inputs.items(), key=lambda item: -item[1])[:MOST_INPUTS]
    if unsure:
        yield f"unsure above all by: {', '.join(f'{INPUTS[name]} ± {u:.2f} s' for name, u in unsure)}"


def _unit(unit: str) -> str:
    """`1 % of grip` has its one already."""
    return unit if unit.startswith("1 ") else f"1 {unit}"


def head_words(sheet: PaceSheet) -> str:
    """The car, and the mass that was reckoned with."""
    return f"{sheet.name}{f': pace at {float(sheet.mass):.0f} kg' if sheet.mass is not None else ''}"
