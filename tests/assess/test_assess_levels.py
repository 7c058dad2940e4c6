"""What bounds come to where several instances, rates and steps meet."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.model.impact import Verdict


def limit(constraint: str, *noted: str) -> str:
    """A limit on the rear rims whose numbers all stand in the text."""
    text = "Rims by the front ones: 1 in, 2 in, 9 in, 10 in, 12 in, 100 %, 50 %, −50 %, 2 L, 3 L."
    return clause(
        "5.2",
        text,
        f"limit: {{wheels.rear.rim_width: {constraint}}}\n"
        "noted: [1 in, 2 in, 9 in, 10 in, 12 in, 100 %, 50 %, -50 %, 2 L, 3 L]" + "".join(noted),
    )


@pytest.mark.parametrize(
    ("constraint", "rear", "verdict"),
    [
        # an upper bound follows the least of the instances that it leans on, a lower bound the greatest
        ("{max: {of: wheels.front.rim_width, plus: 1 in}}", "10 in", Verdict.LEGAL),
        ("{max: {of: wheels.front.rim_width, plus: 1 in}}", "10.5 in", Verdict.ILLEGAL),
        ("{min: {of: wheels.front.rim_width}}", "10 in", Verdict.LEGAL),
        ("{min: {of: wheels.front.rim_width}}", "9.5 in", Verdict.ILLEGAL),
        # a falling rate turns that round: 12 in less half of 9 in, or of 10 in
        ("{max: {of: wheels.front.rim_width, rate: -50 %, plus: 12 in}}", "7 in", Verdict.LEGAL),
        ("{max: {of: wheels.front.rim_width, rate: -50 %, plus: 12 in}}", "7.2 in", Verdict.ILLEGAL),
        ("{min: {of: wheels.front.rim_width, rate: -50 %, plus: 12 in}}", "7.2 in", Verdict.ILLEGAL),
        ("{min: {of: wheels.front.rim_width, rate: -50 %, plus: 12 in}}", "7.5 in", Verdict.LEGAL),
        ("{max: {by: wheels.front.rim_width, steps: [[9 in, 12 in], [10 in, 10 in]]}}", "11 in", Verdict.ILLEGAL),
        ("{max: {by: wheels.front.rim_width, steps: [[9 in, 12 in], [10 in, 10 in]]}}", "10 in", Verdict.LEGAL),
        ("{min: {by: wheels.front.rim_width, steps: [[9 in, 12 in], [10 in, 10 in]]}}", "11 in", Verdict.ILLEGAL),
        ("{max: {least: [9 in, 12 in]}}", "10 in", Verdict.ILLEGAL),
        ("{max: {greatest: [9 in, 12 in]}}", "10 in", Verdict.LEGAL),
        # beyond the last step nothing is allowed, however great the other bound is
        ("{max: {greatest: [{by: engine.capacity, steps: [[2 L, 9 in]]}, 12 in]}}", "9 in", Verdict.ILLEGAL),
        ("{max: {of: wheels.front.rim_width, rate: 50 %}}", "4.5 in", Verdict.LEGAL),
    ],
)
def test_bound_that_leans_on_several(case, constraint, rear, verdict):
    """Front rims of 9 in and 10 in: the side that leaves less room counts."""
    spec = f"{{wheels.front.rim_width: [9 in, 10 in], wheels.rear.rim_width: {rear}, engine.capacity: 3 L}}"
    assert case(limit(constraint), spec).judge().verdict is verdict


def test_percentage_keeps_the_unit(case):
    """104 % of 1900 mm are 1976 mm, and said so."""
    rules = clause(
        "3.1",
        "The width is at most 104 % of the homologated one.",
        "limit: {car.width: {max: {of: homologated.car.width, rate: 104 %}}}",
    )
    (finding,) = case(rules, "{car.width: 1970 mm}", homologated="{car.width: 1900 mm}").judge().findings
    assert (finding.bound, str(finding.margin)) == ("at most 1976 mm", "6 mm")


@pytest.mark.parametrize(
    ("car", "sheet", "verdict"),
    [
        ("[9 in, 10 in]", "[9 in, 10 in]", Verdict.LEGAL),
        ("[10 in, 9 in]", "[9 in, 10 in]", Verdict.ILLEGAL),
        ("[9 in, 9 in]", "9 in", Verdict.LEGAL),
        ("[9 in, 10 in]", "9 in", Verdict.ILLEGAL),
    ],
)
def test_standard_side_by_side(case, car, sheet, verdict):
    """Each side is compared with its own standard value, or all with the one that is for all."""
    rules = clause("5.5", "Rims are the standard ones.", "limit: {wheels.rear.rim_width: standard}")
    book = case(rules, f"{{wheels.rear.rim_width: {car}}}", standard=f"{{wheels.rear.rim_width: {sheet}}}")
    assert book.judge().verdict is verdict


@pytest.mark.parametrize(
    ("car", "verdict"), [("[sequential, dog]", Verdict.LEGAL), ("[dog, sequential]", Verdict.ILLEGAL), ("dog", Verdict.UNKNOWN)]
)
def test_standard_words_side_by_side(case, car, verdict):
    """So with words; where the sheet has several and the car one, nobody knows which is meant."""
    rules = clause("5.5", "The gearbox is the standard one.", "limit: {drivetrain.gearbox.kind: standard}")
    spec, sheet = f"{{drivetrain.gearbox.kind: {car}}}", "{drivetrain.gearbox.kind: [sequential, dog]}"
    assert case(rules, spec, standard=sheet).judge().verdict is verdict


def test_condition_on_sides_that_differ(case):
    """A condition that holds on one side and not on the other holds for the car neither surely nor surely not."""
    rules = clause(
        "5.2",
        "Cars with front rims over 9 in have rear rims of at most 10 in.",
        "when: {wheels.front.rim_width: {over: 9 in}}\nlimit: {wheels.rear.rim_width: {max: 10 in}}",
    )
    spec = "{wheels.front.rim_width: [9 in, 10 in], wheels.rear.rim_width: 12 in}"
    assert case(rules, spec).judge().verdict is Verdict.UNKNOWN
