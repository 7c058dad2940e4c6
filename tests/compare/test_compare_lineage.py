"""Lineage: a rule keeps its name through renumbering, moves, splits and joins."""

from __future__ import annotations

from itertools import pairwise

import pytest

from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.lineage import lineages
from rulewatch.model.edition import Point

RIMS = "Rear rims are no wider than ten inches, measured between the bead seats."
TYRES = "Tyres are marked by the inspectors, and no more than eight are used in one event."
NOISE = "Exhaust noise is measured at half a metre from the outlet with the engine at speed."
BALLAST = "Ballast is solid metal and lies on the floor."
BOLTS = "Every piece of ballast is held by two steel bolts with a plate under each nut."
WINGS = "A wing at the back of the car is forbidden."


@pytest.fixture
def follow(memory_workspace):
    """The lineages of a series of books, each given as texts by number."""

    def made(*books: dict[str, str]):
        files = {"rulesets/saltmarsh/body.yaml": "name: Saltmarsh Circuit Club\nclasses: [silhouette-b]\n"}
        seasons = [str(2025 + number) for number in range(len(books))]
        for season, book in zip(seasons, books, strict=True):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
            files[f"rulesets/saltmarsh/{season}/01.md"] = "".join(f"## {number} {text}\n\n" for number, text in book.items())
        workspace = memory_workspace(files)
        editions = [workspace.edition(Point(body="saltmarsh", season=season)) for season in seasons]
        found = lineages(editions, [compare_editions(old, new) for old, new in pairwise(editions)])
        return {"/".join(key[1:]): str(lineage) for key, lineage in found.items()}

    return made


def test_renumbered_twice(follow):
    """A rule that gets another number each season is named by its first."""
    found = follow(
        {"5.1": RIMS, "5.2": TYRES},
        {"5.1": WINGS, "5.2": RIMS, "5.3": TYRES},
        {"5.1": WINGS, "5.2": NOISE, "5.3": RIMS, "5.4": TYRES},
    )
    assert found["2027/5.3"] == "2025/5.1"
    assert found["2027/5.4"] == "2025/5.2"
    assert found["2027/5.1"] == "2026/5.1"
    assert found["2027/5.2"] == "2027/5.2"


def test_reused_number_begins_anew(follow):
    """A number that is used again for another rule does not inherit."""
    found = follow({"5.1": RIMS, "5.2": TYRES}, {"5.1": RIMS, "5.2": NOISE})
    assert found["2026/5.2"] == "2026/5.2"


def test_of_a_split_one_child_inherits(follow):
    """A split rule goes on in one child, the other begins; a join goes on with one parent; no lineage is given out twice."""
    found = follow(
        {"3.1": RIMS, "3.2": f"{BALLAST} {BOLTS}", "3.3": NOISE},
        {"3.1": RIMS, "3.2": BALLAST, "3.3": BOLTS, "3.4": NOISE},
        {"3.1": RIMS, "3.2": f"{BALLAST} {BOLTS}", "3.3": NOISE},
    )
    assert found["2026/3.2"] == "2025/3.2"
    assert found["2026/3.3"] == "2026/3.3"
    assert found["2027/3.2"] == "2025/3.2"
    for season in ("2025", "2026", "2027"):
        named = [lineage for key, lineage in found.items() if key.startswith(season)]
        assert len(named) == len(set(named))
