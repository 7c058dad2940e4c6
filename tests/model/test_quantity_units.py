"""Units by their spelling, and what amounts do."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from rulewatch.model.quantity import NUMBER, Amount, Unit, digits, dimension_name, dimension_of, find_unit, usual_unit
from rulewatch.model.units import MEASURES, PREFIXES, UNITS

MM, INCH, KG = (find_unit(symbol) or NUMBER for symbol in ("mm", "in", "kg"))


USUAL = (
    "mm cm m km in inch \" ft foot feet ' yd mi kg g lb lbs t oz N kN lbf Nm N·m lb·ft kW hp PS bhp °C °F K bar kPa psi % deg ° cc "
    "cm3 cm³ ccm l L litre gal in³ ci rpm 1/min km/h mph m/s s min h dB(A) dB RON MON N/mm lb/in kg/cc kg/kW lb/hp mm² cm² Hz V A "
    "Ah Ω HRC µm"
)


@pytest.mark.parametrize("symbol", [*USUAL.split(), "Shore A", "imp gal"])
def test_units_of_the_trade_are_known(symbol):
    """Every unit that rule books of the trade usually print is found by its spelling."""
    assert find_unit(symbol) is not None


@pytest.mark.parametrize(
    ("spelling", "symbol"),
    [
        ("feet", "ft"),
        ("Zoll", "in"),
        ("″", "in"),
        ("BHP", "hp"),
        ("ps", "PS"),
        ("cm3", "cm³"),
        ("Inches", "in"),
        ("gal (imp)", "imp gal"),
    ],
)
def test_a_unit_is_shown_by_one_symbol(spelling, symbol):
    """However it is spelled, a unit has one symbol."""
    unit = find_unit(spelling)
    assert unit is not None
    assert unit.symbol == symbol
    assert unit == find_unit(symbol)


@pytest.mark.parametrize(
    "symbol", ["Mm", "KN", "mw", "inchs", "ton", "cal", "mm ", "k g", "years", "°", "deg/°C", "kg/", "/kg", "kg//m"]
)
def test_spelling_is_strict(symbol):
    """A spelling that is not in use is not guessed at; `°` alone is an angle and never a temperature."""
    unit = find_unit(symbol)
    assert unit is None or unit.dimension == "[angle]"


def test_no_spelling_means_two_units():
    """Each spelling stands once in the table."""
    names = [name for row in UNITS for name in row.spellings.split("|")]
    assert sorted(names) == sorted(set(names))


def test_units_that_share_a_word_stay_apart():
    """Metric and mechanical horsepower, US and imperial gallon, dB and dB(A) are different units."""
    for one, other in (("hp", "PS"), ("gal", "imp gal"), ("dB", "dB(A)"), ("RON", "MON"), ("lb", "lbf"), ("g", "kg")):
        assert find_unit(one) != find_unit(other)
    assert find_unit("dB").dimension != find_unit("dB(A)").dimension
    assert find_unit("RON").dimension != find_unit("MON").dimension


@pytest.mark.parametrize(
    ("symbol", "dimension", "factor"),
    [
        ("kg/m²", "[length]^-2 [mass]", Fraction(1)),
        ("g/kWh", "[length]^-2 [time]^2", Fraction(1, 3_600_000_000)),
        ("lb/PS", "[length]^-2 [time]^3", Fraction("0.45359237") / Fraction("735.49875")),
        ("l/min", "[length]^3 [time]^-1", Fraction(1, 60_000)),
        ("kN·m/deg", "[angle]^-1 [length]^2 [mass] [time]^-2", Fraction(1000)),
        ("mm/m", "1", Fraction(1, 1000)),
    ],
)
def test_units_made_of_others(symbol, dimension, factor):
    """A compound that the table lacks comes from its parts, exactly."""
    assert find_unit(symbol) == Unit(symbol=symbol, dimension=dimension, factor=factor)


@pytest.mark.parametrize("symbol", ["dB(A)/m", "kg/RON", "W/°C", "mm/xx", "m" * 41, "a/" * 30])
def test_what_does_not_combine_is_no_unit(symbol):
    """Scales of their own, temperatures with an offset, and unknown parts make no compound."""
    assert find_unit(symbol) is None


def test_a_long_run_of_letters_is_refused_at_once():
    """A hostile unit takes no time: matching it does not backtrack over its letters."""
    assert find_unit("a" * 39 + "!") is None


def test_dimension_names_there_and_back():
    """A dimension has a name for the vocabulary, and one for messages."""
    assert dimension_of("length") == "[length]"
    assert dimension_of("weight-to-power") == find_unit("kg/kW").dimension
    assert dimension_of("parsecs") is None
    assert dimension_name("[length]") == "length"
    assert dimension_name(find_unit("kg/kW").dimension) == "weight to power"
    assert dimension_name("RON") == "value in RON"
    assert dimension_name("1") == "number"
    assert dimension_name("[length]^-2 [mass]") == "value in [length]^-2 [mass]"


@pytest.mark.parametrize("name", MEASURES)
def test_every_dimension_has_a_usual_unit_of_its_own(name):
    """Values without a stated unit to show are shown in one of the dimension."""
    unit = usual_unit(name)
    assert unit is not None
    assert unit.dimension == dimension_of(name)


def test_scales_in_front_are_units():
    """Whatever may stand before its number is a known unit."""
    assert all(find_unit(name) for name in PREFIXES)


def test_the_usual_units_do_not_start_pint():
    """Every spelling of the table is known without the quarter of a second that pint takes to start."""
    code = (
        "import sys; from rulewatch.model.quantity import find_unit, spellings; "
        "assert all(find_unit(name) for name in spellings()); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


# --- Amounts ----------------------------------------------------------------------------------------------------------


def test_conversion_is_exact():
    """10¼ in is 260.35 mm, not nearly so, and a third of an inch comes back from millimetres unharmed."""
    assert Amount(number=Fraction(41, 4), unit=INCH).to(MM).number == Fraction("260.35")
    third = Amount(number=Fraction(1, 3), unit=INCH)
    assert third.to(MM).to(INCH) == third


def test_no_conversion_between_dimensions():
    """Kilograms do not become millimetres."""
    with pytest.raises(ValueError, match="5 kg does not convert to mm"):
        Amount(number=Fraction(5), unit=KG).to(MM)


def test_same_value_looks_through_units():
    """10 in is 254 mm and no 254 kg."""
    ten = Amount(number=Fraction(10), unit=INCH)
    assert ten.same_value(Amount(number=Fraction(254), unit=MM))
    assert not ten.same_value(Amount(number=Fraction(255), unit=MM))
    assert not ten.same_value(Amount(number=Fraction("0.254"), unit=KG))


def test_printed_digits_do_not_matter_for_equality():
    """`10.0 in` and `10 in` are the same amount, and each shows itself as it was printed."""
    one, other = (Amount(number=Fraction(10), unit=INCH, printed=text) for text in ("10.0 in", "10 in"))
    assert one == other
    assert (str(one), str(other)) == ("10.0 in", "10 in")


def test_a_moved_amount_keeps_its_unit():
    """Plus and minus take differences in any unit of the dimension."""
    ten = Amount(number=Fraction(10), unit=INCH)
    moved = ten.plus(Amount(number=Fraction(254), unit=MM))
    assert str(moved) == "20 in"
    assert str(moved.minus(ten)) == "10 in"
    assert str(ten.times(Fraction(3, 2))) == "15 in"


@pytest.mark.parametrize(
    ("number", "shown"),
    [
        (Fraction(5), "5"),
        (Fraction(41, 4), "10.25"),
        (Fraction(-1, 2), "−0.5"),
        (Fraction(1, 3), "≈0.333333"),
        (Fraction(1050), "1050"),
        (Fraction(0), "0"),
        (Fraction(1, 10_000_000), "1e-07"),
    ],
)
def test_numbers_are_shown_as_decimals(number, shown):
    """A number is shown as a decimal, with ≈ where that is not exact."""
    assert digits(number) == shown


@pytest.mark.parametrize(
    ("number", "printed", "plain"),
    [
        (Fraction(1050), "1,050 in", "1050 in"),
        (Fraction(-41, 4), "−10¼ in", "-10.25 in"),
        (Fraction(1, 20), "", "0.05 in"),
        (Fraction(1, 3), "", "1/3 in"),
    ],
)
def test_plain_is_how_our_own_files_write_it(number, printed, plain):
    """No thousands sign, no typographic minus; a fraction where decimals have no end."""
    assert Amount(number=number, unit=INCH, printed=printed).plain == plain
