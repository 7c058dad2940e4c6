"""Axle loads at speed: the weight at rest, what presses down where, and drag at its height."""

from __future__ import annotations

from fractions import Fraction

from rulewatch.model.balance import Air, Axle
from rulewatch.model.quantity import Amount
from rulewatch.model.weighing import AtSpeed, Standing

DENSITY = Fraction(1225, 1000)  # kg/m³: air at sea level at 15 °C, ISO 2533 standard atmosphere (from memory)
GRAVITY = Fraction(980665, 100000)  # m/s², the standard value (CGPM 1901)


def at_speed(standing: Standing, wheelbase: Fraction, air: Air, speed: Amount) -> AtSpeed | None:
    """What presses on each axle at a steady speed on a level road; None where it is not known what does at rest.

    Moments about the points of contact: what presses down behind the rear axle lifts the front, and drag at a height takes from the
    front what it puts on the rear.
    """
    front = standing.front
    if front is None:
        return None
    pressure = DENSITY * speed.base**2 / 2
    loads = {Axle.FRONT: front * standing.mass, Axle.REAR: (1 - front) * standing.mass}
    for surface in air.surfaces:
        force = pressure * surface.area.base / GRAVITY
        rear = surface.at.base / wheelbase
        loads[Axle.FRONT] += force * (1 - rear)
        loads[Axle.REAR] += force * rear
    if air.drag is not None and air.height is not None:
        moved = pressure * air.drag.base / GRAVITY * air.height.base / wheelbase
        loads[Axle.FRONT] -= moved
        loads[Axle.REAR] += moved
    return AtSpeed(what=standing.what, speed=speed, front=loads[Axle.FRONT], rear=loads[Axle.REAR])


# The troposphere of the standard atmosphere, ISO 2533 (from memory).
SEA_LEVEL, LAPSE, GAS = 288.15, 0.0065, 287.05287  # K, K/m, J/(kg K)
SEA_PRESSURE = 101_325.0  # Pa


def density(altitude: float, temperature: float | None = None) -> float:
    """Density of air in kg/m³ at an altitude in metres, at the standard's temperature there or another (K).

    The pressure is the standard's; humidity and weather are left out.
    """
    standard = SEA_LEVEL - LAPSE * altitude
    pressure = SEA_PRESSURE * (standard / SEA_LEVEL) ** (float(GRAVITY) / (GAS * LAPSE))
    return float(pressure / (GAS * (standard if temperature is None else temperature)))
