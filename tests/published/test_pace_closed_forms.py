"""Lap times against closed forms of mechanics, and against the worked figures of a textbook.

The closed forms are those of any textbook of dynamics, with m dv/dt = F − ½ρ C_dA v². The figures are from OpenStax, University
Physics volume 1 (chapters 3.4, 6.3 and 6.4), which has g = 9.80 m/s².
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atanh, log, pi, sqrt

import numpy as np
import pytest

from rulewatch.assess.air import density
from rulewatch.decide.pace import GRAVITY, Machine, laps
from rulewatch.decide.pace_course import stretched, through
from rulewatch.decide.pace_drive import pulling, steady

RHO, AREA = 1.2, 0.9
K = RHO * AREA / 2
CAR = Machine(mass=1000.0, drive=steady(200e3))
BOOK_G = 9.80


def straight(metres, step=1.0):
    """A course without a bend."""
    return stretched([(metres, 0.0)], step=step, closed=False)


def circle(radius, step=1.0):
    """A flying lap on a circle."""
    return stretched([(2 * pi * radius, 1 / radius)], step=step)


def run(machine, course, **ends):
    """Time and speed at the end."""
    found = laps(course, [machine], density=RHO, **ends)
    return float(found.times[0]), float(found.squares[0, -1]) ** 0.5


def halving(error, steps, least):
    """The errors as the step is halved: each time a quarter or so, as of a rule of second order, down to `least`."""
    found = [error(step) for step in steps]
    assert found[-1] < least
    for coarse, fine in pairwise(found):
        assert fine < coarse / 3 or fine < 1e-9


def test_a_circle_without_downforce():
    """A lap takes 2πr/√(μgr), whatever the mass."""
    for mass in (600.0, 900.0, 1400.0):
        machine = replace(CAR, mass=mass, lateral=0.13)
        time, _ = run(machine, circle(500))
        assert time == pytest.approx(2 * pi * 500 / sqrt(0.13 * GRAVITY * 500), rel=1e-12)


def test_a_circle_with_downforce():
    """v² = μmg / (m/r − ½ρ C_lA μ); from a certain downforce on there is no limit but the engine's."""
    pressed = replace(CAR, lateral=1.3, downforce=2.0)
    square = 1.3 * 1000 * GRAVITY / (1000 / 80 - RHO / 2 * 2.0 * 1.3)
    assert run(pressed, circle(80))[1] ** 2 == pytest.approx(square, rel=1e-12)
    assert run(replace(pressed, mass=1100.0), circle(80))[1] < run(pressed, circle(80))[1]
    free = replace(pressed, downforce=1000 / 80 / 1.3 / RHO * 2 * 1.01, drag=AREA)
    assert run(free, circle(80))[1] == pytest.approx((2 * 200e3 / (RHO * AREA)) ** (1 / 3), rel=1e-6)


def test_a_circle_on_which_tyres_push_against_drag_too():
    """Both forces on the ellipse: v² = g / √((1/(rμy))² + (k/(mμx))²)."""
    machine = replace(CAR, drive=pulling(1e5), lateral=1.3, longitudinal=1.1, drag=AREA)
    square = GRAVITY / np.hypot(1 / (60 * 1.3), K / 1000 / 1.1)
    assert run(machine, circle(60))[1] ** 2 == pytest.approx(square, rel=1e-12)


def test_tyres_that_lose_grip_under_load():
    """The held speed is where κ z = μ (g + p z) (N/N₀)^−c, found here by bisection."""
    machine = replace(CAR, lateral=1.3, downforce=2.0, load_sensitivity=0.15, load=1000 * GRAVITY)
    press = RHO / 2 * 2.0 / 1000
    low, high = 0.0, 1e5
    for _ in range(200):
        z = (low + high) / 2
        load = GRAVITY + press * z
        low, high = (z, high) if 1.3 * load * (load / GRAVITY) ** -0.15 > z / 80 else (low, z)
    assert run(machine, circle(80))[1] ** 2 == pytest.approx(low, rel=1e-10)


def test_a_constant_force_against_drag():
    """0 → 30 m/s: x = −(m/2k) ln(1 − v²/v_t²), t = m/√(kF) artanh(v/v_t); the error falls with the square of the step."""
    force = 4000.0
    top = sqrt(force / K)
    metres, seconds = -1000 / (2 * K) * log(1 - 900 / top**2), 1000 / sqrt(K * force) * atanh(30 / top)
    assert (metres, seconds) == (pytest.approx(119.943862, abs=1e-6), pytest.approx(7.828017, abs=1e-6))
    machine = replace(CAR, drive=pulling(force), drag=AREA)
    halving(lambda step: abs(run(machine, straight(metres, step), start=0.0)[1] / 30 - 1), (4, 2, 1, 0.5), 1e-6)
    assert run(machine, straight(metres, 0.02), start=0.0)[0] == pytest.approx(seconds, rel=1e-6)


