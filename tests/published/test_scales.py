"""Scales against OIML R 76-1:2006 (table 6; 3.5.2) and the sums of JCGM 100:2008, the guide to the expression of uncertainty."""

from __future__ import annotations

from fractions import Fraction
from math import isclose, sqrt

import pytest

from rulewatch.assess.scales import combined_u, permissible_error, reading_u
from rulewatch.model.balance import ScaleClass, Scales
from rulewatch.model.quantity import Amount, find_unit


def grams(number):
    """A mass in grams."""
    return Amount(number=Fraction(number), unit=find_unit("g"))


def scales(accuracy, interval, *, in_service=False):
    """Scales of a class with a verification interval in grams."""
    return Scales(accuracy=ScaleClass(accuracy), interval=grams(interval), in_service=in_service)


# OIML R 76-1:2006, table 6: greatest permissible errors on initial verification, in e, at loads in e.
@pytest.mark.parametrize(
    ("accuracy", "edges"),
    [("I", (50_000, 200_000)), ("II", (5_000, 20_000)), ("III", (500, 2_000)), ("IIII", (50, 200))],
)
def test_steps_of_permissible_errors(accuracy, edges):
    """Half an interval up to and including the first edge, one up to the second, one and a half beyond."""
    half, one = edges
    found = [permissible_error(grams(10 * load), scales(accuracy, 10)) * 1000 for load in (1, half, half + 1, one, one + 1)]
    assert found == [5, 5, 10, 10, 15]


def test_in_service_twice_as_much_is_permitted():
    """OIML R 76-1, 3.5.2."""
    assert permissible_error(grams(100_000), scales("III", 200, in_service=True)) == Fraction(2, 10)
    assert permissible_error(grams(100_000), scales("III", 200)) == Fraction(1, 10)


def test_four_pads_of_class_three():
    """Four pads of class III with e = 0.2 kg under 250 kg each: 1250 e, so ±0.2 kg each.

    Derived from table 6 and JCGM 100:2008, 4.3.7 (±a has a standard uncertainty of a over the root of 3); not published as such.
    """
    u = reading_u((grams(250_000),), scales("III", 200))
    assert isclose(u, 0.2 / sqrt(3), abs_tol=1e-9)
    parts = [(Fraction(1), u)] * 4
    assert isclose(combined_u(parts, Fraction(0)), 0.230_940, abs_tol=1e-6)
    assert isclose(combined_u(parts, Fraction(1)), 0.461_880, abs_tol=1e-6)


def test_ten_resistors_that_were_calibrated_with_one_standard():
    """JCGM 100:2008, 5.2.2, note 1: ten resistors of 100 mΩ each give 1 Ω; the root of the sum of squares, 0.32 Ω, is wrong."""
    parts = [(Fraction(1), Fraction(1, 10))] * 10
    assert combined_u(parts, Fraction(1)) == 1
    assert isclose(combined_u(parts, Fraction(0)), 0.316_228, abs_tol=1e-6)


def test_end_gauge():
    """JCGM 100:2008, H.1.4: 25, 9.7, 2.9 and 16.6 nm without correlation give 32 nm (1002 nm² from terms less rounded)."""
    parts = [(Fraction(1), Fraction(term)) for term in ("25", "9.7", "2.9", "16.6")]
    assert round(combined_u(parts, Fraction(0))) == 32
    assert round(combined_u(parts, Fraction(0)) ** 2, 2) == Fraction("1003.06")
    difference = [(Fraction(1), Fraction(term)) for term in ("5.8", "3.9", "6.7")]
    assert round(float(combined_u(difference, Fraction(0))), 1) == 9.7  # H.1.3.2


def test_differences_of_what_is_shared():
    """What two scales have in common drops out of a difference (JCGM 100:2008, equation 16)."""
    assert combined_u([(Fraction(1), Fraction(2)), (Fraction(-1), Fraction(2))], Fraction(1)) == 0
    assert isclose(combined_u([(Fraction(1), Fraction(3)), (Fraction(-1), Fraction(4))], Fraction(0)), 5, abs_tol=1e-9)
