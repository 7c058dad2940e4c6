"""The vocabulary's YAML, packaged and a workspace's own."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from rulewatch.model.fault import Source
from rulewatch.model.vocabulary import ValueKind, ancestors
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary
from rulewatch.publish.vocabulary_page import vocabulary_page

ROOT = Path(__file__).parents[2]
PACKAGED = packaged_vocabulary()
SYSTEMS = (
    "car driver engine fuel drivetrain suspension steering brakes wheels tyres aero body chassis cage cockpit safety electrics "
    "electronics cooling ballast lights glazing towing"
)


def parse(text: str, base=PACKAGED):
    """A workspace's vocabulary on top of the packaged one."""
    return parse_vocabulary(Source(path="rulesets/vocabulary.yaml", text=text), base)


# --- The packaged file ------------------------------------------------------------------------------------------------


def test_the_packaged_vocabulary_has_no_fault():
    """Every entry of the shipped file is read; a fault would leave one out."""
    path = ROOT / "rulewatch/data/vocabulary.yaml"
    vocabulary, faults = parse_vocabulary(Source(path=str(path), text=path.read_text()))
    assert [str(fault) for fault in faults] == []
    assert vocabulary == PACKAGED


def test_it_covers_the_systems_of_a_competition_car():
    """At least 150 quantities, and several for each system."""
    assert len(PACKAGED.quantities) >= 150
    systems = {component.system for component in PACKAGED.components.values()}
    assert systems >= set(SYSTEMS.split())
    assert all(len(PACKAGED.under[system]) >= 3 for system in systems)


def test_a_quantity_belongs_to_the_component_above_it():
    """Components nest: what is under the wing is under the aerodynamics too."""
    chord = PACKAGED.quantities["aero.rear_wing.chord"]
    assert (chord.component, chord.system) == ("aero.rear_wing", "aero")
    for scope in ("aero.rear_wing", "aero"):
        assert "aero.rear_wing.chord" in PACKAGED.under[scope]
    assert "engine.internals.stroke" in PACKAGED.under["engine.internals"]
    assert "engine.capacity" not in PACKAGED.under["engine.internals"]
    for quantity in PACKAGED.quantities.values():
        assert set(ancestors(quantity.name)) <= set(PACKAGED.components)


def test_values_are_typed():
    """Dimension, choices, date and text, each with what belongs to it."""
    width = PACKAGED.quantities["wheels.rear.rim_width"]
    assert (width.kind, width.unit.symbol, str(width.step)) == (ValueKind.AMOUNT, "in", "0.5 in")
    assert "Felgenbreite hinten" in width.synonyms
    assert "wheel width" in width.synonyms
    assert PACKAGED.quantities["car.built"].kind is ValueKind.DATE
    assert PACKAGED.quantities["drivetrain.driven_wheels"].choices == ("front", "rear", "four")
    assert PACKAGED.quantities["electronics.ecu.sealed"].choices == ("yes", "no")
    assert PACKAGED.quantities["safety.seat.specification"].kind is ValueKind.TEXT
    assert PACKAGED.quantities["engine.cylinders"].unit.symbol == ""


def test_every_amount_has_a_step():
    """A witness as close as possible needs the size of a typical alteration for every amount."""
    amounts = [quantity for quantity in PACKAGED.quantities.values() if quantity.kind is ValueKind.AMOUNT]
    assert [quantity.name for quantity in amounts if quantity.step is None or quantity.step.number <= 0] == []


def test_labels_are_unique():
    """On a page without names, two quantities are told apart by their labels."""
    labels = [quantity.label for quantity in PACKAGED.quantities.values()]
    assert sorted(labels) == sorted(set(labels))


def test_loading_it_does_not_start_pint():
    """Every unit of the packaged vocabulary stands in the table."""
    code = "import sys; from rulewatch.parse.vocabulary import *; packaged_vocabulary(); print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_the_page_has_every_name():
    """Each component and quantity has its row, with its values in words."""
    page = vocabulary_page(PACKAGED)
    for name in (*PACKAGED.components, *PACKAGED.quantities):
        assert page.count(f"| `{name}` |") == 1
    assert "| `fuel.ethanol` | Ethanol content | share in % | 1 % |" in page
    assert "| `engine.cylinders` | Number of cylinders | number | 1 |" in page


# --- A workspace's own ------------------------------------------------------------------------------------------------


def test_a_workspace_adds_to_it():
    """New components and quantities join the packaged ones, and may use units made of others."""
    vocabulary, faults = parse(
        "components:\n"
        "  aero.fan: {label: Ground-effect fan, words: [suction fan]}\n"
        "quantities:\n"
        "  aero.fan.flow: {label: Air flow of the fan, type: speed, unit: m/s, step: 1 m/s}\n"
        "  aero.fan.area: {label: Fan area, type: area, unit: cm²}\n"
        "  wheels.rear.spare: {label: Spare rear wheels, type: number, step: 1, how: Count them.}\n"
    )
    assert faults == ()
    assert vocabulary.label("aero.fan") == "Ground-effect fan"
    assert vocabulary.under["aero.fan"] == ("aero.fan.flow", "aero.fan.area")
    assert vocabulary.quantities["aero.fan.area"].step is None
    assert vocabulary.quantities["wheels.rear.spare"].how == "Count them."
    assert vocabulary.quantities["aero.fan.flow"].step.number == Fraction(1)
    assert str(vocabulary.quantities["aero.fan.flow"].place) == "rulesets/vocabulary.yaml:4:3"
    assert len(vocabulary.quantities) == len(PACKAGED.quantities) + 3


def test_an_empty_file_adds_nothing():
    """A file with comments only is no fault."""
    assert parse("# nothing yet\n") == (PACKAGED, ())


