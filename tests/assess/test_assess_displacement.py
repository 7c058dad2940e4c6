"""Engine capacity from bore and stroke, and the edges of classes that count whole cubic centimetres."""

from __future__ import annotations

from fractions import Fraction

import pytest
from support import clause

from rulewatch.assess.displacement import displacement, mismatch
from rulewatch.assess.facts import Facts
from rulewatch.model.impact import Verdict


# Worked examples of open pages, recomputed: 4 cylinders of 8.1 cm by 7.76 cm, and of 80 mm by 85 mm; and 40 CFR 1045.140(b), from
# memory: 13.00 cm by 15.50 cm makes 2057 cm³ for one cylinder, digits cut off.
@pytest.mark.parametrize(
    ("bore", "stroke", "cylinders", "volume"),
    [("8.1", "7.76", 4, 1599.490), ("8", "8.5", 4, 1709.026), ("13", "15.5", 1, 2057.350)],
)
def test_worked_examples(bore, stroke, cylinders, volume):
    """Centimetres to cubic centimetres."""
    assert float(displacement(Fraction(bore), Fraction(stroke), Fraction(cylinders))) == pytest.approx(volume, abs=6e-4)


CLASSES = "".join(
    clause(number, f"A car of class {number} has {words}.", f"limit: {{engine.capacity: {limit}}}")
    for number, words, limit in (
        ("1", "169 cc at most", "{max: 169 cc}"),
        ("2", "170 cc to 279 cc", "{min: 170 cc, max: 279 cc}"),
        ("3", "280 cc at least", "{min: 280 cc}"),
    )
)


# 40 CFR 86.419-2006: the displacement is rounded to the nearest whole cubic centimetre; class I up to 169, II from 170 to 279, III from 280.
@pytest.mark.parametrize(
    ("measured", "classes"),
    [("169.4", {"1"}), ("169.6", {"2"}), ("170", {"2"}), ("279.4", {"2"}), ("279.6", {"3"}), ("280", {"3"}), ("168.9", {"1"})],
)
def test_edges_of_classes_after_rounding(case, measured, classes):
    """A body that rounds what it measures to the last place of its limit puts each engine into exactly one class."""
    spec = f"{{engine.capacity: {{value: {measured} cc, u: 0.2 cc, on: 2027-01-01}}}}"
    judged = case(CLASSES, spec, decision="decision: {rounding: limit, ties: up}").judge()
    assert {one.clauses[0] for one in judged.findings if one.verdict is Verdict.LEGAL} == classes


@pytest.mark.parametrize(
    ("capacity", "agrees"),
    [("1709 cc", True), ("1.71 L", True), ("1720 cc", False), ("{value: 1720 cc, u: 12 cc, on: 2027-01-01}", True)],
)
def test_stated_capacity_against_bore_and_stroke(case, capacity, agrees):
    """More than a cubic centimetre beside it, and beyond what was measured so well, is told."""
    spec = f"{{engine.capacity: {capacity}, engine.internals.bore: 80 mm, engine.internals.stroke: 85 mm, engine.cylinders: 4}}"
    found = case(CLASSES, spec)
    told = mismatch(Facts(car=found.car, vocabulary=found.workspace.vocabulary))
    assert (told is None) is agrees
    if told is not None:
        assert str(told.reckoned) == "1709 cc"
