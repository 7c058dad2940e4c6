"""What a changed text suggests for a reading that was made for the old one: the numbers that moved, and what nobody can tell."""

from __future__ import annotations

import pytest

from rulewatch.compare.proposals import propose
from rulewatch.compare.sense import signs_of, turned
from rulewatch.model.edition import Body, Governs
from rulewatch.model.fault import Source
from rulewatch.model.quantity import NumberStyle
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.vocabulary import packaged_vocabulary


def clause_and_readings(text: str, *readings: str):
    """A clause of a text, and its readings."""
    blocks = "".join(f"\n```reading\n{reading}\n```\n" for reading in readings)
    source = Source(path="r.md", text=f"5.1 {text}\n{blocks}")
    chapter = parse_chapter(source)
    found = [parse_reading(block, source, vocabulary=packaged_vocabulary()) for block in chapter.blocks]
    assert [faults for _, faults in found if faults] == []
    return chapter.clauses[0], [reading for reading, _ in found]


def proposals(old: str, new: str, *readings: str, governs=Governs.FIRST, numbers=None):
    """The proposals for the readings of an old text under a new one."""
    before, found = clause_and_readings(old, *readings)
    after, _ = clause_and_readings(new)
    place = after.place
    body = Body(id="saltmarsh", name="Saltmarsh", classes={}, governs=governs, numbers=numbers or NumberStyle(), place=place)
    return propose([(reading, before) for reading in found], after, body)


def told(old: str, new: str, reading: str, **more):
    """The one proposal in short: its replacements, its doubts, and whether the sense may have turned."""
    (one,) = proposals(old, new, reading, **more)
    return [str(each) for each in one.replacements], list(one.doubts), bool(one.turned)


RIM = "limit: {{wheels.rear.rim_width: {{max: {}}}}}"
WEIGHT = "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 980 kg]]}}"


@pytest.mark.parametrize(
    ("old", "new", "reading", "expected"),
    [
        ("No wider than 60 mm.", "No wider than 75 mm.", RIM.format("60 mm"), ["60 mm → 75 mm"]),
        ("No wider than 10 in.", "No wider than 10.5 in.", RIM.format("254 mm"), ["254 mm → 10.5 in"]),
        ("No wider than 10 in.", "No wider than 254 mm.", RIM.format("10 in"), []),
        ("No wider than 10 in (254 mm).", "No wider than 11 in (279.4 mm).", RIM.format("254 mm"), ["254 mm → 279.4 mm"]),
        ("From 9 to 10 in wide.", "From 8 to 11 in wide.", "limit: {wheels.rear.rim_width: {min: 9 in, max: 10 in}}", ["9 in → 8 in", "10 in → 11 in"]),
        ("Between 9 in and 10 in.", "Between 9 in and 12 in.", "limit: {wheels.rear.rim_width: {min: 9 in, max: 10 in}}", ["10 in → 12 in"]),
        ("It adds 2.5 % and no more.", "It adds 3 % and no more.", "weight: {add: 2.5 %}", ["2.5 % → 3 %"]),
        ("It adds 2.5 per cent.", "It adds 3 per cent.", "weight: {add: 2.5 %}", ["2.5 % → 3 %"]),
        ("Reduced by 20 kg.", "Reduced by 30 kg.", "weight: {add: -20 kg}", ["-20 kg → -30 kg"]),
        ("Up to 2,000 cc 900 kg, up to 2,500 cc 980 kg.", "Up to 2,000 cc 910 kg, up to 2,600 cc 990 kg.", WEIGHT, ["900 kg → 910 kg", "2500 cc → 2600 cc", "980 kg → 990 kg"]),
        ("40 kg for each 100 cc.", "45 kg for each 100 cc.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc}}", ["0.4 kg/cc → 0.45 kg/cc"]),
        ("No more than six gears.", "No more than seven gears.", "limit: {drivetrain.gearbox.gears: {max: 6}}", ["6 → 7"]),
        ("No more than six gears.", "No more than 5 gears.", "limit: {drivetrain.gearbox.gears: {max: 6}}", ["6 → 5"]),
        ("Built before 2026, it needs a roof.", "Built before 2027, it needs a roof.", "when: {car.built: {under: 2026-01-01}}\nlimit: {car.seats: standard}", ["2026-01-01 → 2027-01-01"]),
        ("Until 30 June 2026 it is 10 in.", "Until 31 August 2027 it is 10 in.", "until: 2026-06-30\n" + RIM.format("10 in"), ["2026-06-30 → 2027-08-31"]),
        ("After 30 June 2026 it is 10 in.", "After 31 July 2026 it is 10 in.", "from: 2026-07-01\n" + RIM.format("10 in"), ["2026-07-01 → 2026-08-01"]),
        ("98 dB(A) at 4,500 rpm.", "95 dB(A) at 4,000 rpm.", "limit: {car.noise: {max: 98 dB(A)}}\nnoted: [4500 rpm]", ["98 dB(A) → 95 dB(A)", "4500 rpm → 4000 rpm"]),
        ("2,500 cc at most.", "3,000 cm³ at most.", "limit: {engine.capacity: {max: 2500 cc}}", ["2500 cc → 3000 cc"]),
        ("Widths ±5 mm, 1800 mm.", "Widths ±3 mm, 1800 mm.", "limit: {car.width: {max: 1800 mm}}\ntolerance: ±5 mm", ["5 mm → 3 mm"]),
    ],
)  # fmt: skip
def test_a_number_goes_where_the_number_of_the_text_went(old, new, reading, expected):
    """By its place among the words; as the text has it, in the reading's own unit where that says the same."""
    assert told(old, new, reading) == (expected, [], False)


