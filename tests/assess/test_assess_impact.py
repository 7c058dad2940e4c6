"""Impacts: the table of transitions, and each outcome on a small book."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from support import clause

from rulewatch.assess.outcome import Room, outcomes
from rulewatch.assess.unread import waiting
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Effect
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


def test_margin_of_what_does_not_apply_is_none(change):
    """A nearer limit under a condition that does not hold is no margin of the car's."""
    near = clause(
        "5.4",
        "With a turbocharger rims are at most 9.5 in wide.",
        "when: {engine.turbo: present}\nlimit: {wheels.rear.rim_width: {max: 9.5 in}}",
    )
    (impact,) = change(rims("12 in") + near, rims("11 in") + near, "{wheels.rear.rim_width: 9 in, engine.turbo: absent}")
    assert (str(impact.before.margin), str(impact.after.margin)) == ("3 in", "2 in")
    found = change(near, near + rims("11 in"), "{wheels.rear.rim_width: 9 in, engine.turbo: absent}")
    assert [one.outcome for one in found] == [Outcome.TIGHTER]  # nothing bounded the car before


def test_closing_clause_speaks_of_what_it_opens_or_closes(change):
    """A closing clause in other words decides nothing about what was closed before and is closed now."""
    reworded = WINGLESS.replace("this chapter", "this whole chapter")
    header = "closed: [{scope: aero.rear_wing, clause: '6.1'}]\n"
    (impact,) = change(WINGLESS, reworded, "{aero.rear_wing: present}", standard="{aero.rear_wing: absent}", header=header)
    assert (impact.outcome, impact.why) == (Outcome.NONE, "concerns the officials, not the car")


def test_limit_that_is_repealed_tells_of_its_subject(change):
    """Only the old side speaks of a limit that went."""
    (impact,) = change(rims("9 in") + BASE, BASE, "{wheels.rear.rim_width: 10 in, car.weight: 950 kg}")
    assert (impact.outcome, impact.old, impact.subject) == (Outcome.CURED, ("5.2",), "wheels.rear.rim_width")


def test_reading_of_another_class_gives_no_subject(change):
    """What another class has to do is not told of this car, whatever else limits it."""
    other = [
        clause("5.3", f"In touring cars {width}.", f"classes: [touring-c]\nlimit: {{wheels.rear.rim_width: {{max: {width}}}}}")
        for width in ("8 in", "7 in")
    ]
    first, second = (rims("9 in") + one for one in other)
    (impact,) = change(first, second, "{wheels.rear.rim_width: 10 in}")
    assert (impact.outcome, impact.why) == (Outcome.NONE, "does not apply to silhouette-b on 2027-04-10")


def test_renumbered_weight_is_no_news(change):
    """A weight clause that only got another number gives the weight no impact."""
    found = change(BASE, BASE.replace("4.1", "4.2"), "{car.weight: 950 kg}")
    assert [(one.outcome, one.subject) for one in found] == [(Outcome.NONE, "")]


def test_weight_clause_is_known_by_its_own_side(change):
    """A number that was the weight's and is another rule's now counts for the weight on the old side alone."""
    old = BASE + clause("4.3", "Towing eyes are red in front and behind.", "concerns: officials")
    new = clause("4.1", "Towing eyes are blue in front and behind.", "concerns: officials") + BASE.replace("4.1", "4.3")
    found = change(old, new, "{car.weight: 950 kg}")
    assert all(one.subject != "car.weight" for one in found)


def test_weight_that_a_changed_clause_left_alone(change):
    """A reworded weight clause gives the weight an entry, and points to it."""
    new = BASE.replace("is 900 kg", "is 900 kg, all aboard")
    weight, text = change(BASE, new, "{car.weight: 950 kg}")
    assert (weight.outcome, weight.why) == (Outcome.NONE, "weighs 950 kg, at least 900 kg asked, as before")
    assert text.why == "counts in the minimum weight, which has an entry of its own"


