"""`rulewatch impact --nearest` as a user runs it."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]
CLUB = "name: Club\nclasses: [open]\n"
EDITION = "title: Rules\neffective: 2027-01-01\n"
RULE = "# {n} Rule\n\nRule {n} says {size} in.\n\n```reading\nlimit: {{{what}: {{{end}: {size} in}}}}\n```\n"


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), "impact", "--nearest", *args], env={"COLUMNS": "110"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def club(put, rules: str, spec: str):
    """A workspace of one club and one car."""
    return put(
        {
            "rulesets/club/body.yaml": CLUB,
            "rulesets/club/2027/edition.yaml": EDITION,
            "rulesets/club/2027/1.md": rules,
            "cars/a/car.yaml": f"name: A\nentries: [{{body: club, class: open}}]\nspec: {spec}\n",
        }
    )


def test_the_demo_s_cars():
    """The fewest alterations with the rules they are for, what is left, and that the unknown is no pass; the data follow their schema."""
    printed = " ".join(run("--car", "dunlin").output.split())
    assert printed.startswith("dunlin: 5 alterations, and no fewer; but 1 requirement is still illegal")
    assert "Fuel cell: from absent to present" in printed
    assert "renew: Harness made on: 2022-06-12" in printed
    assert "unknown, which is no pass" in printed
    data = json.loads(run("--json").stdout)
    jsonschema.validate(data, json.loads(schema_bytes("nearest.schema.json")))
    found = {one["car"]: {each["subject"] for each in one["alterations"]} for one in data["nearest"]}
    assert found["marram"] == {"engine.exhaust.noise", "safety.harness.shoulder_width"}


def test_clauses_that_no_car_meets(put):
    """The proof is a smallest set of clauses; a third one that is in nobody's way is not in it."""
    rules = "".join(
        RULE.format(n=n, what="car.width", end=end, size=size)
        for n, end, size in ((1, "max", 10), (2, "min", 11), (3, "max", 14))
    )
    root = club(put, rules, "{car.width: 10 in}")
    printed = run(root=root).output
    assert "a: no car that keeps what is fixed is legal in all its entries" in printed
    assert "no car meets together: 1, 2 of club/2027" in printed


def test_what_is_fixed_is_named(put):
    """A quantity that cannot be altered stays; the clash names it."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    root = club(put, rules, "{car.width: {value: 11 in, fixed: yes}}")
    printed = " ".join(run(root=root).output.split())
    assert "no car meets together: 1 of club/2027:open; with overall width as it is" in printed


def test_the_worst_of_several_instances(put):
    """A car whose right wheel alone is too wide has that wheel's width to alter."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    root = club(put, rules, "{car.width: [10 in, 10.5 in]}")
    assert "Overall width: from 10 in / 10.5 in to 10 in / 10 in (1 of club/2027:open)" in run(root=root).output


def test_nothing_to_alter(put):
    """A legal car is told so."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    assert "a: nothing to alter" in run(root=club(put, rules, "{car.width: 10 in}")).output


def test_a_waiver_counts(put):
    """A paper that allows what the clause does not leaves nothing to alter."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    root = put(
        {
            "rulesets/club/body.yaml": CLUB,
            "rulesets/club/2027/edition.yaml": EDITION,
            "rulesets/club/2027/1.md": rules,
            "cars/a/car.yaml": "name: A\nentries: [{body: club, class: open, waivers: [{clause: '1', limit: {car.width: {max: 11 in}}, "
            "until: 2027-12-31, paper: W1}]}]\nspec: {car.width: 10.5 in}\n",
        }
    )
    assert "a: nothing to alter" in run(root=root).output


def test_it_goes_with_no_other_list():
    """Together with --from or --keep it is a mistake of the call."""
    done = run("--from", "saltmarsh/2026")
    assert done.exit_code == 2
    assert "--nearest goes with" in done.output


def papered(put, rules: str, spec: str, limit: str, header: str = ""):
    """A workspace of one club and one car that has a paper on clause 1."""
    return put(
        {
            "rulesets/club/body.yaml": CLUB,
            "rulesets/club/2027/edition.yaml": EDITION + header,
            "rulesets/club/2027/1.md": rules,
            "cars/a/car.yaml": f"name: A\nentries: [{{body: club, class: open, waivers: [{{clause: '1', limit: {limit}, "
            f"until: 2027-12-31, paper: W1}}]}}]\nspec: {spec}\n",
        }
    )


def test_no_tolerance_on_a_waiver(put):
    """What the book grants on its limits is not on top of a paper, as where the car is judged."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    root = papered(put, rules, "{car.width: 12 in}", "{car.width: {max: 11 in}}", "tolerance: ±0.5 in\n")
    assert "Overall width: from 12 in to 11 in" in run(root=root).output


def test_a_waiver_of_a_clause_that_does_not_apply(put):
    """A paper on a rule for other cars leaves nothing to alter."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10).replace("limit:", "when: {engine.turbo: present}\nlimit:")
    root = papered(put, rules, "{car.width: 12 in, engine.turbo: absent}", "{car.width: {max: 11 in}}")
    assert "a: nothing to alter" in run(root=root).output


CLOSED = "# 1 Bodywork\n\nNothing of the bodywork may be altered.\n"


