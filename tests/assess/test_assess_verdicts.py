"""Verdicts on a car: limits, conditions, replacement, confirmation, measuring, waivers."""

from __future__ import annotations

from datetime import date

import pytest
from support import clause

from rulewatch.model.impact import Need, Sort, Verdict

RIM = clause("5.2", "A rim is at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")


@pytest.mark.parametrize(
    ("spec", "verdict", "margin"),
    [
        ("{wheels.rear.rim_width: 9.5 in}", Verdict.LEGAL, "0.5 in"),
        ("{wheels.rear.rim_width: 254 mm}", Verdict.LEGAL, "0 in"),
        ("{wheels.rear.rim_width: 255 mm}", Verdict.ILLEGAL, None),
        ("{wheels.rear.rim_width: [9.5 in, 10.5 in]}", Verdict.ILLEGAL, "−0.5 in"),
        ("{}", Verdict.UNKNOWN, None),
    ],
)
def test_limit(case, spec, verdict, margin):
    """A limit holds at its bound, in any unit, for the worst of several instances; what is not stated is unknown."""
    finding = case(RIM, spec).judge().findings[0]
    assert finding.verdict is verdict
    assert finding.alone == {"5.2": verdict}
    if margin is not None:
        assert str(finding.margin) == margin
    if verdict is Verdict.UNKNOWN:
        assert finding.needs == {Need.MEASURE}
        assert finding.missing == ("wheels.rear.rim_width",)


def test_strict_bound_excludes_its_value(case):
    """`under` does not hold at the bound itself, though the margin is zero."""
    rules = clause("5.2", "A rim is under 10 in wide.", "limit: {wheels.rear.rim_width: {under: 10 in}}")
    finding = case(rules, "{wheels.rear.rim_width: 10 in}").judge().findings[0]
    assert finding.verdict is Verdict.ILLEGAL
    assert finding.margin is not None
    assert finding.margin.number == 0


WING = clause(
    "6.1",
    "A rear wing is at most 1400 mm wide.",
    "when: {aero.rear_wing: present}\nlimit: {aero.rear_wing.width: {max: 1400 mm}}",
)


@pytest.mark.parametrize(
    ("spec", "verdict", "applies"),
    [
        ("{aero.rear_wing: absent}", Verdict.LEGAL, False),
        ("{aero.rear_wing.width: 1500 mm}", Verdict.ILLEGAL, True),
        ("{aero.rear_wing: present}", Verdict.UNKNOWN, True),
        ("{}", Verdict.UNKNOWN, True),
    ],
)
def test_absent_part(case, spec, verdict, applies):
    """A limit on an absent part does not apply; a part with anything stated under it is there; an unstated part is unknown."""
    finding = case(WING, spec).judge().findings[0]
    assert (finding.verdict, finding.applies) == (verdict, applies)


@pytest.mark.parametrize(
    ("spec", "verdict"),
    [
        ("{towing.front: present}", Verdict.LEGAL),
        ("{towing.front: absent}", Verdict.ILLEGAL),
        ("{}", Verdict.UNKNOWN),
    ],
)
def test_present_fails_on_what_is_absent(case, spec, verdict):
    """`present` is the one constraint that an absent part fails."""
    rules = clause("9.1", "A towing eye is fitted in front.", "limit: {towing.front: present}")
    assert case(rules, spec).judge().verdict is verdict


@pytest.mark.parametrize(
    ("built", "rim", "verdict"),
    [
        ("car.built: 2019-05-01, ", "11 in", Verdict.LEGAL),
        ("car.built: 2026-01-01, ", "11 in", Verdict.ILLEGAL),
        ("", "11 in", Verdict.UNKNOWN),
        ("", "9 in", Verdict.LEGAL),
    ],
)
def test_unknown_condition(case, built, rim, verdict):
    """Under an unknown condition a limit is legal only if it holds anyway; dates grandfather."""
    rules = clause(
        "5.2",
        "The rims of cars built in 2026 or later are at most 10 in wide.",
        "when: {car.built: {min: 2026-01-01}}\nlimit: {wheels.rear.rim_width: {max: 10 in}}",
    )
    assert case(rules, f"{{{built}wheels.rear.rim_width: {rim}}}").judge().verdict is verdict


