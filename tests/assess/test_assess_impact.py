"""Impacts: the table of transitions, and each outcome on a small book."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from support import BODY, clause, confirm

from rulewatch.assess.impact import impacts
from rulewatch.assess.outcome import Room, outcomes
from rulewatch.assess.verdicts import judge
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point
from rulewatch.model.impact import Need, Outcome, Verdict
from rulewatch.model.quantity import Amount

LEGAL, ILLEGAL, UNKNOWN = Verdict.LEGAL, Verdict.ILLEGAL, Verdict.UNKNOWN
SMALL, LARGE = (Room(margin=Amount(number=Fraction(number)), bounded=True) for number in (1, 2))
OPEN, BOUND = Room(), Room(bounded=True)


@pytest.mark.parametrize(
    ("before", "after", "needs", "outcome"),
    [
        (LEGAL, ILLEGAL, (), [Outcome.BREACH]),
        (UNKNOWN, ILLEGAL, (), [Outcome.BREACH]),
        (ILLEGAL, ILLEGAL, (), [Outcome.STILL_IN_BREACH]),
        (ILLEGAL, LEGAL, (), [Outcome.CURED]),
        (UNKNOWN, LEGAL, (), [Outcome.CURED]),
        (LEGAL, LEGAL, (), []),
        *((before, UNKNOWN, (Need.MEASURE,), [Outcome.MEASURE]) for before in Verdict),
        *((before, UNKNOWN, (Need.READ,), [Outcome.READ]) for before in Verdict),
        *((before, UNKNOWN, (Need.READ, Need.MEASURE), [Outcome.MEASURE, Outcome.READ]) for before in Verdict),
    ],
)
def test_transitions(before, after, needs, outcome):
    """Every verdict before and after gives its outcome."""
    assert list(outcomes(before, after, needs=frozenset(needs))) == outcome


@pytest.mark.parametrize(
    ("before", "after", "outcome"),
    [
        (SMALL, SMALL, []),
        (SMALL, LARGE, [Outcome.ROOMIER]),
        (LARGE, SMALL, [Outcome.TIGHTER]),
        (OPEN, SMALL, [Outcome.TIGHTER]),
        (SMALL, OPEN, [Outcome.ROOMIER]),
        (OPEN, OPEN, []),
        *((BOUND, other, []) for other in (OPEN, BOUND, SMALL)),
        *((other, BOUND, []) for other in (OPEN, SMALL)),
    ],
)
def test_margins(before, after, outcome):
    """Legal on both sides, the margins decide; no limit is room without end, and a bound without a measure tells nothing."""
    assert list(outcomes(LEGAL, LEGAL, had=before, has=after)) == outcome


@pytest.mark.parametrize(("before", "after"), list(product((LEGAL, ILLEGAL, UNKNOWN), (ILLEGAL, UNKNOWN))))
def test_margins_decide_nothing_else(before, after):
    """Where a side is not legal, more room is never the news."""
    found = outcomes(before, after, had=SMALL, has=LARGE)
    assert not {Outcome.ROOMIER, Outcome.TIGHTER, Outcome.CURED}.intersection(found)


@pytest.fixture
def change(memory_workspace):
    """The impacts on a car of a change from one book to another, every reading confirmed but those named."""

    def made(old: str, new: str, spec: str, *, standard: str = "", header: str = "", unconfirmed: tuple[str, ...] = ()):
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, text in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\neffective: {season}-01-01\n{header}"
            files[f"rulesets/saltmarsh/{season}/01-rules.md"] = text
        sheet = f"standard: {standard}\n" if standard else ""
        files["cars/heron/car.yaml"] = (
            f"name: Heron\nentries: [{{body: saltmarsh, class: silhouette-b}}]\nspec: {spec}\n{sheet}"
        )
        workspace = memory_workspace(files)
        before, after = (workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027"))
        car = workspace.car("heron")
        assert workspace.faults == ()
        before, after = confirm(before), confirm(after, but=unconfirmed)
        sides = [judge(edition, car, car.entries[0], edition.day, workspace.vocabulary) for edition in (before, after)]
        return impacts(compare_editions(before, after), *sides, workspace.vocabulary)

    return made


def rims(width: str, *, number: str = "5.2", more: str = "") -> str:
    """A clause that limits the rear rims."""
    return clause(number, f"Rear rims are at most {width} wide.{more}", f"limit: {{wheels.rear.rim_width: {{max: {width}}}}}")


@pytest.mark.parametrize(
    ("old", "new", "car", "outcome", "margins"),
    [
        ("10 in", "9 in", "10 in", Outcome.BREACH, ("0 in", "−1 in")),
        ("9 in", "8 in", "10 in", Outcome.STILL_IN_BREACH, ("−1 in", "−2 in")),
        ("9 in", "10 in", "10 in", Outcome.CURED, ("−1 in", "0 in")),
        ("11 in", "10 in", "10 in", Outcome.TIGHTER, ("1 in", "0 in")),
        ("10 in", "11 in", "10 in", Outcome.ROOMIER, ("0 in", "1 in")),
        ("10 in", "254 mm", "10 in", Outcome.NONE, ("0 in", "0 mm")),
    ],
)
def test_outcome_of_a_moved_limit(change, old, new, car, outcome, margins):  # noqa: PLR0917 - one argument a column
    """A limit that moved gives its outcome, with both margins in the limit's unit."""
    (impact,) = change(rims(old), rims(new), f"{{wheels.rear.rim_width: {car}}}")
    assert impact.outcome is outcome
    assert (str(impact.before.margin), str(impact.after.margin)) == margins
    assert bool(impact.job) is (outcome is not Outcome.NONE)


