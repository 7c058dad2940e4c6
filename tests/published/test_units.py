"""Units against published values and against pint.

Sources: NIST SP 811 (2008), Guide for the Use of the SI, appendix B.8 (factors in bold there are exact) and B.9; NIST Handbook 44,
appendix C. The printed tables were not opened: lengths, masses and temperatures were read in a public test file that quotes them,
the other factors were re-derived as exact fractions. What stands here from memory says so.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pint
import pytest

from rulewatch.model.amounts import read_amount
from rulewatch.model.quantity import NUMBER, find_unit
from rulewatch.model.units import MEASURES, PINT_ANGLE, PINT_ROTATION, UNITS

# One of the first is exactly so many of the second.
EXACT = {
    "SP 811 B.8, inch": ("in", "0.0254", "m"),
    "SP 811 B.8, foot": ("ft", "0.3048", "m"),
    "SP 811 B.8, yard": ("yd", "0.9144", "m"),
    "SP 811 B.8, mile": ("mi", "1609.344", "m"),
    "SP 811 B.8 footnote, pound": ("lb", "0.45359237", "kg"),
    "HB 44 C, ounce: a sixteenth of a pound, from memory": ("oz", "0.028349523125", "kg"),
    "SP 811 B.8 footnote, pound-force": ("lbf", "4.4482216152605", "N"),
    "SP 811 B.8, horsepower (550 ft·lbf/s)": ("hp", "745.69987158227022", "W"),
    "SP 811 B.8, horsepower (metric): 75 kgf·m/s": ("PS", "735.49875", "W"),
    "HB 44 C, US gallon of 231 cubic inches": ("gal", "231", "in³"),
    "HB 44 C, US gallon": ("gal", "0.003785411784", "m³"),
    "SP 811 B.8, imperial gallon": ("imp gal", "0.00454609", "m³"),
    "SP 811 B.8 footnote, cubic inch": ("ci", "16.387064", "cc"),
    "SP 811 B.8, foot pound-force": ("lb·ft", "1.3558179483314004", "Nm"),
    "SP 811 B.8, mile per hour": ("mph", "0.44704", "m/s"),
    "SP 811 B.8, mile per hour in km/h": ("mph", "1.609344", "km/h"),
    "SP 811 B.8, standard atmosphere": ("atm", "101325", "Pa"),
    "SP 811 B.8, kilogram-force, from memory": ("kgf", "9.80665", "N"),
    "SP 811 B.8, bar, from memory": ("bar", "100", "kPa"),
    "SP 811 table 6, tonne, from memory": ("t", "1000", "kg"),
    "SP 811 table 6, litre, from memory": ("l", "1000", "cc"),
}


def in_unit(text: str, symbol: str) -> Fraction:
    """A written amount's number in another unit."""
    amount, unit = read_amount(text), find_unit(symbol)
    assert not isinstance(amount, str), amount
    assert unit is not None, symbol
    return amount.to(unit).number


@pytest.mark.parametrize(("one", "factor", "other"), EXACT.values(), ids=EXACT.keys())
def test_exact_factor(one, factor, other):
    """A factor that is published as exact comes out exactly, to the last digit."""
    assert in_unit(f"1 {one}", other) == Fraction(factor)


def test_factors_that_are_fractions():
    """Factors without an end of decimals are exact fractions too (derived from SP 811)."""
    assert in_unit("1 km/h", "m/s") == Fraction(5, 18)
    assert in_unit("1 psi", "Pa") == Fraction(8896443230521, 1290320000)
    assert in_unit("1 hp", "W") == Fraction(37284993579113511, 50_000_000_000_000)


@pytest.mark.parametrize(
    ("written", "unit", "printed", "places"),
    [
        ("1 hp", "W", "745.6999", 4),  # SP 811 B.8 prints 7.456 999 E+02
        ("1 PS", "W", "735.4988", 4),  # 7.354 988 E+02
        ("1 psi", "Pa", "6894.757", 3),  # 6.894 757 E+03
        ("1 lb", "kg", "0.4535924", 7),  # 4.535 924 E-01, not bold, though its footnote gives the exact value
        ("1 hp", "PS", "1.013869665424", 12),  # derived
        ("1 lb/hp", "kg/kW", "0.608277387841761", 15),  # derived
    ],
)
def test_printed_digits(written, unit, printed, places):
    """What the tables print rounded is what ours rounds to."""
    half_unit = Fraction(1, 2 * 10**places)
    assert abs(in_unit(written, unit) - Fraction(printed)) <= half_unit


