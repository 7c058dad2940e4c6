"""Measured values against limits: the examples that JCGM 106:2012 and ASTM E29 work out, or that follow from them."""

from __future__ import annotations

from fractions import Fraction
from statistics import NormalDist

import pytest

from rulewatch.assess.conformity import conformity, sure_enough
from rulewatch.assess.decision import Rooms, accepted, observed
from rulewatch.assess.risk import Interval, Known, risks
from rulewatch.model.edition import Decision, DecisionRule, ObservedRounding
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import Ties


def spread(u, freedom=None):
    """A standard uncertainty."""
    return Spread(u=Fraction(u), freedom=freedom)


@pytest.mark.parametrize(
    ("below", "above", "u", "p"),
    [
        # 7.3.3, example 1: a breakdown voltage of -5.47 V with u = 0.05 V, at most -5.40 V. Printed 0.92; reckoned 0.919243.
        (None, "0.07", "0.05", 0.919243),
        # 7.3.3, example 2: a burst strength of 509.7 kPa with u = 8.6 kPa, at least 490 kPa. Printed 0.99; reckoned 0.989010.
        ("19.7", None, "8.6", 0.989010),
        # 7.4, example: a viscosity of 13.6 mm²/s with u = 1.8 mm²/s, from 12.5 to 16.3 mm²/s. Printed 0.66; reckoned 0.662630.
        ("1.1", "2.7", "1.8", 0.662630),
        # 8.3.2.3: on the limit of guarded acceptance by 2u (ISO 14253-1), wrong in at most 2.3 %; reckoned 0.022750.
        (None, "2", "1", 1 - 0.022750),
    ],
)
def test_examples_of_the_guide(below, above, u, p):
    """JCGM 106:2012, clauses 7.3.3, 7.4 and 8.3.2.3."""
    room = [None if one is None else Fraction(one) for one in (below, above)]
    assert conformity(*room, spread(u)) == pytest.approx(p, abs=5e-7)


TABLE_1 = [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]


@pytest.mark.parametrize(("p", "z"), TABLE_1)
def test_table_of_probabilities(p, z):
    """JCGM 106:2012, table 1: how many standard uncertainties lie between value and limit, to two places."""
    assert conformity(None, Fraction(str(z)), spread(1)) == pytest.approx(p, abs=0.003)


@pytest.mark.parametrize(("p", "z"), TABLE_1)
def test_how_sure_a_measurement_must_be(p, z):
    """The same table read the other way: a value that is `z` inside its limit conforms with `p` where u is 1."""
    assert float(1 / sure_enough(None, Fraction(1), p)) == pytest.approx(z, abs=0.006)


def test_no_limit_is_always_kept():
    """Without limits there is nothing to conform to."""
    assert conformity(None, None, spread(1)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("freedom", "t", "p"),
    [
        # JCGM 106:2012, 8.3.3, example 2: t(0.95; 9) is 1.83, reckoned 1.833113.
        (9, "1.833113", 0.95),
        # GUM (JCGM 100:2008), H.1.6: t99(16) is 2.92, so that 99.5 % are below it.
        (16, "2.92", 0.995),
        # GUM, table G.2, from memory: t95 is 12.71 with one degree of freedom, 4.30 with two, 2.23 with ten.
        (1, "12.71", 0.975),
        (2, "4.30", 0.975),
        (10, "2.23", 0.975),
    ],
)
def test_few_readings_make_it_less_sure(freedom, t, p):
    """Student's t with few degrees of freedom, odd and even."""
    assert conformity(None, Fraction(t), spread(1, freedom)) == pytest.approx(p, abs=3e-4)
    assert conformity(Fraction(t), None, spread(1, freedom)) == pytest.approx(p, abs=3e-4)


@pytest.mark.parametrize(("speed", "legal"), [("106.5", True), ("106.6", False)])
def test_guarded_rejection_of_a_speed(speed, legal):
    """JCGM 106:2012, 8.3.3, example 1: 100 km/h, u(v)/v = 2 %, 99.9 % sure: fines from 107 km/h on, reckoned 106.587."""
    value, z = Fraction(speed), Fraction(NormalDist().inv_cdf(0.999))
    decision = Decision(rule=DecisionRule.GUARDED, guard=-z / 2)
    assert accepted(Rooms(above=100 - value), spread(value * 2 / 100), decision) is legal


@pytest.mark.parametrize(("value", "legal"), [("2.36", True), ("2.37", False)])
def test_guarded_rejection_with_few_readings(value, legal):
    """JCGM 106:2012, 8.3.3, example 2: at most 2.00, s = 0.20 with 9 degrees of freedom, 95 %: beyond 2.37 it is rejected.

    The value is rejected where the chance that it conforms is under 5 %, which the rule of probability says with p = 0.05.
    """
    decision = Decision(rule=DecisionRule.PROBABILITY, p=Fraction(5, 100))
    assert accepted(Rooms(above=2 - Fraction(value)), spread("0.20", 9), decision) is legal


