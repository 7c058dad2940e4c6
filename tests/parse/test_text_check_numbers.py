"""Readings against the text of their clause; the places of the faults stand in tests/broken/readings too."""

from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model.clause import Clause, digest
from rulewatch.model.edition import Body, Governs
from rulewatch.model.fault import Place, Source
from rulewatch.model.quantity import Amount, NumberStyle
from rulewatch.model.reading import Reading, Written
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text, place_in_text
from rulewatch.parse.vocabulary import packaged_vocabulary

GERMAN = NumberStyle(decimal=",", thousands=".")
FENCE = "```"


def faults_of(text, *readings, governs=Governs.FIRST, numbers=None):
    """The faults of a clause with that text and those readings, which have none of their own: code and what was found."""
    blocks = "".join(f"\n{FENCE}reading\n{reading}\n{FENCE}\n" for reading in readings)
    source = Source(path="r.md", text=f"5.1 {text}\n{blocks}")
    body = Body(
        id="saltmarsh",
        name="Saltmarsh Circuit Club",
        classes={},
        numbers=numbers or NumberStyle(),
        governs=governs,
        place=source.place(1),
    )
    chapter = parse_chapter(source)
    (clause,) = chapter.clauses
    found = [parse_reading(block, source, vocabulary=packaged_vocabulary()) for block in chapter.blocks]
    assert [faults for _, faults in found if faults] == []
    faults = check_against_text([reading for reading, _ in found], clause, body=body, source=source)
    return [f"{fault.place.line}:{fault.place.column} {fault.code} {fault.found}" for fault in faults]


RIM = "limit: {{wheels.rear.rim_width: {{max: {}}}}}"


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("No wider than 10 in.", RIM.format("10 in")),
        ("No wider than 10 in.", RIM.format("254 mm")),
        ("No wider than 10 in (254 mm).", RIM.format("254 mm")),
        ("No wider than 10 in (254 mm).", RIM.format("10 in")),
        ('No wider than 10¼".', RIM.format("10 1/4 in")),
        ("No wider than ten inches.", RIM.format("10 in")),
        ("From 9 to 10 in wide.", "limit: {wheels.rear.rim_width: {min: 9 in, max: 10 in}}"),
        ("Two seats at most.", "limit: {car.seats: {max: 2}}"),
        ("A single seat.", "limit: {car.seats: 1}"),
        ("No seats but one.", "limit: {car.seats: 1}"),
        ("No throttle bodies.", "limit: {engine.induction.throttle_bodies: 0}"),
        ("Cars with 4 cylinders.", "limit: {engine.cylinders: 4}"),
        ("Shall weigh 2.5 per cent more.", "weight: {add: 2.5 %}"),
        ("Shall weigh 2.5% more.", "weight: {add: 2.5 %}"),
        ("The minimum is reduced by 20 kg.", "weight: {add: -20 kg}"),
        ("A camber of −3° at most.", "limit: {suspension.front.camber: {min: -3 °}}"),
        ("0.4 kg/cc and 120 kg.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc, plus: 120 kg}}"),
        ("0.4 kg per cc.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc}}"),
        ("40 kg for each 100 cc.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc}}"),
        ("40 kg for every further 100 cc.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc}}"),
        ("90 % of the driver's weight.", "weight: {minimum: {of: driver.weight, rate: 90 %}}"),
        ("Rounded to the nearest pound, 900 kg.", "weight: {minimum: 900 kg, round: {to: 1 lb}}"),
        ("Rounded to 5 kg, 900 kg.", "weight: {minimum: 900 kg, round: {to: 5 kg}}"),
        ("1,050 kg.", "weight: {minimum: 1050 kg}"),
        ("Up to 2,000 cc 900 kg.", "weight: {minimum: {by: engine.capacity, steps: [[2 l, 900 kg]]}}"),
        ("A harness lasts five years.", "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}"),
        ("Widths ±5 mm, 1800 mm.", "limit: {car.width: {max: 1800 mm}}\ntolerance: ±5 mm"),
        ("At 20 °C, 98 dB(A).", "limit: {car.noise: {max: 98 dB(A)}}\nnoted: [20 °C]"),
        ("At 20 °C.", "noted: 68 °F"),
        ("RON 102 at most.", "limit: {fuel.octane: {max: 102 RON}}"),
        ("Built before 2026.", "when: {car.built: {under: 2026-01-01}}\nlimit: {car.seats: standard}"),
        ("Built after 2025.", "when: {car.built: {min: 2026-01-01}}\nlimit: {car.seats: standard}"),
        ("Built before 2026.", "when: {car.built: {max: 2025-12-31}}\nlimit: {car.seats: standard}"),
        ("Good workmanship.", "ask: what is good?"),
        ("Text as of rule 5.2.1 and of 2026.", "concerns: paperwork"),
    ],
)
def test_readings_that_say_what_the_text_says(text, reading):
    """The same values, in any unit, in digits or in words."""
    assert faults_of(text, reading) == []


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("Mindestens 1.050,5 kg.", "weight: {minimum: 1050.5 kg}"),
        ("Höchstens zwei Sitze.", "limit: {car.seats: {max: 2}}"),
        ("Genau ein Sitz.", "limit: {car.seats: 1}"),
        ("Zuzüglich 2,5 Prozent.", "weight: {add: 2.5 %}"),
        ("40 kg je 100 ccm.", "weight: {minimum: {of: engine.capacity, rate: 0.4 kg/cc}}"),
    ],
)
def test_german_texts(text, reading):
    """Numbers as a German body prints them; a reading in YAML has the decimal point."""
    assert faults_of(text, reading, numbers=GERMAN) == []


