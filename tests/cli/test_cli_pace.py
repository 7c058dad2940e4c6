"""`rulewatch pace` as a user runs it: on paper, as data, and where something is missing."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]
POWER = "{3000 rpm: 80 kW, 7000 rpm: 180 kW}"
PACE = f"pace:\n  power: {POWER}\n  gears: [2.5, 1.6, 1]\n  final_drive: 4\n  tyre_radius: 30 cm\n  grip: {{longitudinal: 1, lateral: 1}}\n"
WORKSPACE = {
    "rulesets/club/body.yaml": "name: Club\nclasses: [b]\n",
    "rulesets/club/2027/edition.yaml": "title: T\nevents:\n  - {id: one, on: 2027-05-01, track: ring}\n",
    "rulesets/tracks/ring.yaml": "name: Ring\nparts: [{straight: 500 m}, {radius: 50 m, turn: 360 °}]\n",
    "cars/a/car.yaml": f"name: A\nentries: {{body: club, class: b}}\nspec: {{car.weight: 900 kg}}\n{PACE}",
}


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args], env={"COLUMNS": "110"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def test_the_demo_s_cars_on_their_tracks():
    """Each car has its calendar's tracks, once each and by day, with data that follow the schema."""
    schema = json.loads(schema_bytes("pace.schema.json"))
    calendars = {
        "marram": ["reedbank", "gull-sands"],
        "samphire": ["reedbank", "gull-sands"],
        "dunlin": ["reedbank", "heron-water", "gull-sands", "long-reach"],
    }
    for car, tracks in calendars.items():
        data = json.loads(run("pace", car, "--json").stdout)
        jsonschema.validate(data, schema)
        assert [one["track"] for one in data["tracks"]] == tracks
        for one in data["tracks"]:
            more = one["sensitivities"]
            assert more["kg"] > 0 > more["kW"]
            assert more["m² of drag"] > 0 > more["1 % of grip"]
            assert sum(one["phases"].values()) == pytest.approx(one["time"])
            assert one["u"] == pytest.approx(sum(u**2 for u in one["from_inputs"].values()) ** 0.5)


def test_the_caution_stands_on_paper_and_in_the_data():
    """What the figures are for, and what they are not."""
    printed = " ".join(run("pace", "marram", "--track", "long-reach").output.split())
    data = json.loads(run("pace", "marram", "--track", "long-reach", "--json").stdout)
    for text in (printed, data["caution"]):
        assert "No figure here of power, speed or pace is guidance for driving." in text
        assert "for differences between options on one car" in text
    assert printed.startswith("Marram: pace at 1031 kg Long Reach 1:")


def test_a_track_that_has_no_file(put):
    """The command says which it left out, `verify` where it is named; asked for by name it is a fault."""
    root = put(
        WORKSPACE | {"rulesets/club/2027/edition.yaml": WORKSPACE["rulesets/club/2027/edition.yaml"].replace("ring", "rind")}
    )
    done = run("pace", "a", root=root)
    assert done.exit_code == 0
    assert "no pace on rind: rulesets/tracks has no rind.yaml that can be read" in done.output
    told = run("verify", root=root).output
    assert "edition.yaml:3:38: unknown-track no track `rind`; did you mean `ring`?" in told
    asked = run("pace", "a", "--track", "rind", root=root)
    assert asked.exit_code == 2
    assert "unknown-track no track `rind`, expected one of: ring" in asked.output


def test_a_car_of_which_too_little_is_known(put):
    """Without weight or pace there is no time, and it is said why; without drag and downforce that these count as none."""
    root = put(WORKSPACE | {"cars/b/car.yaml": "name: B\nentries: {body: club, class: b}\n"})
    data = json.loads(run("pace", "b", "--json", root=root).stdout)
    assert (data["mass"], data["tracks"]) == (None, [])
    assert len(data["notes"]) == 2
    (one,) = json.loads(run("pace", "a", "--json", root=root).stdout)["tracks"]
    assert (one["u"], one["from_inputs"]) == (0, {})
    assert "drag is not stated, and counts as none" in run("pace", "a", root=root).output


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("cars/a/car.yaml", "[2.5, 1.6, 1]", "[1, 2.5]", "car.yaml:6:10: wrong-value gears out of order"),
        ("cars/a/car.yaml", "7000 rpm", "2000 rpm", "car.yaml:5:10: wrong-value a curve of power"),
        ("cars/a/car.yaml", "180 kW", "180 kg", "car.yaml:5:38: wrong-dimension"),
        (
            "cars/a/car.yaml",
            "30 cm",
            "[30 cm, 29 cm, 31 cm]",
            "car.yaml:8:16: wrong-value 30 cm, 29 cm, 31 cm for `tyre_radius`",
        ),
        ("cars/a/car.yaml", "lateral: 1}", "lateral: 0}", "wrong-value `0` for `lateral`, expected more than nothing"),
        ("cars/a/car.yaml", "  final_drive: 4\n", "", "car.yaml:5:3: missing-key pace without `final_drive`"),
        ("rulesets/tracks/ring.yaml", "radius: 50 m", "radius: 0 m", "ring.yaml:2:37: wrong-value `0 m` for `radius`"),
        ("rulesets/tracks/ring.yaml", "turn: 360 °", "turns: 360 °", "ring.yaml:2:43: unknown-key `turns` in a part"),
        (
            "rulesets/tracks/ring.yaml",
            "name: Ring\n",
            "name: Ring\naltitude: 90 km\n",
            "ring.yaml:2:11: wrong-value `90 km` for `altitude`",
        ),
        ("rulesets/tracks/ring.yaml", "parts", "centreline", "ring.yaml:2:13: wrong-value 0 points"),
    ],
)
def test_what_is_wrong_has_its_place(put, file, old, new, told):
    """A pace or a track at fault ends the command with the place of what is wrong."""
    assert old in WORKSPACE[file]
    done = run("pace", "a", root=put(WORKSPACE | {file: WORKSPACE[file].replace(old, new)}))
    assert done.exit_code == 2
    assert told in " ".join(done.output.split())
