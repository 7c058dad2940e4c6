"""A whole text read as one amount, or refused with a reason."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rulewatch.model.amounts import YAML_NUMBERS, read_amount
from rulewatch.model.fault import CODES
from rulewatch.model.quantity import NumberStyle

GERMAN = NumberStyle(decimal=",", thousands=".")


@pytest.mark.parametrize(
    ("text", "number", "symbol"),
    [
        ("10.25 in", "41/4", "in"),
        ("10¼ in", "41/4", "in"),
        ("10 ¼ in", "41/4", "in"),
        ("10 1/4 in", "41/4", "in"),
        ('10-1/4"', "41/4", "in"),
        ("10 1⁄4 in", "41/4", "in"),
        ('10"', "10", "in"),
        ("10 ″", "10", "in"),
        ("6'", "6", "ft"),
        ("6 ft 2 in", "74", "in"),
        ("6' 2½\"", "149/2", "in"),
        (".095 in", "19/200", "in"),
        ("1/2 in", "1/2", "in"),
        ("⅔ l", "2/3", "L"),
        ("1,050 kg", "1050", "kg"),
        ("1,234,567.5 kg", "2469135/2", "kg"),
        ("1 050 kg", "1050", "kg"),
        ("1\u00a0050 kg", "1050", "kg"),
        ("1\u202f050 kg", "1050", "kg"),
        ("1\u202f050\u202f000\u00a0kg", "1050000", "kg"),
        ("−5 mm", "-5", "mm"),
        ("-5 mm", "-5", "mm"),
        ("+5 mm", "5", "mm"),
        ("-6' 2\"", "-74", "in"),
        ("98 dB(A)", "98", "dB(A)"),
        ("20 °C", "20", "°C"),
        ("−20°C", "-20", "°C"),
        ("60 Nm", "60", "Nm"),
        ("RON 102", "102", "RON"),
        ("102 RON", "102", "RON"),
        ("Shore A 60", "60", "Shore A"),
        ("58 HRC", "58", "HRC"),
        ("2.5 %", "5/2", "%"),
        ("2.5%", "5/2", "%"),
        ("11.5:1", "23/2", ""),
        ("4", "4", ""),
        ("0.4 kg/cc", "2/5", "kg/cc"),
        ("  60 mm  ", "60", "mm"),
        ("0.1 mm", "1/10", "mm"),
    ],
)
def test_amounts_are_read_exactly(text, number, symbol):
    """Each usual way to print an amount gives its exact number and unit, and keeps its digits."""
    amount = read_amount(text)
    assert not isinstance(amount, str), amount
    assert (amount.number, amount.unit.symbol) == (Fraction(number), symbol)
    assert str(amount) == text.strip()


@pytest.mark.parametrize(
    ("text", "number"),
    [("1.050,5 kg", "2101/2"), ("1.050 kg", "1050"), ("1,050 kg", "21/20"), ("15,50 m", "31/2"), ("60 mm", "60")],
)
def test_german_numbers(text, number):
    """With the comma for decimals and the point for thousands, the same digits mean something else."""
    amount = read_amount(text, GERMAN)
    assert not isinstance(amount, str), amount
    assert amount.number == Fraction(number)


REFUSED = {
    "": "bad-amount nothing is no number with a unit",
    "mm": "bad-amount `mm` does not begin with a number",
    "5×10 mm": "bad-amount `5×10 mm` is more than one number; write one number with its unit",
    "5 x 10 mm": "bad-amount `5 x 10 mm` is more than one number; write one number with its unit",
    "10–12 mm": "bad-amount `10–12 mm` is more than one number; write one number with its unit",
    "±5 mm": "bad-amount `±5 mm` is a tolerance and no amount; leave the sign out",
    "> 5 mm": "bad-amount `> 5 mm` begins with a comparison; say it with min, max, over or under",
    "5.2.1 mm": "bad-amount `5.2.1 mm` holds no single number; write digits with `.` before decimals",
    "10 5/4 in": "bad-amount `10 5/4 in` holds no single number; write digits with `.` before decimals",
    "5/0 mm": "bad-amount `5/0 mm` holds no single number; write digits with `.` before decimals",
    "10,50,000 kg": "bad-amount `10,50,000 kg` holds no single number; write digits with `.` before decimals",
    "1,05 kg": "decimal-comma `1,05 kg` has a decimal comma; write `1.05 kg`",
    "0,050 kg": "decimal-comma `0,050 kg` has a decimal comma; write `0.050 kg`",
    "13,5 in": "decimal-comma `13,5 in` has a decimal comma; write `13.5 in`",
    "10 inchs": "unit-unknown `inchs` in `10 inchs` is no unit that is known; did you mean `inches`?",
    "10 KN": "unit-unknown `KN` in `10 KN` is no unit that is known; did you mean `kN`?",
    "1e3 kg": "unit-unknown `e3 kg` in `1e3 kg` is no unit that is known",
    "6 ft 14 in": "unit-unknown `ft 14 in` in `6 ft 14 in` is no unit that is known",
    "6. ft 2 in": "unit-unknown `. ft 2 in` in `6. ft 2 in` is no unit that is known",
    "5 furlongs": "unit-unknown `furlongs` in `5 furlongs` is no unit that is known",
    "٣ mm": "bad-amount `٣ mm` does not begin with a number",
}


@pytest.mark.parametrize(("text", "why"), REFUSED.items(), ids=REFUSED.keys())
def test_what_is_no_amount_is_refused_with_its_reason(text, why):
    """Nothing is guessed: the code, what was found and what to write instead."""
    assert read_amount(text) == why
    assert why.partition(" ")[0] in CODES


def test_a_german_book_has_no_decimal_point():
    """A point that parts no thousands is refused where the comma parts decimals."""
    expected = "bad-amount `10.25 in` has a point where a comma parts decimals; check what the book prints"
    assert read_amount("10.25 in", GERMAN) == expected


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1,050 kg", "decimal-comma `1,050 kg` has a comma; write `1050 kg`, or `1.050 kg` where the comma parts decimals"),
        ("1,05 kg", "decimal-comma `1,05 kg` has a decimal comma; write `1.05 kg`"),
        ("1 050 kg", "bad-amount `1 050 kg` has a space inside the number; write `1050 kg`"),
        ("1\u202f050 kg", "bad-amount `1\u202f050 kg` has a space inside the number; write `1050 kg`"),
    ],
)
def test_yaml_takes_no_separators(text, why):
    """In our own files a number has digits and a decimal point, and nothing else."""
    assert read_amount(text, YAML_NUMBERS) == why


@pytest.mark.parametrize("text", ["1050 kg", "10.25 in", "10 1/4 in", "10¼ in", ".5 in"])
def test_yaml_takes_points_and_fractions(text):
    """What our own files may write is read there as anywhere."""
    assert read_amount(text, YAML_NUMBERS) == read_amount(text)
    assert not isinstance(read_amount(text, YAML_NUMBERS), str)


def test_a_huge_number_is_refused():
    """A run of digits without end is no number of a rule book, and is not reckoned with."""
    assert str(read_amount("9" * 5000 + " mm")).startswith("bad-amount `9999")
    assert len(str(read_amount("9" * 5000 + " mm"))) < 200
    assert isinstance(read_amount("9" * 50 + " mm"), str)
