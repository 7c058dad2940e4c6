"""An unknown is never a pass: readings that only wait, parts that a rule may ask for, papers that cover a part of a clause."""

from __future__ import annotations

from datetime import date

import pytest
from support import clause

from rulewatch.assess.circles import in_circles
from rulewatch.model.impact import Need, Sort, Verdict

RIM = clause("5.2", "A rim is at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
LEGAL_RIM = "{wheels.rear.rim_width: 9 in}"


@pytest.mark.parametrize(
    ("reading", "need"),
    [
        ("ask: What is sufficient?", Need.ASK),
        ("concerns: paperwork", Need.READ),
        ("classes: [touring-c]\nlimit: {wheels.rear.rim_width: {max: 7 in}}", Need.READ),
        ("until: 2027-01-31\nlimit: {wheels.rear.rim_width: {max: 7 in}}", Need.READ),
        ("noted: [7 in, 20 mm, 20 kg]", Need.READ),
        ("instead_of: ['5.2']", Need.READ),
        ("allow: {aero.rear_wing: present}", Need.READ),
        ("when: {aero.rear_wing: present}\nweight: {add: 20 kg}", Need.READ),
    ],
)
def test_reading_that_only_waits(case, reading, need):
    """Whatever a reading says or does not say, as long as nobody confirmed it the book is not known to be kept."""
    rules = RIM + clause("5.3", "Until 2027-01-31 7 in, 20 mm, 20 kg.", reading)
    numbers = "noted: [7 in, 20 mm, 20 kg]"
    book = case(
        rules if "noted" in reading else rules.replace(reading, f"{reading}\n{numbers}"), LEGAL_RIM, unconfirmed=("5.3",)
    ).judge()
    (waiting,) = [one for one in book.findings if one.sort is Sort.UNREAD]
    assert (waiting.clauses, waiting.verdict, waiting.needs) == (("5.3",), Verdict.UNKNOWN, {need})
    assert book.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    "reading",
    ["concerns: paperwork\nnoted: [20 mm]", "noted: [20 mm]", "classes: [touring-c]\nlimit: {car.width: {max: 20 mm}}"],
)
def test_confirmed_reading_that_asks_nothing(case, reading):
    """Confirmed, a clause that is no matter of this car leaves the book as it is."""
    assert case(RIM + clause("5.3", "Up to 20 mm.", reading), LEGAL_RIM).judge().verdict is Verdict.LEGAL


def test_reading_without_question_of_another_class_is_quiet_once_confirmed(case):
    """A question that is open on another class's rule is not this car's."""
    asked = "classes: [touring-c]\nask: How wide?\nlimit: {wheels.rear.rim_width: {max: 10 in}}"
    assert case(RIM + clause("5.3", "In touring cars 10 in.", asked), LEGAL_RIM).judge().verdict is Verdict.LEGAL


def test_unconfirmed_limit_on_what_is_absent(case):
    """A reading that nobody confirmed may be wrong about what it asks: on an absent part, too, it gives no pass."""
    rules = clause("6.1", "A rear wing is at most 1400 mm wide.", "limit: {aero.rear_wing.width: {max: 1400 mm}}")
    assert case(rules, "{aero.rear_wing: absent}", unconfirmed=("6.1",)).judge().verdict is Verdict.UNKNOWN
    assert case(rules, "{aero.rear_wing: absent}").judge().verdict is Verdict.LEGAL


def test_digest_is_compared(case):
    """A reading that was confirmed against another text is not confirmed."""
    book = case(RIM, LEGAL_RIM)
    other = case(RIM.replace("A rim", "Any rim"), LEGAL_RIM)
    stale = type(book)(
        workspace=book.workspace,
        edition=type(book.edition)(
            **{
                name: getattr(other.edition if name == "clauses" else book.edition, name)
                for name in book.edition.__dataclass_fields__
            }
        ),
        car=book.car,
    )
    assert book.judge().verdict is Verdict.LEGAL
    assert stale.judge().verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(("day", "count"), [(date(2027, 5, 1), 1), (date(2027, 4, 30), 0)])