@pytest.mark.parametrize(
    ("text", "reading", "faults"),
    [
        (
            "No wider than 10 in.",
            RIM.format("11 in"),
            [
                "1:19 number-not-used `10 in` in the text of 5.1",
                "4:38 reading-contradicts-text `11 in` is not in the text of 5.1",
            ],
        ),
        ("No wider than that.", RIM.format("10 in"), ["4:38 reading-contradicts-text `10 in` is not in the text of 5.1"]),
        (
            "No wider than 10 in, 10 in deep, 5 mm thick.",
            RIM.format("10 in"),
            ["1:38 number-not-used `5 mm` in the text of 5.1"],
        ),
        (
            "Camber of 3° at most.",
            "limit: {suspension.front.camber: {max: 3 °}}\nnoted: [+3 mm]",
            ["5:9 reading-contradicts-text `+3 mm` is not in the text of 5.1"],
        ),
        (
            "Camber of −3°.",
            "limit: {suspension.front.camber: 3 °}",
            [
                "1:15 number-not-used `−3°` in the text of 5.1",
                "4:34 reading-contradicts-text `3 °` is not in the text of 5.1",
            ],
        ),
        (
            "Built before 2026.",
            "when: {car.built: {under: 2027-01-02}}\nlimit: {car.seats: standard}",
            ["4:27 reading-contradicts-text the year of 2027-01-02 is not in the text of 5.1"],
        ),
        ("Lasts 30 min.", "concerns: event", ["1:11 number-not-used `30 min` in the text of 5.1"]),
    ],
)
def test_readings_that_contradict_the_text(text, reading, faults):
    """A number that the text does not have is told in the reading; one that the reading does not have is told in the text."""
    assert faults_of(text, reading) == faults


@pytest.mark.parametrize(
    ("text", "ruling", "other", "governs"),
    [
        ("3.5 in (89 mm)", "3.5 in", "89 mm", Governs.FIRST),
        ("89 mm (3.5 in)", "89 mm", "3.5 in", Governs.FIRST),
        ("3.5 in (89 mm)", "89 mm", "3.5 in", Governs.METRIC),
        ("89 mm (3.5 in)", "89 mm", "3.5 in", Governs.METRIC),
        ("3.5 in / 89 mm", "3.5 in", "89 mm", Governs.FIRST),
        ("3.5 in\n(89 mm)", "3.5 in", "89 mm", Governs.FIRST),
        ("3.5 in [89 mm]", "89 mm", "3.5 in", Governs.METRIC),
    ],
)
def test_which_of_two_statements_rules(text, ruling, other, governs):
    """Where a text gives a value in two units that differ by rounding, the body says which a reading must have."""
    assert faults_of(f"No wider than {text}.", RIM.format(ruling), governs=governs) == []
    (fault,) = faults_of(f"No wider than {text}.", RIM.format(other), governs=governs)
    assert fault.endswith(f":38 reading-contradicts-text `{other}` is the statement of 5.1 that does not rule")
    assert faults_of(f"No wider than {text}.", f"noted: [{other}]", governs=governs) == []


