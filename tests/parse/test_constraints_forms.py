"""Constraints, bounds and conditions: every form that docs/reference/formats.md gives. Their faults stand in tests/broken/readings."""

from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model import reading
from rulewatch.model.fault import Source
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import (
    All,
    Any,
    Fixed,
    Greatest,
    Least,
    Linear,
    Not,
    OneOf,
    Presence,
    Range,
    Sheet,
    Steps,
    Written,
)
from rulewatch.parse.constraints import ReadingContext, read_condition, read_tests
from rulewatch.parse.nodes import read_yaml
from rulewatch.parse.vocabulary import packaged_vocabulary


def amount(number, unit=""):
    """An amount; the unit is none for a plain number."""
    return Amount(number=Fraction(number), unit=find_unit(unit))


def fixed(number, unit=""):
    """The bound that is an amount."""
    return Fixed(value=amount(number, unit))


def context_of(text):
    """A context for a text."""
    source = Source(path="r.yaml", text=text)
    return ReadingContext(source=source, vocabulary=packaged_vocabulary(), faults=[])


def constraint_of(text):
    """The constraint of a one-line YAML mapping, which has no faults."""
    context = context_of(text)
    tree, faults = read_yaml(context.source)
    (test,) = read_tests(tree, context)
    assert [*faults, *context.faults] == []
    return test.constraint


def condition_of(text):
    """The condition of a YAML mapping, which has no faults."""
    context = context_of(text)
    tree, faults = read_yaml(context.source)
    condition = read_condition(tree, context)
    assert [*faults, *context.faults] == []
    return condition


@pytest.mark.parametrize(
    ("text", "constraint"),
    [
        ("wheels.rear.rim_width: 10 in", OneOf(values=(amount(10, "in"),))),
        ("wheels.rear.rim_width: [10 in, 254 mm]", OneOf(values=(amount(10, "in"), amount(254, "mm")))),
        ("wheels.rear.rim_width: {max: 10¼ in}", Range(high=fixed("41/4", "in"))),
        ("wheels.rear.rim_width: {min: 10 1/4 in}", Range(low=fixed("41/4", "in"))),
        (
            "wheels.rear.rim_width: {over: 9 in, under: 25.4 cm}",
            Range(low=fixed(9, "in"), high=fixed("25.4", "cm"), low_strict=True, high_strict=True),
        ),
        ('wheels.rear.rim_width: {max: 10"}', Range(high=fixed(10, "in"))),
        ("car.seats: 2", OneOf(values=(amount(2),))),
        ("car.seats: {min: 1, max: 1}", Range(low=fixed(1), high=fixed(1))),
        ("suspension.front.camber: {min: -3 °}", Range(low=fixed(-3, "°"))),
        ("suspension.front.camber: {min: −3 deg}", Range(low=fixed(-3, "°"))),
        ("tyres.kind: slick", OneOf(values=("slick",))),
        ("tyres.kind: [slick, road]", OneOf(values=("slick", "road"))),
        ("engine.sealed: yes", OneOf(values=("yes",))),
        ("engine.sealed: true", OneOf(values=("yes",))),
        ("engine.sealed: False", OneOf(values=("no",))),
        ("driver.licence.grade: C", OneOf(values=("C",))),
        ("car.built: 2026-01-01", OneOf(values=(date(2026, 1, 1),))),
        ("car.built: {under: 2026-01-01}", Range(high=Fixed(value=date(2026, 1, 1)), high_strict=True)),
        ("fuel.octane: {max: RON 102}", Range(high=fixed(102, "RON"))),
        ("car.noise: {max: 98 dB(A)}", Range(high=fixed(98, "dB(A)"))),
        ("fuel.ethanol: {max: 10 %}", Range(high=fixed(10, "%"))),
        ("aero.rear_wing: absent", Presence(present=False)),
        ("aero: present", Presence(present=True)),
        ("aero.rear_wing.width: absent", Presence(present=False)),
        ("engine.induction.air_filter: none", OneOf(values=("none",))),
    ],
)
def test_plain_constraints(text, constraint):
    """Scalars, lists, ranges and presence, of every kind of value."""
    assert constraint_of(text) == constraint


