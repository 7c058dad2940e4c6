"""The commands as a user runs them: output, exit status, JSON on stdout alone, and how long they take."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import COMMANDS, cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]
BOOKS = ("saltmarsh/2026", "saltmarsh/2027")


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args])
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_each_command_begins_with_its_line(name):
    """The list of commands, which imports none, says the same as each command's own help."""
    assert " ".join(COMMANDS[name].split()) in " ".join(run(name, "--help").output.split())


def test_misspelt_command():
    """A command that is not there ends with status 2 and names the nearest."""
    done = run("verfy")
    assert done.exit_code == 2
    assert "verify" in done.output


def test_compare_shows_wording_values_and_effect():
    """A changed limit shows what was struck and what came, the value's move, and the effect for the classes."""
    lines = [line.strip() for line in run("compare", *BOOKS).output.splitlines()]
    assert "substitution, tightened for every class" in lines
    assert "34 mm → 32 mm (−2 mm)" in lines
    assert any("~~34 mm~~ __32 mm__" in line for line in lines)


def test_compare_shows_no_signs_around_nothing(put):
    """A clause that is all heading came or went: its title says so, and no empty mark stands below."""
    root = put(
        {
            "old.md": "## 5.1 Spacers are forbidden.\n\n## 5.2 Nuts are of steel.\n",
            "new.md": "## 5.2 Nuts are of steel.\n\n## 5.3 Tyres carry the sticker of the series.\n",
        }
    )
    printed = run("compare", str(root / "old.md"), str(root / "new.md"), root=root).output
    assert "5.3  Tyres carry the sticker" in printed
    assert "____" not in printed
    assert "~~~~" not in printed


def test_compare_json_is_alone_on_stdout_and_meets_its_schema():
    """`--json` prints one document; unchanged clauses stand in it only with --all, with kinds []."""
    changed, everything = (json.loads(run("compare", *BOOKS, "--json", *extra).stdout) for extra in ((), ("--all",)))
    schema = json.loads(schema_bytes("compare.schema.json"))
    for data in (changed, everything):
        jsonschema.validate(data, schema)
    assert all(change["kinds"] for change in changed["changes"])
    unchanged = [change for change in everything["changes"] if not change["kinds"]]
    assert len(unchanged) == everything["counts"]["unchanged"] > 0
    assert len(everything["changes"]) == len(changed["changes"]) + len(unchanged)


def test_compare_a_point_with_itself():
    """A book compared with itself has no change."""
    data = json.loads(run("compare", BOOKS[1], BOOKS[1], "--json").stdout)
    assert data["changes"] == []


def test_bulletin_counts_by_its_date():
    """`@published` leaves the bulletin out, a day before it too; from its effective day on the text has it."""
    none, before, after = (
        json.loads(run("compare", "saltmarsh/2027@published", f"saltmarsh/2027@{day}", "--json").stdout)["changes"]
        for day in ("published", "2027-01-02", "2027-12-31")
    )
    assert none == before == []
    assert after


def test_plain_files_need_no_workspace(tmp_path):
    """Two Markdown files are compared anywhere; their effect is unread, and warnings go to stderr."""
    (tmp_path / "old.md").write_text("# Book\n\n- 4a) A rim is at most 10 in.\n- 4b) Tyres are round.\n")
    (tmp_path / "new.md").write_text("# Book\n\n- 4a) A rim is at most 11 in.\n- 4b) Tyres are round.\n")
    done = run("compare", str(tmp_path / "old.md"), str(tmp_path / "new.md"), "--all", "--json", root=tmp_path)
    changes = json.loads(done.stdout)["changes"]
    assert [(change["old"], change["new"], change["kinds"]) for change in changes] == [
        (["4a"], ["4a"], ["substitution"]),
        (["4b"], ["4b"], []),
    ]
    assert changes[0]["values"] == [{"old": "10 in", "new": "11 in", "delta": "1 in"}]


def test_history_is_read_without_a_checkout(put, run_git):
    """A revision's rules are read from git, whatever the folder holds now."""
    book = "rulesets/saltmarsh/2027/05-wheels.md"
    root = put(
        {
            "rulesets/saltmarsh/body.yaml": "name: Saltmarsh Circuit Club\nclasses: {silhouette-b: Silhouette B}\n",
            "rulesets/saltmarsh/2027/edition.yaml": "title: Rules 2027\n",
            book: "## 5.2 A rim is at most 10 in wide.\n",
        }
    )
    run_git("init", "--quiet")
    run_git("add", ".")
    run_git("commit", "--quiet", "--message", "first")
    put({book: "## 5.2 A rim is at most 11 in wide.\n"})
    data = json.loads(run("compare", "HEAD:saltmarsh/2027", "saltmarsh/2027", "--json", root=root).stdout)
    assert data["old"] == "HEAD:saltmarsh/2027"
    assert data["changes"][0]["values"] == [{"old": "10 in", "new": "11 in", "delta": "1 in"}]
    assert (root / book).read_text() == "## 5.2 A rim is at most 11 in wide.\n"