REPLACED = RIM + clause(
    "5.3",
    "Notwithstanding 5.2, cars with a rear wing may have rims of 11 in.",
    "when: {aero.rear_wing: present}\ninstead_of: ['5.2']\nlimit: {wheels.rear.rim_width: {max: 11 in}}",
)


@pytest.mark.parametrize(
    ("wing", "rim", "verdict"),
    [
        ("present", "10.5 in", Verdict.LEGAL),
        ("present", "11.5 in", Verdict.ILLEGAL),
        ("absent", "10.5 in", Verdict.ILLEGAL),
        (None, "10.5 in", Verdict.UNKNOWN),
        (None, "9.5 in", Verdict.LEGAL),
    ],
)
def test_instead_of(case, wing, rim, verdict):
    """Where its condition holds, a reading stands in another clause's stead; where that is unknown, both must hold."""
    spec = f"{{wheels.rear.rim_width: {rim}" + (f", aero.rear_wing: {wing}}}" if wing else "}")
    assert case(REPLACED, spec).judge().verdict is verdict


def test_replaced_clause_keeps_its_verdict_alone(case):
    """A clause that is replaced is illegal alone, legal in the book."""
    finding = case(REPLACED, "{wheels.rear.rim_width: 10.5 in, aero.rear_wing: present}").judge().of_clauses(["5.2"])[0]
    assert (finding.verdict, finding.alone["5.2"]) == (Verdict.LEGAL, Verdict.ILLEGAL)
    assert finding.why == "replaced by 5.3"


@pytest.mark.parametrize(("rim", "verdict"), [("9 in", Verdict.UNKNOWN), ("11 in", Verdict.ILLEGAL)])
def test_unconfirmed_reading(case, rim, verdict):
    """A reading that nobody confirmed never makes a car legal, but shows what is illegal by it."""
    finding = case(RIM, f"{{wheels.rear.rim_width: {rim}}}", unconfirmed=("5.2",)).judge().findings[0]
    assert finding.verdict is verdict
    assert finding.needs == ({Need.READ} if verdict is Verdict.UNKNOWN else set())


def test_unconfirmed_replacement_leaves_the_old_limit_in_doubt(case):
    """A replacement that nobody confirmed lifts no limit for certain."""
    book = case(REPLACED, "{wheels.rear.rim_width: 10.5 in, aero.rear_wing: present}", unconfirmed=("5.3",))
    assert book.judge().of_clauses(["5.2"])[0].verdict is Verdict.UNKNOWN


def test_open_question(case):
    """An unanswered question to the officials makes legal unknown; an answer settles it."""
    ask = "limit: {wheels.rear.rim_width: {max: 10 in}}\nask: Inside or outside the lips?"
    rules = clause("5.2", "A rim is at most 10 in wide.", ask)
    assert case(rules, "{wheels.rear.rim_width: 9 in}").judge().verdict is Verdict.UNKNOWN
    answered = clause("5.2", "A rim is at most 10 in wide.", f"{ask}\nanswered: {{on: 2027-02-01, by: the inspector}}")
    assert case(answered, "{wheels.rear.rim_width: 9 in}").judge().verdict is Verdict.LEGAL


@pytest.mark.parametrize(
    ("taken", "verdict"),
    [
        ("driver: yes, fuel: as finished", Verdict.LEGAL),
        ("driver: no, fuel: as finished", Verdict.UNKNOWN),
        ("driver: yes", Verdict.UNKNOWN),
    ],
)
def test_measured_otherwise(case, taken, verdict):
    """A value measured under other conditions than the book asks for is unknown for that limit."""
    rules = clause(
        "5.9",
        "The ride height is at least 50 mm, measured with driver and with the fuel as finished.",
        "limit: {car.ground_clearance: {min: 50 mm}}\nmeasured: {driver: yes, fuel: as finished}",
    )
    spec = f"{{car.ground_clearance: {{value: 55 mm, u: 1 mm, on: 2027-03-01, by: ina, with: {{{taken}}}}}}}"
    assert case(rules, spec).judge().verdict is verdict


