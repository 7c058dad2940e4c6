"""Pace: what a lap is made of, many cars at once, and what more of everything changes."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from rulewatch.decide.pace import GRAVITY, Machine, laps
from rulewatch.decide.pace_course import stretched
from rulewatch.decide.pace_drive import geared, pulling
from rulewatch.decide.pace_sheet import Ground, lap_times
from rulewatch.model.fault import Place
from rulewatch.model.pace import Phase
from rulewatch.model.track import Track

CURVE = [(3000.0, 80e3), (4000.0, 110e3), (5000.0, 140e3), (6000.0, 165e3), (7000.0, 185e3), (7500.0, 180e3)]
DRIVE = geared(CURVE, [2.6, 1.9, 1.5, 1.24, 1.06, 0.93], final=3.9, radius=0.3)
CAR = Machine(
    mass=1000.0,
    drive=DRIVE,
    drag=0.92,
    downforce=1.1,
    longitudinal=1.25,
    lateral=1.35,
    load_sensitivity=0.1,
    load=1000 * GRAVITY,
    driven=0.6,
    brakes=14e3,
    shift=0.08,
)
LAP = [
    (620, 0),
    (77, 1 / 45),
    (300, 0),
    (180, 1 / 90),
    (500, 0),
    (65, 1 / 25),
    (180, 0),
    (192, -1 / 160),
    (900, 0),
    (90, 1 / 60),
]
COURSE = stretched(LAP)


def walked(machine, course, density, rounds=3):
    """The same lap walked cell by cell, forwards and then back: the plain way, by small explicit steps."""
    k, press = density / 2 * machine.drag / machine.mass, density / 2 * machine.downforce / machine.mass

    def along(z, bend):
        load = GRAVITY + press * z
        grip = load * (load * machine.mass / machine.load) ** -machine.load_sensitivity
        return machine.longitudinal * grip * max(1 - (z * bend / (machine.lateral * grip)) ** 2, 0.0) ** 0.5

    def held(bend):
        low, high = 0.0, DRIVE.fastest**2
        for _ in range(60):
            z = (low + high) / 2
            low, high = (z, high) if machine.driven * along(z, bend) > k * z else (low, z)
        return low

    bends, lengths = np.abs(course.curvature), course.lengths
    known = {bend: held(bend) for bend in set(bends)}
    cells = [known[bend] for bend in bends]
    count = len(cells)
    limit = [min(cells[i - 1], cells[i]) for i in range(count)]
    ahead = list(limit)
    for i in range(rounds * count):
        a, b = i % count, (i + 1) % count
        z, v = ahead[a], ahead[a] ** 0.5
        pull = float(np.interp(v * 20, np.arange(len(DRIVE.powers)), DRIVE.powers)) / v / machine.mass
        ahead[b] = min(limit[b], z + 2 * lengths[a] * (min(pull, machine.driven * along(z, bends[a])) - k * z))
    for i in reversed(range(rounds * count)):
        a, b = i % count, (i + 1) % count
        rate = min(along(ahead[b], bends[a]), machine.brakes / machine.mass) + k * ahead[b]
        ahead[a] = min(ahead[a], ahead[b] + 2 * lengths[a] * rate)
    v = np.sqrt(np.array([*ahead, ahead[0]]))
    return float((2 * lengths / (v[:-1] + v[1:])).sum())


def test_the_plain_way_gives_the_same_lap():
    """All cells at once give what walking them one by one does, to the error of its explicit steps."""
    car, course = replace(CAR, shift=0.0), stretched(LAP, step=0.25)
    assert float(laps(course, [car], density=1.2).times[0]) == pytest.approx(walked(car, course, 1.2), rel=3e-4)


def test_many_cars_at_once():
    """A car has the same lap alone and among others, whatever stands beside it."""
    cars = [replace(CAR, mass=900.0 + 7 * n, drag=0.8 + 0.03 * (n % 5), downforce=0.2 * (n % 7)) for n in range(23)]
    together = laps(COURSE, cars, density=1.2).times
    alone = [float(laps(COURSE, [car], density=1.2).times[0]) for car in cars]
    assert together == pytest.approx(alone, rel=1e-9)


def test_the_time_settles_as_the_step_shrinks():
    """Each lap at a finer step is nearer to the finest."""
    times = [float(laps(stretched(LAP, step=step), [CAR], density=1.2).times[0]) for step in (8, 2, 0.5, 0.125)]
    off = [abs(time / times[-1] - 1) for time in times[:-1]]
    assert off[0] > off[2]
    assert off[1] < 3e-4
    assert off[2] < 5e-5


@pytest.mark.parametrize(
    ("change", "faster"),
    [
        ({"mass": 990.0}, True),
        ({"power": 1.02}, True),
        ({"drag": 0.9}, True),
        ({"downforce": 1.2}, True),
        ({"lateral": 1.4}, True),
        ({"longitudinal": 1.3}, True),
        ({"brakes": 12e3}, False),
        ({"shift": 0.2}, False),
        ({"load_sensitivity": 0.2}, False),
        ({"driven": 0.2}, False),
    ],
    ids=str,
)
def test_what_makes_a_car_faster(change, faster):
    """Less mass, more power, less drag, more downforce and grip; and what makes it slower."""
    mine, other = laps(COURSE, [CAR, replace(CAR, **change)], density=1.2).times
    assert bool(other < mine) is faster


def test_a_change_of_gear_costs_its_time():
    """On a straight with a constant force and no drag each change up costs τ seconds, as nothing is lost by coasting."""
    course = stretched([(1500.0, 0.0)], step=0.25, closed=False)
    curve = [(1000.0, 50e3), (2000.0, 100e3), (4000.0, 200e3)]  # one torque at every rotation
    drive = geared(curve, [2.0, 1.0], final=1.0, radius=0.3)
    cars = [replace(Machine(mass=1000.0, drive=drive), shift=shift) for shift in (0.0, 0.2)]
    found = laps(course, cars, density=1.2, start=5.0)
    up = drive.fastest / 2
    assert found.squares[0, -1] > (up + 2) ** 2
    at = [float(np.interp(up + 4, np.sqrt(squares), np.linspace(0, 1500, squares.size))) for squares in found.squares]
    assert at[1] - at[0] == pytest.approx(0.2 * (up + 1), rel=0.02)


def test_phases_come_to_the_lap():
    """Every second of a lap is told once, and this lap has all four kinds."""
    found = laps(COURSE, [replace(CAR, power=1.4)], density=1.2)
    assert sum(found.phases[0].values()) == pytest.approx(float(found.times[0]), rel=1e-12)
    assert set(found.phases[0]) == set(Phase)
    assert min(found.phases[0].values()) > 0


def test_a_lap_begins_anywhere():
    """The same lap from another place has the same time."""
    turned = stretched(LAP[4:] + LAP[:4])
    times = [float(laps(course, [CAR], density=1.2).times[0]) for course in (COURSE, turned)]
    assert times[0] == pytest.approx(times[1], rel=1e-9)


def test_variants_on_one_track():
    """Lap times of many variants come in the order in which they were asked."""
    track = Track(id="ring", name="Ring", place=Place(path="ring.yaml"))
    ground = Ground(track=track, course=stretched([(2 * pi * 80, 1 / 80)]), density=1.2)
    bare = replace(CAR, drive=pulling(1e5), downforce=0.0, drag=0.0, load_sensitivity=0.0)
    light, same, grippy = lap_times(ground, [bare, replace(bare, mass=1200.0), replace(bare, lateral=1.35 * 1.21)])
    assert light == pytest.approx(same, rel=1e-12)
    assert grippy == pytest.approx(light / 1.1, rel=1e-12)
