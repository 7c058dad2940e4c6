"""Marks of Markdown are no words of a rule: escapes and entities compare as the signs they stand for."""

from __future__ import annotations

from support import BODY, clause

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point


def test_escapes_change_nothing(memory_workspace):
    r"""`1\.5 mm` is 1.5 mm, for the comparison and for the reading; its place counts the backslash."""
    files = {"rulesets/saltmarsh/body.yaml": BODY}
    for season, text in (("2026", r"A gap of 1\.5 mm &amp; no more."), ("2027", "A gap of 1.5 mm & no more.")):
        files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
        files[f"rulesets/saltmarsh/{season}/01.md"] = clause("5.2", text, "limit: {aero.splitter.projection: {max: 1.5 mm}}")
    workspace = memory_workspace(files)
    editions = [workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027")]
    assert workspace.faults == ()
    assert compare_editions(*editions).changed == ()


def test_place_of_a_number_behind_an_escape(memory_workspace):
    """A number that no reading uses is found at its column in the file, escapes counted."""
    text = r"A gap of 1\.5 mm and 2\.5 mm."
    files = {
        "rulesets/saltmarsh/body.yaml": BODY,
        "rulesets/saltmarsh/2026/edition.yaml": "title: Rules\n",
        "rulesets/saltmarsh/2026/01.md": clause("5.2", text, "limit: {aero.splitter.projection: {max: 1.5 mm}}"),
    }
    workspace = memory_workspace(files)
    workspace.edition(Point(body="saltmarsh", season="2026"))
    (fault,) = workspace.faults
    assert (fault.code, fault.place.line, fault.place.column) == (
        "number-not-used",
        1,
        len("## 5.2 A gap of 1\\.5 mm and ") + 1,
    )