def test_a_waiver_of_a_closed_scope(put):
    """A wing that a paper permits stays; too wide for the paper, its width is altered and the wing stays."""
    limit = "{aero.rear_wing: present, aero.rear_wing.width: {max: 60 in}}"
    closed = "closed: [{scope: aero, clause: '1'}]\n"
    spec = "{{aero.rear_wing.width: {} in}}\nstandard: {{aero.rear_wing: absent}}"
    assert "a: nothing to alter" in run(root=papered(put, CLOSED, spec.format(59), limit, closed)).output
    printed = run(root=papered(put, CLOSED, spec.format(61), limit, closed)).output
    assert "Rear wing width: from 61 in to 60 in" in printed
    assert "to absent" not in printed


def test_a_waiver_of_a_clause_without_a_reading(put):
    """What a paper says of a clause that nobody has read counts for the search as it does for the verdict."""
    root = papered(put, "# 1 Width\n\nThe width is as agreed.\n", "{car.width: 12 in}", "{car.width: {max: 11 in}}")
    assert "Overall width: from 12 in to 11 in" in run(root=root).output


def found(root: Path):
    """What is found for the one car, as data."""
    (one,) = json.loads(run("--json", root=root).stdout)["nearest"]
    return one


def altered(root: Path):
    """What is altered to what."""
    return {each["subject"]: each["to"] for each in found(root)["alterations"]}


def test_each_instance_by_itself(put):
    """Of three widths in one range, the one inside it stays, and the others go to the end that is nearest; the steps are added up."""
    rules = "# 1 Width\n\nFrom 9 to 10 in.\n\n```reading\nlimit: {car.width: {min: 9 in, max: 10 in}}\n```\n"
    root = club(put, rules, "{car.width: [9.5 in, 8 in, 12 in]}")
    one = found(root)
    assert [each["to"] for each in one["alterations"]] == ["9.5 in / 9 in / 10 in"]
    assert one["distance"] == pytest.approx(3 * 25.4 / 5)


def test_a_part_goes_with_all_that_is_under_it(put):
    """To take a wing off is one alteration, whatever is known of the wing."""
    rules = (
        "# 1 Wing\n\nNo wing.\n\n```reading\nlimit: {aero.rear_wing: absent}\n```\n\n"
        "# 2 Wing\n\nAt most 1000 mm.\n\n```reading\nlimit: {aero.rear_wing.width: {max: 1000 mm}}\n```\n"
    )
    assert altered(club(put, rules, "{aero.rear_wing.width: 1410 mm}")) == {"aero.rear_wing": "absent"}


def test_a_fixed_size_keeps_its_part(put):
    """A wing whose width cannot be altered is not taken off for it."""
    rules = "# 1 Wing\n\nNo wing.\n\n```reading\nlimit: {aero.rear_wing: absent}\n```\n"
    rules += "\n# 2 Wing\n\nAt most 1500 mm.\n\n```reading\nlimit: {aero.rear_wing.width: {max: 1500 mm}}\n```\n"
    assert found(club(put, rules, "{aero.rear_wing.width: {value: 1410 mm, fixed: yes}}"))["clashes"]


def test_a_size_before_a_kind(put):
    """However many steps a size takes, it is altered before a part goes, and all of them are told."""
    rules = "# 1 Wing\n\nAt most 1000 mm.\n\n```reading\nlimit: {aero.rear_wing.width: {max: 1000 mm}}\n```\n"
    one = found(club(put, rules, "{aero.rear_wing.width: 21000 mm}"))
    assert [(each["subject"], each["to"]) for each in one["alterations"]] == [("aero.rear_wing.width", "1000 mm")]
    assert one["distance"] == 2000  # of 10 mm


def test_a_clash_names_no_adder_that_is_not_needed(put):
    """Where the minimum alone is too much for a car whose weight is fixed, what adds to it is not named; else both are."""
    rules = (
        "# 1 Weight\n\nAt least {} kg.\n\n```reading\nweight: {{minimum: {} kg}}\n```\n\n"
        "# 2 Wing\n\nA wing adds 3 %.\n\n```reading\nwhen: {{aero.rear_wing: present}}\nweight: {{add: 3 %}}\n```\n"
    )
    spec = "{car.weight: {value: 890 kg, fixed: yes}, aero.rear_wing.width: {value: 1400 mm, fixed: yes}}"
    for least, clauses in ((900, "1"), (880, "1 2")):
        (clash,) = found(club(put, rules.format(least, least), spec))["clashes"]
        assert clash["laws"] == [f"club/2027:open {clause}" for clause in clauses.split()]


def test_the_title_says_what_is_left(put):
    """Legal only where nothing is illegal or unknown; else the title says which."""
    rules = RULE.format(n=1, what="car.width", end="max", size=10)
    assert (
        "a: nothing to alter; nothing known is illegal, but not everything is known"
        in run(root=club(put, rules, "{car.width: 10 in}")).output
    )


def test_a_measured_value_keeps_the_guard_band(put):
    """By a body's rule with a guard band the altered value would pass when measured as surely as before."""
    root = club(
        put, RULE.format(n=1, what="car.width", end="max", size=10), "{car.width: {value: 11 in, u: 0.1 in, on: 2027-02-01}}"
    )
    body = root / "rulesets/club/body.yaml"
    body.write_text(CLUB + "decision: {rule: guarded, guard: 1 U}\n")
    assert altered(root) == {"car.width": "9.9 in"}