def test_weight_rule_without_a_minimum(change):
    """An adder where no minimum holds for the car points to no entry that is not there."""
    (impact,) = change(
        clause("4.2", "Wings add 20 kg.", "weight: {add: 20 kg}"),
        clause("4.2", "Wings add 25 kg.", "weight: {add: 25 kg}"),
        "{car.weight: 950 kg}",
    )
    assert (impact.outcome, impact.why) == (Outcome.NONE, "no minimum weight holds for this car")


def test_open_question_beside_a_limit_is_waited_for(change):
    """A confirmed limit does not answer the question that stands beside it."""
    limit = "limit: {wheels.rear.rim_width: {max: 10 in}}"
    new = clause("5.2", "Rear rims are at most 10 in wide.", limit, "ask: How wide?\nnoted: [10 in]")
    (impact,) = change(rims("11 in"), new, "{wheels.rear.rim_width: 9 in}")
    assert (impact.outcome, impact.why) == (Outcome.READ, "the question on 5.2 of 2027 to the officials is open")


def test_one_confirmed_reading_is_not_enough(case):
    """Of two readings of a clause both must be confirmed."""
    front = "limit: {wheels.front.rim_width: {max: 9 in}}\nnoted: [11 in]"
    rear = "limit: {wheels.rear.rim_width: {max: 10 in}}"
    old, new = (
        case(clause("5.2", f"Rims are 10 in wide behind, 9 in in front{more}.", rear, front), "{}").edition
        for more in (", not 11 in", ", never 11 in")
    )
    first, second = new.readings["5.2"]
    new = replace(new, readings={"5.2": (first, replace(second, confirmed=None))})
    comparison = compare_editions(old, new)
    (change,) = comparison.changed
    found = waiting(change, comparison)
    assert found is not None
    assert found.why == "the reading of 5.2 of 2027 is not confirmed"


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("A rear wing is of one or two pieces.", Outcome.NONE),
        ("A rear wing is mandatory.", Outcome.READ),
        ("Cars without a rear wing are of one piece.", Outcome.READ),
        ("A rear wing must be fitted.", Outcome.READ),
        ("A rear wing is of one piece: vorgeschrieben.", Outcome.READ),
    ],
)
def test_rule_that_may_ask_for_a_part(change, text, outcome):
    """A rule in words on a part that the car lacks is left out only where it cannot ask for the part."""
    old = clause("6.1", "A rear wing is of one piece.")
    (impact,) = change(old, clause("6.1", text), "{aero.rear_wing: absent}")
    assert impact.outcome is outcome
    assert impact.after.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    ("old", "new", "outcome", "margins"),
    [
        ("10 in", "{max: 12 in}", Outcome.ROOMIER, ("0 in", "2 in")),
        ("{max: 12 in}", "10 in", Outcome.TIGHTER, ("2 in", "0 in")),
    ],
)
def test_exact_value_leaves_no_room(change, old, new, outcome, margins):
    """A value that must be met exactly bounds the car on both sides."""
    sides = [
        clause(
            "5.2", f"Rear rims are {word} 10 in or 12 in.", f"limit: {{wheels.rear.rim_width: {limit}}}\nnoted: [10 in, 12 in]"
        )
        for word, limit in (("about", old), ("nearly", new))
    ]
    (impact,) = change(*sides, "{wheels.rear.rim_width: 10 in}")
    assert impact.outcome is outcome
    assert (str(impact.before.margin), str(impact.after.margin)) == margins