def test_the_unit_that_rules_is_the_one_proposed():
    """Where the two statements differ by rounding, the body says which of them counts."""
    old, new = "No wider than 10 in (254 mm).", "No wider than 10¼ in (260 mm)."
    assert told(old, new, RIM.format("10 in"))[0] == ["10 in → 10.25 in"]
    assert told(old, new, RIM.format("254 mm"), governs=Governs.METRIC)[0] == ["254 mm → 260 mm"]
    assert told(old, new, RIM.format("10 in"), governs=Governs.METRIC)[0] == ["10 in → 260 mm"]


def test_german_numbers_move_too():
    """A decimal comma in the text, a point in the reading."""
    found = told(
        "höchstens 1.050 kg", "höchstens 1.050,5 kg", "weight: {minimum: 1050 kg}", numbers=NumberStyle(decimal=",", thousands=".")
    )  # fmt: skip
    assert found == (["1050 kg → 1050.5 kg"], [], False)


def test_a_number_that_went_two_ways_is_left_to_a_person():
    """The same number stood twice: which one the reading means only its reader knows."""
    found = told("In front 10 in, behind 10 in.", "In front 10 in, behind 11 in.", RIM.format("10 in"))
    doubts = [
        "`10 in` stands in the old text more than once, and became `10 in` and `11 in`: look which is meant",
        "the text says `11 in`, which no reading has",
    ]
    assert found == ([], doubts, False)


def test_a_number_that_is_gone_is_told():
    """Nothing is put in its place."""
    found = told("Of steel, and 10 in wide.", "Of steel.", RIM.format("10 in"))
    assert found[:2] == ([], ["`10 in` is gone from the text, and nothing came in its place"])


def test_a_number_that_came_is_told():
    """A sentence more may need a reading of its own."""
    new = "No wider than 11 in. A wider rim adds 20 kg."
    found = told("No wider than 10 in.", new, RIM.format("10 in"))
    assert found == (["10 in → 11 in"], ["the text says `20 kg`, which no reading has"], False)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("A rim may be 10 in wide.", "A rim shall not be 11 in wide."),
        ("A rim shall be at least 10 in wide.", "A rim shall be at most 11 in wide."),
        ("A rim shall be no wider than 10 in.", "A rim shall be no narrower than 10 in."),
        ("A rim of 10 in is permitted.", "A rim of 10 in is forbidden."),
        ("Eine Felge von 10 in ist zulässig.", "Eine Felge von 10 in ist unzulässig."),
        ("Rims of 10 in.", "Rims of 10 in only."),
        ("Rims of 10 in, except on the rear.", "Rims of 12 in, on the rear."),
    ],
)
def test_nothing_is_proposed_where_the_sense_may_have_turned(old, new):
    """May became must not, the most the least: the number alone would be a trap."""
    replacements, _, turns = told(old, new, RIM.format("10 in"))
    assert (replacements, turns) == ([], True)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("A rim shall be no wider than 10 in.", "Rims shall not be wider than 10 in."),
        ("The width shall not exceed 10 in.", "The width shall be at most 10 in."),
        ("It shall be no less than 10 in.", "A minimum of 10 in."),
        ("Die Breite darf 10 in nicht überschreiten.", "Die Breite beträgt höchstens 10 in."),
    ],
)
def test_the_same_sense_in_other_words_is_none_that_turned(old, new):
    """`No wider than` is `at most`, in English as in German."""
    assert signs_of(old).keys() - {"may"} == signs_of(new).keys() - {"may"}


def test_what_turned_is_named():
    """So that a person knows what to look for."""
    said = "the sense may have turned (“may” went, “not” came)"
    assert turned("It may be of steel.", "It shall not be of steel.") == said


def test_a_reading_without_numbers_looks_at_the_sentences_that_changed():
    """A sentence that only came does not turn those that stayed, and is told."""
    reading = "limit: {cooling.coolant: water}"
    old = "The coolant is water. Glycol is forbidden."
    more = "The overflow may lead to a tank."
    found = told(old, f"{old} {more}", reading)
    assert found == ([], [f"the text says more by now: “{more}”"], False)
    assert told(old, "The coolant is water. Glycol is permitted.", reading)[2]


def test_the_same_text_proposes_nothing():
    """Only white space differs."""
    assert told("No wider\nthan 10 in.", "No wider than 10 in.", RIM.format("10 in")) == ([], [], False)


def test_readings_of_one_clause_are_told_of_a_new_number_once():
    """What one of them has, the other need not."""
    one, other = proposals(
        "Front 9 in, rear 10 in.",
        "Front 8 in, rear 11 in.",
        "limit: {wheels.front.rim_width: {max: 9 in}}",
        "limit: {wheels.rear.rim_width: {max: 10 in}}",
    )
    assert [str(each) for each in (*one.replacements, *other.replacements)] == ["9 in → 8 in", "10 in → 11 in"]
    assert (one.doubts, other.doubts) == ((), ())
