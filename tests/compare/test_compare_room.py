"""What two classes leave in common, and which clauses of a class contradict each other."""

from __future__ import annotations

import pytest
from support import BODY, clause, confirm

from rulewatch.compare.room import contradiction, shared_room
from rulewatch.compare.shelf import OneClass
from rulewatch.model.edition import Point
from rulewatch.parse.vocabulary import packaged_vocabulary

A = "classes: [silhouette-b]\n"
B = "classes: [touring-c]\n"


@pytest.fixture
def classes(memory_workspace):
    """Both classes of a book of readings, clause by clause; the texts hold every number that the readings use."""

    def made(*readings: str, header: str = "") -> tuple[OneClass, OneClass]:
        numbers = "6 in, 7 in, 8 in, 9 in, 10 in, 20 mm, 900 kg, 1000 kg, 2000 cc, 3000 cc, 2.5 %, 1 kg, 2026-01-01"
        text = "".join(clause(f"5.{place}", f"Rule {place} with {numbers}", each) for place, each in enumerate(readings, 1))
        workspace = memory_workspace(
            {
                "rulesets/saltmarsh/body.yaml": BODY,
                "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules\neffective: 2027-01-01\n{header}",
                "rulesets/saltmarsh/2027/01-rules.md": text,
            }
        )
        edition = workspace.edition(Point(body="saltmarsh", season="2027"))
        assert {fault.code for fault in workspace.faults} <= {"number-not-used"}
        return tuple(OneClass(edition=confirm(edition), name=name) for name in ("silhouette-b", "touring-c"))

    return made


@pytest.fixture
def room(classes):
    """The room of one subject in both classes: its ends in words with the clauses that set them, and its values."""

    def found(subject: str, *readings: str, header: str = ""):
        shared = shared_room(*classes(*readings, header=header), packaged_vocabulary())
        assert not shared.conflict
        one = next((each for each in shared.rooms if each.subject == subject), None)
        if one is None:
            return None
        ends = [
            end and (str(end.value), "strict" if end.strict else "", [law.clause for law in end.laws])
            for end in (one.low, one.high)
        ]
        return (*ends, [str(value) for value in one.values], [law.clause for law in one.laws])

    return found


RIM = "wheels.rear.rim_width"


def test_each_end_is_the_tighter_of_both(room):
    """From one class the lower end, from the other the upper one, inclusive and strict as they are written."""
    found = room(RIM, f"{A}limit: {{{RIM}: {{min: 7 in, max: 10 in}}}}", f"{B}limit: {{{RIM}: {{under: 9 in}}}}")
    assert found == (("7 in", "", ["5.1"]), ("9 in", "strict", ["5.2"]), [], [])


def test_what_nothing_bounds_is_not_listed(room):
    """A condition that no rule makes hard leaves everything open."""
    assert room("engine.capacity", f"when: {{engine.capacity: {{over: 2000 cc}}}}\nlimit: {{{RIM}: {{max: 9 in}}}}") is None


def test_an_end_that_hangs_on_another_quantity_is_the_farthest_of_any_car(room):
    """A rim may be 20 mm wider than the front one, which may have 10 in: 274 mm."""
    front = "wheels.front.rim_width"
    found = room(RIM, f"limit: {{{front}: {{max: 10 in}}}}", f"limit: {{{RIM}: {{max: {{of: {front}, plus: 20 mm}}}}}}")
    assert found[1][2] == ["5.1", "5.2"]
    assert found[1][0] == "≈10.787402 in"


def test_the_least_weight_of_any_car_with_steps_shares_and_rounding(room):
    """Where the gearbox must be sequential, 900 kg and 2.5 % are 922.5 kg, rounded to even: 922 kg."""
    found = room(
        "car.weight",
        "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [3000 cc, 1000 kg]]}, round: {to: 1 kg}}",
        "when: {drivetrain.gearbox.kind: sequential}\nweight: {add: 2.5 %}",
        "limit: {drivetrain.gearbox: present, drivetrain.gearbox.kind: sequential}",
    )
    assert found[0] == ("922 kg", "", ["5.1", "5.2", "5.3"])


def test_words_and_single_values_that_are_left(room):
    """Of lists only what both name is left."""
    assert room(
        "engine.position", f"{A}limit: {{engine.position: [front, mid]}}", f"{B}limit: {{engine.position: [mid, rear]}}"
    ) == (*(None, None, ["mid"], ["5.1", "5.2"]),)
    assert room(RIM, f"limit: {{{RIM}: [7 in, 8 in, 10 in]}}", f"{B}limit: {{{RIM}: {{max: 9 in}}}}")[2] == ["7 in", "8 in"]


def test_a_part_that_must_be_off_or_on(room):
    """A component is listed where one class leaves no choice; what is under it is not there to be bounded."""
    readings = (f"{B}limit: {{aero.rear_wing: absent}}", "limit: {aero.rear_wing.width: {max: 20 mm}}")
    assert room("aero.rear_wing", *readings) == (None, None, ["absent"], ["5.1"])
    assert room("aero.rear_wing.width", *readings) is None


def test_no_car_can_run_in_both(classes):
    """The clauses that stand against each other are named, each with its class, and no others."""
    sides = classes(
        f"{A}limit: {{{RIM}: {{min: 10 in}}}}",
        f"{B}limit: {{{RIM}: {{max: 9 in}}}}",
        "limit: {wheels.rear: present}",
        "limit: {engine.capacity: {max: 3000 cc}}",
    )
    shared = shared_room(*sides, packaged_vocabulary())
    assert shared.rooms == ()
    assert sorted({law.clause for law in shared.conflict}) == ["5.1", "5.2", "5.3"]
    assert next(map(str, shared.conflict)) == "saltmarsh/2027:silhouette-b 5.1"


def test_contradiction_is_a_smallest_set(classes):
    """Leaving out any one of the clauses named lets some car in; a class without a contradiction names none."""
    one, other = classes(
        f"limit: {{{RIM}: {{min: 8 in}}}}",
        f"{A}when: {{engine.capacity: {{max: 2000 cc}}}}\nlimit: {{{RIM}: {{max: 7 in}}}}",
        "limit: {wheels.rear: present}",
        "limit: {engine.capacity: {max: 2000 cc}}",
        f"limit: {{{RIM}: {{max: 10 in}}}}",
    )
    found = contradiction(one, packaged_vocabulary())
    assert [law.clause for law in found.laws] == ["5.1", "5.2", "5.3", "5.4"]
    assert contradiction(other, packaged_vocabulary()).laws == ()


def test_clauses_without_a_confirmed_reading_are_named(classes):
    """What nobody read may leave less room."""
    one, _ = classes(
        f"limit: {{{RIM}: {{max: 10 in}}}}", "ask: 'Is the lip counted?'\nlimit: {engine.capacity: {max: 3000 cc}}"
    )
    assert [law.clause for law in contradiction(one, packaged_vocabulary()).unread] == ["5.2"]
