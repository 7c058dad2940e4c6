"""What scales can tell: greatest permissible errors of OIML R 76-1, and the uncertainty of a sum of readings side by side."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rulewatch.assess.spread import COVERAGE, of_readings, square_root
from rulewatch.model.balance import ScaleClass, Scales
from rulewatch.model.quantity import Amount

# OIML R 76-1:2006, table 6: up to how many verification intervals an error of half of one is permitted, and of a whole one;
# beyond that, of one and a half.
STEPS = {
    ScaleClass.ONE: (50_000, 200_000),
    ScaleClass.TWO: (5_000, 20_000),
    ScaleClass.THREE: (500, 2_000),
    ScaleClass.FOUR: (50, 200),
}
HALF, ONE, MORE = Fraction(1, 2), Fraction(1), Fraction(3, 2)
IN_SERVICE = 2  # in service, twice the error of the first verification is permitted (OIML R 76-1, 3.5.2)
RECTANGLE = Fraction(1, 3)  # the variance of ±a, if any error within is as likely as another (JCGM 100:2008, 4.3.7)


def permissible_error(load: Amount, scales: Scales) -> Fraction:
    """The greatest error that is permitted of a scale of an accuracy class at a load, in kilograms. ValueError without a class."""
    if scales.accuracy is None or scales.interval is None:
        raise ValueError("scales without an accuracy class")
    interval = scales.interval.span
    half, one = STEPS[scales.accuracy]
    intervals = load.base / interval
    error = HALF if intervals <= half else ONE if intervals <= one else MORE
    return error * interval * (IN_SERVICE if scales.in_service else 1)


def reading_u(readings: Sequence[Amount], scales: Scales) -> Fraction:
    """The standard uncertainty of what one scale showed, once or several times, in kilograms."""
    mean = sum((reading.base for reading in readings), Fraction(0)) / len(readings)
    if scales.u is not None:
        instrument = scales.u.span / COVERAGE
    else:
        error = permissible_error(Amount(number=mean / readings[0].unit.factor, unit=readings[0].unit), scales)
        instrument = square_root(error**2 * RECTANGLE)
    spread = of_readings(readings, instrument)
    return Fraction(0) if spread is None else spread.u


def combined_u(parts: Sequence[tuple[Fraction, Fraction]], shared: Fraction) -> Fraction:
    """The standard uncertainty of a weighted sum of readings whose errors go together.

    `parts` are the weight and the standard uncertainty of each reading; `shared` is the correlation of any two of them. JCGM
    100:2008, 5.2.2: with r = 1 the uncertainties add up, with r = 0 their squares do.
    """
    terms = [weight * u for weight, u in parts]
    squares, whole = sum((term**2 for term in terms), Fraction(0)), sum(terms, Fraction(0))
    return square_root((1 - shared) * squares + shared * whole**2)