@pytest.mark.parametrize(
    ("said", "verdict"), [("55 mm", Verdict.UNKNOWN), ("{value: 55 mm, with: {driver: yes}}", Verdict.LEGAL)]
)
def test_declared_value_says_what_it_is_declared_for(case, said, verdict):
    """A value that is only declared satisfies a rule on how to measure only if it says under what it holds."""
    rules = clause(
        "5.9",
        "The ride height is at least 50 mm, measured with driver.",
        "limit: {car.ground_clearance: {min: 50 mm}}\nmeasured: {driver: yes}",
    )
    assert case(rules, f"{{car.ground_clearance: {said}}}").judge().verdict is verdict


def test_what_may_replace_a_limit_asks_for_its_own_values(case):
    """Where it is unknown whether another clause replaces a limit, the value that would tell is asked for, not a reading."""
    finding = case(REPLACED, "{wheels.rear.rim_width: 10.5 in}").judge().of_clauses(["5.2"])[0]
    assert finding.needs == {Need.MEASURE}
    assert finding.missing == ("aero.rear_wing",)
    assert finding.why.endswith("perhaps replaced by 5.3 (not stated: rear wing)")


def test_tolerance_counts_once(case):
    """A reading's own tolerance counts instead of the edition's general one, never on top of it."""
    rules = clause(
        "5.2", "A rim is at most 254 mm wide, ±2 mm.", "limit: {wheels.rear.rim_width: {max: 254 mm}}\ntolerance: ±2 mm"
    )
    both = case(rules, "{wheels.rear.rim_width: 257 mm}", header="tolerance: ±3 mm\n").judge().findings[0]
    assert both.verdict is Verdict.ILLEGAL
    assert str(both.margin) == "−1 mm"
    general = case(RIM, "{wheels.rear.rim_width: 257 mm}", header="tolerance: ±3 mm\n").judge().findings[0]
    assert general.verdict is Verdict.LEGAL


WAIVER = "[{clause: '5.2', limit: {wheels.rear.rim_width: {max: 11 in}}, until: 2027-06-30, paper: W-12}]"


@pytest.mark.parametrize(
    ("rim", "day", "verdict"),
    [
        ("10.5 in", date(2027, 6, 30), Verdict.LEGAL),
        ("10.5 in", date(2027, 7, 1), Verdict.ILLEGAL),
        ("11.5 in", date(2027, 6, 30), Verdict.ILLEGAL),
    ],
)
def test_waiver(case, rim, day, verdict):
    """A waiver stands in a clause's stead for this car until its last day, and its end is a breach."""
    assert case(RIM, f"{{wheels.rear.rim_width: {rim}}}", waivers=WAIVER).judge(day).verdict is verdict


@pytest.mark.parametrize(("season", "verdict"), [("2027", Verdict.LEGAL), ("2026", Verdict.ILLEGAL)])
def test_waiver_of_another_season(case, season, verdict):
    """A waiver that names its season says nothing of the same number in another one: numbers are used again."""
    waivers = WAIVER.replace("until", f"season: {season}, until")
    assert case(RIM, "{wheels.rear.rim_width: 10.5 in}", waivers=waivers).judge(date(2027, 6, 1)).verdict is verdict


@pytest.mark.parametrize(
    ("scope", "count"),
    [("classes: [touring-c]\n", 0), ("from: 2027-05-01\n", 0), ("until: 2027-04-10\n", 1), ("classes: [silhouette-b]\n", 1)],
)
def test_scope(case, scope, count):
    """A reading of another class or another time asks nothing."""
    rules = clause("5.2", "A rim is at most 10 in wide.", f"{scope}limit: {{wheels.rear.rim_width: {{max: 10 in}}}}")
    assert len(case(rules, "{wheels.rear.rim_width: 12 in}").judge().findings) == count


@pytest.mark.parametrize(
    ("capacity", "rim", "verdict"),
    [
        ("2000 cc", "9 in", Verdict.LEGAL),
        ("2001 cc", "9 in", Verdict.ILLEGAL),
        ("2001 cc", "8 in", Verdict.LEGAL),
        ("2600 cc", "6 in", Verdict.ILLEGAL),
    ],
)
def test_steps_include_their_edge(case, capacity, rim, verdict):
    """Steps hold up to and including their edge; beyond the last one nothing is legal."""
    rules = clause(
        "5.2",
        "Rims: up to 2000 cc 9 in, up to 2500 cc 8 in.",
        "limit: {wheels.rear.rim_width: {max: {by: engine.capacity, steps: [[2000 cc, 9 in], [2500 cc, 8 in]]}}}",
    )
    assert case(rules, f"{{engine.capacity: {capacity}, wheels.rear.rim_width: {rim}}}").judge().verdict is verdict