FAULTS = {
    "redefined quantity": (
        "quantities:\n  car.weight: {label: W, type: mass}\n",
        "2:3: name-taken `car.weight` is in the vocabulary already: Weight of the car; use it as it is, or choose another name",
    ),
    "redefined component": (
        "components:\n  aero.rear_wing: {label: W}\n",
        "2:3: name-taken `aero.rear_wing` is in the vocabulary already: Rear wing; use it as it is, or choose another name",
    ),
    "quantity named like a component": (
        "quantities:\n  aero.splitter: {label: W, type: length}\n",
        "2:3: name-taken `aero.splitter` is in the vocabulary already: Front splitter; use it as it is, or choose another name",
    ),
    "component that is not declared": (
        "quantities:\n  aero.rear_wig.sweep: {label: S, type: angle}\n",
        "2:3: unknown-quantity `aero.rear_wig.sweep` under `aero.rear_wig`, which is no component; did you mean `aero.rear_wing`?",
    ),
    "component under none": (
        "components:\n  zeppelin.gondola: {label: G}\n",
        "2:3: unknown-quantity `zeppelin.gondola` under `zeppelin`, which is no component; add `zeppelin` under `components:` first",
    ),
    "quantity without a system": (
        "quantities:\n  sweep: {label: S, type: angle}\n",
        "2:3: wrong-value the name `sweep`, expected the component that it belongs to in front of it",
    ),
    "name in capitals": (
        "components:\n  Aero.Fan: {label: F}\n",
        "2:3: wrong-value the name `Aero.Fan`, expected a dotted name in small letters, such as `wheels.rear.rim_width`",
    ),
    "reserved name": (
        "components:\n  aero.any: {label: F}\n",
        "2:3: wrong-value the name `aero.any`, expected a dotted name in small letters, such as `wheels.rear.rim_width`",
    ),
    "unknown type": (
        "quantities:\n  aero.sweep: {label: S, type: lenght}\n",
        "2:32: wrong-value the type `lenght`; did you mean `length`?",
    ),
    "neither type nor choices": (
        "quantities:\n  aero.sweep: {label: S}\n",
        "2:15: missing-key neither `type` nor `choices`, expected one of the two",
    ),
    "both type and choices": (
        "quantities:\n  aero.sweep: {label: S, type: text, choices: [a, b]}\n",
        "2:15: missing-key both `type` and `choices`, expected one of the two",
    ),
    "choice that means something else": (
        "quantities:\n  aero.sweep: {label: S, choices: [standard, free]}\n",
        "2:35: wrong-value the choice `standard`, which means something else in a spec",
    ),
    "choice twice": (
        "quantities:\n  aero.sweep: {label: S, choices: [free, free]}\n",
        "2:35: wrong-value the choice `free`, twice",
    ),
    "unit of another dimension": (
        "quantities:\n  aero.sweep: {label: S, type: length, unit: kg}\n",
        "2:46: wrong-dimension `kg` is a mass, expected a unit of length",
    ),
    "unknown unit": (
        "quantities:\n  aero.sweep: {label: S, type: length, unit: furlong}\n",
        "2:46: unit-unknown `furlong`, expected a unit of length",
    ),
    "unit of a date": (
        "quantities:\n  aero.made: {label: S, type: date, unit: mm}\n",
        "2:43: unknown-key `unit` without a dimension; leave `unit` out",
    ),
    "step of another dimension": (
        "quantities:\n  aero.sweep: {label: S, type: length, step: 5 kg}\n",
        "2:46: wrong-dimension `5 kg` is a mass, expected a length for aero.sweep",
    ),
    "step without a unit": (
        "quantities:\n  aero.sweep: {label: S, type: length, step: 5}\n",
        "2:46: unit-missing `5` without a unit, expected a length for aero.sweep; write `5 mm` if that is meant",
    ),
    "step of nothing": (
        "quantities:\n  aero.sweep: {label: S, type: length, step: 0 mm}\n",
        "2:46: wrong-value `0 mm`, expected a step greater than nothing",
    ),
    "unknown key": (
        "quantities:\n  aero.sweep: {label: S, type: length, stepp: 5 mm}\n",
        "2:40: unknown-key `stepp` in `aero.sweep`; did you mean `step`?",
    ),
    "no label": ("components:\n  aero.fan: {words: [fan]}\n", "2:13: missing-key `aero.fan` without `label`; add `label:`"),
    "unknown part": (
        "quantity:\n  aero.sweep: {label: S}\n",
        "1:1: unknown-key `quantity` in the vocabulary; did you mean `quantities`?",
    ),
    "a list": ("- aero.fan\n", "1:1: wrong-type a list for `the vocabulary`, expected a mapping of keys to values"),
}


@pytest.mark.parametrize(("text", "expected"), FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_has_its_place_and_adds_nothing(text, expected):
    """Each fault says what is wrong, exactly where, and the entry is left out."""
    vocabulary, faults = parse(text)
    assert [f"{fault.place}: {fault.code} {fault.message}" for fault in faults] == [f"rulesets/vocabulary.yaml:{expected}"]
    assert vocabulary.quantities == PACKAGED.quantities
    assert vocabulary.components == PACKAGED.components


def test_all_faults_of_a_file_are_reported_together():
    """One fault does not hide the next, and what is right is kept."""
    text = (
        "components:\n  Aero: {label: A}\n  aero.fan: {label: Fan}\n"
        "quantities:\n  aero.fan.flow: {label: Flow, type: flow}\n  aero.fan.blades: {label: Blades, type: number}\n"
    )
    vocabulary, faults = parse(text)
    assert [(fault.code, fault.place.line) for fault in faults] == [("wrong-value", 2), ("wrong-value", 5)]
    assert vocabulary.under["aero.fan"] == ("aero.fan.blades",)
