"""A track cut into cells: how long each is, and how bent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi
from typing import TYPE_CHECKING

from rulewatch.model.track import Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STEP = 1.0  # m


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Cells one after the other: `lengths` (m) and `curvature` (1/m, either sign); of a `closed` one the last meets the first."""

    lengths: Floats
    curvature: Floats
    closed: bool = True

    @property
    def length(self) -> float:
        """The whole, in metres."""
        return float(self.lengths.sum())


def course_of(track: Track, *, step: float = STEP) -> Course:
    """The lap of a track in cells no longer than `step` metres."""
    if track.points:
        return through([(float(x.base), float(y.base)) for x, y in track.points], step=step)
    stretches = []
    for part in track.parts:
        if part.length is not None:
            stretches.append((float(part.length.base), 0.0))
        elif part.radius is not None and part.turn is not None:
            radius = float(part.radius.base)
            stretches.append((radius * float(part.turn.base) * pi / 180, 1 / radius))
    return stretched(stretches, step=step)


def stretched(stretches: Sequence[tuple[float, float]], *, step: float = STEP, closed: bool = True) -> Course:
    """Stretches of a length (m) and a curvature (1/m), each in equal cells, so that none lies across two."""
    import numpy as np

    counts = [max(ceil(length / step), 1) for length, _ in stretches]
    lengths = [length / count for (length, _), count in zip(stretches, counts, strict=True)]
    return Course(
        lengths=np.repeat(lengths, counts), curvature=np.repeat([bend for _, bend in stretches], counts), closed=closed
    )


def through(points: Sequence[tuple[float, float]], *, step: float = STEP) -> Course:
    """A closed line through points (m), by a cubic spline that has no seam, over the length of chord.

    Its curvature is x′y″ − y′x″ over the cube of the speed along it.
    """
    import numpy as np

    at = np.array(points, dtype=float)
    chords = np.hypot(*(np.roll(at, -1, axis=0) - at).T)
    bends = _second_derivatives(at, chords)
    knots = np.concatenate(([0.0], np.cumsum(chords)))
    parts = max(ceil(knots[-1] / step), 1)
    edges = np.linspace(0, knots[-1], parts + 1)
    inner = (edges[:-1] + edges[1:]) / 2
    index = np.minimum(np.searchsorted(knots, inner, side="right") - 1, len(at) - 1)
    h, following = chords[index][:, None], (index + 1) % len(at)
    a = (knots[index + 1] - inner)[:, None] / h
    b = 1 - a
    first = (at[following] - at[index]) / h + h / 6 * ((3 * b**2 - 1) * bends[following] - (3 * a**2 - 1) * bends[index])
    second = a * bends[index] + b * bends[following]
    speed = np.hypot(first[:, 0], first[:, 1])
    curvature = (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / speed**3
    return Course(lengths=np.diff(edges) * speed, curvature=curvature)


def _second_derivatives(at: Floats, chords: Floats) -> Floats:
    """Of the periodic cubic spline at its knots: h₋M₋ + 2(h₋ + h)M + hM₊ = 6(Δ/h − Δ₋/h₋) (the textbooks' equations)."""
    import numpy as np

    count = len(at)
    before = np.roll(chords, 1)
    rise = (np.roll(at, -1, axis=0) - at) / chords[:, None]
    system = np.zeros((count, count))
    rows = np.arange(count)
    np.add.at(system, (rows, rows), 2 * (before + chords))
    np.add.at(system, (rows, (rows - 1) % count), before)
    np.add.at(system, (rows, (rows + 1) % count), chords)
    return np.linalg.solve(system, 6 * (rise - np.roll(rise, 1, axis=0))).astype(np.float64)
