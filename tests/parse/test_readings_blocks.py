"""Reading blocks into readings. Their faults stand in tests/broken/readings."""

from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model.fault import Source
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import (
    Answer,
    Confirmation,
    Counting,
    Dated,
    FirstYear,
    Fixed,
    MinimumWeight,
    OneOf,
    Presence,
    Range,
    Rounding,
    Steps,
    Ties,
    WeightAdder,
)
from rulewatch.parse.clauses import ReadingBlock, parse_chapter
from rulewatch.parse.readings import WEIGHT, parse_reading
from rulewatch.parse.vocabulary import packaged_vocabulary


def reading_of(text):
    """The reading of a block's text, which has no faults; the text begins on line 4 of its chapter, after two columns."""
    indented = "".join(f"  {line}\n" for line in text.splitlines())
    source = Source(path="r.md", text=f"1. A clause\n\n  ```reading\n{indented}  ```\n")
    block = ReadingBlock(clause="1", text=text, place=source.place(3, 3), first_line=4, indent=2)
    reading, faults = parse_reading(block, source, vocabulary=packaged_vocabulary())
    assert faults == ()
    return reading


def kg(number):
    """An amount of mass."""
    return Amount(number=Fraction(number), unit=find_unit("kg"))


def test_the_example_of_the_book():
    """A clause with a limit and who confirmed it, from the chapter to the reading."""
    text = (
        "### 5.2.1 Rear rims\n\nA rear rim shall be no wider than 10 in (254 mm).\n\n"
        "```reading\nlimit: {wheels.rear.rim_width: {max: 10 in}}\n"
        "confirmed: {by: mara, on: 2026-11-20, text: 5f1c09aa}\n```\n"
    )
    source = Source(path="05-wheels.md", text=text)
    (block,) = parse_chapter(source).blocks
    reading, faults = parse_reading(block, source, vocabulary=packaged_vocabulary())
    assert faults == ()
    assert (reading.clause, reading.place.line, reading.last_line) == ("5.2.1", 5, 8)
    (limit,) = reading.limits
    assert (limit.subject, limit.place) == ("wheels.rear.rim_width", source.place(6, 9))
    assert limit.constraint == Range(high=Fixed(value=Amount(number=Fraction(10), unit=find_unit("in"))))
    assert reading.confirmed == Confirmation(by="mara", on=date(2026, 11, 20), text="5f1c09aa")
    assert reading.classes is None
    assert not reading.is_open


def test_scope():
    """Classes, dates and a condition say for whom a reading holds; one class needs no brackets."""
    reading = reading_of(
        "classes: silhouette-b\nfrom: 2027-03-01\nuntil: 2027-03-01\nwhen: {car.seats: 2}\nlimit: {aero: absent}"
    )
    assert (reading.classes, reading.since, reading.until) == (("silhouette-b",), date(2027, 3, 1), date(2027, 3, 1))
    assert reading.when.constraint == OneOf(values=(Amount(number=Fraction(2)),))
    assert reading.limits[0].constraint == Presence(present=False)


def test_places_are_those_of_the_file():
    """A test in an indented block has the line and column of the chapter."""
    reading = reading_of("limit:\n  car.seats: 2")
    assert (reading.limits[0].place.line, reading.limits[0].place.column) == (5, 5)
    assert (reading.numbers[0].place.line, reading.numbers[0].place.column) == (5, 16)
    assert reading.last_line == 6  # the closing fence


def test_permission_and_replacement():
    """`allow` and `instead_of` are kept apart from limits; one clause needs no brackets."""
    reading = reading_of("allow: {aero.rear_wing: present}\ninstead_of: 5.2.10")
    assert [(test.subject, test.constraint) for test in reading.allows] == [("aero.rear_wing", Presence(present=True))]
    assert reading.limits == ()
    assert reading.instead_of == ("5.2.10",)


def test_minimum_weight():
    """A minimum weight with steps, rounding, how adders count and who sits in the car."""
    reading = reading_of(
        "weight:\n"
        "  minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 980 kg]]}\n"
        "  round: {to: 1 lb, ties: up, at: each}\n"
        "  adders: compounded\n"
        "  with: driver\n"
    )
    weight = reading.minimum
    assert isinstance(weight, MinimumWeight)
    assert isinstance(weight.bound, Steps)
    assert weight.rounding == Rounding(to=Amount(number=Fraction(1), unit=find_unit("lb")), ties=Ties.UP, each=True)
    assert (weight.compounded, weight.with_driver) == (True, True)
    assert [number.sought for number in reading.numbers] == [True, True, True, True, False]


def test_minimum_weight_by_default():
    """Without more, adders are summed, halves go to the even step, and who sits in the car is not known."""
    weight = reading_of("weight: {minimum: 900 kg, round: {to: 1 kg}}").minimum
    assert (weight.compounded, weight.with_driver) == (False, None)
    assert weight.rounding == Rounding(to=kg(1))
    assert reading_of("weight: {minimum: 900 kg, with: car, adders: summed}").minimum.with_driver is False


