"""The pace of a car on the tracks of its calendar, how sure it is, and what a little more of everything would change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

from rulewatch.assess.air import density
from rulewatch.assess.facts import Facts
from rulewatch.decide.pace import GRAVITY, Machine, laps
from rulewatch.decide.pace_course import Course, course_of
from rulewatch.decide.pace_drive import geared
from rulewatch.model.balance import Air
from rulewatch.model.car import Car
from rulewatch.model.pace import Pace, PaceSheet, Spanned, TrackPace
from rulewatch.model.quantity import Amount
from rulewatch.model.track import Track

COVERAGE = 2
# The inputs that may have a spread, in the order in which they are told.
INPUTS = (
    *("power_scale", "efficiency", "final_drive", "tyre_radius", "shift_time", "driven"),
    *("grip_longitudinal", "grip_lateral", "load_sensitivity", "brakes", "drag", "downforce"),
)
# What a sensitivity is for: so much of it more, in the machine's own units, and so many steps of that for one unit told.
MORE: Mapping[str, tuple[str, float, float]] = {
    "kg": ("mass", 1.0, 1.0),
    "kW": ("power", 1000.0, 1.0),
    "m² of downforce": ("downforce", 0.01, 100.0),
    "m² of drag": ("drag", 0.01, 100.0),
    "1 % of grip": ("grip", 0.01, 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A track as lap times are reckoned on it: its cells, and the density of its air in kg/m³."""

    track: Track
    course: Course
    density: float


def ground_of(track: Track, *, step: float = 1.0) -> Ground:
    """A track in cells of at most `step` metres."""
    altitude = float(track.altitude.base) if track.altitude is not None else 0.0
    temperature = float(track.temperature.base) if track.temperature is not None else None
    return Ground(track=track, course=course_of(track, step=step), density=density(altitude, temperature))


def lap_times(ground: Ground, machines: Sequence[Machine]) -> list[float]:
    """The seconds of a lap for each of many machines on one track, in one go.

    Make variants with `dataclasses.replace(machine, mass=…, power=…, drag=…, downforce=…, lateral=…, longitudinal=…)`.
    """
    return [float(time) for time in laps(ground.course, machines, density=ground.density).times]


def pace_sheet(facts: Facts, tracks: Sequence[Track], notes: Sequence[str] = ()) -> PaceSheet:
    """The pace of a car on some tracks; the notes say what it lacks for that."""
    car = facts.car
    mass = mass_of(facts)
    lacks = [*notes]
    if car.pace is None:
        lacks.append("no pace without `pace:` in its car.yaml: power, gears, tyres and grip")
    if mass is None:
        lacks.append("no pace without the car's weight (car.weight)")
    if car.pace is None or mass is None:
        return PaceSheet(car=car.id, name=car.name, mass=mass, notes=tuple(lacks))
    lacks += _air_notes(car, car.pace)
    found = tuple(_on_track(car, car.pace, mass, ground_of(track)) for track in tracks)
    return PaceSheet(car=car.id, name=car.name, mass=mass, tracks=found, notes=tuple(lacks))


def mass_of(facts: Facts) -> Fraction | None:
    """The car's weight as stated, in kilograms."""
    values = facts.of("car.weight").values
    return values[0].base if len(values) == 1 and isinstance(values[0], Amount) and values[0].base > 0 else None


def machine_of(car: Car, pace: Pace, mass: float, **chosen: Amount) -> Machine:
    """The car as a point, every input as it most likely is, but for those that are `chosen` by name."""

    def value(name: str, default: float) -> float:
        if name in chosen:
            return float(chosen[name].base)
        spanned: Spanned | None = getattr(pace, name)
        return float(spanned.likely.base) if spanned is not None else default

    air = car.balance.air if car.balance is not None else Air()
    drive = geared(
        [(float(turns.base), float(power.base)) for turns, power in pace.power],
        [float(gear.base) for gear in pace.gears],
        final=value("final_drive", 1.0),
        radius=value("tyre_radius", 1.0),
        efficiency=value("efficiency", 1.0),
    )
    whole = Machine(mass=mass, drive=drive)
    return replace(
        whole,
        drag=value("drag", float(air.drag.base) if air.drag is not None else 0.0),
        downforce=value("downforce", float(sum((surface.area.base for surface in air.surfaces), Fraction(0)))),
        longitudinal=value("grip_longitudinal", whole.longitudinal),
        lateral=value("grip_lateral", whole.lateral),
        load_sensitivity=value("load_sensitivity", 0.0),
        load=mass * GRAVITY,
        driven=value("driven", 1.0),
        brakes=value("brakes", whole.brakes),
        power=value("power_scale", 1.0),
        shift=value("shift_time", 0.0),
    )


def _air_notes(car: Car, pace: Pace) -> Iterator[str]:
    air = car.balance.air if car.balance is not None else Air()
    if pace.drag is None and air.drag is None:
        yield "drag is not stated, and counts as none"
    if pace.downforce is None and not air.surfaces:
        yield "downforce is not stated, and counts as none"


# --- One track ------------------------------------------------------------------------------------------------------------


def _on_track(car: Car, pace: Pace, mass: Fraction, ground: Ground) -> TrackPace:
    likely = machine_of(car, pace, float(mass))
    spans = {name: span for name in INPUTS if (span := getattr(pace, name)) is not None and not span.sure}
    ends = [machine_of(car, pace, float(mass), **{name: end}) for name, span in spans.items() for end in (span.low, span.high)]
    more = [_with_more(likely, name, amount, pace) for name, amount, _ in MORE.values()]
    found = laps(ground.course, [likely, *more, *ends], density=ground.density)
    time, *others = (float(one) for one in found.times)
    moved = others[len(more) :]
    inputs = {name: COVERAGE * _triangular(moved[2 * index], time, moved[2 * index + 1]) for index, name in enumerate(spans)}
    return TrackPace(
        track=ground.track,
        length=ground.course.length,
        density=ground.density,
        time=time,
        u=sqrt(sum(one**2 for one in inputs.values())),
        top_speed=float(found.top_speeds[0]),
        phases=found.phases[0],
        sensitivities={
            unit: (other - time) * steps for (unit, (_, _, steps)), other in zip(MORE.items(), others, strict=False)
        },
        from_inputs=inputs,
    )


def _with_more(machine: Machine, name: str, amount: float, pace: Pace) -> Machine:
    if name == "power":  # so many watts more at the top of the curve, and in proportion elsewhere
        top = max(float(power.base) for _, power in pace.power)
        return replace(machine, power=machine.power + amount / top)
    if name == "grip":
        return replace(machine, longitudinal=machine.longitudinal * (1 + amount), lateral=machine.lateral * (1 + amount))
    return replace(machine, **{name: getattr(machine, name) + amount})


def _triangular(first: float, likely: float, last: float) -> float:
    """The standard uncertainty of a time that lies between two ends and most likely at a third.

    The variance of a triangular distribution: (a² + b² + c² − ab − ac − bc) / 18 (textbooks; from memory). An input whose ends
    both move the time to one side gives the triangle from there to the likely time.
    """
    low, high = min(first, likely, last), max(first, likely, last)
    squares = low**2 + high**2 + likely**2 - low * high - low * likely - high * likely
    return sqrt(max(squares, 0.0) / 18)
