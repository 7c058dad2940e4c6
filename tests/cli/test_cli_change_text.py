"""What `compare` says of a change: masks in order, quantities by their labels, no words of what only moved."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from support import BODY, clause, confirm

from rulewatch.cli import cli
from rulewatch.cli.change_text import print_change
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point


@pytest.fixture
def compared(put, monkeypatch):
    """The lines that `compare` prints of two books."""
    monkeypatch.setenv("COLUMNS", "100")

    def told(old: str, new: str) -> str:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, text in (("2026", old), ("2027", new)):
            more = "previous: 2026\n" if season == "2027" else ""
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules\neffective: {season}-01-01\n{more}"
            files[f"rulesets/saltmarsh/{season}/05-wheels.md"] = text
        return CliRunner().invoke(cli, ["-C", str(put(files)), "compare", "saltmarsh/2026", "saltmarsh/2027"]).stdout

    return told


@pytest.fixture
def confirmed(memory_workspace, capsys, monkeypatch):
    """The lines that are printed of every change between two books whose readings are all confirmed."""
    monkeypatch.setenv("COLUMNS", "100")

    def told(old: str, new: str) -> str:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, text in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules\neffective: {season}-01-01\n"
            files[f"rulesets/saltmarsh/{season}/05-wheels.md"] = text
        workspace = memory_workspace(files)
        before, after = (confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027"))
        comparison = compare_editions(before, after, vocabulary=workspace.vocabulary)
        for change in comparison.changes:
            print_change(change, comparison)
        return capsys.readouterr().out

    return told


def rim(number: str, most: str, title: str = "Rims") -> str:
    """A limit on the rear rim under a number of its own."""
    return f"## {number} {title}\n\nA rim is at most {most} wide.\n\n```reading\nlimit: {{wheels.rear.rim_width: {{max: {most}}}}}\n```\n\n"


def test_masks_come_in_the_order_of_the_book(confirmed):
    """5.9 before 5.10, whichever was found first."""
    limit = "limit: {wheels.rear.rim_width: {max: 9 in}}"
    others = clause("5.9", "With the engine in front rims are at most 9 in wide.", f"when: {{engine.position: front}}\n{limit}")
    others += clause("5.10", "Else they are 9 in wide too.", f"when: {{not: {{engine.position: front}}}}\n{limit}")
    said = confirmed(rim("5.1", "12 in") + others, rim("5.1", "11 in") + others)
    assert "same in the whole book: masked by 5.9 and 5.10" in said


def test_quantities_go_by_their_labels_where_a_reading_is_another(confirmed):
    """Not by the names that the files have for them."""
    text = clause("5.1", "A rim is at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
    said = confirmed(text, text.replace("wheels.rear.rim_width", "wheels.front.rim_width"))
    assert "read otherwise under the same words: " in said
    assert "ront rim width" in said
    assert "rim_width" not in said


def test_quantities_go_by_their_labels_where_a_clause_is_touched(compared):
    """A limit that hangs on another quantity says which in words."""
    hangs = clause("5.2", "A track is at most as wide as the car.", "limit: {car.track_rear: {max: {of: car.width}}}")
    said = compared(
        clause("5.1", "The width is at most 1900 mm.", "limit: {car.width: {max: 1900 mm}}") + hangs,
        clause("5.1", "The width is at most 1800 mm.", "limit: {car.width: {max: 1800 mm}}") + hangs,
    )
    assert "depends on the overall width of 5.1, which changed" in said


def test_rule_that_only_moved_is_told_without_its_words(compared):
    """Its heading says what it is about; one without a heading shows how it begins."""
    before = rim("5.1", "10 in") + clause("5.2", "Tyres are free and may be changed at any time.")
    after = rim("5.2", "10 in") + clause("5.3", "Tyres are free and may be changed at any time.")
    said = compared(before, after)
    assert "5.1 → 5.2  Rims\n    renumbering\n\n" in said
    assert "A rim is at most" not in said


def test_shares_move_by_percentage_points(compared):
    """From 2 % to 3 % is not one per cent more."""
    text = "A wing adds {0} to the minimum weight."
    old, new = (clause("5.1", text.format(share), f"weight: {{add: {share}}}") for share in ("2 %", "3 %"))
    assert "2 % → 3 % (+1 percentage points)" in compared(old, new)
