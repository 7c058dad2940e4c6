"""Numbers and amounts inside sentences."""

from __future__ import annotations

from time import perf_counter

import pytest

from rulewatch.model.amounts import find_amounts, find_numbers
from rulewatch.model.quantity import NumberStyle

GERMAN = NumberStyle(decimal=",", thousands=".")


def numbers(text: str, style: NumberStyle = NumberStyle()) -> list[str]:  # noqa: B008 (a frozen value)
    """The numbers of a text as `number symbol`, exact."""
    return [f"{found.amount.number} {found.amount.unit.symbol}".strip() for found in find_numbers(text, style)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no wider than 60 mm, and", ["60 mm"]),
        ("10 in (254 mm)", ["10 in", "254 mm"]),
        ("10in(254mm)", ["10 in", "254 mm"]),
        ("a 15-inch rim", ["15 in"]),
        ('an 8" rim with a 5¼" bore', ["8 in", "21/4 in"]),
        ("6 ft 2 in or 6' 2\"", ["74 in", "74 in"]),
        ("6 ft 14 in", ["6 ft", "14 in"]),
        ("5 mm/°C and 3 kg/RON", ["5 mm", "3 kg"]),
        ("of .095 in wall", ["19/200 in"]),
        ("10 1/4 in, 10-1/4 in and 1/2 in", ["41/4 in", "41/4 in", "1/2 in"]),
        ("1,050 kg", ["1050 kg"]),
        ("1 050 kg and 1\u00a0050 kg", ["1050 kg", "1050 kg"]),
        ("60\nmm", ["60 mm"]),
        ("80 % of", ["80 %"]),
        ("RON 102 or 98 RON", ["102 RON", "98 RON"]),
        ("98 dB(A) at 4500 rpm", ["98 dB(A)", "4500 rpm"]),
        ("from −5 °C to +40 °C", ["-5 °C", "40 °C"]),
        ("(−5 mm)", ["-5 mm"]),
        ("69 ± 5 K", ["69 K", "5 K"]),
        ("a ratio of 11:1 or less", ["11"]),
        ("0.4 kg/cc plus 120 kg", ["2/5 kg/cc", "120 kg"]),
        ("Ø45 mm", ["45 mm"]),
        ("a 5mm/side gap", ["5 mm"]),
        ("four (4) wheels, 6-point", ["4", "6"]),
        ("Class 3 650 kg", ["650 kg"]),
        ("box section 40 mm", ["40 mm"]),
        ("12 V, 5 A", ["12 V", "5 A"]),
        ("the year 1998", ["1998"]),
        ("10 in wide, 10 in deep", ["10 in", "10 in"]),
    ],
)
def test_amounts_of_a_sentence(text, expected):
    """Each amount is found as it is printed."""
    assert numbers(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("between 10 and 12 mm", ["10 mm", "12 mm"]),
        ("10 to 12 mm", ["10 mm", "12 mm"]),
        ("10–12 mm", ["10 mm", "12 mm"]),
        ("10-12 mm", ["10 mm", "12 mm"]),
        ("10 mm–12 mm", ["10 mm", "12 mm"]),
        ("10, 12 or 14 mm", ["10 mm", "12 mm", "14 mm"]),
        ("45 x 2.5 mm or 45×2.5 mm", ["45 mm", "5/2 mm", "45 mm", "5/2 mm"]),
        ("45x2.5mm", ["45 mm", "5/2 mm"]),
        ("1600, 2000 or 2500 cc", ["1600 cc", "2000 cc", "2500 cc"]),
        ("From 2026, 60 mm", ["2026", "60 mm"]),
        ("4 bolts of 8 mm", ["4", "8 mm"]),
    ],
)
def test_ranges_share_their_unit(text, expected):
    """Both ends of a range have the unit that is printed once; a comma alone shares nothing."""
    assert numbers(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "see 5.2.1 and 5.3",
        "clauses 4, 5 and 6",
        "Articles 4 to 6",
        "4.2.1(a), 9.1.2.F.4.a, T.2.3, 36a, 4b3a",
        "Class 2 in Group 5 A",
        "No. 5, # 6, page 7",
        "on 1 January 2026, 2026-11-20, January 5, 1st of May 2026",
        "20.11.2026 or 20/11/2026 at 10:30",
        "M8x1.25, FT3-1999, SA2020",
        "in the 1990s and the '90s",
        "1. First\n2) Second\n- 9g) Third",
    ],
)
def test_references_dates_and_parts_of_words_are_no_numbers(text):
    """A clause number, a class, a day or a code is not a value."""
    assert numbers(text) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("10 in the engine bay", ["10"]),
        ("2 in total", ["2"]),
        ("4 A car may have a 10 A fuse", ["4", "10 A"]),
        ("built after 2024 in one piece", ["2024"]),
        ('the "Best of 2" and the "Best of 3" rankings', ["2", "3"]),
        ("a 'Group 4' car of 6' length", ["6 ft"]),
        ("“of 9” and 9”", ["9", "9 in"]),
    ],
)
def test_words_and_quotation_marks_are_no_units(text, expected):
    """The preposition `in` and a closing quotation mark are told from inches and feet."""
    assert numbers(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no more than 12.5 in Grand Tourer", ["25/2"]),
        ("no more than 12.5 in\nGrand Tourer", ["25/2"]),
        ("at most 10 in both classes", ["10"]),
        ("10 in wide, 10 in or less, 10 in maximum", ["10 in", "10 in", "10 in"]),
        ("10 in OD, 10 in Max. and 10 in. Each", ["10 in", "10 in", "10 in"]),
        ("10 in, 9 in; 8 in", ["10 in", "9 in", "8 in"]),
        ("Front: 10 in\nRear: 12 in", ["10 in", "12 in"]),
        ("10 in\n\nRear rims", ["10 in"]),
    ],
)
def test_in_before_a_name_is_no_inch(text, expected):
    """A name behind `in` makes it a preposition; a term of measuring, another paragraph and a labelled line do not."""
    assert numbers(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The ratio is no more than\n11.5.", ["23/2"]),
        ("The ratio of the pump is\n11.5.\n\nOther text", ["23/2"]),
        ("The ratio is no more than\n11.5. Others are free.", ["23/2"]),
        ("Wheels\n5.2. Rear rims", []),
        ("1. First\n2. Second\n3.", []),
    ],
)
def test_last_number_of_a_wrapped_sentence_is_no_label(text, expected):
    """A line that goes on with the sentence above begins with its number, and not with a label."""
    assert numbers(text) == expected


