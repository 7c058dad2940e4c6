"""What the whole book says differently: exemptions that go, and what no change of a clause accounts for."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.model.impact import Outcome, Verdict

NARROW = clause("5.1", "The rear rim is at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
OLD_CARS = "{wheels.rear.rim_width: 12 in, car.built: 2005-01-01}"


def exemption(until: str, target: str = "5.1", *, number: str = "5.2") -> str:
    """A clause that frees older cars of another."""
    return clause(
        number,
        f"Cars built before {until} are free of the rule in {target}.",
        f"when: {{car.built: {{under: {until}}}}}\ninstead_of: ['{target}']",
    )


def by_outcome(impacts, outcome):
    """The one impact of an outcome."""
    (found,) = [impact for impact in impacts if impact.outcome is outcome]
    return found


def test_exemption_that_goes_is_a_breach(change):
    """Whoever was free of a limit, and no longer is, has to meet it; the limit itself did not change."""
    (impact,) = change(NARROW + exemption("2010-01-01"), NARROW, OLD_CARS)
    assert (impact.outcome, impact.old, impact.new) == (Outcome.BREACH, ("5.2",), ())
    assert (impact.before.verdict, impact.after.verdict) == (Verdict.LEGAL, Verdict.ILLEGAL)
    assert impact.job == "Bring rear rim width to: at most 10 in (5.1)"


def test_exemption_that_narrows_is_a_breach(change):
    """The date of a grandfathering that moves past the car takes the exemption from it; back again cures."""
    wide, narrow = NARROW + exemption("2010-01-01"), NARROW + exemption("2000-01-01")
    assert [one.outcome for one in change(wide, narrow, OLD_CARS)] == [Outcome.BREACH]
    assert [one.outcome for one in change(narrow, wide, OLD_CARS)] == [Outcome.CURED]


def test_exemption_from_the_weight_that_goes_is_a_breach(change):
    """So with the minimum weight, which has one impact of its own."""
    base = clause("3.1", "Cars weigh at least 900 kg.", "weight: {minimum: 900 kg}")
    found = change(base + exemption("2010-01-01", "3.1", number="3.2"), base, "{car.weight: 800 kg, car.built: 2005-01-01}")
    weight = by_outcome(found, Outcome.BREACH)
    assert (weight.subject, weight.old, weight.new) == ("car.weight", (), ("3.1",))
    assert [one.why for one in found if one is not weight] == ["counts in the minimum weight, which has an entry of its own"]


SAME = clause("7.1", "Only what is permitted may be altered.", "concerns: officials")


def test_scope_that_closes_without_a_word(change):
    """A scope closed in edition.yaml alone stands by itself, once for the scope."""
    (impact,) = change(
        SAME,
        SAME,
        "{car.wheelbase: 2600 mm}",
        standard="{car.wheelbase: 2500 mm}",
        headers=("", "closed: [{scope: car.wheelbase, clause: '7.1'}]\n"),
    )
    assert (impact.outcome, impact.subject, impact.change) == (Outcome.BREACH, "car.wheelbase", None)
    assert impact.new == ("7.1",)
    assert impact.why.startswith("no change of a clause accounts for this: ")


def test_subjects_of_one_scope_go_together(change):
    """A scope with many parts that nobody stated makes one impact, not dozens."""
    spec = "{aero.rear_wing: present, aero.rear_wing.gurney: present}"
    (impact,) = change(SAME, SAME, spec, headers=("", "closed: [{scope: aero.rear_wing, clause: '7.1'}]\n"))
    assert impact.outcome is Outcome.MEASURE
    assert "more of the same" in impact.why


LENGTH = clause("7.2", "The wheelbase is at most 2500 mm.", "limit: {car.wheelbase: {max: 2500 mm}}")


@pytest.mark.parametrize(
    ("length", "outcomes"),
    [("2503 mm", [Outcome.BREACH]), ("2490 mm", [Outcome.TIGHTER]), ("2506 mm", [])],
)
def test_general_tolerance_that_goes(change, length, outcomes):
    """Without the general tolerance a car over the bound is illegal, one below has less room; what was illegal is no news."""
    found = change(LENGTH, LENGTH, f"{{car.wheelbase: {length}}}", headers=("tolerance: ±5 mm\n", ""))
    assert [one.outcome for one in found] == outcomes
    assert all(one.change is None for one in found)


def test_reading_that_ended(change):
    """A text that says what holds from when changes nothing in words, and everything for the car."""
    text = clause(
        "5.1",
        "Until 2026-12-31 a rear rim is at most 12 in wide, from 2027-01-01 10 in.",
        "limit: {wheels.rear.rim_width: {max: 12 in}}\nuntil: 2026-12-31",
        "limit: {wheels.rear.rim_width: {max: 10 in}}\nfrom: 2027-01-01",
    )
    (impact,) = change(text, text, "{wheels.rear.rim_width: 11 in}")
    assert (impact.outcome, impact.old, impact.new) == (Outcome.BREACH, ("5.1",), ("5.1",))


def test_what_is_read_otherwise_says_so(change):
    """A reading that changed under the same text is no change of the rules; it is told as what it is."""
    text = "The rear rim is at most 10 in wide, or 12 in."
    sides = (
        clause("5.1", text, f"limit: {{wheels.rear.rim_width: {{max: {width} in}}}}\nnoted: [{22 - width} in]")
        for width in (12, 10)
    )
    (impact,) = change(*sides, "{wheels.rear.rim_width: 11 in}")
    assert (impact.outcome, impact.change) == (Outcome.BREACH, None)
    assert impact.why.startswith("no clause changed, but 5.1 is read otherwise: ")


def test_confirmation_that_went(change):
    """A paper clause that was confirmed and no longer is waits to be read, though its text is the same."""
    (impact,) = change(SAME, SAME, "{}", unconfirmed=("7.1",))
    assert (impact.outcome, impact.new, impact.change) == (Outcome.READ, ("7.1",), None)
    assert change(SAME, SAME, "{}", unconfirmed=("7.1",), unconfirmed_before=("7.1",)) == ()


def test_renumbering_is_not_blamed(change):
    """A clause that only got another number does not bring what a tolerance that went brings."""
    found = change(LENGTH, LENGTH.replace("7.2", "7.3"), "{car.wheelbase: 2503 mm}", headers=("tolerance: ±5 mm\n", ""))
    assert {(one.outcome, one.change is None) for one in found} == {(Outcome.BREACH, True), (Outcome.NONE, False)}


RIM11 = "{wheels.rear.rim_width: 10.5 in}"
BOTH = [
    clause(
        "5.1",
        f"Rims: {width} in; in touring cars 9 in.",
        f"classes: [silhouette-b]\nlimit: {{wheels.rear.rim_width: {{max: {width} in}}}}\nnoted: [9 in]",
        f"classes: [touring-c]\nlimit: {{wheels.rear.rim_width: {{max: 9 in}}}}\nnoted: [{width} in]",
    )
    for width in (11, 10)
]


@pytest.mark.parametrize(
    ("earlier", "outcome", "before"),
    [
        ("{body: saltmarsh, class: touring-c, until: 2026-12-31}", Outcome.STILL_IN_BREACH, Verdict.ILLEGAL),
        ("{body: saltmarsh, class: silhouette-b, until: 2026-12-31}", Outcome.BREACH, Verdict.LEGAL),
        ("{body: saltmarsh, class: touring-c}", Outcome.BREACH, Verdict.UNKNOWN),
        ("{body: saltmarsh, class: touring-c, from: 2027-02-01}", Outcome.BREACH, Verdict.UNKNOWN),
    ],
)
def test_before_is_the_class_that_the_car_ran_in(change, earlier, outcome, before):
    """Before an entry began its car is judged in the class that it left; in none, nothing is known of before."""
    entries = f"{{body: saltmarsh, class: silhouette-b, from: 2027-01-01}}, {earlier}"
    (impact,) = change(*BOTH, RIM11, entries=entries)
    assert (impact.outcome, impact.before.verdict) == (outcome, before)
    assert ("not entered before" in impact.why) is (before is Verdict.UNKNOWN)


def test_what_is_legal_in_a_class_that_is_new_is_no_news(change):
    """A class that the old book did not have: what the car meets is neither cured nor roomier; what it misses is a breach."""
    old = "classes: [touring-c]\n"
    plain = [
        clause("5.1", f"Rims: {width} in.", f"limit: {{wheels.rear.rim_width: {{max: {width} in}}}}") for width in (11, 10)
    ]
    (impact,) = change(*plain, "{wheels.rear.rim_width: 9 in}", headers=(old, ""))
    assert (impact.outcome, impact.before.verdict) == (Outcome.NONE, Verdict.UNKNOWN)
    (impact,) = change(plain[0], plain[0], "{wheels.rear.rim_width: 12 in}", headers=(old, ""))
    assert (impact.outcome, impact.change) == (Outcome.BREACH, None)