def test_inserted_item_with_a_life(change):
    """An item with a life that a new rule asks for is to be seen to."""
    dated = clause(
        "8.1",
        "A harness may be used for 5 years.",
        "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}",
    )
    (impact,) = change(BASE, BASE + dated, "{car.weight: 950 kg}")
    assert (impact.outcome, impact.new, impact.subject) == (Outcome.MEASURE, ("8.1",), "safety.harness")
    assert impact.job == "Measure or state harness made on (8.1)"
    (impact,) = change(BASE, BASE + dated, "{car.weight: 950 kg, safety.harness.made: 2022-04-09}")
    assert (impact.outcome, impact.subject) == (Outcome.BREACH, "safety.harness")
    assert impact.job == "Renew harness, good until 2027-04-09: no older than 5 years from manufacture, to the day (8.1)"
    (impact,) = change(BASE, BASE + dated, "{car.weight: 950 kg, safety.harness.made: 2022-04-10}")
    assert (impact.outcome, impact.why.rpartition("; ")[2]) == (Outcome.TIGHTER, "before: no limit, now: good until 2027-04-10")


def test_item_that_grew_too_old_between_two_seasons(change):
    """Under rules that stay as they are, time alone makes a breach, and the reason says so."""
    rules = clause(
        "8.1",
        "A harness may be used for 5 years.",
        "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}",
    )
    (impact,) = change(rules, rules, "{safety.harness.made: 2021-12-01}")
    assert (impact.outcome, impact.new) == (Outcome.BREACH, ("8.1",))
    assert impact.why.startswith("nothing changed but its age: Harness made on: 2021-12-01")


@pytest.mark.parametrize(
    ("old", "new", "outcome", "told"),
    [("5", "4", Outcome.TIGHTER, ("2029", "2028")), ("4", "5", Outcome.ROOMIER, ("2028", "2029"))],
)
def test_longer_and_shorter_lives(change, old, new, outcome, told):
    """Of an item that is good in both seasons, another life leaves less room or more: until another day."""
    rules = [
        clause(
            "8.1",
            f"A harness may be used for {years} years.",
            f"dated: {{item: safety.harness, life: {years} years, from: manufacture, until: year-end}}",
        )
        for years in (old, new)
    ]
    (impact,) = change(*rules, "{safety.harness.made: 2024-02-01}")
    assert impact.outcome is outcome
    assert impact.why.endswith("before: good until {}-12-31, now: good until {}-12-31".format(*told))


def test_every_quantity_of_a_clause_is_told(change):
    """Two breaches of one clause are two pieces of work; the second stands beside the first, and so does what got more room."""

    def rims(rear: str, front: str, diameter: str) -> str:
        limits = f"wheels.rear.rim_width: {{max: {rear}}}, wheels.front.rim_width: {{max: {front}}}"
        text = f"Rear rims are at most {rear} wide, front rims {front}, and both {diameter} in diameter."
        return clause("5.1", text, f"limit: {{{limits}, wheels.rear.rim_diameter: {{max: {diameter}}}}}")

    spec = "{wheels.rear.rim_width: 10 in, wheels.front.rim_width: 8 in, wheels.rear.rim_diameter: 16 in}"
    (impact,) = change(rims("11 in", "9 in", "17 in"), rims("9.5 in", "7.5 in", "18 in"), spec)
    told = [(one.outcome, one.subject, one.job) for one in impact.each()]
    assert told == [
        (Outcome.BREACH, "wheels.rear.rim_width", "Bring rear rim width to: at most 9.5 in (5.1)"),
        (Outcome.BREACH, "wheels.front.rim_width", "Bring front rim width to: at most 7.5 in (5.1)"),
        (Outcome.ROOMIER, "wheels.rear.rim_diameter", "See whether rear rim diameter could use what is now allowed (5.1)"),
    ]
    assert impact.also == (Outcome.ROOMIER,)


# --- At risk: legal, and nearer to the limit than the measurement can tell -----------------------------------------------


def measured(value: str, u: str = "2 mm") -> str:
    """A spec with one measured value."""
    return f"{{car.width: {{value: {value}, u: {u}, on: 2026-10-31, by: ina}}}}"


def width(most: str) -> str:
    """A rule on the width."""
    return clause("8.2", f"The width is at most {most}.", f"limit: {{car.width: {{max: {most}}}}}")