def test_bound_from_the_homologated_sheet(case):
    """A bound may lean on the model's reference sheet; where the sheet is silent the verdict is unknown."""
    rules = clause(
        "5.4",
        "The track may exceed the homologated one by 30 mm.",
        "limit: {car.track_rear: {max: {of: homologated.car.track_rear, plus: 30 mm}}}",
    )
    spec = "{car.track_rear: 1530 mm}"
    assert case(rules, spec, homologated="{car.track_rear: 1500 mm}").judge().verdict is Verdict.LEGAL
    assert case(rules, spec, homologated="{car.track_rear: 1499 mm}").judge().verdict is Verdict.ILLEGAL
    silent = case(rules, spec).judge().findings[0]
    assert silent.verdict is Verdict.UNKNOWN
    assert silent.missing == ("homologated.car.track_rear",)


def test_any_and_not(case):
    """`any` needs one part, `not` turns a condition round, and both nest."""
    rules = clause(
        "5.2",
        "Rims of 10 in at most, but for cars with a wing, or of under 900 kg without a turbocharger.",
        "when: {not: {any: [{aero.rear_wing: present}, {car.weight: {under: 900 kg}, engine.turbo: absent}]}}\n"
        "limit: {wheels.rear.rim_width: {max: 10 in}}",
    )
    rim = "wheels.rear.rim_width: 11 in"
    assert case(rules, f"{{{rim}, aero.rear_wing: absent, car.weight: 950 kg}}").judge().verdict is Verdict.ILLEGAL
    assert case(rules, f"{{{rim}, aero.rear_wing: present}}").judge().verdict is Verdict.LEGAL
    assert case(rules, f"{{{rim}, aero.rear_wing: absent, car.weight: 850 kg}}").judge().verdict is Verdict.UNKNOWN
    assert (
        case(rules, f"{{{rim}, aero.rear_wing: absent, car.weight: 850 kg, engine.turbo: absent}}").judge().verdict
        is Verdict.LEGAL
    )


def test_sorts(case):
    """Each finding says what sort of requirement it is about."""
    findings = case(RIM, "{wheels.rear.rim_width: 10.5 in}", waivers=WAIVER).judge().findings
    assert [finding.sort for finding in findings] == [Sort.LIMIT, Sort.WAIVER]


@pytest.mark.parametrize(
    ("sheet", "verdict"),
    [("sequential", Verdict.LEGAL), ("dog", Verdict.ILLEGAL), (None, Verdict.UNKNOWN)],
)
def test_standard_word(case, sheet, verdict):
    """A limit to the standard value compares words as well as amounts; a silent sheet leaves it unknown."""
    rules = clause("5.5", "The gearbox shall be the standard one.", "limit: {drivetrain.gearbox.kind: standard}")
    standard = f"{{drivetrain.gearbox.kind: {sheet}}}" if sheet else "{}"
    assert case(rules, "{drivetrain.gearbox.kind: sequential}", standard=standard).judge().verdict is verdict


def test_unread_clause_is_never_a_pass(case):
    """A clause without a reading leaves the book unknown; also one on a part that the car lacks, for it may ask for that part."""
    rules = RIM + clause("6.1", "A rear wing is of one piece.")
    book = case(rules, "{wheels.rear.rim_width: 9 in, aero.rear_wing: present}").judge()
    assert book.verdict is Verdict.UNKNOWN
    assert [finding.sort for finding in book.findings] == [Sort.LIMIT, Sort.UNREAD]
    assert case(rules, "{wheels.rear.rim_width: 9 in, aero.rear_wing: absent}").judge().verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    ("length", "verdict", "margin"), [("2512 mm", Verdict.LEGAL, "17 mm"), ("2536 mm", Verdict.ILLEGAL, "−1 mm")]
)
def test_standard_amount_with_a_tolerance(case, length, verdict, margin):
    """The standard value with a tolerance is a range around it, with a margin."""
    rules = clause("8.1", "The wheelbase is the standard one, ±20 mm.", "limit: {car.wheelbase: standard}\ntolerance: ±20 mm")
    finding = case(rules, f"{{car.wheelbase: {length}}}", standard="{car.wheelbase: 2515 mm}").judge().findings[0]
    assert (finding.verdict, str(finding.margin)) == (verdict, margin)