def test_reading_holds_from_its_first_day(case, day, count):
    """`from` is included."""
    rules = clause("5.2", "A rim is at most 10 in wide.", "from: 2027-05-01\nlimit: {wheels.rear.rim_width: {max: 10 in}}")
    assert len(case(rules.replace("wide", "wide from 2027-05-01"), LEGAL_RIM).judge(day).findings) == count


# --- Waivers ----------------------------------------------------------------------------------------------------------

TWO = clause(
    "5.2",
    "Rims are at most 10 in wide behind, 9 in in front.",
    "limit: {wheels.rear.rim_width: {max: 10 in}, wheels.front.rim_width: {max: 9 in}}",
)
PAPER = "{clause: '5.2', limit: {wheels.rear.rim_width: {max: 11 in}}, until: 2027-06-30, paper: W-12}"
SECOND = "{clause: '5.2', limit: {wheels.front.rim_width: {max: 10 in}}, until: 2027-06-30, paper: W-13}"
WIDER = "{clause: '5.2', limit: {wheels.rear.rim_width: {max: 12 in}}, until: 2027-06-30, paper: W-14}"


@pytest.mark.parametrize(
    ("rear", "front", "waivers", "verdict"),
    [
        ("10.5 in", "9 in", PAPER, Verdict.LEGAL),
        ("10.5 in", "9.5 in", PAPER, Verdict.ILLEGAL),
        ("10.5 in", "9.5 in", f"{PAPER}, {SECOND}", Verdict.LEGAL),
        ("11.5 in", "9.5 in", f"{PAPER}, {SECOND}", Verdict.ILLEGAL),
        ("11.5 in", "9 in", f"{PAPER}, {WIDER}", Verdict.LEGAL),
        ("12.5 in", "9 in", f"{PAPER}, {WIDER}", Verdict.ILLEGAL),
    ],
)
def test_waiver_covers_what_it_names(case, rear, front, waivers, verdict):
    """A paper replaces a clause's word on the quantities that it names, and every paper counts."""
    spec = f"{{wheels.rear.rim_width: {rear}, wheels.front.rim_width: {front}}}"
    assert case(TWO, spec, waivers=f"[{waivers}]").judge().verdict is verdict


# --- Replacement ------------------------------------------------------------------------------------------------------


def limits(number: str, width: str, instead: str) -> str:
    """A limit that stands in the place of another clause."""
    return clause(
        number,
        f"Notwithstanding {instead} rims are at most {width} wide.",
        f"instead_of: ['{instead}']\nlimit: {{wheels.rear.rim_width: {{max: {width}}}}}",
    )


@pytest.mark.parametrize(
    "rules",
    [
        limits("5.1", "10 in", "5.1"),
        limits("5.1", "10 in", "5.2") + limits("5.2", "9 in", "5.1"),
        limits("5.1", "10 in", "5.2") + limits("5.2", "9 in", "5.3") + limits("5.3", "8 in", "5.1"),
    ],
)
def test_circle_of_replacement_lifts_nothing(case, rules):
    """Clauses that replace each other leave in doubt which stands; a car that breaks one is never legal by it."""
    assert case(rules, "{wheels.rear.rim_width: 12 in}").judge().verdict is Verdict.UNKNOWN
    assert case(rules, "{wheels.rear.rim_width: 7 in}").judge().verdict is Verdict.LEGAL


def test_circles():
    """Only what leads back to itself is in a circle; a chain into one is not."""
    assert in_circles({"a": ["b"], "b": ["c"], "c": ["b"]}) == {("b", "c"), ("c", "b")}
    assert in_circles({"a": ["b"], "b": ["c"]}) == frozenset()