def test_impact_json_meets_its_schema():
    """Each impact has its entry, clauses, outcome, both sides, reason and job."""
    data = json.loads(run("impact", "--json").stdout)
    jsonschema.validate(data, json.loads(schema_bytes("impact.schema.json")))
    assert {impact["car"] for impact in data["impacts"]} == {"dunlin", "marram", "samphire"}


def test_impact_of_one_car_between_given_points():
    """One car, two points: the same impacts as among those of all."""
    everyone = json.loads(run("impact", "--json").stdout)["impacts"]
    one = json.loads(run("impact", "--json", "--car", "marram", "--from", BOOKS[0], "--to", BOOKS[1]).stdout)["impacts"]
    assert one == [impact for impact in everyone if impact["car"] == "marram"]


@pytest.mark.parametrize(
    ("outcome", "car", "status"), [("breach", "marram", 1), ("at-risk", "marram", 1), ("at-risk", "samphire", 0)]
)
def test_fail_on(outcome, car, status):
    """`--fail-on` ends with status 1 where the outcome occurs, else 0."""
    assert run("impact", "--car", car, "--fail-on", outcome).exit_code == status


def test_impact_of_an_unknown_car():
    """A car that is not there is a fault."""
    done = run("impact", "--car", "maram")
    assert done.exit_code == 2
    assert "unknown-car" in done.output


def test_verify_strict():
    """The demo has open points on purpose: status 0, with --strict 1; the data meets its schema."""
    assert run("verify").exit_code == 0
    assert run("verify", "--strict").exit_code == 1
    data = json.loads(run("verify", "--json").stdout)
    jsonschema.validate(data, json.loads(schema_bytes("verify.schema.json")))
    assert data["faults"] == []
    assert {point["code"] for point in data["open"]} >= {"unread", "unconfirmed", "unanswered", "unmeasured"}


def test_start_makes_a_workspace_that_verifies(tmp_path):
    """A new workspace has no fault, publishes, and a second start in its folder is refused and changes nothing."""
    assert run("start", "ours", root=tmp_path).exit_code == 0
    root = tmp_path / "ours"
    assert run("verify", root=root).exit_code == 0
    before = {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
    again = run("start", "ours", root=tmp_path)
    assert again.exit_code == 2
    assert {path: path.read_bytes() for path in root.rglob("*") if path.is_file()} == before
    assert run("publish", "--today", "2026-11-25", root=root).exit_code == 0
    assert (root / "site" / "public" / "index.html").is_file()


def test_publish_gives_the_same_bytes_twice(tmp_path):
    """The same workspace and day give the same bytes, and `public` is a link to a complete build."""
    assert run("start", "ours", root=tmp_path).exit_code == 0
    root, builds = tmp_path / "ours", []
    for _ in range(2):
        assert run("publish", "--today", "2026-11-25", root=root).exit_code == 0
        public = root / "site" / "public"
        assert public.is_symlink()
        builds.append({path.relative_to(public): path.read_bytes() for path in sorted(public.rglob("*")) if path.is_file()})
    assert builds[0] == builds[1]


def best(*command: str, times: int = 5) -> float:
    """The shortest of several runs, in seconds: what the program takes, whatever else the machine does."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=DEMO)
        taken.append(time.perf_counter() - start)
    return min(taken)


def test_help_is_instant():
    """`rulewatch --help` takes at most three times as long as importing click."""
    click_alone = best(sys.executable, "-c", "import click")
    assert best(sys.executable, "-m", "rulewatch", "--help") <= 3 * click_alone


def test_impact_takes_under_three_seconds():
    """The impacts of the demo's cars are there in under three seconds, start of the program included."""
    assert best(sys.executable, "-m", "rulewatch", "impact", times=3) < 3


def test_terminal_escapes_in_rule_text_are_shown_not_obeyed(put):
    """Control characters of a rule book reach the terminal written out."""
    root = put(
        {
            "old.md": "## 5.2 A rim is at most 10 in wide.\n",
            "new.md": "## 5.2 A rim is at most \x1b[31m11 in\x1b[0m wide.\n",
        }
    )
    done = run("compare", str(root / "old.md"), str(root / "new.md"))
    assert "\x1b" not in done.output
    assert "\\x1b[31m" in done.output