def test_standard_means_the_sheet_of_the_model():
    """`standard` is what the standard sheet has, for quantities of every kind; it is short for a bound."""
    for name in ("car.length", "engine.layout", "car.built"):
        standard = Linear(of=name, sheet=Sheet.STANDARD)
        assert constraint_of(f"{name}: standard") == Range(low=standard, high=standard)
        assert constraint_of(f"{name}: {{of: standard.{name}}}") == Range(low=standard, high=standard)


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        (
            "{by: engine.capacity, steps: [[2000 cc, 900 kg], [2.5 l, 980 kg]]}",
            Steps(
                by="engine.capacity",
                steps=((amount(2000, "cc"), fixed(900, "kg")), (amount("2.5", "l"), fixed(980, "kg"))),
            ),
        ),
        (
            "{by: engine.capacity, steps: [[2000 cc, 900 kg], [above, {of: engine.capacity, rate: 0.45 kg/cc}]]}",
            Steps(
                by="engine.capacity",
                steps=((amount(2000, "cc"), fixed(900, "kg")),),
                above=Linear(of="engine.capacity", rate=amount("0.45", "kg/cc")),
            ),
        ),
        (
            "{of: engine.capacity, rate: 0.4 kg/cc, plus: 120 kg}",
            Linear(of="engine.capacity", rate=amount("0.4", "kg/cc"), plus=amount(120, "kg")),
        ),
        ("{of: engine.power, rate: 10 lb/hp}", Linear(of="engine.power", rate=amount(10, "lb/hp"))),
        ("{of: car.length, rate: 0.1 kg/mm}", Linear(of="car.length", rate=amount("0.1", "kg/mm"))),
        (
            "{of: homologated.car.weight, plus: -20 kg}",
            Linear(of="car.weight", sheet=Sheet.HOMOLOGATED, plus=amount(-20, "kg")),
        ),
        ("{of: standard.car.weight}", Linear(of="car.weight", sheet=Sheet.STANDARD)),
        ("{of: car.weight_front, rate: 2}", Linear(of="car.weight_front", rate=amount(2))),
        ("{of: driver.weight, rate: 90 %}", Linear(of="driver.weight", rate=amount(90, "%"))),
        (
            "{greatest: [900 kg, {least: [{of: standard.car.weight}, 2000 lb]}]}",
            Greatest(
                bounds=(
                    fixed(900, "kg"),
                    Least(bounds=(Linear(of="car.weight", sheet=Sheet.STANDARD), fixed(2000, "lb"))),
                )
            ),
        ),
    ],
)
def test_bounds(text, bound):
    """Every form of a bound, nested too, as the lower end of a range."""
    assert constraint_of(f"car.weight: {{min: {text}}}") == Range(low=bound)


def test_tests_know_their_places():
    """The place of a test is that of its quantity's name; one at fault is left out, and the others are read."""
    context = context_of("car.seats: 2\ncar.seat: 1\naero: absent")
    tree, _ = read_yaml(context.source)
    tests = read_tests(tree, context)
    assert [(test.subject, test.place.line, test.place.column) for test in tests] == [("car.seats", 1, 1), ("aero", 3, 1)]
    assert [(fault.code, str(fault.place)) for fault in context.faults] == [("unknown-quantity", "r.yaml:2:1")]


def test_numbers_are_collected_with_their_places():
    """Every amount and date of a rule is kept, in the order of the file."""
    context = context_of("car.weight: {min: {by: engine.capacity, steps: [[2 l, 900 kg]]}}\ncar.built: {under: 2026-01-01}")
    tree, _ = read_yaml(context.source)
    read_tests(tree, context)
    place = context.source.place
    assert context.numbers == [
        Written(value=amount(900, "kg"), place=place(1, 55)),
        Written(value=amount(2, "l"), place=place(1, 50)),
        Written(value=date(2026, 1, 1), place=place(2, 20)),
    ]


def test_one_test_is_a_condition_by_itself():
    """A mapping of one constraint is that test."""
    condition = condition_of("car.seats: 2")
    assert isinstance(condition, reading.Test)
    assert condition.subject == "car.seats"


def test_conditions_nest():
    """A mapping is all of its parts; `any` and `not` hold mappings and nest."""
    condition = condition_of(
        "engine.induction.type: turbocharged\n"
        "any: [{car.seats: 2}, {not: {aero: present, any: {car.seats: 1}}}]\n"
        "not: {engine.layout: rotary}\n"
    )
    match condition:
        case All(
            parts=(
                reading.Test(subject="engine.induction.type"),
                Any(parts=(reading.Test(), Not(part=inner))),
                Not(part=reading.Test()),
            )
        ):
            assert isinstance(inner, All)
            assert isinstance(inner.parts[1], Any)
        case _:
            pytest.fail(f"not the condition that was written: {condition}")


@pytest.mark.parametrize(
    "text",
    [
        "{car.seats: 2, car.built: soon}",
        "{any: [{car.seats: 2}, {car.built: soon}]}",
        "{not: {car.built: soon}}",
        "{}",
        "[]",
        "x",
    ],
)
def test_a_condition_with_a_fault_is_none(text):
    """A condition is not read in part: without one of its tests it would hold for other cars."""
    context = context_of(text)
    tree, _ = read_yaml(context.source)
    assert read_condition(tree, context) is None
    assert context.faults
