"""The states of a car: as it was weighed, empty, at the start of a race and at the scales after it; and its centre of gravity."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

from rulewatch.assess.facts import Facts
from rulewatch.assess.gravity import Frame, Load, height, on_scales, with_load
from rulewatch.assess.scales import combined_u, reading_u
from rulewatch.assess.spread import COVERAGE, square_root
from rulewatch.assess.staleness import altered_since, done_on
from rulewatch.model.balance import Axle, Balance, Corner, CornerWeighing, Position, Scales
from rulewatch.model.quantity import Amount, kilograms
from rulewatch.model.weighing import Height, Standing

AXLES = {Axle.FRONT: (Corner.FRONT_LEFT, Corner.FRONT_RIGHT), Axle.REAR: (Corner.REAR_LEFT, Corner.REAR_RIGHT)}
OTHER = {Axle.FRONT: Axle.REAR, Axle.REAR: Axle.FRONT}
NOTHING = Fraction(0)
NOT_WEIGHED = "write under `balance: weighed:` what four scales showed"


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """A car that was weighed, with all that is known of what comes into it and goes out."""

    balance: Balance
    weighed: CornerWeighing
    frame: Frame | None
    drivers: tuple[Load, ...]  # as each sits in it, the lightest first
    density: Fraction | None  # of the fuel, in kg/m³
    measured: Standing
    heights: tuple[Height, ...] = ()

    def state(
        self, what: str, *, driver: bool | None, fuel: Amount | None, fuel_u: Amount | None = None
    ) -> tuple[Standing, tuple[str, ...]]:
        """The car with a driver or without (None: as it was weighed) and with so much fuel; and what would have to be known for it."""
        found, missing = self.measured, []
        for load, lacks in (self._driver_load(wanted=driver), self._fuel_load(fuel, fuel_u)):
            missing += [lacks] if lacks else []
            found = with_load(found, load, self.frame) if load is not None else found
        return replace(found, what=what), tuple(missing)

    def _driver_load(self, *, wanted: bool | None) -> tuple[Load | None, str]:
        was = self.weighed.driver
        if wanted is None or wanted is was:
            return None, ""
        if was is None:
            return None, "whether the driver sat in the car when it was weighed"
        if not self.drivers:
            return None, "the weight of the driver"
        lightest = self.drivers[0]
        if not wanted and any(one.mass != lightest.mass for one in self.drivers):
            return None, "which of the drivers sat in the car when it was weighed"
        sign = 1 if wanted else -1
        return Load(what="driver", mass=sign * lightest.mass, u=lightest.u, at=lightest.at), ""

    def _fuel_load(self, wanted: Amount | None, u: Amount | None) -> tuple[Load | None, str]:
        if wanted is None:
            return None, ""
        if self.weighed.fuel is None:
            return None, "how much fuel was in the car when it was weighed"
        if self.density is None:
            return None, "the density of the fuel"
        volume = wanted.base - self.weighed.fuel.base
        spread = u.span / COVERAGE * self.density if u is not None else NOTHING
        return Load(what="fuel", mass=volume * self.density, u=spread, at=_at(self.balance.fuel.at)), ""


def states_of(facts: Facts) -> States | str:
    """What can be reckoned of a car; where it was not weighed on four scales, or was altered since, why nothing can."""
    balance = facts.car.balance
    if balance is None or balance.weighed is None:
        return NOT_WEIGHED
    weighed = balance.weighed
    if (job := altered_since(facts.car, "car.weight", weighed.on)) is not None:
        return f"the corner weights are of {weighed.on}, and the weight was altered on {done_on(job)} (job {job.name}): weigh the car again"
    frame = _frame(facts)
    loads = {corner: _mean(readings) for corner, readings in weighed.corners.items()}
    u = combined_u(
        [(Fraction(1), reading_u(weighed.corners[corner], weighed.scales)) for corner in Corner], weighed.scales.shared
    )
    heights = tuple(_heights(weighed, frame, loads)) if frame is not None else ()
    sound = [one for one in heights if one.height > 0]
    mean = sum((one.height for one in sound), NOTHING) / len(sound) if len(sound) == len(heights) and sound else None
    density = _one(facts, "fuel.density")
    return States(
        balance=balance,
        weighed=weighed,
        frame=frame,
        drivers=_drivers(facts, _at(balance.driver)),
        density=density[0] if density is not None else None,
        measured=on_scales("as weighed", loads, u, frame, mean),
        heights=heights,
    )


def disagreement(facts: Facts) -> tuple[Amount, Amount] | None:
    """What a car weighs by its spec and by its corners, where both were taken on one day with the same in the car and differ.

    They differ where neither uncertainty bridges it (k = 2), nor half a kilogram.
    """
    stated, states = facts.car.spec.get("car.weight"), states_of(facts)
    if stated is None or stated.measurement is None or isinstance(states, str) or stated.measurement.on != states.weighed.on:
        return None
    driver = dict(stated.conditions).get("driver")
    found = _one(facts, "car.weight")
    if found is None or {"yes": True, "no": False}.get(driver or "") is not states.weighed.driver:
        return None
    measured = states.measured
    if abs(found[0] - measured.mass) <= COVERAGE * square_root(found[1] ** 2 + measured.u**2) + Fraction(1, 2):
        return None
    return kilograms(found[0]), kilograms(measured.mass)


def scales_u(standing: Standing, scales: Scales | None) -> Fraction:
    """The standard uncertainty of other scales that the same car is weighed on, in kilograms; none where nothing is known of them."""
    if scales is None:
        return NOTHING
    quarter = standing.mass / len(Corner)
    loads = standing.corners or dict.fromkeys(Corner, quarter)
    parts = [(Fraction(1), reading_u((kilograms(load),), scales)) for load in loads.values()]
    return combined_u(parts, scales.shared)


def _frame(facts: Facts) -> Frame | None:
    found = [_one(facts, f"car.{name}") for name in ("wheelbase", "track_front", "track_rear")]
    if any(one is None for one in found):
        return None
    wheelbase, front, rear = (one[0] for one in found if one is not None)
    return Frame(wheelbase=wheelbase, track_front=front, track_rear=rear) if min(wheelbase, front, rear) > 0 else None


def _one(facts: Facts, name: str) -> tuple[Fraction, Fraction] | None:
    """A quantity in base units, with its standard uncertainty; None where it is not stated, or several values differ."""
    found = _all(facts, name)
    return found[0] if len({value for value, _ in found}) == 1 else None


def _all(facts: Facts, name: str) -> list[tuple[Fraction, Fraction]]:
    fact = facts.of(name)
    spreads = fact.spreads or (None,) * len(fact.values)
    return [
        (value.base, spread.u if spread is not None else NOTHING)
        for value, spread in zip(fact.values, spreads, strict=True)
        if isinstance(value, Amount)
    ]


def _drivers(facts: Facts, at: tuple[Fraction, Fraction, Fraction] | None) -> tuple[Load, ...]:
    found = sorted(_all(facts, "driver.weight"))
    return tuple(Load(what="driver", mass=mass, u=u, at=at) for mass, u in found)


def _heights(weighed: CornerWeighing, frame: Frame, loads: Mapping[Corner, Fraction]) -> Iterator[Height]:
    """The height by each weighing with an axle raised."""
    mass = sum(loads.values(), NOTHING)
    for raised in weighed.raised:
        lift = raised.lift.base
        if weighed.wheel_radius is None or lift >= frame.wheelbase:
            continue
        level = sum((loads[corner] for corner in AXLES[OTHER[raised.axle]]), NOTHING)
        found = height(
            wheelbase=frame.wheelbase, radius=weighed.wheel_radius.base, mass=mass, lift=lift, gained=raised.other.base - level
        )
        yield Height(height=found, u=_height_u(weighed, raised.axle, frame, mass, lift), of=raised)


def _height_u(weighed: CornerWeighing, axle: Axle, frame: Frame, mass: Fraction, lift: Fraction) -> Fraction:
    """The standard uncertainty of a height by what the scales can tell: the difference of two weighings of one axle.

    What all scales have in common leaves the difference; what each has of its own is taken as another in each of the two.
    """
    u = combined_u(
        [(Fraction(1), reading_u(weighed.corners[corner], weighed.scales)) for corner in AXLES[OTHER[axle]]], NOTHING
    )
    tangent = lift / Fraction(sqrt(frame.wheelbase**2 - lift**2))
    return Fraction(sqrt(2 * (1 - weighed.scales.shared))) * u * frame.wheelbase / (mass * tangent)


def _mean(readings: tuple[Amount, ...]) -> Fraction:
    return sum((reading.base for reading in readings), NOTHING) / len(readings)


def _at(position: Position | None) -> tuple[Fraction, Fraction, Fraction] | None:
    return None if position is None else (position.behind.base, position.left.base, position.above.base)
