"""Readings that changed under unchanged text are told apart from changes of the rules."""

from __future__ import annotations

import pytest
from support import BODY, clause

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point

TEXT = "Rear rims are at most 10 in (254 mm) wide, fronts at most 9 in."


@pytest.fixture
def compared(memory_workspace):
    """Compare the same clause under two readings."""

    def made(old: str, new: str):
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, reading in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
            files[f"rulesets/saltmarsh/{season}/01-rules.md"] = clause("5.2", TEXT, reading)
        workspace = memory_workspace(files)
        return compare_editions(*(workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027")))

    return made


def test_read_otherwise(compared):
    """A reading that says something else is reported part by part, and is no change of the rules."""
    comparison = compared("limit: {wheels.rear.rim_width: {max: 10 in}}", "limit: {wheels.rear.rim_width: {under: 10 in}}")
    (change,) = comparison.changes
    assert comparison.changed == ()
    assert change.effects == {}
    assert any("high_strict: False → True" in part for part in change.reinterpreted)


@pytest.mark.parametrize(
    "new",
    [
        "limit: {wheels.rear.rim_width: {max: 254 mm}}",
        "limit: {wheels.rear.rim_width: {max: 10 in}}\nconfirmed: {by: ina, on: 2027-01-01, text: abcdef12}",
        "limit: {wheels.rear.rim_width: {max: 10 in}}\nask: Between the bead seats?",
    ],
)
def test_same_meaning(compared, new):
    """Another unit for the same value, a confirmation or a question is no other reading."""
    (change,) = compared("limit: {wheels.rear.rim_width: {max: 10 in}}", new).changes
    assert change.reinterpreted == ()


LIMIT = "limit: {wheels.rear.rim_width: {max: 10 in}}"
LEAST = "limit: {wheels.rear.rim_width: {max: {least: [10 in, {of: %s.wheels.rear.rim_width}]}}}"
DATED = "dated: {item: safety.harness, life: %s, from: %s, until: %s}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (f"{LIMIT}\nmeasured: {{driver: yes}}", f"{LIMIT}\nmeasured: {{driver: no}}"),
        ("weight: {minimum: 900 kg, with: driver}", "weight: {minimum: 900 kg}"),
        ("weight: {minimum: 900 kg, with: driver}", "weight: {minimum: 900 kg, with: car}"),
        (LEAST % "standard", LEAST % "homologated"),
        (DATED % ("5 years", "manufacture", "day"), DATED % ("3 years", "manufacture", "day")),
        (DATED % ("5 years", "manufacture", "day"), DATED % ("5 years", "manufacture", "year-end")),
        (f"{LIMIT}\ninstead_of: [5.1]", LIMIT),
        (f"{LIMIT}\nuntil: 2027-12-31", LIMIT),
    ],
)
def test_every_part_counts(compared, old, new):
    """How a value is measured or weighed, from which sheet it is, what it replaces and how long it holds are parts of a reading."""
    (change,) = compared(old, new).changes
    assert change.reinterpreted