def test_ranges_in_two_units():
    """Both ends of a range have their other statement."""
    text = "From 3.5 to 4.5 in (89 to 114 mm) wide."
    assert faults_of(text, "limit: {wheels.rear.rim_width: {min: 3.5 in, max: 4.5 in}}") == []
    metric = "limit: {wheels.rear.rim_width: {min: 89 mm, max: 114 mm}}"
    assert faults_of(text, metric, governs=Governs.METRIC) == []
    assert [fault.split()[1] for fault in faults_of(text, metric)] == ["reading-contradicts-text"] * 2


def test_two_values_are_not_two_statements():
    """Amounts that differ by more than rounding are two rules, and both must be read."""
    assert faults_of("No wider than 10 in (300 mm).", RIM.format("10 in")) == [
        "1:26 number-not-used `300 mm` in the text of 5.1"
    ]


def test_all_readings_of_a_clause_count_together():
    """Each of two readings may use one of the two numbers."""
    text = "10 in in one class and 12 in in the other."
    assert faults_of(text, RIM.format("10 in"), RIM.format("12 in")) == []
    assert faults_of(text, RIM.format("10 in")) == ["1:28 number-not-used `12 in` in the text of 5.1"]


def test_a_clause_without_a_reading_is_not_checked():
    """Unread clauses are open, not at fault."""
    assert faults_of("No wider than 10 in.") == []


def test_places_in_texts_of_several_lines():
    """A number on a later line, behind a reading and an indent, is told at its own place."""
    text = "- 5.1 First line.\n\n  ```reading\n  ask: why 5 mm?\n  ```\n\n  Then 5 mm\n  and 7 mm.\n"
    source = Source(path="r.md", text=text)
    (clause,) = parse_chapter(source).clauses
    places = [place_in_text(clause, clause.text.index(words), source) for words in ("First", "5 mm", "7 mm")]
    assert [(place.line, place.column) for place in places] == [(1, 7), (7, 8), (8, 7)]


def test_a_text_from_elsewhere_is_placed_at_its_clause():
    """Where the text is not in the source, its clause's place stands in."""
    source = Source(path="r.md", text="one\ntwo")
    clause = Clause(id="1", label="1", text="three\nfour 5 mm", place=source.place(1, 1), last_line=9)
    assert place_in_text(clause, 10, source) == clause.place
    number = Written(value=Amount(number=Fraction(3)), place=source.place(2))
    day = Written(value=date(2026, 6, 1), place=Place(path="r.md", line=99))
    reading = Reading(clause="1", place=source.place(2), last_line=2, numbers=(number, day))
    body = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={}, place=source.place(1))
    faults = check_against_text([reading], clause, body=body, source=source)
    assert [(fault.code, fault.place.line) for fault in faults] == [
        ("number-not-used", 1),
        ("reading-contradicts-text", 99),
    ]


OUTDATED = "\nconfirmed: {by: mara, on: 2026-11-20, text: 00000000}"


def test_a_reading_that_was_confirmed_against_another_text_is_behind_and_not_wrong():
    """Its numbers wait for a person; nor is a number of the text unused, which the reading may be meant to have."""
    assert faults_of("No wider than 11 in.", RIM.format("10 in") + OUTDATED) == []


def test_a_reading_that_is_confirmed_or_not_at_all_must_have_the_numbers_of_its_text():
    """Only an old confirmation excuses a number, so that a slip of the pen is told at once."""
    text = "No wider than 11 in."
    current = f"\nconfirmed: {{by: mara, on: 2026-11-20, text: {digest(text)}}}"
    wrong = [
        "1:19 number-not-used `11 in` in the text of 5.1",
        "4:38 reading-contradicts-text `10 in` is not in the text of 5.1",
    ]
    assert faults_of(text, RIM.format("10 in")) == wrong
    assert faults_of(text, RIM.format("10 in") + current) == wrong


def test_a_reading_beside_one_that_is_behind_keeps_to_the_text():
    """An old confirmation excuses its own reading alone; what the other should use cannot be told apart."""
    found = faults_of("No wider than 11 in.", RIM.format("10 in") + OUTDATED, RIM.format("12 in"))
    assert found == ["9:38 reading-contradicts-text `12 in` is not in the text of 5.1"]
