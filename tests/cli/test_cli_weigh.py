"""`rulewatch weigh` as a user runs it: on paper, as data, and where something is missing."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args], env={"COLUMNS": "110"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def test_the_demo_s_car_at_the_scales():
    """Each class has its minimum, the chance of being under it, and ballast that the rules allow where it is put."""
    printed = run("weigh", "dunlin").output
    assert "904.0 ± 5.4 kg at the scales: 5.5 kg under the minimum; 98.0 % chance of being under" in printed
    assert "suggested: 25 lb (11 kg), to be 95 % sure" in printed
    saltmarsh, five_lakes = printed.split("Dunlin in light-coupe")
    assert "not at boot: Ballast position: boot floor, must be passenger floor, 3.5" in saltmarsh
    assert "at boot" in five_lakes
    assert "not at boot" not in five_lakes


def test_the_cautions_stand_on_the_sheet():
    """Who decides, and what loose ballast does; of speed only where axle loads at speed are shown."""
    printed = {car: " ".join(run("weigh", car).output.split()) for car in ("marram", "dunlin")}
    for text in printed.values():
        assert "Loose ballast can kill: mount it as the book says and have it inspected." in text
        assert "The official book and the event's inspectors decide." in text
    assert "guidance for driving" in printed["marram"]
    assert "guidance for driving" not in printed["dunlin"]


def test_the_data_follow_their_schema():
    """Of a car that was weighed on four scales, and of one that was not."""
    schema = json.loads(schema_bytes("weigh.schema.json"))
    for car in ("marram", "dunlin", "samphire"):
        data = json.loads(run("weigh", car, "--json").stdout)
        jsonschema.validate(data, schema)
        assert data["car"] == car
    (entry,) = data["entries"]
    assert (data["states"], entry["placed"], entry["ballast"]["suggested"]) == ([], None, None)


def test_one_edition_alone():
    """Another season's book is asked with --in."""
    data = json.loads(run("weigh", "marram", "--in", "saltmarsh/2026", "--json").stdout)
    assert [(entry["season"], entry["class"]) for entry in data["entries"]] == [("2026", "silhouette-b")]


def test_a_car_that_is_not_there():
    """A misspelt car is a fault."""
    done = run("weigh", "maram")
    assert done.exit_code == 2
    assert "maram" in done.output
    assert "Traceback" not in done.output


def test_corners_that_are_at_fault(put):
    """A unit that is missing and a position of two lengths are faults with their place, and nothing is reckoned."""
    root = put(
        {
            "rulesets/saltmarsh/body.yaml": "name: Club\nclasses: [b]\n",
            "cars/a/car.yaml": "name: A\nbalance:\n  driver: [1 m, 2 m]\n  weighed:\n    on: 2027-01-01\n    scales: {u: 1 kg}\n"
            "    corners: {front_left: 250, front_right: 250 kg, rear_left: 240 kg}\n",
        }
    )
    done = run("weigh", "a", root=root)
    assert done.exit_code == 2
    for told in ("car.yaml:3:11: wrong-type", "car.yaml:7:27: unit-missing", "car.yaml:7:14: missing-key"):
        assert told in done.output
