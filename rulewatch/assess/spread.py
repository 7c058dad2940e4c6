"""How sure a measured value is: the instrument's uncertainty, and that of the mean of several readings (GUM)."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, isqrt

from rulewatch.model.car import Measurement
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import Amount

COVERAGE = 2  # by which an expanded uncertainty is wider than the standard one
FINE = 10**12  # how finely a root is told


def spreads(measurement: Measurement | None, count: int) -> tuple[Spread | None, ...]:
    """The spread of each of `count` instances; None where nothing is said of it."""
    if measurement is None:
        return (None,) * count
    of_instrument = measurement.u.span / COVERAGE if measurement.u is not None else Fraction(0)
    if not measurement.readings:
        return (Spread(u=of_instrument, instrument=of_instrument) if of_instrument else None,) * count
    return tuple(of_readings(readings, of_instrument) for readings in measurement.readings)


def of_readings(readings: Sequence[Amount], instrument: Fraction) -> Spread | None:
    """The spread of a mean: type A of the readings with type B of the instrument, added as squares (GUM, 4.2 and 5.1.2).

    The degrees of freedom are those of Welch and Satterthwaite, rounded down (GUM, G.4).
    """
    n = len(readings)
    mean = sum((reading.base for reading in readings), Fraction(0)) / n
    variance = sum(((reading.base - mean) ** 2 for reading in readings), Fraction(0)) / (n - 1) if n > 1 else Fraction(0)
    of_mean, whole = variance / n, variance / n + instrument**2
    if not whole:
        return None
    freedom = int((n - 1) * whole**2 / of_mean**2) if of_mean else None
    return Spread(u=square_root(whole), freedom=freedom, scatter=square_root(variance), instrument=instrument, readings=n)


def readings_for(u: Fraction, spread: Spread) -> int | None:
    """How many readings in all bring a standard uncertainty down to `u`; None where more of them do not, or nothing is known of their scatter."""
    if not spread.scatter or u <= spread.instrument:
        return None
    return max(ceil(spread.scatter**2 / (u**2 - spread.instrument**2)), spread.readings)


def square_root(square: Fraction) -> Fraction:
    """The square root of a fraction, to twelve digits."""
    scale = FINE * max(1, square.denominator)
    return Fraction(isqrt(int(square * scale**2)), scale)