@pytest.mark.parametrize(
    ("text", "printed"), [("more than 44 lb. Each", "44 lb"), ("44 lb.", "44 lb"), ("44 lb. or less", "44 lb.")]
)
def test_full_stop_is_not_of_the_unit(text, printed):
    """The full stop of a sentence is not printed with the unit in front of it; that of an abbreviation is."""
    assert [found.amount.printed for found in find_numbers(text)] == [printed]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("höchstens 15,50 m lang", ["31/2 m"]),
        ("1.050 kg oder 1.050,5 kg", ["1050 kg", "2101/2 kg"]),
        ("zwischen 10 und 12 mm", ["10 mm", "12 mm"]),
        ("10 bis 12 mm", ["10 mm", "12 mm"]),
        ("nach Nummer 4, Nummern 4 bis 6, § 36a Absatz 2 Satz 1", []),
        ("am 1. Januar 2026 und am 20.11.2026", []),
        ("nach 5.2", []),
        ("4 in der Klasse 2", ["4"]),
        ("4 männliche Fahrer", ["4"]),
        ("0,8 Meter, 3 Tonnen, 10 vom Hundert", ["4/5 m", "3 t", "10 %"]),
        ("2.5 mm", ["5/2 mm"]),
    ],
)
def test_german_text(text, expected):
    """German text is read in its own style; a point that can only be a slip is read as one where a unit stands behind."""
    assert numbers(text, GERMAN) == expected


def test_places_are_those_of_the_text():
    """Each amount says where it stands; an end of a range without its own unit covers its digits."""
    text = "Between 10 and 12 mm, or 1,050 kg."
    found = find_amounts(text)
    assert [text[one.start : one.end] for one in found] == ["10", "12 mm", "1,050 kg"]
    assert [str(one.amount) for one in found] == ["10 mm", "12 mm", "1,050 kg"]


def test_amounts_have_units_and_numbers_need_none():
    """`find_amounts` leaves plain numbers out, `find_numbers` has both."""
    text = "12 pads of 60 mm"
    assert [str(one.amount) for one in find_amounts(text)] == ["60 mm"]
    assert [str(one.amount) for one in find_numbers(text)] == ["12", "60 mm"]


@pytest.mark.parametrize(
    "text",
    [
        "9" * 100_000,
        "1 " * 50_000,
        "1,1" * 50_000,
        "10 in " * 20_000,
        '"' * 20_000 + '5"',
        "1/2" * 30_000,
        "1. " * 30_000,
        "1.\n" * 50_000,
    ],
)
def test_hostile_text_takes_no_long_time(text):
    """Long runs of digits, signs and spaces are gone through once."""
    began = perf_counter()
    find_numbers(text)
    assert perf_counter() - began < 5  # a tenth of this here; going through it twice over would take minutes
