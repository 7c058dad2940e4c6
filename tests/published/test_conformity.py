"""The probability of conformity, against the examples that JCGM 106:2012 works out."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rulewatch.assess.conformity import conformity


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
    assert conformity(*room, Fraction(u)) == pytest.approx(p, abs=5e-7)


@pytest.mark.parametrize(("p", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_table_of_probabilities(p, z):
    """JCGM 106:2012, table 1: how many standard uncertainties lie between value and limit, to two places."""
    assert conformity(None, Fraction(str(z)), Fraction(1)) == pytest.approx(p, abs=0.003)


def test_no_limit_is_always_kept():
    """Without limits there is nothing to conform to."""
    assert conformity(None, None, Fraction(1)) == pytest.approx(1.0)
