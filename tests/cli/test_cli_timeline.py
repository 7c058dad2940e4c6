"""`rulewatch timeline` as a user runs it: ways to name a clause, the chart, JSON, git, and what is said when nothing is found."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from five_seasons import files

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]


@pytest.fixture
def run(monkeypatch):
    """Run the command in this process, 80 columns wide."""

    def made(root: Path, *args: str, columns: int = 80):
        monkeypatch.setenv("COLUMNS", str(columns))
        done = CliRunner().invoke(cli, ["-C", str(root), "timeline", *args])
        assert not done.exception or isinstance(done.exception, SystemExit), done.exception
        return done

    return made


@pytest.fixture
def five(put):
    """The five seasons in a folder."""
    return put(files())


def test_values_over_time_read_without_colour(run, five):
    """A row for each value, the greatest first; a point where it begins, a bar where it ends, an arrow where it stands."""
    lines = run(five, "5.2").output.splitlines()
    at = lines.index("Stated in the text")
    rows = lines[at + 1 : at + 4]
    assert [row.split()[0:2] for row in rows] == [["70", "l"], ["65", "l"], ["60", "l"]]
    seventy, sixty_five, sixty = (row[10:] for row in rows)
    assert sixty.startswith("●─")
    assert sixty.endswith("┤")
    assert seventy.index("●") == len(sixty)
    assert seventy.endswith("┤")
    assert sixty_five.index("●") == len(seventy)
    assert sixty_five.endswith("▸")
    assert lines[at + 4].split() == ["2023", "2024", "2025", "2026", "2027"]


@pytest.mark.parametrize("columns", [40, 80])
def test_nothing_is_wider_than_the_terminal(run, five, columns):
    """Every line of every rule fits, down to 40 columns but for the row of a station."""
    for clause in ("5.2", "saltmarsh/2023 6.1", "5.1"):
        text = run(five, *clause.split(), columns=columns).output
        wide = [line for line in text.splitlines() if len(line) > columns and " from " not in line]
        assert wide == []


def test_stations_effects_and_habits_are_said(run, five):
    """Each season and bulletin with number and change; what it meant; who confirmed; how often and how long."""
    text = run(five, "saltmarsh/2023", "6.1", columns=100).output
    for line in (
        "5.4 Rear rims",
        "    Saltmarsh Circuit Club; first known as 6.1 in 2023",
        "Rear rim width, at most; silhouette-b",
        "2023           from 2023-01-01  6.1        first known",
        "2024           from 2024-01-01  6.2        reworded, renumbered",
        "    loosened for every class: rear rim width looser",
        "Bulletin 1     from 2024-07-01  6.2        reworded",
        "    confirmed by ina on 2023-02-01",
        "2026           from 2026-01-01  5.4        moved",
        "2027           from 2027-01-01  –          repealed",
        "    This rule: 4 changes in 4 seasons.",
    ):
        assert line in text.splitlines(), line
    folded = " ".join(text.split())
    assert "Rear rim width: 2 rules, with 6 changes in 6 seasons together; for each rule about 1.0 a season." in folded
    assert "3 freedoms given, 2 taken again after 6 months to 12 months, 1 standing, for 0 days so far." in folded
    assert "Fewer than 3 were taken again: too few to tell how long one lasts." in folded


def test_a_split_and_a_join_say_what_became_of_it(run, five):
    """Where a rule came from, and what it went into."""
    text = run(five, "saltmarsh/2024", "5.2", columns=100).output
    assert "5.2        split, from 5.1" in text
    assert "–          joined, into 5.1" in text


def test_a_number_alone_a_body_and_a_point_name_a_clause(run, five):
    """One argument or several, quoted or not."""
    rules = [
        json.loads(run(five, *args, "--json").stdout)["rule"]
        for args in (
            ("5.4",),
            ("saltmarsh", "5.4"),
            ("saltmarsh 5.4",),
            ("saltmarsh/2024@published", "6.2"),
            ("saltmarsh/2023 6.1",),
        )
    ]
    assert rules == ["2023/6.1"] * 5


def test_json_meets_its_schema(run, five):
    """Alone on stdout; as many values as stations."""
    schema = json.loads(schema_bytes("timeline.schema.json"))
    jsonschema.Draft202012Validator.check_schema(schema)
    for root, clause in ((five, "saltmarsh/2023 6.1"), (DEMO, "saltmarsh/2026 6.2")):
        data = json.loads(run(root, clause, "--json").stdout)
        jsonschema.validate(data, schema)
        assert {len(line["values"]) for line in data["values"]} == {len(data["stations"])}
    wrong = data | {"extra": 1}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(wrong, schema)


@pytest.mark.parametrize(
    ("args", "code", "said"),
    [
        (("6.9",), "unknown-clause", "no clause `6.9` in any body; did you mean `6.3`?"),
        (("saltmarsh", "6.9"), "unknown-clause", "no clause `6.9` in any season of saltmarsh"),
        (("saltmarsh/2026", "6.3"), "unknown-clause", "no clause `6.3` in saltmarsh/2026"),
        (("saltmarsh/2021", "6.3"), "unknown-edition", "saltmarsh has no season `2021`"),
        (("brine/2026", "6.3"), "unknown-edition", "no body `brine`"),
        (("saltmarsh/2026@soon", "6.3"), "bad-point", "@soon"),
    ],
)
def test_what_is_not_found_is_a_fault(run, five, args, code, said):
    """With status 2, and what there is instead."""
    done = run(five, *args)
    assert done.exit_code == 2
    assert code in done.output
    assert said in done.output


def test_a_number_of_several_bodies_asks_for_one(run, five, put):
    """A number that two bodies have now; named with its body it is found, and one that only one has needs no name."""
    put({path.replace("saltmarsh", "five-lakes"): text for path, text in files().items() if "2026" in path or "body" in path})
    put({"rulesets/five-lakes/2026/edition.yaml": "title: Rules\neffective: 2026-01-01\n"})
    done = run(five, "6.1")
    assert done.exit_code == 2
    assert "five-lakes and saltmarsh have a clause 6.1; name the body: `five-lakes 6.1`" in done.output
    assert json.loads(run(five, "five-lakes", "6.1", "--json").stdout)["rule"] == "2026/6.1"
    assert json.loads(run(five, "7.2", "--json").stdout)["body"] == "saltmarsh"


def test_git_is_asked_only_on_request(run, five, run_git, put, monkeypatch):
    """Who first recorded a reading, or a text that has none; at a revision too; nobody where it is not committed."""
    run_git("init", "-q", "-b", "main")
    run_git("add", ".")
    monkeypatch.setenv("GIT_AUTHOR_NAME", "Tobin")
    monkeypatch.setenv("GIT_AUTHOR_DATE", "2025-05-06T12:00:00+00:00")
    run_git("commit", "-qm", "x")
    put({"rulesets/saltmarsh/2027/07.md": files()["rulesets/saltmarsh/2027/07.md"].replace("outlet", "muffler")})
    assert "recorded" not in run(five, "7.1").output
    assert run(five, "7.1", "--recorded").output.count("recorded by Tobin on 2025-05-06, commit ") == 3
    assert "recorded by" not in run(five, "7.2", "--recorded").output
    data = json.loads(run(five, "HEAD:saltmarsh/2027", "7.2", "--recorded", "--json").stdout)
    assert data["stations"][0]["recorded"] == {"by": "Tobin", "on": "2025-05-06", "commit": run_git("rev-parse", "HEAD")}
    assert data["stations"][0]["point"] == "HEAD:saltmarsh/2027@published"


def test_without_git_who_recorded_it_is_a_fault(run, five):
    """The call asked for what cannot be had."""
    done = run(five, "7.1", "--recorded")
    assert done.exit_code == 2
    assert "no-repository" in done.output


def test_the_demo_shows_no_committer(run):
    """Names in it are those of the crew."""
    text = run(DEMO, "saltmarsh/2026", "6.2").output
    assert "confirmed by ansel" in text
    assert "recorded" not in text
