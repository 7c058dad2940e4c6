"""The minimum weight: minimums, adders, rounding, doubt."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.model.impact import Verdict

BASE = clause(
    "4.1",
    "The minimum weight is 900 kg up to 2000 cc and 980 kg up to 2500 cc.",
    "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 980 kg]]}}",
)
WING = clause("4.2", "Cars with a rear wing weigh 2.5 % more.", "when: {aero.rear_wing: present}\nweight: {add: 2.5 %}")
BALLAST = clause("4.3", "Cars with a turbocharger weigh 20 kg more.", "when: {engine.turbo: present}\nweight: {add: 20 kg}")
RULES = BASE + WING + BALLAST


def weigh(case, spec, rules=RULES):
    """The weight's finding and sheet."""
    assessment = case(rules, f"{{{spec}}}").judge()
    (finding,) = assessment.about(["car.weight"])
    return finding, assessment.weight


def test_summed(case):
    """Summed adders count on the minimum: 980 + 2.5 % of 980 + 20 = 1024.5 kg, line by line with their clauses."""
    finding, sheet = weigh(
        case, "engine.capacity: 2200 cc, aero.rear_wing: present, engine.turbo: present, car.weight: 1030 kg"
    )
    assert [(line.clause, str(line.amount), str(line.total)) for line in sheet.lines] == [
        ("4.1", "980 kg", "980 kg"),
        ("4.2", "24.5 kg", "1004.5 kg"),
        ("4.3", "20 kg", "1024.5 kg"),
    ]
    assert finding.verdict is Verdict.LEGAL
    assert str(finding.margin) == "5.5 kg"
    assert finding.clauses == ("4.1", "4.2", "4.3")


def test_compounded(case):
    """Compounded adders count on the total so far, in the order of the book: (980 + 20) × 1.025 = 1025 kg."""
    rules = (
        clause("4.1", "The minimum weight is 980 kg.", "weight: {minimum: 980 kg, adders: compounded}")
        + clause("4.2", "A turbocharger adds 20 kg.", "when: {engine.turbo: present}\nweight: {add: 20 kg}")
        + clause("4.3", "Wings add 2.5 %.", "weight: {add: 2.5 %}")
    )
    _, sheet = weigh(case, "engine.turbo: present, car.weight: 1000 kg", rules)
    assert str(sheet.greatest) == "1025 kg"


@pytest.mark.parametrize(
    ("weight", "verdict"), [("979 kg", Verdict.ILLEGAL), ("990 kg", Verdict.UNKNOWN), ("1024.5 kg", Verdict.LEGAL)]
)
def test_doubtful_adders_make_a_range(case, weight, verdict):
    """With unknown conditions the minimum is a range: below it illegal, above it legal, within it unknown."""
    finding, sheet = weigh(case, f"engine.capacity: 2200 cc, car.weight: {weight}")
    assert (str(sheet.least), str(sheet.greatest)) == ("980 kg", "1024.5 kg")
    assert finding.verdict is verdict


def test_doubtful_lightening_is_not_counted_for_the_car(case):
    """An adder that may lighten the minimum lowers the least, never the greatest."""
    rules = BASE + clause(
        "4.4", "Cars with carburettors weigh 30 kg less.", "when: {engine.carburettors: present}\nweight: {add: -30 kg}"
    )
    finding, sheet = weigh(case, "engine.capacity: 1800 cc, car.weight: 880 kg", rules)
    assert (str(sheet.least), str(sheet.greatest)) == ("870 kg", "900 kg")
    assert finding.verdict is Verdict.UNKNOWN


def test_greatest_minimum_holds(case):
    """Of several minimums that apply the greatest counts."""
    rules = BASE + clause("4.5", "No car weighs less than 950 kg.", "weight: {minimum: 950 kg}")
    finding, sheet = weigh(case, "engine.capacity: 1800 cc, car.weight: 940 kg", rules)
    assert str(sheet.greatest) == "950 kg"
    assert finding.verdict is Verdict.ILLEGAL


@pytest.mark.parametrize(
    ("rounding", "total"),
    [
        ("{to: 1 kg, ties: even}", "1024 kg"),
        ("{to: 1 kg, ties: up}", "1025 kg"),
        ("{to: 1 kg, ties: up, at: each}", "1025 kg"),
        ("{to: 5 kg}", "1025 kg"),
    ],
)
def test_rounding(case, rounding, total):
    """The total or each line is rounded, halves to even or up, as the body says: 1024.5 kg (ties) to whole kilograms."""
    rules = (
        clause(
            "4.1",
            "The minimum weight is 980 kg, rounded to 1 kg.",
            f"weight: {{minimum: 980 kg, round: {rounding}}}\nnoted: [1 kg]",
        )
        if "5 kg" not in rounding
        else clause("4.1", "The minimum weight is 980 kg, rounded to 5 kg.", f"weight: {{minimum: 980 kg, round: {rounding}}}")
    )
    _, sheet = weigh(case, "aero.rear_wing: present, engine.turbo: present, car.weight: 1 t", rules + WING + BALLAST)
    assert str(sheet.greatest) == total


@pytest.mark.parametrize(("driver", "verdict"), [("yes", Verdict.LEGAL), ("no", Verdict.UNKNOWN)])
def test_weighed_with_driver(case, driver, verdict):
    """A weight taken without the driver says nothing of a minimum with the driver."""
    rules = clause("4.1", "The minimum weight with driver is 900 kg.", "weight: {minimum: 900 kg, with: driver}")
    spec = f"car.weight: {{value: 930 kg, u: 1 kg, on: 2027-03-01, by: ina, with: {{driver: {driver}}}}}"
    assert weigh(case, spec, rules)[0].verdict is verdict


@pytest.mark.parametrize(
    ("said", "verdict"), [("930 kg", Verdict.UNKNOWN), ("{value: 930 kg, with: {driver: yes}}", Verdict.LEGAL)]
)
def test_declared_weight_says_whether_with_driver(case, said, verdict):
    """A declared weight counts for a minimum with driver only if it says so."""
    rules = clause("4.1", "The minimum weight with driver is 900 kg.", "weight: {minimum: 900 kg, with: driver}")
    assert weigh(case, f"car.weight: {said}", rules)[0].verdict is verdict


def test_beyond_the_last_step(case):
    """A car beyond the last step has no legal weight at all."""
    finding, _ = weigh(case, "engine.capacity: 3 l, car.weight: 2 t, aero.rear_wing: absent, engine.turbo: absent")
    assert finding.verdict is Verdict.ILLEGAL


def test_unknown_capacity(case):
    """Where the minimum itself is unknown, so is the verdict, and it says what is missing."""
    finding, sheet = weigh(case, "car.weight: 1200 kg, aero.rear_wing: absent, engine.turbo: absent")
    assert sheet.greatest is None
    assert (finding.verdict, finding.missing) == (Verdict.UNKNOWN, ("engine.capacity",))
