"""Repeated readings: the arithmetic of the GUM (JCGM 100:2008)."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from statistics import mean, stdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.assess.spread import readings_for, spreads
from rulewatch.model.car import Measurement
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import Amount, find_unit

MM = find_unit("mm")
DAY = date(2026, 11, 1)


def length(number):
    """Millimetres."""
    return Amount(number=Fraction(str(number)), unit=MM)


def spread(readings, u=None):
    """The spread of one instance, in millimetres."""
    measurement = Measurement(on=DAY, u=None if u is None else length(u), readings=(tuple(map(length, readings)),))
    (found,) = spreads(measurement, 1)
    return found


# GUM, table 1 (example of 4.4.3): twenty readings of a temperature, mean 100.145 °C, s = 1.489 °C, s of the mean 0.333 °C. The
# readings are from memory; that they give the printed three figures is checked here.
TEMPERATURES = [
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
]


def test_mean_of_twenty_readings():
    """GUM, 4.4.3: the standard uncertainty of a mean is that of a reading by the root of their number."""
    assert mean(TEMPERATURES) == pytest.approx(100.145, abs=5e-4)
    found = spread(TEMPERATURES)
    per_mm = float(MM.factor)
    assert float(found.scatter) / per_mm == pytest.approx(1.489, abs=5e-4)
    assert float(found.u) / per_mm == pytest.approx(0.333, abs=5e-4)
    assert (found.freedom, found.readings) == (19, 20)


def test_parts_add_as_squares():
    """GUM, H.1.3.2: 5.8, 3.9 and 6.7 nm come to 9.7 nm; here the instrument's part is one of the three, the others are of type A.

    Two readings that are 2d apart have a mean with the standard uncertainty d.
    """
    type_a = Fraction("5.8") ** 2 + Fraction("3.9") ** 2
    d = float(type_a) ** 0.5
    found = spread([-d, d], u="13.4")
    assert float(found.u / MM.factor) == pytest.approx(9.7, abs=0.05)


def test_degrees_of_freedom():
    """GUM, G.4.1, the formula of Welch and Satterthwaite: u⁴ (n − 1) / u_A⁴, rounded down."""
    found = spread([10.0, 10.2, 10.5], u="0.4")
    u_a, u_b = stdev([10.0, 10.2, 10.5]) / 3**0.5, 0.2
    assert found.freedom == int((u_a**2 + u_b**2) ** 2 * 2 / u_a**4)


def test_an_instrument_alone():
    """A stated U is twice a standard uncertainty; without it, and without repeats, nothing is known."""
    (known,) = spreads(Measurement(on=DAY, u=length("0.5")), 1)
    assert (known.u, known.freedom) == (Fraction("0.25") * MM.factor, None)
    assert spreads(Measurement(on=DAY), 2) == (None, None)
    assert spread([10.0]) is None
    assert spread([10.0, 10.0]) is None


@given(st.integers(2, 12), st.integers(1, 1000), st.integers(0, 400), st.integers(1, 1500))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_readings_that_are_enough(n, scatter, instrument, wanted):
    """With the number found the mean is as sure as wanted, and with one less it is not, unless there are so many already."""
    found = readings_for(
        Fraction(wanted), Spread(u=Fraction(1), scatter=Fraction(scatter), instrument=Fraction(instrument), readings=n)
    )
    if wanted <= instrument:
        assert found is None
        return
    assert scatter**2 / Fraction(found) + instrument**2 <= wanted**2
    assert found == n or scatter**2 / Fraction(found - 1) + instrument**2 > wanted**2
