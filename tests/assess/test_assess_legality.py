"""The nearest legal car of a crew: what is altered, and how the car so altered is judged."""

from __future__ import annotations

from fractions import Fraction
from statistics import NormalDist

import pytest
from support import clause

from rulewatch.assess.conformity import room_for
from rulewatch.assess.legality import nearest
from rulewatch.model.measured import Spread
from rulewatch.publish.legal_words import nearest_title


def found(made):
    """The nearest legal car of a case."""
    return nearest(made.car, (made.judge(),), made.workspace.vocabulary)


WIDTH = clause("1", "At most 1900 mm, with the driver.", "limit: {car.width: {max: 1900 mm}}\nmeasured: {driver: yes}")
LIGHT = clause("2", "At least 900 kg, with the driver.", "weight:\n  minimum: 900 kg\n  with: driver")


@pytest.mark.parametrize(("rules", "name", "value"), [(WIDTH, "car.width", "1910 mm"), (LIGHT, "car.weight", "890 kg")])
def test_what_is_altered_is_taken_as_the_book_asks(case, rules, name, value):
    """The search makes nothing unknown itself: the altered value is stated under the conditions of its clause."""
    one = found(case(rules, f"{{{name}: {{value: {value}, on: 2027-02-01, with: {{driver: 'yes'}}}}}}"))
    assert [each.subject for each in one.alterations] == [name]
    assert (one.waiting, one.left) == (0, ())
    assert nearest_title(one, "heron") == "heron: 1 alteration, and no fewer; legal in all its entries then"


def test_nothing_is_said_to_be_legal_above_what_is_not(case):
    """An item too old cannot be altered away: the title says that something is still illegal."""
    rules = clause(
        "1",
        "Belts last five years from manufacture.",
        "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}",
    )
    one = found(case(rules, "{safety.harness.made: 2020-01-01}"))
    assert one.left
    assert nearest_title(one, "heron") == "heron: nothing to alter; but 1 requirement is still illegal"


@pytest.mark.parametrize("p", [Fraction(95, 100), Fraction(3, 10)])
def test_room_for_a_probability(p):
    """The room of one limit is the quantile of the normal distribution (JCGM 106:2012, 8.3.2), to a millionth of the uncertainty."""
    assert float(room_for(Spread(u=Fraction(2)), p)) == pytest.approx(2 * NormalDist().inv_cdf(float(p)), abs=3e-6)


@pytest.mark.parametrize("decision", ["{rule: guarded, guard: 1 U}", "{rule: probability, p: 0.95}"])
def test_an_altered_value_would_pass_when_measured_so_surely(case, decision):
    """What is altered keeps as far inside its limit as the body's rule asks of a value measured with the same uncertainty."""
    rules = clause("1", "At most 1900 mm.", "limit: {car.width: {max: 1900 mm}}")
    spec = "{{car.width: {{value: {}, u: 3 mm, on: 2027-02-01}}}}"
    one = found(case(rules, spec.format("1910 mm"), decision=f"decision: {decision}"))
    (width,) = one.alterations[0].to
    at, over = (f"{float(width.number) + more:.6f} mm" for more in (0, 0.001))
    for value, left in ((at, False), (over, True)):
        again = case(rules, spec.format(value), decision=f"decision: {decision}")
        assert any(each.verdict.value == "illegal" for each in again.judge().findings) is left
