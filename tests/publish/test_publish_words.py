"""Readings, room, days and wording in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from publish_example import CHANGES, ENTRY_B, KILOGRAM, PLACE, VOCABULARY, at_most, inch, kg, mm, reading

from rulewatch.model.change import Effect, Kind, Mark
from rulewatch.model.impact import Impact, Need, Outcome, Side, Sort, Verdict, WeightSheet
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Any,
    Counting,
    Dated,
    Fixed,
    Greatest,
    Least,
    Linear,
    MinimumWeight,
    Not,
    OneOf,
    Presence,
    Range,
    Rounding,
    Sheet,
    Steps,
    Ties,
    WeightAdder,
)
from rulewatch.model.reading import Test as Requirement
from rulewatch.publish.car_pages import weight_result
from rulewatch.publish.reading_words import sentences
from rulewatch.publish.room import after_words, amount_words, margin_words, side_words
from rulewatch.publish.wording import words_of
from rulewatch.publish.words import EFFECTS, KINDS, NEEDS, OUTCOMES, SORTS, VERDICTS, count_words, day_range, listed

CLASSES = {"silhouette-b": "Silhouette B", "open-saloon": "Open Saloon"}
RIM = "wheels.rear.rim_width"
WING = Requirement(subject="aero.rear_wing", constraint=Presence(present=True), place=PLACE)


def said(**parts: object) -> list[str]:
    """What a reading says."""
    return list(sentences(reading("5.1", None, **parts), VOCABULARY, CLASSES))


def limit(constraint: object) -> list[str]:
    """What a limit on the rear rims says."""
    return said(limits=(Requirement(subject=RIM, constraint=constraint, place=PLACE),))  # type: ignore[arg-type]


def fixed(number: str) -> Fixed:
    """A bound of inches."""
    return Fixed(value=inch(number))


@pytest.mark.parametrize(
    ("constraint", "sentence"),
    [
        (Range(high=fixed("10")), "Rear rim width must be at most 10 in."),
        (Range(low=fixed("8"), high=fixed("10")), "Rear rim width must be at least 8 in and at most 10 in."),
        (Range(low=fixed("8"), low_strict=True), "Rear rim width must be over 8 in."),
        (Range(high=fixed("10"), high_strict=True), "Rear rim width must be under 10 in."),
        (Range(high=Fixed(value=date(2026, 1, 1)), high_strict=True), "Rear rim width must be under 1 January 2026."),
        (OneOf(values=(inch("9"), inch("10"))), "Rear rim width must be 9 in or 10 in."),
        (Presence(present=False), "Rear rim width must be absent."),
        (
            Range(high=Linear(of=RIM, sheet=Sheet.STANDARD, plus=inch("1"))),
            "Rear rim width must be at most the standard rear rim width plus 1 in.",
        ),
        (
            Range(high=Linear(of=RIM, sheet=Sheet.HOMOLOGATED, plus=inch("-1"))),
            "Rear rim width must be at most the homologated rear rim width less 1 in.",
        ),
        (Range(high=Linear(of=RIM, rate=Amount(number=Fraction(2)))), "Rear rim width must be at most 2 × the rear rim width."),
        (
            Range(high=Greatest(bounds=(fixed("9"), fixed("10")))),
            "Rear rim width must be at most the greatest of 9 in and 10 in.",
        ),
        (Range(high=Least(bounds=(fixed("9"), fixed("10")))), "Rear rim width must be at most the least of 9 in and 10 in."),
    ],
)
def test_limits_in_words(constraint, sentence):
    """Inclusive and strict bounds, choices, presence, and bounds that depend on others."""
    assert limit(constraint) == [sentence]


def test_steps_say_what_holds_beyond_the_last():
    """Beyond the last step nothing is allowed, unless the reading says what is."""
    steps = Steps(by="car.weight", steps=((kg("900"), fixed("9")), (kg("1000"), fixed("10"))))
    assert limit(Range(high=steps)) == [
        "Rear rim width must be at most (by weight of the car: 9 in up to 900 kg, 10 in up to 1000 kg, nothing allowed above that)."
    ]
    assert "11 in above that" in limit(Range(high=replace(steps, above=fixed("11"))))[0]


def test_scope_comes_first():
    """Classes, dates, conditions and what is replaced stand before what must hold."""
    assert said(
        classes=("silhouette-b",),
        since=date(2027, 5, 1),
        when=Any(parts=(WING, Not(part=All(parts=(WING, at_most(RIM, inch("9"))))))),
        instead_of=("5.2", "5.3"),
        limits=(at_most(RIM, inch("10")),),
    ) == [
        "For Silhouette B only.",
        "From 1 May 2027.",
        "Only where fitted: rear wing or it is not so that (fitted: rear wing and rear rim width is at most 9 in).",
        "In place of 5.2 and 5.3.",
        "Rear rim width must be at most 10 in.",
    ]


def test_weights_in_words():
    """Minimum with rounding and driver; additions by mass and by share, and what is taken off."""
    minimum = MinimumWeight(
        bound=Fixed(value=kg("900")),
        rounding=Rounding(to=kg("1"), ties=Ties.UP),
        compounded=True,
        with_driver=False,
        place=PLACE,
    )
    assert said(minimum=minimum) == [
        "The car must weigh at least 900 kg without the driver.",
        "Additions count one on top of the other, in the order of the book.",
        "The total is rounded to 1 kg, halves up.",
    ]
    assert said(adder=WeightAdder(amount=kg("20"), place=PLACE)) == ["Adds 20 kg to the minimum weight."]
    assert said(adder=WeightAdder(share=Fraction(1, 40), place=PLACE)) == ["Adds 2.5 % to the minimum weight."]
    assert said(adder=WeightAdder(amount=kg("-15"), place=PLACE)) == ["Takes 15 kg off the minimum weight."]


def test_the_rest_in_words():
    """Permissions, lives, tolerances, conditions of measuring, and what does not concern the car."""
    dated = Dated(
        item="safety.harness", years=5, since="manufacture", until=Counting.YEAR_END, counted="safety.harness.made", place=PLACE
    )
    assert said(allows=(WING,)) == ["Permitted: rear wing may be fitted."]
    assert said(dated=(dated,)) == ["Harness is good for 5 years from manufacture, to the end of the last year."]
    assert said(tolerance=mm("5")) == ["Tolerance granted: ±5 mm."]
    assert said(measured=(("driver", "yes"), ("fuel", "as finished"))) == ["Measured with driver: yes and fuel: as finished."]
    assert said(concerns="event") == ["Concerns the event, not the car."]


def test_room_is_said_as_what_it_is():
    """Room, none left, beyond; a number that nobody can measure is cut and says so."""
    assert margin_words(inch("0.5")) == "0.5 in to spare"
    assert margin_words(inch("0")) == "at the limit"
    assert margin_words(inch("-0.25")) == "off by 0.25 in"
    assert margin_words(None) == ""
    assert amount_words(Amount(number=Fraction(1, 3), unit=KILOGRAM)) == "≈0.333 kg"


@pytest.mark.parametrize(
    ("outcome", "also", "words"),
    [
        (Outcome.NONE, (), "legal"),
        (Outcome.READ, (), "legal, as far as is known yet"),
        (Outcome.TIGHTER, (Outcome.MEASURE,), "legal, as far as is known yet"),
    ],
)
def test_legal_is_no_pass_while_something_waits(outcome, also, words):
    """What is still to be read or measured takes the certainty out of a legal."""
    legal = Side(verdict=Verdict.LEGAL, alone=Verdict.LEGAL)
    impact = Impact(
        car="curlew", entry=ENTRY_B, old=(), new=("6.3",), outcome=outcome, also=also, before=legal, after=legal, why=""
    )
    assert after_words(impact) == words
    unknown = replace(impact, after=Side(verdict=Verdict.UNKNOWN, alone=Verdict.UNKNOWN))
    assert after_words(unknown) == "unknown"


def test_a_clause_alone_is_named_where_the_book_says_otherwise():
    """The whole book decides; what the clause by itself would say stands behind it."""
    assert side_words(Side(verdict=Verdict.LEGAL, alone=Verdict.ILLEGAL)) == "legal (the clause alone: illegal)"
    assert side_words(Side(verdict=Verdict.ILLEGAL, alone=Verdict.ILLEGAL, margin=inch("-0.5"))) == "illegal, off by 0.5 in"


@pytest.mark.parametrize(
    ("least", "greatest", "car", "verdict", "words"),
    [
        (kg("1000"), kg("1000"), kg("1012"), Verdict.LEGAL, "12 kg above the minimum."),
        (kg("1000"), kg("1000"), kg("1000"), Verdict.LEGAL, "0 kg above the minimum."),
        (kg("1000"), kg("1015"), kg("1010"), Verdict.UNKNOWN, "5 kg short, if everything uncertain counts."),
        (kg("1000"), kg("1015"), kg("990"), Verdict.ILLEGAL, "10 kg too light."),
        (None, None, kg("990"), Verdict.UNKNOWN, "The minimum weight is not known."),
        (kg("1000"), kg("1000"), None, Verdict.UNKNOWN, "The car's weight is not known."),
    ],
)
def test_weight_against_its_minimum(least, greatest, car, verdict, words):
    """Between the least and the greatest minimum nothing is known, and it is not said to be legal."""
    assert weight_result(WeightSheet(lines=(), least=least, greatest=greatest, car=car)) == (verdict, words)


def test_days_in_words():
    """A range says only once what both days share."""
    assert day_range(date(2027, 3, 20), None) == "Saturday 20 March 2027"
    assert day_range(date(2027, 3, 20), date(2027, 3, 21)) == "Saturday 20 to Sunday 21 March 2027"
    assert day_range(date(2027, 7, 31), date(2027, 8, 1)) == "Saturday 31 July to Sunday 1 August 2027"
    assert day_range(date(2027, 12, 31), date(2028, 1, 1)) == "Friday 31 December 2027 to Saturday 1 January 2028"


def test_counts_and_rows():
    """One and many; `and` before the last."""
    assert [count_words(0, "clause"), count_words(1, "clause"), count_words(2, "clause")] == [
        "0 clauses",
        "1 clause",
        "2 clauses",
    ]
    assert [listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]


def test_every_word_of_the_closed_lists_has_its_term():
    """Nothing that the program can find is without a word on the site."""
    assert set(OUTCOMES) == set(Outcome)
    assert set(VERDICTS) == set(Verdict)
    assert set(EFFECTS) == set(Effect)
    assert set(KINDS) == set(Kind)
    assert set(SORTS) == set(Sort)
    assert set(NEEDS) == set(Need)


def test_replaced_words_are_parted():
    """Between what is repealed and what replaces it stands a blank that belongs to neither."""
    change = next(each for each in CHANGES if each.key == "5.1.2")
    assert words_of(change)[1:4] == (("del", "10.5 in (266.7 mm)"), ("", " "), ("ins", "10 in (254 mm)"))


def test_rows_of_a_table_stand_on_lines_of_their_own():
    """A table in the wording of a change is read row by row, also where the text comes with its lines joined."""
    change = next(each for each in CHANGES if each.key == "6.3")
    table = replace(change.new[0], heading="", text="As here:\n\n|tyre|rim|\n|:--|--:|\n|225|8 in|\n|245|10 in|")
    assert words_of(replace(change, new=(table,))) == (("ins", "As here:\n\ntyre · rim\n225 · 8 in\n245 · 10 in"),)
    words = ((Mark.KEEP, "As here: |tyre|rim| |:--|--:| |225| "), (Mark.DROP, "7 in"), (Mark.ADD, "8 in"), (Mark.KEEP, "|"))
    assert "".join(text for _, text in words_of(replace(change, new=(table,), words=words))) == (
        "As here:\ntyre · rim\n225 · 7 in 8 in"
    )
