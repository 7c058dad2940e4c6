"""Chapters of two editions: which is which, and what moved from one to another."""

from __future__ import annotations

import pytest
from support import BODY, clause

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Kind
from rulewatch.model.edition import Point

WHEELS = {
    "5.1": "Rear rims are wider than those in front.",
    "5.2": "Front rims are measured off the car.",
    "5.3": "Spacers are forbidden.",
    "5.4": "Nuts are made of steel and are closed at one end.",
    "5.5": "Tyres carry the sticker of the series on their outer side.",
}
ENGINE = {"4.1": "The block stays as it left the factory.", "4.2": "The flywheel may be lightened."}


def chapter(clauses: dict[str, str], *numbers: str) -> str:
    """A chapter with some clauses."""
    return "".join(clause(number, clauses[number]) for number in numbers or clauses)


@pytest.fixture
def kinds(memory_workspace):
    """The kinds of change of each clause between two sets of chapters, by new number, where there are any."""

    def found(old: dict[str, str], new: dict[str, str]) -> dict[str, tuple[Kind, ...]]:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, chapters in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
            files |= {f"rulesets/saltmarsh/{season}/{name}.md": text for name, text in chapters.items()}
        workspace = memory_workspace(files)
        editions = [workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027")]
        return {change.key: change.kinds for change in compare_editions(*editions).changed}

    return found


@pytest.mark.parametrize("cut", [1, 2, 3, 4])
def test_a_chapter_cut_in_two_moves_nothing(kinds, cut):
    """Clauses that keep their number and text in either part of a chapter did not move."""
    numbers = list(WHEELS)
    parts = {"05-wheels": chapter(WHEELS, *numbers[:cut]), "06-tyres": chapter(WHEELS, *numbers[cut:])}
    assert kinds({"05-wheels": chapter(WHEELS)}, parts) == {}


def test_a_chapter_may_get_another_name(kinds):
    """A file that is named otherwise is the same chapter."""
    assert kinds({"05-wheels": chapter(WHEELS)}, {"05-rims": chapter(WHEELS)}) == {}


def test_a_clause_in_another_chapter_moved(kinds):
    """A clause that went from one chapter to another that was there already moved."""
    old = {"04-engine": chapter(ENGINE), "05-wheels": chapter(WHEELS)}
    new = {
        "04-engine": chapter(ENGINE) + chapter(WHEELS, "5.1"),
        "05-wheels": chapter(WHEELS, "5.2", "5.3", "5.4", "5.5"),
    }
    assert kinds(old, new) == {"5.1": (Kind.MOVE,)}
