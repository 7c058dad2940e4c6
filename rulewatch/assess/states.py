"""The states of a car: as it was weighed, empty, at the start of a race and at the scales after it; and its centre of gravity."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

from rulewatch.assess.facts import Facts
from rulewatch.assess.gravity import Frame, Load, height, on_scales, with_load
from rulewatch.assess.scales import combined_u, reading_u
from rulewatch.assess.spread import COVERAGE
from rulewatch.model.balance import Axle, Balance, Corner, CornerWeighing, Position, Scales
from rulewatch.model.quantity import Amount, kilograms
from rulewatch.model.weighing import Height, Standing

AXLES = {Axle.FRONT: (Corner.FRONT_LEFT, Corner.FRONT_RIGHT), Axle.REAR: (Corner.REAR_LEFT, Corner.REAR_RIGHT)}
OTHER = {Axle.FRONT: Axle.REAR, Axle.REAR: Axle.FRONT}
NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """A car that was weighed, with all that is known of what comes into it and goes out."""

    balance: Balance
    weighed: CornerWeighing
    frame: Frame | None
    driver: Load | None  # as he sits in it
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
        if self.driver is None:
            return None, "the weight of the driver"
        sign = 1 if wanted else -1
        return Load(what="driver", mass=sign * self.driver.mass, u=self.driver.u, at=self.driver.at), ""

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


def states_of(facts: Facts) -> States | None:
    """What can be reckoned of a car; None where it was not weighed on four scales."""
    balance = facts.car.balance
    if balance is None or balance.weighed is None:
        return None
    weighed = balance.weighed
    frame = _frame(facts)
    loads = {corner: _mean(readings) for corner, readings in weighed.corners.items()}
    u = combined_u(
        [(Fraction(1), reading_u(weighed.corners[corner], weighed.scales)) for corner in Corner], weighed.scales.shared
    )
    heights = tuple(_heights(weighed, frame, loads)) if frame is not None else ()
    mean = sum((one.height for one in heights), NOTHING) / len(heights) if heights else None
    driver = _one(facts, "driver.weight")
    density = _one(facts, "fuel.density")
    return States(
        balance=balance,
        weighed=weighed,
        frame=frame,
        driver=Load(what="driver", mass=driver[0], u=driver[1], at=_at(balance.driver)) if driver is not None else None,
        density=density[0] if density is not None else None,
        measured=on_scales("as weighed", loads, u, frame, mean),
        heights=heights,
    )


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
    """A quantity of one value, in base units, with its standard uncertainty; the first of several."""
    fact = facts.of(name)
    value = next((value for value in fact.values if isinstance(value, Amount)), None)
    if value is None:
        return None
    spread = fact.spreads[0] if fact.spreads else None
    return value.base, spread.u if spread is not None else NOTHING


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
