"""A car at the scales of its inspection: what it will weigh, how surely that is enough, and what ballast makes it so."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from statistics import NormalDist

import pytest
from support import clause

from rulewatch.assess.balance import balance_sheet
from rulewatch.assess.facts import Facts
from rulewatch.assess.states import states_of
from rulewatch.assess.topics import Topics
from rulewatch.decide.ballast import with_placement
from rulewatch.model.impact import Verdict
from rulewatch.model.job import Done, Job

MINIMUM = clause("3.1", "A car with its driver weighs at least 1000 kg.", "weight: {minimum: 1000 kg, with: driver}")
SPEC = "{car.weight: 990 kg, car.wheelbase: 2.5 m, car.track_front: 1.5 m, car.track_rear: 1.5 m, driver.weight: 80 kg, fuel.density: 0.75 kg/l}"
WEIGHED = (
    "weighed: {on: 2027-03-01, scales: {u: 1 kg, shared: 0}, with: {driver: yes, fuel: 10 L}, "
    "corners: {front_left: 255 kg, front_right: 250 kg, rear_left: 245 kg, rear_right: 250 kg}}"
)


@pytest.fixture
def sheet(case):
    """The sheet of a car with some `balance`, under some rules."""

    def made(balance, rules=MINIMUM, *, crew_p="0.95", **more):
        found = case(rules, SPEC, balance=balance, **more)
        facts = Facts(car=found.car, vocabulary=found.workspace.vocabulary)
        return balance_sheet(facts, states_of(facts), [found.judge()], Fraction(crew_p))

    return made


def test_states(sheet):
    """Driver and fuel go out and in by their mass and place."""
    found = sheet(f"{{{WEIGHED}, driver: [1 m, 0 m, 0.5 m], fuel: {{at: [2.5 m, 0 m, 0.3 m], start: 50 L}}}}")
    assert [(one.what, one.mass) for one in found.states] == [
        ("as weighed", 1000),
        ("empty, without driver", Fraction("912.5")),
        ("at the start", 1030),
    ]
    weighed, empty, start = found.states
    assert weighed.front == Fraction(505, 1000)
    assert empty.front == (Fraction(505) - 80 * Fraction(3, 5)) / Fraction("912.5")
    assert start.corners is not None
    assert start.share(*start.corners) == 1


def test_at_the_scales(sheet):
    """With the fuel that is left: 4 L less are 3 kg less, and how sure that is counts with the scales."""
    (one,) = sheet(f"{{{WEIGHED}, fuel: {{left: 6 L, left_u: 4 L}}}}").outlooks
    assert (one.standing.mass, one.minimum) == (997, 1000)
    assert float(one.standing.u) == pytest.approx((4 * 0.5**2 + 1.5**2) ** 0.5)  # four pads of 0.5 kg, 2 L of 0.75 kg/l
    assert one.under == pytest.approx(NormalDist().cdf(3 / float(one.standing.u)))


def test_needed_and_sure(sheet):
    """What the figures ask for alone, and what makes the car heavy enough as surely as the crew asks, in whole pieces."""
    ballast = "ballast: {block: 1 kg, places: {floor: {at: [1 m, 0 m, 0.2 m], most: 30 kg}}}"
    (one,) = sheet(f"{{{WEIGHED}, fuel: {{left: 6 L}}, {ballast}}}").outlooks
    assert (one.needed, one.suggested) == (3, 5)
    assert float(one.standing.u) == pytest.approx(1)
    assert one.margin == 2  # 1.645 would do, and there are no parts of a piece
    (surer,) = sheet(f"{{{WEIGHED}, fuel: {{left: 6 L}}, {ballast}}}", crew_p="0.999").outlooks
    assert surer.suggested == 7  # 3.09 times the uncertainty, in whole pieces


def test_a_guarded_rule_asks_for_more(sheet):
    """Where the body keeps a guard band of the expanded uncertainty, the ballast allows for that."""
    ballast = "ballast: {block: 1 kg, places: {floor: {at: [1 m, 0 m, 0.2 m], most: 30 kg}}}"
    given = f"{{{WEIGHED}, fuel: {{left: 6 L}}, {ballast}}}"
    (one,) = sheet(given, decision="decision: {rule: guarded, guard: 2 U}").outlooks
    assert (one.suggested, one.margin) == (7, 4)


def test_ballast_that_is_aboard_can_go_out(sheet):
    """A car that carries more than it needs is told so."""
    ballast = "ballast: {block: 1 kg, places: {floor: {at: [1 m, 0 m, 0.2 m], most: 30 kg, has: 20 kg}}}"
    light = clause("3.1", "A car with its driver weighs at least 985 kg.", "weight: {minimum: 985 kg, with: driver}")
    (one,) = sheet(f"{{{WEIGHED}, {ballast}}}", light).outlooks
    assert (one.aboard, one.needed, one.suggested) == (20, 5, 7)


def test_without_the_driver(sheet):
    """A minimum for the car alone is compared with the car alone; where his weight is not known, with nothing."""
    rule = clause("3.1", "A car without its driver weighs at least 900 kg.", "weight: {minimum: 900 kg, with: car}")
    (one,) = sheet(f"{{{WEIGHED}}}", rule).outlooks
    assert one.standing.mass == 920
    (unknown,) = sheet(f"{{{WEIGHED.replace('driver: yes, ', '')}}}", rule).outlooks
    assert (unknown.standing, unknown.under, unknown.suggested) == (None, None, None)
    assert "whether the driver sat in the car" in unknown.notes[0]


def test_a_minimum_that_is_not_certain(sheet):
    """Where a condition is not known, nothing is told of the room."""
    more = clause(
        "3.2",
        "Cars over 2000 cc carry 20 kg more.",
        "when: {engine.capacity: {over: 2000 cc}}\nweight: {add: 20 kg}\nnoted: [2000 cc]",
    )
    (one,) = sheet(f"{{{WEIGHED}}}", MINIMUM + more).outlooks
    assert one.minimum == 1020  # the most that may be asked
    (none,) = sheet(f"{{{WEIGHED}}}", clause("9.9", "Marshals wave flags.", "concerns: event")).outlooks
    assert (none.minimum, none.notes) == (None, ("no minimum weight is asked",))


def test_a_car_that_was_not_weighed_on_four_scales(sheet):
    """Its weight is as the spec states it, and the sheet says what to write."""
    found = sheet("{targets: {front: 50 %}}")
    assert found.notes == ("write under `balance: weighed:` what four scales showed",)
    (one,) = found.outlooks
    assert (one.standing.mass, one.minimum, one.under) == (990, 1000, 1.0) if one.standing else one.notes


def test_height_needs_the_radius(sheet):
    """A raised axle without the radius of the wheels gives no height, and says why."""
    raised = "raised: {axle: rear, by: 500 mm, other: 530 kg}"
    bare = WEIGHED.replace("corners:", f"{raised}, corners:")
    assert sheet(f"{{{bare}}}").heights == ()
    assert "wheel_radius" in sheet(f"{{{bare}}}").notes[-1]
    (one,) = sheet(f"{{{bare.replace('corners:', 'wheel_radius: 300 mm, corners:')}}}").heights
    assert float(one.height) == pytest.approx(0.3 + 2.5 * 25 / (1000 * 0.5 / (2.5**2 - 0.5**2) ** 0.5))
    assert one.u > 0


def test_axle_loads_at_speed(sheet):
    """By moments: a wing behind the rear axle lifts the front one, and drag at a height loads the rear one."""
    air = "air: {drag: 1 m2, height: 500 mm, downforce: {wing: {area: 1 m2, at: 3 m}}, speeds: [0.001 km/h, 180 km/h]}"
    still, fast = sheet(f"{{{WEIGHED}, {air}}}").at_speed
    assert float(still.front) == pytest.approx(505)
    pressed = 1.225 * 50**2 / 2 / 9.80665  # in kilograms: at 50 m/s, in the standard atmosphere
    assert float(fast.front) == pytest.approx(505 + pressed * (1 - 3 / 2.5) - pressed * 0.5 / 2.5)
    assert float(fast.front + fast.rear) == pytest.approx(1000 + pressed)


# --- How the book wants the car weighed --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("measured", "mass"),
    [
        ("driver: no", Fraction("918.5")),
        ("fuel: empty", Fraction("992.5")),
        ("driver: no, fuel: drained", Fraction("912.5")),
        ("fuel: 4 L", Fraction("995.5")),
    ],
)
def test_the_conditions_of_the_book_count(sheet, measured, mass):
    """A minimum for a car without driver or fuel is held against the car without them, whatever it was weighed with."""
    rule = clause("3.1", "A car weighs at least 900 kg, taken so.", f"weight: {{minimum: 900 kg}}\nmeasured: {{{measured}}}")
    (one,) = sheet(f"{{{WEIGHED}, fuel: {{left: 8 L}}}}", rule).outlooks
    assert one.standing.mass == mass


def test_a_condition_that_is_not_understood(sheet):
    """Nothing is reckoned then, and the note says which."""
    rule = clause("3.1", "A car weighs at least 900 kg on wet tyres.", "weight: {minimum: 900 kg}\nmeasured: {tyres: wet}")
    (one,) = sheet(f"{{{WEIGHED}}}", rule).outlooks
    assert (one.standing, one.suggested) == (None, None)
    assert "tyres wet" in one.notes[0]


def test_a_minimum_that_nobody_confirmed(sheet):
    """What is told of the room has that reserve."""
    (one,) = sheet(f"{{{WEIGHED}}}", unconfirmed=("3.1",)).outlooks
    assert any("not confirmed" in note for note in one.notes)


def test_corners_that_were_taken_before_the_car_was_altered(case):
    """A job that altered the weight since makes them count for nothing."""
    found = case(MINIMUM, SPEC, balance=f"{{{WEIGHED}}}")
    job = Job(what="New floor", alters=("car.weight",), done=Done(on=date(2027, 3, 5)), place=found.car.place)
    told = states_of(Facts(car=replace(found.car, jobs=(job,)), vocabulary=found.workspace.vocabulary))
    assert isinstance(told, str)
    assert "weigh the car again" in told


def test_several_drivers(sheet, case):
    """With the lighter one the minimum must hold; which of two sat in the car, nobody can guess."""
    bare = WEIGHED.replace("driver: yes", "driver: no")
    two = SPEC.replace("driver.weight: 80 kg", "driver.weight: [90 kg, 60 kg]")
    found = case(MINIMUM, two, balance=f"{{{bare}}}")
    facts = Facts(car=found.car, vocabulary=found.workspace.vocabulary)
    (one,) = balance_sheet(facts, states_of(facts), [found.judge()], Fraction("0.95")).outlooks
    assert one.standing.mass == 1060
    found = case(
        clause("3.1", "At least 900 kg without driver.", "weight: {minimum: 900 kg, with: car}"), two, balance=f"{{{WEIGHED}}}"
    )
    facts = Facts(car=found.car, vocabulary=found.workspace.vocabulary)
    (one,) = balance_sheet(facts, states_of(facts), [found.judge()], Fraction("0.95")).outlooks
    assert one.standing is None
    assert "which of the drivers" in one.notes[0]


@pytest.mark.parametrize(
    ("by", "other", "told"),
    [("2600 mm", "530 kg", "more than the wheelbase"), ("500 mm", "420 kg", "under the ground")],
)
def test_raised_axles_that_cannot_be(sheet, by, other, told):
    """A lift beyond the wheelbase, and a centre of gravity under the ground, are told and not used."""
    raised = f"wheel_radius: 300 mm, raised: {{axle: rear, by: {by}, other: {other}}}, corners:"
    found = sheet(f"{{{WEIGHED.replace('corners:', raised)}}}")
    assert any(told in note for note in found.notes)
    assert all(one.height is None for one in found.states)


def test_ballast_that_makes_the_minimum_another_one(case):
    """An adder for ballast on the boot floor counts in the suggestion that puts it there."""
    more = clause(
        "3.2", "With ballast on the boot floor 10 kg more.", "when: {ballast.position: boot floor}\nweight: {add: 10 kg}"
    )
    ballast = "ballast: {block: 1 kg, places: {boot: {at: [2 m, 0 m, 0.3 m], most: 60 kg, position: boot floor}}}"
    places = "driver: [1 m, 0 m, 0.5 m], fuel: {at: [2.5 m, 0 m, 0.3 m], left: 6 L}"
    spec = SPEC.replace("{car.weight: 990 kg", "{car.weight: 990 kg, ballast: absent")
    found = case(MINIMUM + more, spec, balance=f"{{{WEIGHED}, {places}, {ballast}}}")
    facts, topics = Facts(car=found.car, vocabulary=found.workspace.vocabulary), Topics(vocabulary=found.workspace.vocabulary)
    states = states_of(facts)
    (one,) = balance_sheet(facts, states, [found.judge()], Fraction("0.95")).outlooks
    assert (one.minimum, one.suggested) == (1000, 5)
    placed = with_placement(one, states, topics, 0.95)
    assert (placed.minimum, placed.suggested, dict(placed.placed.loads)) == (1010, 15, {"boot": 15})


def test_why_no_ballast_is_suggested(sheet):
    """A guarded body needs an uncertainty; without one the note says so."""
    exact = WEIGHED.replace("scales: {u: 1 kg, shared: 0}", "scales: {u: 0 kg}")
    (one,) = sheet(f"{{{exact}}}", decision="decision: {rule: guarded}").outlooks
    assert one.suggested is None
    assert any("no ballast is suggested" in note for note in one.notes)


# --- What the verdict says of a measured weight ------------------------------------------------------------------------


def test_guard_band_and_rounding_of_a_weight(case):
    """The bound names the guard band, and what is rounded up to the minimum is at the limit, not under it."""
    weighed = "{car.weight: {value: 1000.5 kg, u: 1 kg, on: 2027-03-01, with: {driver: yes}}}"
    (finding,) = case(MINIMUM, weighed, decision="decision: {rule: guarded}").judge().findings
    assert (finding.verdict, finding.bound) == (Verdict.ILLEGAL, "at least 1000 kg, with a guard band of 1 kg")
    assert finding.why == "weighs 1000.5 kg, at least 1000 kg asked, with a guard band of 1 kg"
    rounded = weighed.replace("1000.5", "999.6")
    (finding,) = case(MINIMUM, rounded, decision="decision: {rounding: limit}").judge().findings
    assert (finding.verdict, str(finding.margin)) == (Verdict.LEGAL, "0 kg")
    assert finding.doubt.p == pytest.approx(NormalDist().cdf(0.1 / 0.5))
