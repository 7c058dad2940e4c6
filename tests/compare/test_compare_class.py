"""What all changes together do to a class, where single verdicts are unknown for some cars."""

from __future__ import annotations

import pytest
from support import BODY, clause, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Effect
from rulewatch.model.edition import Point

PLAIN = "limit: {wheels.rear.rim_width: {min: 1 cm}}"
HANGING = "limit: {wheels.rear.rim_width: {min: {of: aero.rear_wing.width, rate: 50 %, plus: 1 cm}}}"
NO_WING = "limit: {aero.rear_wing: absent}"


@pytest.mark.parametrize(("old", "new"), [(PLAIN, HANGING), (HANGING, PLAIN)])
def test_a_bound_that_hangs_on_a_part_that_no_car_has(memory_workspace, old, new):
    """A car without the part is legal on one side and unknown on the other; neither way is that the same."""
    files = {"rulesets/saltmarsh/body.yaml": BODY}
    for season, reading in (("2026", old), ("2027", new)):
        noted = "" if "rate" in reading else "\nnoted: [50 %]"
        text = f"Rims of {season} in centimetres: 1 cm and 50 % of the wing."
        files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\neffective: {season}-01-01\n"
        files[f"rulesets/saltmarsh/{season}/01.md"] = clause("9.1", text, reading + noted) + clause("9.2", "No wing.", NO_WING)
    workspace = memory_workspace(files)
    editions = [confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027")]
    assert workspace.faults == ()
    comparison = compare_editions(*editions, vocabulary=workspace.vocabulary)
    assert {each.effect for each in comparison.classes.values()} == {Effect.UNDECIDED}
