"""What a car's pace is reckoned from, and what comes of it.

An estimate of pace is for differences between options on one car; it is no guidance for driving.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount
from rulewatch.model.track import Track


@dataclass(frozen=True, slots=True, kw_only=True)
class Spanned:
    """An input that is not known for sure: the least that it may be, what it most likely is, and the most."""

    low: Amount
    likely: Amount
    high: Amount

    @property
    def sure(self) -> bool:
        """Whether there is no spread."""
        return self.low.base == self.high.base


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """What `car.yaml` says under `pace`.

    `power` is the curve: rotation and power at full throttle, by rising rotation, which may be off by the factor `power_scale`.
    `gears` are the ratios from first to last. `driven` is the share of the weight on the driven wheels, `efficiency` that of the
    power that reaches them. `drag` and `downforce` are coefficient times area; where they are not stated, those of `balance.air`
    hold. Grip is force over load; it falls with the load as load to the power of minus `load_sensitivity`.
    """

    power: tuple[tuple[Amount, Amount], ...]
    gears: tuple[Amount, ...]
    final_drive: Spanned
    tyre_radius: Spanned
    grip_longitudinal: Spanned
    grip_lateral: Spanned
    place: Place = field(compare=False)
    power_scale: Spanned | None = None
    shift_time: Spanned | None = None
    load_sensitivity: Spanned | None = None
    brakes: Spanned | None = None
    efficiency: Spanned | None = None
    driven: Spanned | None = None
    drag: Spanned | None = None
    downforce: Spanned | None = None


class Phase(StrEnum):
    """What holds the car back on a stretch of track."""

    POWER = "power"
    TRACTION = "traction"
    BRAKING = "braking"
    CORNERING = "cornering"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPace:
    """The pace of a car on a track: seconds, metres, m/s, kg/m³.

    `u` is the expanded uncertainty of `time` that comes of the spread of the inputs (k = 2); `from_inputs` says how far each
    alone moves it (k = 2). `phases` are seconds of the lap, `sensitivities` seconds for one unit more of what each is named after.
    """

    track: Track
    length: float
    density: float
    time: float
    u: float
    top_speed: float
    phases: Mapping[Phase, float]
    sensitivities: Mapping[str, float]
    from_inputs: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceSheet:
    """The pace of a car on the tracks of its calendar; `notes` say what is missing for it."""

    car: str
    name: str
    mass: Fraction | None
    tracks: tuple[TrackPace, ...] = ()
    notes: tuple[str, ...] = ()
