"""The minimum weight line by line, in kilograms and pounds."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rulewatch.model.impact import WeightLine
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.publish.weight_words import in_both, other_unit, weight_step

KG, LB = (unit for unit in map(find_unit, ("kg", "lb")) if unit is not None)


def mass(number: str, unit=KG) -> Amount:
    """An amount of a mass."""
    return Amount(number=Fraction(number), unit=unit)


@pytest.mark.parametrize(
    ("amount", "other"),
    [
        # NIST SP 811, B.8: one pound is 0.453 592 37 kg exactly.
        (mass("1", LB), "0.5 kg"),
        (mass("100", LB), "45 kg"),
        (mass("20"), "44 lb"),
        (mass("1025"), "2260 lb"),
        (mass("0.15"), "0.3 lb"),
        (mass("-5"), "−11 lb"),
    ],
)
def test_other_unit(amount, other):
    """Whole numbers from ten on, tenths below."""
    assert other_unit(amount) == other


def test_share_of_a_minimum_as_a_crew_reckons_it():
    """Common practice, no source: an adder of 1.5 per cent that is reckoned as 31 lb belongs to a minimum of 2,034 to 2,099 lb."""
    pounds = [minimum for minimum in range(1900, 2300) if _share_in_pounds(minimum) == "31 lb"]
    assert (pounds[0], pounds[-1]) == (2034, 2099)
    assert len(pounds) == 2100 - 2034


def _share_in_pounds(minimum: int) -> str:
    """What 1.5 % of a minimum in pounds adds, in the line of a book that reckons in kilograms."""
    adds = mass(str(minimum), LB).times(Fraction("0.015")).to(KG)
    line = WeightLine(clause="3.2", label="1.5 %", amount=adds, total=adds)
    return weight_step(line).adds_other


def test_mass_in_both_units():
    """As printed, with the other unit behind it."""
    assert in_both(Amount(number=Fraction(930), unit=KG, printed="930 kg")) == "930 kg (2050 lb)"