@pytest.mark.parametrize(
    ("limit", "told"),
    [("{wheels.rear.rim_width: {max: 9 in}}", True), ("{wheels.front.rim_width: {max: 9 in}}", False)],
)
def test_waiver_of_a_number_that_another_rule_has_is_no_word_on_the_car(case, limit, told):
    """A paper on the rear rims says nothing where its number is that of a rule on the front rims."""
    rules = clause("5.2", "Rims are at most 9 in wide.", f"limit: {limit}")
    findings = case(rules, "{wheels.rear.rim_width: 10.5 in, wheels.front.rim_width: 8 in}", waivers=WAIVER).judge().findings
    assert any(finding.sort is Sort.WAIVER for finding in findings) is told


WIDE = """# 1 Width

The width is at most 1900 mm{words}.

```reading
limit: {{car.width: {{max: 1900 mm}}}}
{more}
```
"""
WIDER = "[{clause: '1', limit: {car.width: {max: 1915 mm}}, until: 2027-06-30, paper: W-1}]"


@pytest.mark.parametrize(("driver", "verdict"), [("yes", Verdict.LEGAL), ("no", Verdict.UNKNOWN)])
def test_a_waiver_leaves_how_its_clause_wants_the_value_taken(case, driver, verdict):
    """A width that was taken without the driver, where the clause wants it with, is as little known under the paper."""
    rules = WIDE.format(words=", with the driver", more="measured: {driver: yes}")
    spec = f"{{car.width: {{value: 1910 mm, on: 2027-02-01, by: crew, with: {{driver: '{driver}'}}}}}}"
    assert case(rules, spec, waivers=WIDER).judge().verdict is verdict


@pytest.mark.parametrize(
    ("turbo", "unconfirmed", "verdict"),
    [("present", (), Verdict.ILLEGAL), ("absent", (), Verdict.LEGAL), ("absent", ("1",), Verdict.UNKNOWN)],
)
def test_a_waiver_asks_nothing_where_its_clause_does_not_apply(case, turbo, unconfirmed, verdict):
    """A paper for cars with a turbo binds no other; but that the clause is for those must have been confirmed."""
    rules = WIDE.format(words=" for a car with a turbo", more="when: {engine.turbo: present}")
    found = case(rules, f"{{car.width: 1950 mm, engine.turbo: {turbo}}}", waivers=WIDER, unconfirmed=unconfirmed).judge()
    assert found.verdict is verdict


def test_a_waiver_of_a_condition_that_is_not_known(case):
    """Whether the clause binds the car at all is then missing, and said."""
    rules = WIDE.format(words=" for a car with a turbo", more="when: {engine.turbo: present}")
    (finding,) = [one for one in case(rules, "{car.width: 1950 mm}", waivers=WIDER).judge().findings if one.sort is Sort.WAIVER]
    assert (finding.verdict, finding.missing) == (Verdict.UNKNOWN, ("engine.turbo",))
    assert "not stated" in finding.why


def test_a_waiver_asks_nothing_of_another_class(case):
    """A clause of another class binds the car as little under a paper."""
    rules = WIDE.format(words=" in touring C", more="classes: [touring-c]")
    assert case(rules, "{car.width: 1950 mm}", waivers=WIDER).judge().verdict is Verdict.LEGAL


def test_no_tolerance_is_added_to_a_waiver(case):
    """The paper says by how much: what the book grants on its own limits is not on top of it."""
    rules = WIDE.format(words=", ±5 mm", more="tolerance: ±5 mm")
    assert case(rules, "{car.width: 1918 mm}", waivers=WIDER).judge().verdict is Verdict.ILLEGAL
