"""Lap times of a point mass that is in balance at every moment, for many cars at once.

The state is z = v², for which dz/ds = 2a: a constant acceleration is a straight line. Tyres give what an ellipse allows:
the sideways force takes from the force along the track. A cell of the track takes the implicit midpoint rule,

    z₁ = z₀ + 2 Δs a((z₀ + z₁)/2),  and never more than a limit,

whose error falls with the square of the step. That recurrence is not walked cell by cell. Linear about a guess (Newton), it is
z₁ = min(L, A z₀ + B), and such maps stay of that form when one follows another: dividing by the running product of A and taking
the running sum of B away leaves a running minimum, which numpy takes over all cells and cars in one call. A few rounds settle it.

The model is that of a point mass in the textbooks of vehicle dynamics (common practice); it is for differences between options on
one car, and no guidance for driving.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from rulewatch.decide.pace_course import Course
from rulewatch.decide.pace_drive import LOOKUP, Drive
from rulewatch.model.pace import Phase

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRAVITY = 9.80665  # m/s², the standard value (CGPM 1901)
BLOCK = 100  # cells that are taken together: running products of A stay within what a float holds
FLATTEST = 0.02  # the least A, for the same reason
ROUNDS = 60
SETTLED = 1e-7  # of z, relative: the next round would change its square
TOGETHER = 4  # cars in one batch: more do not fit the processor's cache
FASTEST = 300.0  # m/s, beyond what any car does
GUESS = 50.0  # m/s, where a search begins
ENOUGH = 1e3  # grip that sets no limit
STEP = 1e-5  # relative, of a numerical slope
AT_LIMIT = 0.995  # of the cornering speed


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A car as a point: kg, m² (coefficient times area), N; grip is force over load.

    `load` (N) is what grip is stated for: with a `load_sensitivity` c it is grip × (N / load)^−c. `driven` is the share of the load on
    the driven wheels, `brakes` the most force that the brakes give, `shift` the seconds without drive at each change up.
    """

    mass: float
    drive: Drive
    drag: float = 0.0
    downforce: float = 0.0
    longitudinal: float = ENOUGH
    lateral: float = ENOUGH
    load_sensitivity: float = 0.0
    load: float = 0.0
    driven: float = 1.0
    brakes: float = inf
    power: float = 1.0
    shift: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Laps:
    """What came of several cars on one course: `times` (s) and `top_speeds` (m/s) by car; `squares` is v² by car and node."""

    times: Floats
    squares: Floats
    phases: tuple[dict[Phase, float], ...]

    @property
    def top_speeds(self) -> Floats:
        """The greatest speed of each car, m/s."""
        found: Floats = self.squares.max(axis=1) ** 0.5
        return found


