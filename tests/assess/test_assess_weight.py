"""The minimum weight: minimums, adders, rounding, doubt."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.model.impact import Need, Sort, Verdict

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


def minimum(number: str, weight: str, *more: str, when: str = "") -> str:
    """A clause with a minimum weight."""
    condition = f"when: {{{when}}}\n" if when else ""
    return clause(number, f"Cars weigh at least {weight}.", f"{condition}weight: {{minimum: {', '.join((weight, *more))}}}")


@pytest.mark.parametrize(("weight", "verdict"), [("900 kg", Verdict.UNKNOWN), ("899 kg", Verdict.ILLEGAL)])
def test_unconfirmed_weight(case, weight, verdict):
    """A minimum that nobody confirmed makes nothing legal, and shows what is too light."""
    book = case(minimum("4.1", "900 kg"), f"{{car.weight: {weight}}}", unconfirmed=("4.1",)).judge()
    (finding,) = book.about(["car.weight"])
    assert finding.verdict is verdict
    assert finding.needs == ({Need.READ} if verdict is Verdict.UNKNOWN else set())


def test_every_weight_rule_has_to_be_confirmed(case):
    """One confirmed minimum does not make up for an adder that is not."""
    book = case(BASE + BALLAST, "{engine.capacity: 1800 cc, engine.turbo: present, car.weight: 1 t}", unconfirmed=("4.3",))
    assert book.judge().about(["car.weight"])[0].verdict is Verdict.UNKNOWN


def test_open_question_on_a_weight(case):
    """What waits for the officials says so."""
    rules = clause("4.1", "Cars weigh at least 900 kg.", "weight: {minimum: 900 kg}\nask: With oil?")
    finding = case(rules, "{car.weight: 910 kg}").judge().about(["car.weight"])[0]
    assert (finding.verdict, finding.needs) == (Verdict.UNKNOWN, {Need.ASK})


LIGHTER = clause(
    "4.2",
    "Notwithstanding 4.1, cars with a turbocharger weigh at least 700 kg.",
    "when: {engine.turbo: present}\ninstead_of: ['4.1']\nweight: {minimum: 700 kg}",
)


@pytest.mark.parametrize(
    ("turbo", "weight", "verdict"),
    [
        ("present", "800 kg", Verdict.LEGAL),
        ("present", "600 kg", Verdict.ILLEGAL),
        ("absent", "800 kg", Verdict.ILLEGAL),
        (None, "800 kg", Verdict.UNKNOWN),
        (None, "600 kg", Verdict.UNKNOWN),  # neither minimum is certain to hold
        (None, "900 kg", Verdict.LEGAL),
    ],
)
def test_minimum_that_is_replaced(case, turbo, weight, verdict):
    """A minimum that another replaces does not count; where that is unknown the greater may."""
    spec = f"car.weight: {weight}" + (f", engine.turbo: {turbo}" if turbo else "")
    finding, _ = weigh(case, spec, minimum("4.1", "900 kg") + LIGHTER)
    assert finding.verdict is verdict
    if verdict is Verdict.UNKNOWN:
        assert (finding.needs, finding.missing) == ({Need.MEASURE}, ("engine.turbo",))


def test_sheet_ends_where_the_bound_is(case):
    """A lighter minimum that is not confirmed replaces nothing for certain: the sheet builds up the one that may hold."""
    book = case(minimum("4.1", "900 kg") + LIGHTER, "{engine.turbo: present, car.weight: 800 kg}", unconfirmed=("4.2",)).judge()
    (finding,) = book.about(["car.weight"])
    assert finding.bound == "at least 900 kg"
    assert str(book.weight.lines[-1].total) == "900 kg"
    assert (str(book.weight.least), str(book.weight.greatest)) == ("700 kg", "900 kg")


def test_weight_at_the_least(case):
    """A car at exactly the least that the minimum can be is not yet illegal."""
    finding, _ = weigh(case, "engine.capacity: 2200 cc, car.weight: 980 kg")
    assert finding.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize("extra", ["", "950 kg"])
def test_doubtful_minimum_makes_nothing_illegal(case, extra):
    """A minimum whose condition is unknown, of steps or not, is no breach yet."""
    bound = extra or "{by: engine.capacity, steps: [[2000 cc, 900 kg]]}"
    rules = clause(
        "4.1",
        "Cars with a turbocharger weigh at least 900 kg up to 2000 cc, or 950 kg.",
        f"when: {{engine.turbo: present}}\nweight: {{minimum: {bound}}}\nnoted: [900 kg, 2000 cc, 950 kg]",
    )
    finding, _ = weigh(case, "engine.capacity: 2200 cc, car.weight: 500 kg", rules)
    assert finding.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(("said", "verdict"), [("[910 kg, 700 kg]", Verdict.ILLEGAL), ("[910 kg, 906 kg]", Verdict.LEGAL)])
def test_lightest_weighing_counts(case, said, verdict):
    """Of several weighings the least has to do."""
    assert weigh(case, f"car.weight: {said}", minimum("4.1", "905 kg"))[0].verdict is verdict


@pytest.mark.parametrize(
    ("weight", "driver", "verdict"),
    [("955 kg", "yes", Verdict.UNKNOWN), ("955 kg", "no", Verdict.UNKNOWN), ("940 kg", "yes", Verdict.ILLEGAL)],
)
def test_each_minimum_meets_a_weight_taken_its_way(case, weight, driver, verdict):
    """A weight with driver tells nothing of the minimum without; only what it does tell counts."""
    rules = minimum("4.1", "950 kg", "with: driver") + minimum("4.2", "900 kg", "with: car")
    finding, _ = weigh(case, f"car.weight: {{value: {weight}, with: {{driver: {driver}}}}}", rules)
    assert finding.verdict is verdict
    assert finding.margin is None


@pytest.mark.parametrize(("fuel", "verdict"), [("empty", Verdict.LEGAL), ("full", Verdict.UNKNOWN)])
@pytest.mark.parametrize("of", ["minimum", "adder"])
def test_weight_measured_as_asked(case, fuel, verdict, of):
    """How a car is to be weighed counts, whether the minimum says so or an adder."""
    asked = "\nmeasured: {fuel: empty}"
    rules = clause("4.1", "At least 900 kg.", "weight: {minimum: 900 kg}" + (asked if of == "minimum" else ""))
    rules += clause("4.2", "20 kg more.", "weight: {add: 20 kg}" + (asked if of == "adder" else ""))
    finding, _ = weigh(case, f"car.weight: {{value: 930 kg, with: {{fuel: {fuel}}}}}", rules)
    assert finding.verdict is verdict
    if verdict is Verdict.UNKNOWN:
        assert finding.why == "weighs 930 kg, but with fuel full (the book asks empty)"
        assert finding.missing == ("car.weight",)


@pytest.mark.parametrize(("weight", "verdict"), [("898 kg", Verdict.LEGAL), ("897 kg", Verdict.ILLEGAL)])
def test_tolerance_on_the_minimum(case, weight, verdict):
    """What the book grants on the minimum counts, and is in the margin."""
    rules = clause("4.1", "At least 900 kg, ±2 kg.", "weight: {minimum: 900 kg}\ntolerance: ±2 kg")
    finding, _ = weigh(case, f"car.weight: {weight}", rules)
    assert finding.verdict is verdict
    assert str(finding.margin) == ("0 kg" if verdict is Verdict.LEGAL else "−1 kg")
    assert finding.bound == "at least 900 kg (±2 kg granted)"


@pytest.mark.parametrize(("weight", "verdict"), [("890 kg", Verdict.LEGAL), ("889 kg", Verdict.ILLEGAL)])
def test_waived_minimum(case, weight, verdict):
    """A paper gives the car a minimum of its own, and adders count on it."""
    waivers = "[{clause: '4.1', limit: {car.weight: {min: 870 kg}}, until: 2027-06-30, paper: W-7}]"
    rules = minimum("4.1", "900 kg") + clause("4.2", "20 kg more.", "weight: {add: 20 kg}")
    book = case(rules, f"{{car.weight: {weight}}}", waivers=waivers).judge()
    assert [(one.sort, one.verdict) for one in book.findings] == [(Sort.WEIGHT, verdict)]
    assert [line.label for line in book.weight.lines] == ["minimum by waiver W-7", "20 kg"]
