"""Two specs compared: what was altered, measured again, first stated or withdrawn."""

from __future__ import annotations

import pytest

from rulewatch.compare.alterations import differences
from rulewatch.model.fault import Source
from rulewatch.parse.cars import parse_car

WING, ANGLE = "aero.rear_wing", "aero.rear_wing.angle"


@pytest.fixture
def told(memory_workspace):
    """The differences of two specs, each a mapping in YAML, as subject, kind and whether there is a state on each side."""
    vocabulary = memory_workspace({}).vocabulary

    def spec(text: str):
        car, faults = parse_car(Source(path="car.yaml", text=f"name: x\nspec: {text}\n"), "x", vocabulary=vocabulary)
        assert faults == ()
        return car.spec

    def side(stated) -> str:
        return "-" if stated is None else "absent" if not stated.present else "standard" if stated.standard else "there"

    def made(old: str, new: str):
        return [(one.subject, str(one.kind), side(one.old), side(one.new)) for one in differences(spec(old), spec(new))]

    return made


def test_order_and_spelling_of_values_are_nothing(told):
    """A length in inches is the same in millimetres; left and right are not the same as right and left."""
    old = "{wheels.rear.rim_width: 10 in, car.weight: 1000 kg}"
    assert told(old, "{car.weight: 1000.0 kg, wheels.rear.rim_width: 254 mm}") == []
    swapped = told("{wheels.rear.rim_width: [10 in, 9 in]}", "{wheels.rear.rim_width: [9 in, 10 in]}")
    assert swapped == [("wheels.rear.rim_width", "altered", "there", "there")]


def test_a_measurement_of_the_same_value_alters_nothing(told):
    """Taken for the first time or again; one that is taken out says nothing."""
    declared, taken = "{car.weight: 1000 kg}", "{car.weight: {value: 1000 kg, on: 2026-01-01}}"
    assert told(declared, taken) == [("car.weight", "measured", "there", "there")]
    assert told(taken, taken.replace("01-01", "02-01")) == [("car.weight", "measured", "there", "there")]
    assert told(taken, declared) == []
    assert told(taken, taken.replace("1000", "1001").replace("01-01", "02-01")) == [("car.weight", "altered", "there", "there")]


def test_what_is_stated_first_or_no_more_is_no_alteration(told):
    """Nobody knows what was there."""
    assert told("{}", "{car.weight: 1000 kg}") == [("car.weight", "stated", "-", "there")]
    assert told("{car.weight: 1000 kg}", "{}") == [("car.weight", "withdrawn", "there", "-")]


def test_a_part_that_comes_or_goes_is_told_by_what_is_under_it(told):
    """An absent wing that has an angle now was fitted; a standard one was exchanged."""
    absent, there = f"{{{WING}: absent}}", f"{{{ANGLE}: 12 deg}}"
    assert told(absent, there) == [(ANGLE, "altered", "absent", "there")]
    assert told(there, absent) == [(ANGLE, "altered", "there", "absent")]
    assert told(absent.replace("absent", "standard"), there) == [(ANGLE, "altered", "standard", "there")]
    assert told(absent, f"{{{WING}: present}}") == [(WING, "altered", "absent", "there")]
