"""Laws of units and amounts."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.model.amounts import YAML_NUMBERS, find_amounts, find_numbers, read_amount
from rulewatch.model.quantity import Amount, NumberStyle, digits, find_unit, spellings
from rulewatch.model.units import UNITS

LAW = settings(deadline=None, max_examples=100, derandomize=True)

ENGLISH, GERMAN = NumberStyle(), NumberStyle(decimal=",", thousands=".")
units = st.sampled_from([spellings()[row.spellings.split("|")[0]] for row in UNITS])
fractions = st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=1000)
decimals = st.decimals(min_value=0, max_value=10**8, places=3).map(Fraction)
styles = st.sampled_from([ENGLISH, GERMAN, YAML_NUMBERS])


@st.composite
def convertible(draw):
    """Two units of one dimension."""
    one = draw(units)
    return one, draw(units.filter(lambda other: other.dimension == one.dimension))


def printed(number: Fraction, style: NumberStyle) -> str:
    """A decimal as a body of that style prints it, thousands parted."""
    text = f"{float(number):,.3f}"
    return text.translate({ord(","): style.thousands, ord("."): style.decimal})


@LAW
@given(fractions, convertible())
def test_units_round_trip(number, pair):
    """There and back again is the same amount, exactly, and of the same value in between."""
    amount = Amount(number=number, unit=pair[0])
    there = amount.to(pair[1])
    assert there.to(pair[0]) == amount
    assert there.same_value(amount)


@LAW
@given(fractions, fractions, convertible())
def test_a_difference_added_gives_the_other(one, other, pair):
    """`a + (b - a)` is `b`, in whatever units, offsets of temperatures included."""
    a, b = Amount(number=one, unit=pair[0]), Amount(number=other, unit=pair[1])
    assert a.plus(b.minus(a)).same_value(b)


@LAW
@given(decimals, units, styles)
def test_printed_amounts_read_back(number, unit, style):
    """What is printed in a style is read in it, exactly, and its digits are kept."""
    text = f"{printed(number, style)} {unit.symbol}".strip()
    assert read_amount(text, style) == Amount(number=number, unit=unit)
    assert str(read_amount(text, style)) == text


@LAW
@given(st.fractions(min_value=0, max_value=999, max_denominator=64), st.sampled_from(["in", "ft", "mm"]))
def test_fractions_read_back(number, symbol):
    """Mixed fractions are read exactly, with a space or a hyphen before the fraction."""
    whole, rest = divmod(number, 1)
    mixed = f"{whole} {rest.numerator}/{rest.denominator}" if rest else str(whole)
    for text in (mixed, mixed.replace(" ", "-")):
        assert read_amount(f"{text} {symbol}") == Amount(number=number, unit=find_unit(symbol))


@LAW
@given(fractions | decimals, units)
def test_plain_amounts_read_back(number, unit):
    """What is offered to be written in our own files is read there as the same amount."""
    amount = Amount(number=number, unit=unit, printed="1,050 kg")
    assert read_amount(amount.plain, YAML_NUMBERS) == amount


@LAW
@given(fractions)
def test_shown_numbers_read_back(number):
    """A number that is shown without ≈ is read back as the same number."""
    shown = digits(number)
    if not shown.startswith("≈") and "e" not in shown:
        assert read_amount(shown) == Amount(number=number)


@LAW
@given(decimals, units.filter(lambda unit: unit.symbol not in {"", "in"}), st.sampled_from([ENGLISH, GERMAN]))
def test_an_amount_is_found_in_a_sentence(number, unit, style):
    """An amount in a sentence is found as the one that it is by itself, and nothing else is."""
    written = f"{printed(number, style)} {unit.symbol}"
    text = f"It measures at most {written}, as measured by the scrutineers."
    assert [(found.amount, text[found.start : found.end]) for found in find_amounts(text, style)] == [
        (Amount(number=number, unit=unit), written)
    ]


@LAW
@given(
    st.text(alphabet=st.sampled_from("0123456789.,-–−/¼½ \n\"'()xinmkgCA%°§abc:±"), max_size=60),
    st.sampled_from([ENGLISH, GERMAN]),
)
def test_any_text_gives_numbers_in_order(text, style):
    """Whatever the text, numbers stand in order, do not overlap, and begin and end inside it."""
    ends = [0]
    for found in find_numbers(text, style):
        assert ends[-1] <= found.start < found.end <= len(text)
        ends.append(found.end)


@LAW
@given(st.text(max_size=60), styles)
def test_any_text_is_an_amount_or_refused(text, style):
    """Reading never fails otherwise than with a reason of one line."""
    amount = read_amount(text, style)
    assert isinstance(amount, Amount) or amount.partition(" ")[0] in {"bad-amount", "unit-unknown", "decimal-comma"}