def test_a_constant_power():
    """Without drag m(v² − u²)/2P seconds and m(v³ − u³)/3P metres, from 5 to 40 m/s."""
    metres, seconds = 1000 * (40**3 - 5**3) / 3 / 200e3, 1000 * (40**2 - 5**2) / 2 / 200e3
    halving(lambda step: abs(run(CAR, straight(metres, step), start=5.0)[0] / seconds - 1), (0.1, 0.05, 0.025, 0.0125), 1e-6)


def test_the_top_speed_of_a_power():
    """(2P / ρ C_dA)^⅓ = 71.814490 m/s, on a lap without any bend."""
    machine = replace(CAR, drag=AREA)
    time, speed = run(machine, stretched([(5000.0, 0.0)]))
    assert speed == pytest.approx(71.814490, rel=1e-7)
    assert time == pytest.approx(5000 / 71.814490, rel=1e-6)


def test_brakes_and_drag():
    """50 → 10 m/s with 9810 N takes (m/2k) ln((F + k u²)/(F + k v²)) = 114.300177 m."""
    metres = 1000 / (2 * K) * log((9810 + K * 2500) / (9810 + K * 100))
    assert metres == pytest.approx(114.300177, abs=1e-6)
    machine = replace(CAR, drive=pulling(1e5), drag=AREA, brakes=9810.0)

    def error(step):
        found = laps(straight(metres, step), [machine], density=RHO, start=60.0, end=10.0)
        return abs(float(found.squares[0, 0]) / 2500 - 1)

    halving(error, (4, 2, 1, 0.5), 1e-6)


def test_figures_of_the_textbook():
    """Ex. on friction and turns: μ = 0.13 for 25 m/s and 500 m, 0.40 for 96.8 km/h and 182.9 m, each rounded to two digits."""
    for speed, radius, friction in ((25.0, 500.0, 0.13), (96.8 / 3.6, 182.9, 0.40)):
        exact = speed**2 / BOOK_G / radius
        assert round(exact, 2) == friction
        machine = replace(CAR, mass=900.0, lateral=exact * BOOK_G / GRAVITY)
        assert run(machine, circle(radius))[1] == pytest.approx(speed, rel=1e-9)


@pytest.mark.parametrize(("slowing", "metres"), [(7.00, 64.3), (5.00, 90.0)])
def test_stopping_distances_of_the_textbook(slowing, metres):
    """30.0 m/s to rest at 7.00 and 5.00 m/s² takes 64.3 and 90.0 m."""
    machine = replace(CAR, drive=pulling(1e5), brakes=1000 * slowing)
    found = laps(straight(100.0, 0.1), [machine], density=RHO, start=100.0, end=0.0)
    speeds = np.sqrt(found.squares[0])
    from_the_end = np.interp(30.0, speeds[::-1], np.linspace(0, 100, len(speeds)))
    assert float(from_the_end) == pytest.approx(metres, abs=0.05)


def test_a_dragster_of_the_textbook():
    """26.0 m/s² for 5.56 s covers 402 m, and ends at 144.56 m/s."""
    time, speed = run(replace(CAR, drive=pulling(26_000.0)), straight(401.877, 0.5), start=0.0)
    assert time == pytest.approx(5.56, abs=1e-3)
    assert speed == pytest.approx(144.56, abs=1e-2)


@pytest.mark.parametrize(("mass", "drag", "speed"), [(85.0, 1.0 * 0.70, 44.0), (75.0, 0.70 * 0.18, 98.0)])
def test_terminal_speeds_of_the_textbook(mass, drag, speed):
    """A force of weight against drag in air of 1.21 kg/m³: 44 m/s and 98 m/s."""
    machine = replace(CAR, mass=mass, drive=pulling(mass * BOOK_G), drag=drag)
    found = laps(stretched([(2000.0, 0.0)]), [machine], density=1.21)
    assert float(found.top_speeds[0]) == pytest.approx(sqrt(2 * mass * BOOK_G / 1.21 / drag), rel=1e-7)
    assert round(float(found.top_speeds[0])) == speed


def test_a_circle_through_points():
    """A spline through 60 points of a circle has its length and its curvature to one in ten thousand."""
    angles = np.linspace(0, 2 * pi, 60, endpoint=False)
    course = through([(float(100 * np.cos(a)), float(100 * np.sin(a))) for a in angles])
    assert course.length == pytest.approx(2 * pi * 100, rel=1e-4)
    assert np.abs(course.curvature * 100 - 1).max() < 1e-2


def test_the_standard_atmosphere():
    """ISO 2533 (from memory): 1.225 kg/m³ at sea level, 1.1117 at 1000 m, 1.0066 at 2000 m; warm air is thinner."""
    for altitude, published in ((0.0, 1.225), (1000.0, 1.1117), (2000.0, 1.0066)):
        assert density(altitude) == pytest.approx(published, abs=2e-4)  # the tables count geometric metres
    assert density(0.0, 303.15) == pytest.approx(1.225 * 288.15 / 303.15, rel=1e-4)