def laps(course: Course, machines: Sequence[Machine], *, density: float, start: float | None = None, end: float = inf) -> Laps:
    """Every car on a course in air of a density (kg/m³): a flying lap, or from a `start` speed (m/s) to at most an `end` speed.

    RuntimeError where the speeds do not settle, which no sensible car has shown.
    """
    import numpy as np

    parts, before = [], None
    for first in range(0, len(machines), TOGETHER):
        field = _Field(machines[first : first + TOGETHER], course, density)
        before = _solved(field, before, start, end)
        parts.append(_told(field, before))
    return Laps(
        times=np.concatenate([part.times for part in parts]),
        squares=np.concatenate([part.squares for part in parts]),
        phases=tuple(phases for part in parts for phases in part.phases),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Solved:
    """v² by car and node, on the way with the throttle alone and with the brakes too; the cells begin at number `first`."""

    first: int
    forward: Floats
    both: Floats


def _solved(field: _Field, before: _Solved | None, start: float | None, end: float) -> _Solved:
    """The speeds of a batch; those of the batch before are a good guess at them. A lap begins at its slowest place."""
    import numpy as np

    flying = start is None
    first = before.first if before is not None else int(np.argmin(field.limit.min(axis=0)[:-1])) if flying else 0
    limit = field.from_cell(first)
    if start is not None:
        limit[:, 0] = np.minimum(limit[:, 0], start**2)
        limit[:, -1] = np.minimum(limit[:, -1], end**2)
    guess = before.forward.mean(axis=0) if before is not None else GUESS**2
    forward = _settle(limit, field.lengths, field.driving, guess, flying=flying)
    guess = before.both.mean(axis=0)[::-1] if before is not None else GUESS**2
    both = _settle(forward[:, ::-1], field.lengths[::-1], field.slowing, guess, flying=flying)[:, ::-1]
    return _Solved(first=first, forward=forward, both=both)


def _told(field: _Field, solved: _Solved) -> Laps:
    import numpy as np

    both = solved.both
    times = 2 * field.lengths / (np.sqrt(both[:, :-1]) + np.sqrt(both[:, 1:]))
    squares = _turned(both, -solved.first) if solved.first else both
    return Laps(times=times.sum(axis=1), squares=squares, phases=tuple(_phases(field, both, solved.forward, times)))


def _turned(nodes: Floats, first: int) -> Floats:
    """The nodes of a lap from another one on; the last is the first again."""
    import numpy as np

    turned = np.roll(nodes[:, :-1], -first, axis=1)
    return np.concatenate((turned, turned[:, :1]), axis=1)


# --- The forces on the cars of a batch ----------------------------------------------------------------------------------


class _Field:
    """The cars of a batch as columns, and the cells of a course as rows across."""

    def __init__(self, machines: Sequence[Machine], course: Course, density: float) -> None:
        import numpy as np

        def column(name: str) -> Floats:
            return np.array([[getattr(one, name)] for one in machines], dtype=float)

        self.lengths, self.curvature = course.lengths, course.curvature
        self.mass = column("mass")
        self.drag = density / 2 * column("drag") / self.mass
        self.press = density / 2 * column("downforce") / self.mass
        self.lateral, self.along = column("lateral"), column("longitudinal")
        self.sensitive = column("load_sensitivity")
        self.per_load = self.mass / np.maximum(column("load"), 1e-9)
        self.any_sensitive = bool(self.sensitive.any())
        self.driven, self.brakes = column("driven"), column("brakes") / self.mass
        self.watts, self.shift = column("power") / self.mass, column("shift")
        drives = list(dict.fromkeys(one.drive for one in machines))
        self.tables = np.array([one.powers for one in drives]).ravel()
        self.bands = np.array([one.bands for one in drives]).ravel() if self.shift.any() else None
        size = len(drives[0].powers)
        self.offset = np.array([[drives.index(one.drive) * size] for one in machines])
        self.last = size - 2
        fastest = np.array([[one.drive.fastest**2] for one in machines])
        cells = np.minimum(self._cornering(), fastest)
        self.cells = cells
        closed: Floats = np.concatenate((cells[:, -1:], cells, cells[:, :1]), axis=1)
        self.limit: Floats = np.minimum(np.minimum(closed[:, :-1], closed[:, 1:]), FASTEST**2)
        self.limit[:, 0], self.limit[:, -1] = (
            (self.limit[:, 0], self.limit[:, -1]) if course.closed else (cells[:, 0], cells[:, -1])
        )

    def from_cell(self, first: int) -> Floats:
        """Let the lap begin at another cell; give the limits at its nodes."""
        import numpy as np

        if not first:
            return self.limit.astype(float)
        self.lengths, self.curvature = np.roll(self.lengths, -first), np.roll(self.curvature, -first)
        self.cells = np.roll(self.cells, -first, axis=1)
        return _turned(self.limit, first)

    def _grip(self, load: Floats) -> Floats:
        """Load over mass, lessened by what tyres lose under load: what a grip of one would give, m/s²."""
        if not self.any_sensitive:
            return load
        grip: Floats = load * (load * self.per_load) ** -self.sensitive
        return grip

    def _cornering(self) -> Floats:
        """v² that can be held in each cell, while the driven wheels push against drag: the ellipse for both forces in balance.

        Both grow with z, as does downforce: z √((κ/μy)² + (k/μx)²) = g + p z, with k for drag and p for downforce. It is without
        limit where downforce grows faster than what is needed. With load sensitivity the grip is concave in z, so that Newton's way
        from above never overshoots.
        """
        import numpy as np

        bend = self.lateral * np.hypot(self.bend / self.lateral, self.drag / (self.driven * self.along))
        with np.errstate(divide="ignore", invalid="ignore"):
            room = bend - self.lateral * self.press
            z = np.where(room > 0, self.lateral * GRAVITY / room, inf)
            if not self.any_sensitive:
                return np.where(np.isnan(z), inf, z)
            top = FASTEST**2
            z = np.full_like(z, top)
            for _ in range(30):
                load = GRAVITY + self.press * z
                grip = self.lateral * self._grip(load)
                slope = grip * (1 - self.sensitive) * self.press / load - bend
                moved = np.where(grip >= bend * z, z, z - (grip - bend * z) / slope)
                step, z = np.abs(moved - z), moved
                if np.all(step <= SETTLED * z):
                    break
        return np.where(z >= top, inf, z)

    def _along(self, z: Floats) -> Floats:
        """What grip leaves along the track, m/s², of all wheels."""
        import numpy as np

        load = np.maximum(GRAVITY + self.press * z, 1e-9)
        grip = self._grip(load)
        used = z * self.bend / (self.lateral * grip)
        return self.along * grip * np.sqrt(np.maximum(1 - used * used, 0.0))

    @property
    def bend(self) -> Floats:
        """Curvature without its sign, 1/m."""
        found: Floats = abs(self.curvature)
        return found

    def pull(self, z: Floats) -> Floats:
        """What the engine gives at the wheels, m/s²."""
        import numpy as np

        v = np.sqrt(z)
        return self._looked_up(self.tables, v) * self.watts / np.maximum(v, 1e-9)

    def _looked_up(self, table: Floats, v: Floats) -> Floats:
        import numpy as np

        at = v * LOOKUP
        index = np.minimum(at.astype(np.int64), self.last)
        part = at - index
        index = index + self.offset
        low = table.take(index)
        result: Floats = low + (table.take(index + 1) - low) * part
        return result

    def driving(self, z: Floats) -> Floats:
        """Acceleration at full throttle, as far as the tyres take it; changes of gear are spread over the speeds just above them.

        A change of τ seconds costs τ F/(m a) seconds, for the coasting and for what it loses.
        """
        import numpy as np

        drive = np.minimum(self.pull(z), self.driven * self._along(z))
        net: Floats = drive - self.drag * z
        if self.bands is not None:
            band = self._looked_up(self.bands, np.sqrt(z))
            net = np.where(net > 0, net / (1 + drive * self.shift * band), net)
        return net

    def slowing(self, z: Floats) -> Floats:
        """Deceleration on the brakes, the cells from last to first as the way back takes them."""
        import numpy as np

        z = z[:, ::-1]
        result: Floats = (np.minimum(self._along(z), self.brakes) + self.drag * z)[:, ::-1]
        return result


# --- The recurrence -------------------------------------------------------------------------------------------------------


def _settle(limit: Floats, lengths: Floats, rate: Callable[[Floats], Floats], guess: Floats | float, *, flying: bool) -> Floats:
    """The greatest z that keeps the limit and grows no faster than 2 × rate, from a start at the limit or round a lap."""
    import numpy as np

    z = np.minimum(limit, guess)
    for _ in range(ROUNDS):
        middle = (z[:, :-1] + z[:, 1:]) / 2
        at = rate(middle)
        slope = (rate(middle * (1 + STEP)) - at) / (middle * STEP)
        np.clip(slope, -1e3, 0.5 / lengths, out=slope)
        below = 1 - lengths * slope
        ahead = (z[:, :-1] * (1 + lengths * slope) + 2 * lengths * (at - slope * middle)) / below
        gain = np.maximum((1 + lengths * slope) / below, FLATTEST)
        found = np.maximum(_walk(limit, gain, ahead - gain * z[:, :-1], flying=flying), 1e-9)
        if np.all(np.abs(found - z) <= SETTLED * found):
            return found
        z = found
    raise RuntimeError("the speeds of a lap do not settle")


def _walk(limit: Floats, gain: Floats, plus: Floats, *, flying: bool) -> Floats:
    """The recurrence z₁ = min(limit, gain z₀ + plus) along the last axis, in blocks: what each does to its first value, then those."""
    import numpy as np

    cars, cells = gain.shape
    blocks = -(-cells // BLOCK)
    spare = blocks * BLOCK - cells
    shape = (cars, blocks, BLOCK)

    def blocked(values: Floats, fill: float) -> Floats:
        return np.concatenate((values, np.full((cars, spare), fill)), axis=1).reshape(shape)

    product: Floats = np.cumprod(blocked(gain, 1.0), axis=2).astype(float, copy=False)
    total = np.cumsum(blocked(plus, 0.0) / product, axis=2)
    least = np.minimum.accumulate(blocked(limit[:, 1:], inf) / product - total, axis=2)
    ends: list[Floats] = [product[:, :, -1], total[:, :, -1], least[:, :, -1]]
    first = limit[:, 0]
    if flying:
        first = np.minimum(first, _lap_start(first, *ends))
    begins = np.empty((cars, blocks))
    for block in range(blocks):
        begins[:, block] = first
        first = ends[0][:, block] * (np.minimum(first, ends[2][:, block]) + ends[1][:, block])
    found = np.empty_like(limit)
    found[:, 0] = begins[:, 0]
    found[:, 1:] = (product * (np.minimum(begins[:, :, None], least) + total)).reshape(cars, -1)[:, :cells]
    return found


def _lap_start(limit: Floats, product: Floats, total: Floats, least: Floats) -> Floats:
    """The value that a lap begins and ends with: of z → min(c, A z + B) the least of c and B / (1 − A)."""
    import numpy as np

    most, free, whole = limit, np.zeros_like(limit), np.ones_like(limit)
    for block in range(product.shape[1]):
        most = product[:, block] * (np.minimum(most, least[:, block]) + total[:, block])
        free = product[:, block] * (free + total[:, block])
        whole = whole * product[:, block]
    steady = np.where(whole < 1, free / np.where(whole < 1, 1 - whole, 1.0), inf)
    return np.where(steady > 0, np.minimum(most, steady), most)


# --- Where the time goes --------------------------------------------------------------------------------------------------


def _phases(field: _Field, squares: Floats, forward: Floats, times: Floats) -> Iterator[dict[Phase, float]]:
    """Seconds of the lap by what holds the car back in each cell."""
    middle = (squares[:, :-1] + squares[:, 1:]) / 2
    braking = (squares[:, 1:] < squares[:, :-1]) & (squares[:, 1:] + squares[:, :-1] < forward[:, 1:] + forward[:, :-1])
    cornering = (middle >= AT_LIMIT**2 * field.cells) & (field.bend > 0) & ~braking
    traction = (field.pull(middle) > field.driven * field._along(middle)) & ~braking & ~cornering  # noqa: SLF001 - of this module
    power = ~(braking | cornering | traction)
    masks = {Phase.POWER: power, Phase.TRACTION: traction, Phase.BRAKING: braking, Phase.CORNERING: cornering}
    for car in range(len(times)):
        yield {phase: float(times[car][mask[car]].sum()) for phase, mask in masks.items()}