def test_replaced_limit_has_no_margin(case):
    """The room of a limit that does not apply is no room of the car's."""
    rules = RIM + clause(
        "5.3", "Notwithstanding 5.2, 12 in.", "instead_of: ['5.2']\nlimit: {wheels.rear.rim_width: {max: 12 in}}"
    )
    old, new = case(rules, LEGAL_RIM).judge().about(["wheels.rear.rim_width"])
    assert (old.margin, old.applies, str(new.margin)) == (None, False, "3 in")


# --- Conditions of measuring and tolerances ---------------------------------------------------------------------------

TAKEN = "{value: 2500 mm, u: 1 mm, on: 2027-03-01, by: ina, with: {driver: no}}"


@pytest.mark.parametrize("constraint", ["{max: 2500 mm}", "2500 mm", "[2500 mm, 2600 mm]", "standard"])
def test_measured_otherwise_counts_for_every_constraint(case, constraint):
    """Whatever is asked of an amount, one that was taken otherwise is unknown."""
    rules = clause(
        "5.9",
        "The wheelbase is 2500 mm or 2600 mm with driver, as standard.",
        f"limit: {{car.wheelbase: {constraint}}}\nmeasured: {{driver: yes}}\nnoted: [2500 mm, 2600 mm]",
    )
    standard = "{car.wheelbase: 2500 mm}"
    assert case(rules, f"{{car.wheelbase: {TAKEN}}}", standard=standard).judge().verdict is Verdict.UNKNOWN
    taken = TAKEN.replace("driver: no", "driver: yes")
    assert case(rules, f"{{car.wheelbase: {taken}}}", standard=standard).judge().verdict is Verdict.LEGAL


@pytest.mark.parametrize(
    ("length", "verdict", "margin"),
    [
        ("2502 mm", Verdict.LEGAL, "3 mm"),
        ("2495 mm", Verdict.LEGAL, "0 mm"),
        ("2506 mm", Verdict.ILLEGAL, "−1 mm"),
        ("2604 mm", Verdict.LEGAL, "1 mm"),
    ],
)
def test_tolerance_on_a_value(case, length, verdict, margin):
    """A value that is asked for exactly may be missed by what the book grants, and that is its margin."""
    rules = clause(
        "5.9", "The wheelbase is 2500 mm or 2600 mm, ±5 mm.", "limit: {car.wheelbase: [2500 mm, 2600 mm]}\ntolerance: ±5 mm"
    )
    (finding,) = case(rules, f"{{car.wheelbase: {length}}}").judge().findings
    assert (finding.verdict, str(finding.margin)) == (verdict, margin)


def test_own_tolerance_counts_for_its_dimension_only(case):
    """A reading's grant on lengths is none on angles, and keeps the general one from counting twice."""
    rules = clause(
        "5.9",
        "The width is at most 1800 mm, ±5 mm, the weight at most 900 kg.",
        "limit: {car.width: {max: 1800 mm}, car.weight: {max: 900 kg}}\ntolerance: ±5 mm",
    )
    width, weight = case(rules, "{car.width: 1803 mm, car.weight: 900.004 kg}").judge().findings
    assert (width.verdict, weight.verdict) == (Verdict.LEGAL, Verdict.ILLEGAL)


WIDE = clause("5.9", "The width is at most 1800 mm.", "limit: {car.width: {max: 1800 mm}}")
WIDE_STRICT = clause("5.9", "The width is under 1800 mm.", "limit: {car.width: {under: 1800 mm}}")
GUARDED = "decision: {rule: guarded, guard: 0.5 U}"
PROBABLE = "decision: {rule: probability, p: 0.9}"


