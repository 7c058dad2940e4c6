"""`rulewatch tradeoff` as a user runs it: the demo's options on paper, as data, within limits, and one explained."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]


@cache
def run(*args: str) -> str:
    """What a command prints."""
    done = CliRunner().invoke(cli, ["-C", str(DEMO), "tradeoff", *args, "--today", "2026-11-25"], env={"COLUMNS": "110"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done.output


@cache
def data(*args: str) -> dict:
    """The data of a command, which keep the published schema."""
    found = json.loads(run(*args, "--json"))
    jsonschema.validate(found, json.loads(schema_bytes("tradeoff.schema.json")))
    return found


def options(found: dict, kind: str) -> set[tuple[str, ...]]:
    """The combinations of a kind."""
    return {tuple(one["options"]) for one in found[kind]}


def test_what_is_not_known_to_be_allowed_stands_apart():
    """The wing needs ballast in saltmarsh, on which the officials have not answered; reground camshafts are free in both bodies."""
    found = data("dunlin")
    assert options(found, "allowed") == {("camshafts",), ("throttles",), ("throttles", "camshafts")}
    assert all(not each["against"] and not each["waits"] for one in found["allowed"] for each in one["classes"])
    assert all(any(each["waits"] for each in one["classes"]) for one in found["waiting"])
    everything = options(found, "allowed") | options(found, "waiting")
    assert not {name for one in everything for name in one} & {"long-splitter", "wide-rears", "high-pistons"}
    assert {one["option"] for one in found["singles"] if any(each["against"] for each in one["classes"])} == {
        "long-splitter",
        "wide-rears",
        "high-pistons",
    }


def test_a_breach_that_stays_is_never_called_legal():
    """The car breaks limits that no option mends: no class has a verdict of legal."""
    found = data("dunlin")
    verdicts = {each["verdict"] for one in [*found["allowed"], *found["waiting"]] for each in one["classes"]}
    assert "legal" not in verdicts
    assert "Broken already, whatever is done but for what is said to mend it" in run("dunlin", "--most", "1")


def test_each_body_s_weight_is_worked_out():
    """The wing costs 23 kg in saltmarsh and 60 lb in Light Coupé, and nothing in Grand Tourer, where the limit is another."""
    (wing,) = [one for one in data("dunlin")["singles"] if one["option"] == "rear-wing"]
    base = data("dunlin")["base"]
    added = [now["minimum"] - was["minimum"] for now, was in zip(wing["classes"], base["classes"], strict=True)]
    assert added == pytest.approx([23, 60 * 0.45359237, 0])
    for each in wing["classes"]:
        assert each["race"] >= each["minimum"]
        assert each["race"] - each["ballast"] == pytest.approx(904 + 6.5)


def test_limits_of_money_hours_and_day():
    """Only what costs no more, takes no longer, and is there in time."""
    assert options(data("dunlin", "--money", "300"), "allowed") == {("camshafts",)}
    assert options(data("dunlin", "--hours", "10"), "allowed") == {("throttles",)}
    assert options(data("dunlin", "--by", "2026-12-01"), "allowed") == {("camshafts",)}


def test_one_option_explained():
    """Worth with and without its penalty, how sure, the break-even, and what the rules add in each class."""
    one = data("dunlin", "--explain", "rear-wing")["explained"]
    assert 0 < one["gain"] < one["gain_without_penalty"]
    assert 0.5 < one["chance"] < 1
    assert sum(one["penalty"].values()) / 3 < one["break_even"] < 60
    assert one["u"] == pytest.approx(sum(each**2 for each in one["inputs"].values()) ** 0.5)
    printed = " ".join(run("dunlin", "--explain", "rear-wing").split())
    assert "light-coupe of five-lakes: the rules add 27.2 kg" in printed
    assert "not known in silhouette-b: Rear wing mounts: not stated" in printed


def test_the_cautions_stand_below():
    """Who decides; loose ballast; that pace is no guidance for driving."""
    printed = " ".join(run("dunlin", "--most", "1").split())
    assert "Loose ballast can kill" in printed
    assert "No figure here of power, speed or pace is guidance for driving." in printed
    assert "The official book and the event's inspectors decide." in printed


def test_an_option_that_is_not_there():
    """A fault that names those that are."""
    assert "unknown-option no option `wing`, expected one of: fuel-cell" in run("dunlin", "--explain", "wing")