@pytest.mark.parametrize(("value", "legal"), [("1.899", True), ("1.9", True), ("1.901", False), ("2.0", False)])
def test_guarded_acceptance(value, legal):
    """JCGM 106:2012, 8.3.2: inside the limit by U = 2u, the guard band itself included; ISO 14253-1."""
    decision = Decision(rule=DecisionRule.GUARDED, guard=Fraction(1))
    assert accepted(Rooms(above=2 - Fraction(value)), spread("0.05"), decision) is legal


@pytest.mark.parametrize("rule", [DecisionRule.GUARDED, DecisionRule.PROBABILITY])
def test_a_rule_that_needs_an_uncertainty_does_not_guess_one(rule):
    """Without it, what is inside the limit is unknown, and what is beyond it is not accepted by any uncertainty."""
    decision = Decision(rule=rule)
    assert accepted(Rooms(above=Fraction(1)), None, decision) is None
    assert accepted(Rooms(above=Fraction(-1)), None, decision) is False


INCH = find_unit("in")


def inches(text):
    """A length as a book or a crew writes it."""
    return Amount(number=sum(map(Fraction, text.split())), unit=INCH, printed=f"{text} in")


@pytest.mark.parametrize(
    ("limit", "value", "absolute", "even", "up"),
    [
        # Two of the rules' own consequences: a half goes to the even digit, or up; the absolute method looks at every digit.
        ("2.4", "2.45", False, True, False),
        ("2.5", "2.55", False, False, False),
        ("2.5", "2.549", False, True, True),
        # Iowa DOT, Materials IM 202: at most 4 in, 4¼ in observed, passes; at most 4.0 in, it does not.
        ("4", "4 1/4", False, True, True),
        ("4.0", "4 1/4", False, False, False),
        # A fraction has no last place: nothing is rounded.
        ("4 1/8", "4 1/4", False, False, False),
        ("4 1/8", "4 1/8", True, True, True),
    ],
)
def test_rounding_before_comparing(limit, value, absolute, even, up):
    """ASTM E29-13, sections 4 to 6: the absolute method and the rounding method, the latter with either rule for halves."""
    for expected, decision in (
        (absolute, Decision()),
        (even, Decision(rounding=ObservedRounding.LIMIT)),
        (up, Decision(rounding=ObservedRounding.LIMIT, ties=Ties.UP)),
    ):
        seen = observed(inches(value), inches(limit), decision)
        assert (seen.base <= inches(limit).base) is expected


@pytest.mark.parametrize(
    ("value", "places", "rounded"),
    [
        # NIST SP 811 (2008), appendix B.7.1
        ("6.9749515", "0.00", "6.97"),
        ("6.9749515", "0.0000", "6.9750"),
        ("6.9749515", "0.000000", "6.974952"),
        ("6.9749505", "0.000000", "6.974950"),
    ],
)
def test_rounding_examples(value, places, rounded):
    """Halves go to the even digit."""
    seen = observed(inches(value), inches(places), Decision(rounding=ObservedRounding.LIMIT))
    assert seen.number == Fraction(rounded)


def test_global_risks():
    """JCGM 106:2012, 9.5.3: resistors about 1500 Ω with 0.12 Ω, limits ±0.2 Ω, measured with 0.04 Ω, accepted within ±0.18 Ω.

    Printed: 0.90 conform, a consumer's risk of 1 % and a producer's risk of 7 %; reckoned 0.904 419, 0.009 878, 0.069 027.
    """
    found = risks(Known(mean=1500, u=0.12), 0.04, Interval(low=1499.8, high=1500.2), Interval(low=1499.82, high=1500.18))
    assert found.conforms == pytest.approx(0.904_419, abs=1e-6)
    assert found.let_through == pytest.approx(0.009_878, abs=2e-6)
    assert found.turned_away == pytest.approx(0.069_027, abs=2e-6)


def test_global_risks_of_one_limit_and_none():
    """What is accepted and what conforms add up; a perfect instrument has no risk."""
    limit = Interval(low=1000)
    found = risks(Known(mean=1003, u=2), 1.5, limit, limit)
    shown_under = NormalDist().cdf(-3 / (2**2 + 1.5**2) ** 0.5)
    assert found.turned_away + (1 - found.conforms) - found.let_through == pytest.approx(shown_under, abs=1e-9)
    sharp = risks(Known(mean=1003, u=2), 1e-9, limit, limit)
    assert (sharp.turned_away, sharp.let_through) == (pytest.approx(0, abs=1e-3), pytest.approx(0, abs=1e-3))