@pytest.mark.parametrize(
    ("old", "new", "value", "outcome", "also"),
    [
        # The standard uncertainty is 1 mm: 1 mm of room is one of it (84 %), 2 mm are two (98 %).
        ("1910 mm", "1901 mm", "1900 mm", Outcome.AT_RISK, (Outcome.TIGHTER,)),
        ("1910 mm", "1902 mm", "1900 mm", Outcome.TIGHTER, ()),
        ("1895 mm", "1901 mm", "1900 mm", Outcome.AT_RISK, (Outcome.CURED,)),
        ("1900.5 mm", "1901 mm", "1900 mm", Outcome.AT_RISK, (Outcome.ROOMIER,)),
        ("1901 mm", "1899 mm", "1900 mm", Outcome.BREACH, ()),
        ("1901 mm", "1910 mm", "1900 mm", Outcome.ROOMIER, ()),
    ],
)
def test_at_risk_overlays_what_is_legal(change, old, new, value, outcome, also):  # noqa: PLR0917 - one argument a column
    """Below the crew's own probability; a breach is no risk any more, and what is far from the limit is none either."""
    (impact,) = change(width(old), width(new), measured(value))
    assert (impact.outcome, impact.also) == (outcome, also)
    assert ("84 % sure" in impact.why) is (new == "1901 mm" and outcome is Outcome.AT_RISK)


@pytest.mark.parametrize(
    ("limit", "value", "job"),
    [
        # 1 mm of room is 1.645 standard uncertainties of 0.608 mm (JCGM 106:2012, table 1: 1.64 for 0.95); twice that is 1.2 mm.
        (
            "1901 mm",
            "value: 1900 mm, u: 2 mm",
            "Measure overall width to ±1.2 mm or better (k = 2), or give it more room (8.2)",
        ),
        ("1900 mm", "value: 1900 mm, u: 2 mm", "Give overall width more room: no measurement will tell (8.2)"),
        # The readings scatter by s = 2 mm; a mean is sure enough with (2 / 0.608)² = 10.8 of them.
        (
            "1901 mm",
            "readings: [1898 mm, 1900 mm, 1902 mm]",
            "Measure overall width to ±1.2 mm or better (k = 2), take 11 readings of it in all, or give it more room (8.2)",
        ),
        # The instrument alone leaves more open than that, however often it is read.
        (
            "1901 mm",
            "readings: [1898 mm, 1900 mm, 1902 mm], u: 2 mm",
            "Measure overall width to ±1.2 mm or better (k = 2), or give it more room (8.2)",
        ),
    ],
)
def test_what_would_settle_a_risk(change, limit, value, job):
    """An instrument that is good enough, more readings where their scatter is what matters, or more room."""
    (impact,) = change(width("1910 mm"), width(limit), f"{{car.width: {{{value}, on: 2026-10-31, by: ina}}}}")
    assert (impact.outcome, impact.job) == (Outcome.AT_RISK, job)


def test_declared_value_is_never_at_risk(change):
    """Nobody measured it, so that there is no probability."""
    (impact,) = change(width("1910 mm"), width("1900 mm"), "{car.width: 1900 mm}")
    assert impact.outcome is Outcome.TIGHTER


def test_risk_that_was_there_before_is_no_news(change):
    """A clause that was only reworded leaves it as it was."""
    reworded = width("1901 mm").replace("The width is", "The width of a car shall be")
    (impact,) = change(width("1901 mm"), reworded, measured("1900 mm"))
    assert impact.outcome is Outcome.NONE


def test_weight_can_be_at_risk(change):
    """What the scales cannot tell counts for the minimum weight as for any limit."""
    spec = "{car.weight: {value: 902 kg, u: 4 kg, on: 2026-10-31, by: ina}}"
    rules = [
        clause("3.1", f"A car weighs at least {least}.", f"weight: {{minimum: {least}}}") for least in ("880 kg", "900 kg")
    ]
    weight = next(one for one in change(*rules, spec) if one.subject == "car.weight")
    assert (weight.outcome, weight.also) == (Outcome.AT_RISK, (Outcome.TIGHTER,))