def test_measure(change):
    """A value that is missing is to be measured."""
    (impact,) = change(rims("10 in"), rims("11 in"), "{wheels.front.rim_width: 9 in}")
    assert impact.outcome is Outcome.MEASURE
    assert impact.job == "Measure or state rear rim width (5.2)"


def test_read_what_is_not_confirmed(change):
    """A change whose reading nobody confirmed is to be read; a breach by it comes first, with the reading beside it."""
    (impact,) = change(rims("10 in"), rims("11 in"), "{wheels.rear.rim_width: 10 in}", unconfirmed=("5.2",))
    assert impact.outcome is Outcome.READ
    (impact,) = change(rims("10 in"), rims("9 in"), "{wheels.rear.rim_width: 10 in}", unconfirmed=("5.2",))
    assert (impact.outcome, impact.also) == (Outcome.BREACH, (Outcome.READ,))


def test_read_only_what_the_car_has(change):
    """A clause without a reading reaches the crew only if it may concern the car."""
    old, new = clause("6.1", "A rear wing is of one piece."), clause("6.1", "A rear wing is of one or two pieces.")
    (impact,) = change(old, new, "{aero.rear_wing: present}")
    assert impact.outcome is Outcome.READ
    (impact,) = change(old, new, "{aero.rear_wing: absent}")
    assert (impact.outcome, impact.why) == (Outcome.NONE, "speaks of what the car does not have: rear wing")


def test_none_says_why(change):
    """A change without effect says why it has none."""
    spec = "{wheels.rear.rim_width: 9 in}"
    (impact,) = change(rims("10 in"), rims("10 in", number="5.3"), spec)
    assert impact.why == "only its number or place changed"
    (impact,) = change(rims("10 in"), rims("10 in", more=" They are round."), spec)
    assert impact.why == "Rear rim width: 9 in, must be at most 10 in, as before"
    papers = (
        clause("2.1", "Entries close on Monday.", "concerns: paperwork"),
        clause("2.1", "Entries close on Friday.", "concerns: paperwork"),
    )
    (impact,) = change(*papers, spec)
    assert impact.why == "concerns the paperwork, not the car"


def test_whole_book_decides(change):
    """A limit that is lifted in one clause and stands in another cures nothing, and both verdicts are kept."""
    other = clause("7.1", "No wheel is wider than 9.5 in.", "limit: {wheels.rear.rim_width: {max: 9.5 in}}")
    (impact,) = change(rims("9 in") + other, rims("10 in") + other, "{wheels.rear.rim_width: 10 in}")
    assert impact.outcome is Outcome.STILL_IN_BREACH
    assert (impact.after.verdict, impact.after.alone) == (Verdict.ILLEGAL, Verdict.LEGAL)


WINGLESS = clause("6.1", "Only what this chapter permits may be altered.", "concerns: officials")
WINGED = WINGLESS + clause(
    "6.2",
    "A rear wing is permitted. It adds 20 kg to the minimum weight.",
    "allow: {aero.rear_wing: present}",
    "when: {aero.rear_wing: present}\nweight: {add: 20 kg}",
)
BASE = clause("4.1", "The minimum weight is 900 kg.", "weight: {minimum: 900 kg}")


def test_permission_at_a_price(change):
    """What was forbidden and is allowed at a penalty: the wing is cured, and the weight tells what it costs, in one impact."""
    found = change(
        BASE + WINGLESS,
        BASE + WINGED,
        "{aero.rear_wing: present, aero.rear_wing.width: 1200 mm, car.weight: 910 kg}",
        standard="{aero.rear_wing: absent}",
        header="closed: [{scope: aero.rear_wing, clause: '6.1'}]\n",
    )
    by_outcome = {impact.outcome: impact for impact in found}
    weight, wing = by_outcome[Outcome.BREACH], by_outcome[Outcome.CURED]
    assert (weight.old, weight.new, weight.subject) == (("4.1",), ("4.1", "6.2"), "car.weight")
    assert (str(weight.before.margin), str(weight.after.margin)) == ("10 kg", "−10 kg")
    assert (wing.new, wing.before.verdict, wing.after.verdict) == (("6.2",), Verdict.ILLEGAL, Verdict.LEGAL)


def test_same_book_has_no_impact(change):
    """A book compared with itself does nothing to anybody."""
    assert change(BASE + WINGED, BASE + WINGED, "{aero.rear_wing: present}") == ()
