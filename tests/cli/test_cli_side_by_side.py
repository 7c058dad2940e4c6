"""`impact --side-by-side`, and what `impact` says of a body whose first season it is."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner
from support import BODY, clause

from rulewatch.cli import cli

RIM = clause("5.1", "Rims are at most 10 in wide.", "limit: {wheels.rear.rim_width: {max: 10 in}}")


@pytest.fixture
def call(put):
    """Call `impact` in a workspace of two bodies, of which the second has one season, and a car that both have."""
    files = {
        "cars/heron/car.yaml": (
            "name: Heron\nentries: [{body: saltmarsh, class: silhouette-b}, {body: five-lakes, class: touring-c}]\n"
            "spec: {wheels.rear.rim_width: 9 in}\n"
        )
    }
    for body, seasons in (("saltmarsh", ("2026", "2027")), ("five-lakes", ("2027",))):
        files[f"rulesets/{body}/body.yaml"] = BODY
        for season in seasons:
            more = f"previous: {seasons[0]}\n" if season != seasons[0] else ""
            files[f"rulesets/{body}/{season}/edition.yaml"] = f"title: Rules\neffective: {season}-01-01\n{more}"
            files[f"rulesets/{body}/{season}/05-wheels.md"] = RIM
    root = str(put(files))
    return lambda *arguments: CliRunner().invoke(cli, ["-C", root, "impact", *arguments])


def test_body_of_one_season_is_named(call):
    """Nothing is said of its changes, and that is said."""
    output = call().output
    assert "five-lakes has no season before its newest one" in output
    assert "heron is entered 2 times" in output


def test_body_of_one_season_stands_beside_the_other(call):
    """Side by side takes no season before."""
    lines = call("--side-by-side", "--all").output.splitlines()
    assert any("silhouette-b of saltmarsh: unknown, at most 10 in" in line for line in lines)
    assert any("touring-c of five-lakes: unknown, at most 10 in" in line for line in lines)


def test_data_has_both_entries(call):
    """With the day on which each is judged."""
    (one,) = json.loads(call("--json").stdout)["together"]
    assert [(entry["body"], entry["on"]) for entry in one["entries"]] == [
        ("saltmarsh", "2027-01-01"),
        ("five-lakes", "2027-01-01"),
    ]