# --- What asks for no reading -----------------------------------------------------------------------------------------


def test_heading_that_only_holds_others_is_not_waited_for(change):
    """A chapter that got another name, and a new chapter, are nothing to read; the clause under the new one is."""
    old = clause("5", "Transmission and electronics") + clause("5.1", "The stewards wear red.", "concerns: officials")
    new = old.replace(" and electronics", "") + clause("6", "Wiring") + clause("6.1", "Wires are red.")
    found = {impact.new: impact for impact in change(old, new, "{car.weight: 950 kg}")}
    for heading in (("5",), ("6",)):
        assert found[heading].outcome is Outcome.NONE
        assert found[heading].change is not None
        assert Effect.UNREAD not in found[heading].change.effects.values()
    assert found["6.1",].outcome is Outcome.READ


@pytest.mark.parametrize(("text", "same"), [("Cars gather in the paddock.", True), ("Cars gather at noon.", False)])
def test_question_about_the_event_leaves_the_car_alone(change, text, same):
    """An open question on a clause that concerns the event is for the officials, whether its text changed or not."""
    old = clause("9.1", "Cars gather in the paddock.", "concerns: event")
    new = clause("9.1", text, "concerns: event\nask: In which paddock?")
    found = change(old, new, "{car.weight: 950 kg}")
    assert [impact.outcome for impact in found] == ([] if same else [Outcome.NONE])


def test_unconfirmed_question_about_the_event_is_still_read(change):
    """That a clause concerns the event is relied on only where a person confirmed it."""
    old = clause("9.1", "Cars gather in the paddock.", "concerns: event")
    new = clause("9.1", "Cars gather at noon.", "concerns: event\nask: In which paddock?")
    (impact,) = change(old, new, "{car.weight: 950 kg}", unconfirmed=("9.1",))
    assert impact.outcome is Outcome.READ


# --- Several outcomes in one impact -----------------------------------------------------------------------------------

# For each outcome: the limit before and after, and what the car states, in inches.
CASES = {
    Outcome.BREACH: ("11 in", "9 in", "10 in"),
    Outcome.STILL_IN_BREACH: ("9 in", "8 in", "10 in"),
    Outcome.MEASURE: ("9 in", "8 in", ""),
    Outcome.AT_RISK: ("12 in", "10.04 in", "{value: 10 in, u: 0.1 in, on: 2026-10-31, by: ina}"),
    Outcome.CURED: ("9 in", "11 in", "10 in"),
    Outcome.TIGHTER: ("12 in", "11 in", "10 in"),
    Outcome.ROOMIER: ("11 in", "12 in", "10 in"),
}


@pytest.mark.parametrize(("first", "second"), [pair for pair in product(CASES, CASES) if pair[0] is not pair[1]])
def test_clash_of_two_outcomes(change, first, second):
    """A clause that does one thing to the front and another to the rear: the graver counts, the other stands beside it."""
    order = list(CASES)
    ends = tuple(zip(("wheels.front.rim_width", "wheels.rear.rim_width"), (first, second), strict=True))
    sides = [
        clause(
            "5.2",
            f"Rims are at most {CASES[first][side]} wide in front, {CASES[second][side]} behind.",
            "limit: {" + ", ".join(f"{name}: {{max: {CASES[one][side]}}}" for name, one in ends) + "}",
        )
        for side in (0, 1)
    ]
    spec = ", ".join(f"{name}: {CASES[one][2]}" for name, one in ends if CASES[one][2])
    (impact,) = change(*sides, f"{{{spec}}}")
    graver, other = sorted((first, second), key=order.index)
    assert impact.outcome is graver
    assert other in impact.also