@pytest.mark.parametrize(
    ("text", "amount", "share"),
    [
        ("20 kg", kg(20), None),
        ("-20 kg", kg(-20), None),
        ("−20 kg", kg(-20), None),
        ("2.5 %", None, Fraction(1, 40)),
        ("-2 %", None, Fraction(-1, 50)),
        ("50 lb", Amount(number=Fraction(50), unit=find_unit("lb")), None),
    ],
)
def test_weight_adders(text, amount, share):
    """An adder is an amount of mass or a share of the minimum, and may take weight off."""
    adder = reading_of(f"weight: {{add: {text}}}").adder
    assert isinstance(adder, WeightAdder)
    assert (adder.amount, adder.share, adder.printed) == (amount, share, text)
    assert adder.place.column == 17


def test_the_weight_quantity_is_that_of_the_vocabulary():
    """Minimum weights are checked as `car.weight` is."""
    known = packaged_vocabulary().quantities["car.weight"]
    assert (WEIGHT.name, WEIGHT.kind, WEIGHT.unit) == (known.name, known.kind, known.unit)


def test_dated_items():
    """Items with a life, one alone or a list of them."""
    harness = "{item: safety.harness, life: 5 years, from: manufacture, until: year-end}"
    seat = "{item: safety.seat, life: 1 year, from: manufacture, until: day}"
    (one,) = reading_of(f"dated: {harness}").dated
    assert one == Dated(
        item="safety.harness",
        years=5,
        since="manufacture",
        until=Counting.YEAR_END,
        counted="safety.harness.made",
        place=one.place,
    )
    assert [item.years for item in reading_of(f"dated: [{harness}, {seat}]").dated] == [5, 1]


@pytest.mark.parametrize(
    ("form", "counted", "first_year"),
    [
        (
            "item: safety.extinguisher, life: 2 years, from: service, until: day",
            "safety.extinguisher.serviced",
            FirstYear.ON_TOP,
        ),
        ("item: fuel.cell, life: 5 years, from: fuel.cell.made, until: day", "fuel.cell.made", FirstYear.ON_TOP),
        (
            "item: safety.seat, life: 10 years, from: manufacture, until: year-end, first_year: counted",
            "safety.seat.made",
            FirstYear.COUNTED,
        ),
        ("item: safety.seat, until: label", "safety.seat.valid_until", FirstYear.ON_TOP),
        ("item: driver.medical, from: driver.medical, until: label", "driver.medical", FirstYear.ON_TOP),
    ],
)
def test_what_a_life_is_counted_from(form, counted, first_year):
    """A word for what happened on a day stands for the item's quantity with that day; its name may be given too."""
    (one,) = reading_of(f"dated: {{{form}}}").dated
    assert (one.counted, one.first_year) == (counted, first_year)


@pytest.mark.parametrize("text", ["±5 mm", "5 mm", "+/- 5 mm", "+-5 mm"])
def test_tolerances(text):
    """A tolerance takes the sign that books print before it."""
    reading = reading_of(f"limit: {{car.width: {{max: 1800 mm}}}}\ntolerance: {text}")
    assert reading.tolerance == Amount(number=Fraction(5), unit=find_unit("mm"))
    assert reading.numbers[-1].value == reading.tolerance


def test_a_tolerance_on_the_weight():
    """The minimum weight of the same reading is a limit too."""
    assert reading_of("weight: {minimum: 900 kg}\ntolerance: 2 kg").tolerance == kg(2)


def test_conditions_of_measuring():
    """`measured` keeps its words; YAML's true is yes."""
    assert reading_of("measured: {driver: true, fuel: as finished}").measured == (("driver", "yes"), ("fuel", "as finished"))


def test_what_does_not_touch_the_car():
    """`concerns` is one of a few words."""
    assert reading_of("concerns: paperwork").concerns == "paperwork"


def test_questions():
    """A question is open until it is answered."""
    asked = reading_of("ask: what is sound workmanship?")
    assert asked.is_open
    answered = reading_of("ask: a?\nanswered: {on: 2027-01-05, by: chief inspector, ref: mail 12}")
    assert answered.answered == Answer(on=date(2027, 1, 5), by="chief inspector", ref="mail 12")
    assert not answered.is_open


def test_noted_amounts():
    """Amounts that need no check, of any dimension; they are looked up in the text like the others."""
    reading = reading_of("noted: [20 °C, 98 dB(A), 3]")
    assert reading.noted == (
        Amount(number=Fraction(20), unit=find_unit("°C")),
        Amount(number=Fraction(98), unit=find_unit("dB(A)")),
        Amount(number=Fraction(3)),
    )
    assert [number.value for number in reading.numbers] == list(reading.noted)


def test_a_reading_with_a_fault_is_none():
    """What is wrong in part is not used in part."""
    text = "limit: {car.seats: 2}\nnoted: warm\n"
    source = Source(path="r.md", text=text)
    block = ReadingBlock(clause="1", text=text, place=source.place(1), first_line=1, indent=0)
    reading, faults = parse_reading(block, source, vocabulary=packaged_vocabulary())
    assert reading is None
    assert [fault.code for fault in faults] == ["bad-amount"]