@pytest.mark.parametrize(
    ("written", "unit", "number"),
    [
        ("32 °F", "K", "273.15"),
        ("212 °F", "K", "373.15"),
        ("−40 °C", "°F", "-40"),
        ("20 °C", "°F", "68"),
        ("0 K", "°C", "-273.15"),
    ],
)
def test_temperatures(written, unit, number):
    """Temperatures convert with their offset (SP 811 B.9)."""
    assert in_unit(written, unit) == Fraction(number)


def test_a_difference_of_temperatures_has_no_offset():
    """From 20 °C to 68 °F is nothing, and 9 °F more is 5 °C more (SP 811 B.9: an interval takes the factor alone)."""
    celsius, fahrenheit = read_amount("20 °C"), read_amount("77 °F")
    assert not isinstance(celsius, str)
    assert not isinstance(fahrenheit, str)
    assert fahrenheit.minus(celsius).number == 9
    assert celsius.minus(fahrenheit).number == -5


def test_a_pound_in_a_spring_rate_is_a_force():
    """100 lb/in is 17.51268 N/mm (SP 811 B.8 prints 1.751 268 E+02 N/m for 1 lbf/in; from memory)."""
    assert abs(in_unit("1 lb/in", "N/m") - Fraction("175.1268")) < Fraction("0.00005")
    assert in_unit("1 lb/in", "N/mm") == in_unit("1 lbf/in", "N/mm")


def test_a_tube_in_inches_is_not_the_metric_one():
    """1.75 in and 0.095 in are 44.45 mm and 2.413 mm: an "or" pair with 45 and 2.5 mm, never a conversion (derived)."""
    assert in_unit('1.75"', "mm") == Fraction("44.45")
    assert in_unit(".095 in", "mm") == Fraction("2.413")


# --- pint -------------------------------------------------------------------------------------------------------------


def pint_unit(expression):
    """A pint expression's size in base units, and its dimension as `Unit` writes it. Offsets are left out."""
    quantity = registry().Quantity(Fraction(1)) * registry().parse_expression(expression)
    base = quantity.to_base_units()
    powers = sorted((name, Fraction(power)) for name, power in base.dimensionality.items())
    words = (name if power == 1 else f"{name}^{power}" for name, power in powers)
    return Fraction(base.magnitude), " ".join(words) or NUMBER.dimension


@cache
def registry():
    """pint's registry with exact fractions."""
    made = pint.UnitRegistry(non_int_type=Fraction)
    made.define(f"{PINT_ANGLE} = [angle]")
    made.define(f"{PINT_ROTATION} = [rotation]")
    return made


ROWS = [row for row in UNITS if row.pint]


@pytest.mark.parametrize("row", ROWS, ids=[row.pint for row in ROWS])
def test_the_table_agrees_with_pint(row):
    """Every factor, offset and dimension of our table is the one that pint gives, exactly."""
    unit = find_unit(row.spellings.split("|")[0])
    assert unit is not None
    if unit.dimension == "[temperature]":
        for number in (Fraction(0), Fraction(100), Fraction(-40)):
            assert registry().Quantity(number, row.pint).to("kelvin").magnitude == number * unit.factor + unit.offset
    else:
        assert pint_unit(row.pint) == (unit.factor, unit.dimension)


COMPOUND = {
    "m/s²": "meter/second**2",
    "g/kWh": "gram/kilowatt_hour",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "kg·m^2": "kilogram*meter**2",
}


@pytest.mark.parametrize(("symbol", "expression"), COMPOUND.items())
def test_units_made_of_several_agree_with_pint(symbol, expression):
    """A unit that the table does not have is put together as pint does it, exactly."""
    unit = find_unit(symbol)
    assert unit is not None
    assert pint_unit(expression) == (unit.factor, unit.dimension)


def test_scales_that_pint_lacks_convert_to_nothing_else():
    """dB(A), octane and hardness numbers are scales of their own, with factor one."""
    own = [row for row in UNITS if not row.pint]
    assert {row.measure for row in own} == {name for name, (dimension, _) in MEASURES.items() if dimension[:1] not in "[1"}
    assert all((row.factor, row.offset) == ("1", "0") for row in own)


def test_what_pint_makes_of_whole_strings():
    """The reasons why pint never reads an amount of ours: it drops a typographic minus and multiplies dimensions."""
    quantity = registry().Quantity
    assert quantity("5×10 mm").magnitude == 50
    ours = read_amount("−5 mm")
    assert not isinstance(ours, str)
    assert ours.number == -5
    assert isinstance(read_amount("5×10 mm"), str)
