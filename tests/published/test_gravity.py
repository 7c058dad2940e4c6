"""The centre of gravity against a textbook, and the raised axle as what it is: the reverse of statics."""

from __future__ import annotations

from fractions import Fraction
from math import asin, cos, isclose, sin

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.assess.gravity import Frame, axle_gain, height, on_scales
from rulewatch.model.balance import Corner


def test_textbook_car():
    """R. N. Jazar, Vehicle Dynamics (Springer 2008), example 40: 2000 N a wheel in front, 1800 N behind, wheelbase 2.34 m.

    The centre of gravity is 1.1084 m behind the front axle and 1.2316 m before the rear one (exactly 1.108 421 and 1.231 579).
    """
    frame = Frame(wheelbase=Fraction("2.34"), track_front=Fraction("1.4"), track_rear=Fraction("1.4"))
    corners = {corner: Fraction(2000 if corner.value.startswith("front") else 1800) for corner in Corner}
    standing = on_scales("textbook", corners, Fraction(0), frame, None)
    assert round(float(standing.behind), 6) == 1.108_421
    assert round(float(frame.wheelbase - standing.behind), 6) == 1.231_579
    assert standing.left == 0


def test_axle_loads_of_a_textbook_problem():
    """1490 kg, 1.1 m behind the front axle, wheelbase 3.1 m, g = 9.8 m/s²: 9422 N and 5182 N (9420.6 and 5181.4 exactly).

    A worked answer to a problem of a standard textbook; medium as a source, its arithmetic was checked.
    """
    frame = Frame(wheelbase=Fraction("3.1"), track_front=Fraction("1.5"), track_rear=Fraction("1.5"))
    shares = frame.shares(Fraction("1.1"), Fraction(0))
    front = shares[Corner.FRONT_LEFT] + shares[Corner.FRONT_RIGHT]
    weight = 1490 * Fraction("9.8")
    assert round(float(front * weight), 1) == 9420.6
    assert round(float((1 - front) * weight), 1) == 5181.4


METRES = {"allow_nan": False, "allow_infinity": False}


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    wheelbase=st.floats(1.8, 3.2, **METRES),
    front=st.floats(0.3, 0.7, **METRES),
    radius=st.floats(0.2, 0.4, **METRES),
    above=st.floats(0.2, 1.0, **METRES),
    mass=st.floats(400, 1600, **METRES),
    angle=st.floats(0.03, 0.5, **METRES),
)
def test_raised_axle_gives_back_the_height(*, wheelbase, front, radius, above, mass, angle):
    """From the statics of a car on a slope to its height and back, to a part in a thousand million, whichever axle is raised.

    The loads are those of a body turned about the point under the axle that stays down: moments of a weight that acts at a place
    given by its angle, written here without the formula that is tested.
    """
    behind = (1 - front) * wheelbase
    lift = wheelbase * sin(angle)
    for lever in (behind, wheelbase - behind):  # the distance from the axle that stays down
        arm = lever * cos(angle) - (above - radius) * sin(angle)  # of the weight about that axle's centre, level
        other = mass - mass * arm / (wheelbase * cos(angle))  # what does not stand on the raised axle
        level = mass - mass * lever / wheelbase
        found = height(
            wheelbase=Fraction(wheelbase),
            radius=Fraction(radius),
            mass=Fraction(mass),
            lift=Fraction(lift),
            gained=Fraction(other) - Fraction(level),
        )
        assert isclose(found, above, rel_tol=1e-9)
        assert isclose(lift / wheelbase, sin(asin(lift / wheelbase)), rel_tol=1e-12)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(above=st.fractions(Fraction(1, 5), 1, max_denominator=1000), lift=st.fractions(Fraction(1, 10), 1, max_denominator=1000))
def test_gain_and_height_are_each_other_s_reverse(above, lift):
    """The gain of the axle on the ground, for a known height, gives that height again."""
    known = {"wheelbase": Fraction("2.5"), "radius": Fraction("0.3"), "mass": Fraction(1000), "lift": lift}
    assert isclose(height(gained=axle_gain(height=above, **known), **known), above, rel_tol=1e-9)