@pytest.mark.parametrize(
    ("rule", "rules", "width", "verdict"),
    [
        ("decision: {rule: simple}", WIDE, "{value: 1799 mm, u: 4 mm, on: 2026-10-31}", Verdict.LEGAL),
        (GUARDED, WIDE, "{value: 1799 mm, u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        (GUARDED, WIDE, "{value: 1798 mm, u: 4 mm, on: 2026-10-31}", Verdict.LEGAL),
        (GUARDED, WIDE_STRICT, "{value: 1798 mm, u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        ("decision: {rule: guarded, guard: -0.5 U}", WIDE, "{value: 1802 mm, u: 4 mm, on: 2026-10-31}", Verdict.LEGAL),
        ("decision: {rule: guarded, guard: -0.5 U}", WIDE, "{value: 1803 mm, u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        # 1.2816 standard uncertainties of 2 mm inside: 0.9 (JCGM 106:2012, table 1).
        (PROBABLE, WIDE, "{value: 1797.4 mm, u: 4 mm, on: 2026-10-31}", Verdict.LEGAL),
        (PROBABLE, WIDE, "{value: 1797.5 mm, u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        ("decision: {rounding: limit}", WIDE, "{value: 1800.5 mm, u: 4 mm, on: 2026-10-31}", Verdict.LEGAL),
        ("decision: {rounding: limit, ties: up}", WIDE, "{value: 1800.5 mm, u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        # Nobody measured these: they are compared as they stand.
        (GUARDED, WIDE, "1800 mm", Verdict.LEGAL),
        ("decision: {rounding: limit}", WIDE, "1800.5 mm", Verdict.ILLEGAL),
        # Measured, and nobody knows how surely.
        (GUARDED, WIDE, "{value: 1790 mm, on: 2026-10-31}", Verdict.UNKNOWN),
        (PROBABLE, WIDE, "{value: 1790 mm, on: 2026-10-31}", Verdict.UNKNOWN),
        (GUARDED, WIDE, "{value: 1801 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        # One of the two sides is too near.
        (GUARDED, WIDE, "{value: [1790 mm, 1799 mm], u: 4 mm, on: 2026-10-31}", Verdict.ILLEGAL),
        # A mean of five readings, with s = 1 mm: its u is 0.45 mm.
        (GUARDED, WIDE, "{readings: [1798 mm, 1799 mm, 1799 mm, 1799 mm, 1800.3 mm], on: 2026-10-31}", Verdict.LEGAL),
    ],
)
def test_the_rule_of_the_body_decides_on_measured_values(case, rule, rules, width, verdict):
    """Simple, guarded and by probability; rounded first where the body says so; nothing is guessed."""
    (finding,) = case(rules, f"{{car.width: {width}}}", decision=rule).judge().findings
    assert finding.verdict is verdict
    assert (finding.needs == {Need.MEASURE}) is (verdict is Verdict.UNKNOWN)


@pytest.mark.parametrize(
    ("rule", "weight", "verdict"),
    [
        ("decision: {rule: simple}", "{value: 901 kg, u: 4 kg, on: 2026-10-31}", Verdict.LEGAL),
        (GUARDED, "{value: 901 kg, u: 4 kg, on: 2026-10-31}", Verdict.ILLEGAL),
        (GUARDED, "{value: 902 kg, u: 4 kg, on: 2026-10-31}", Verdict.LEGAL),
        (PROBABLE, "{value: 902.5 kg, u: 4 kg, on: 2026-10-31}", Verdict.ILLEGAL),
        (PROBABLE, "{value: 902.6 kg, u: 4 kg, on: 2026-10-31}", Verdict.LEGAL),
        ("decision: {rounding: limit}", "{value: 899.5 kg, u: 4 kg, on: 2026-10-31}", Verdict.LEGAL),
        (GUARDED, "{value: 1000 kg, on: 2026-10-31}", Verdict.UNKNOWN),
        (GUARDED, "900 kg", Verdict.LEGAL),
    ],
)
def test_the_rule_of_the_body_decides_on_the_weight(case, rule, weight, verdict):
    """The minimum weight is a limit as every other."""
    rules = clause("3.1", "The minimum weight is 900 kg.", "weight: {minimum: 900 kg}")
    (finding,) = case(rules, f"{{car.weight: {weight}}}", decision=rule).judge().findings
    assert finding.verdict is verdict
    assert (finding.needs == {Need.MEASURE}) is (verdict is Verdict.UNKNOWN)
