"""What an engine with its gears gives at the wheels, by speed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, pi
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LOOKUP = 20  # places of the tables for each m/s
TOP = 200  # m/s, where the tables end
BAND = 1.0  # m/s: over which a change of gear is spread, on each side of the middle


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Drive:
    """Watts at the wheels by speed, `LOOKUP` places for each m/s; `fastest` (m/s) is where the last gear is at the end of its curve.

    `bands` is a weight by speed, 1/(m/s), that comes to one for each change up. Two are the same only if they are the same object.
    """

    powers: NDArray[np.float64]
    bands: NDArray[np.float64]
    fastest: float = inf


def steady(watts: float) -> Drive:
    """The same power at every speed, as if with endless gears."""
    import numpy as np

    places = TOP * LOOKUP + 1
    return Drive(powers=np.full(places, watts), bands=np.zeros(places))


def pulling(newtons: float) -> Drive:
    """The same force at every speed."""
    import numpy as np

    places = TOP * LOOKUP + 1
    return Drive(powers=newtons * np.arange(places) / LOOKUP, bands=np.zeros(places))


def geared(
    curve: Sequence[tuple[float, float]], gears: Sequence[float], *, final: float, radius: float, efficiency: float = 1.0
) -> Drive:
    """The best of all gears at every speed; below the curve's first point in the lowest gear the clutch slips at that point's torque.

    `curve` has turns a minute and watts, `radius` is in metres. A change up is where the next gear gives more, or at the curve's end.
    """
    import numpy as np

    places = TOP * LOOKUP + 1
    v = np.arange(places) / LOOKUP
    turns, watts = (np.array(side, dtype=float) for side in zip(*curve, strict=True))
    by_gear = []
    for ratio in sorted(gears, reverse=True):
        rpm = v / radius * ratio * final * 60 / (2 * pi)
        by_gear.append(np.interp(rpm, turns, watts, left=0.0, right=0.0))
    lowest = radius * turns[0] * 2 * pi / 60 / (max(gears) * final)
    fastest = radius * turns[-1] * 2 * pi / 60 / (min(gears) * final)
    given = np.array(by_gear)
    best = given.max(axis=0)
    best = np.where(v < lowest, watts[0] * v / lowest, best)
    best = np.where(v > fastest, watts[-1], best)  # nobody gets there: the curve's end is a limit of speed
    bands = np.zeros(places)
    chosen = given.argmax(axis=0)
    for gear in range(1, len(by_gear)):
        at = v[np.argmax((chosen >= gear) & (v >= lowest))] + BAND
        bands += np.maximum(1 - np.abs(v - at) / BAND, 0) / BAND
    return Drive(powers=best * efficiency, bands=bands, fastest=float(fastest))
