"""The work that an outcome suggests, in words that somebody in a garage can act on."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rulewatch.assess.suggestion import job
from rulewatch.model.impact import Outcome, WeightSheet
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.vocabulary import Vocabulary

NO_WORDS = Vocabulary(quantities={}, components={})


def mass(text: str) -> Amount:
    """A mass as somebody writes it."""
    number, symbol = text.split()
    unit = find_unit(symbol)
    assert unit is not None
    return Amount(number=Fraction(number), unit=unit)


def sheet(car: str, least: Amount | str) -> WeightSheet:
    """A weight and a minimum."""
    bound = mass(least) if isinstance(least, str) else least
    return WeightSheet(lines=(), least=bound, greatest=bound, car=mass(car))


@pytest.mark.parametrize(
    ("car", "least", "words"),
    [
        # NIST SP 811 (2008), appendix B: 1 lb is 0.453 592 37 kg, so that 927.5 kg is 2044.8 lb and 2005 lb is 909.45 kg.
        ("926 kg", "927.215542 kg", "Add at least 1.5 kg to the car: from 926 kg to 927.5 kg or 2045 lb"),
        ("904 kg", "2005 lb", "Add at least 12.1 lb to the car: from 904 kg to 2005 lb or 909.5 kg"),
        ("2000 lb", "2004.2 lb", "Add at least 5 lb to the car: from 2000 lb to 2005 lb or 909.5 kg"),
        ("905 kg", "930 kg", "Add at least 25 kg to the car: from 905 kg to 930 kg or 2051 lb"),
    ],
)
def test_what_is_too_light_is_told_by_what_a_scale_shows(car, least, words):
    """Rounded up, in both units, so that whoever goes by either of them is heavy enough."""
    said = job(Outcome.BREACH, "car.weight", None, "3.1", NO_WORDS, sheet=sheet(car, least))
    assert said == f"{words} (3.1)"


def test_a_minimum_that_no_scale_shows_is_told_as_it_is():
    """In tons, or where the car is not lighter than it, there is nothing to add."""
    for one in (sheet("0.9 t", "930 kg"), sheet("930 kg", "930 kg")):
        assert "Add" not in job(Outcome.BREACH, "car.weight", None, "3.1", NO_WORDS, sheet=one)
