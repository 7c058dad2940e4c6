"""Files and git revisions as the command line meets them: exact faults, status 2, and nothing half done."""

from __future__ import annotations

import json
import os

import pytest
from click.testing import CliRunner, Result

from rulewatch import cli


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call the program in the test's own folder."""
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str) -> Result:
        return CliRunner().invoke(cli.cli, list(arguments))

    return run


@pytest.fixture
def history(call, run_git, tmp_path):
    """A new workspace under git, with a second commit that changes one limit."""
    assert call("start", "w").exit_code == 0
    run_git("init", "-q", "-b", "main")
    run_git("add", ".")
    run_git("commit", "-qm", "first")
    chapter = tmp_path / "w/rulesets/example-club/2027/02-wheels.md"
    text = chapter.read_text()
    assert text.count("8 in") == 3
    chapter.write_text(text.replace("8 in", "9 in").replace("203.2 mm", "228.6 mm"))
    run_git("commit", "-qam", "wider rims")
    return tmp_path / "w"


def faults(result: Result) -> str:
    """What was printed as faults; the command has ended with status 2 and printed nothing else."""
    assert result.exit_code == 2
    assert result.stdout == ""
    return result.stderr


def test_two_revisions_are_compared_without_a_checkout(call, history, run_git):
    """The files on disk are not looked at, here not even there any more."""
    (history / "rulesets/example-club/2027/02-wheels.md").unlink()
    before = run_git("status", "--porcelain")
    result = call("-C", "w", "compare", "HEAD~1:example-club/2027", "main:example-club/2027", "--json")
    assert result.exit_code == 0
    data = json.loads(result.stdout)
    values = [(value["old"], value["new"], value["delta"]) for change in data["changes"] for value in change["values"]]
    assert set(values) == {("8 in", "9 in", "1 in"), ("203.2 mm", "228.6 mm", "25.4 mm")}
    assert run_git("status", "--porcelain") == before


def test_a_fault_in_a_revision_names_the_revision(call, history, run_git):
    """`HEAD:` stands before the path, and the line is shown as it was then."""
    chapter = history / "rulesets/example-club/2027/02-wheels.md"
    good = chapter.read_text()
    chapter.write_text(good.replace("max: 9 in", "max: 9 kg", 1))
    run_git("commit", "-qam", "a slip")
    chapter.write_text(good)
    said = faults(call("-C", "w", "compare", "HEAD:example-club/2027", "example-club/2027"))
    line = 1 + good[: good.index("max: 9 in")].count("\n")
    assert said.startswith(f"HEAD:rulesets/example-club/2027/02-wheels.md:{line}:")
    assert ": wrong-dimension `9 kg` is a mass, expected a length for wheels." in said


@pytest.mark.parametrize(
    ("revision", "expected"),
    [
        (
            "no-such",
            (
                "no-such: unknown-revision git knows no commit `no-such`, expected a commit, tag or branch; "
                "`git log --oneline` lists the commits\n"
            ),
        ),
        ("--output=made", "point:1:1: unsafe-revision the revision `--output=made` begins with a dash; "),
    ],
)
def test_a_revision_that_git_does_not_know_or_should_not_see(call, history, revision, expected):
    """Unknown, and beginning with a dash; nothing is written."""
    said = faults(call("-C", "w", "compare", "--", f"{revision}:example-club/2027", "example-club/2027"))
    assert said.startswith(expected)
    assert not (history / "made").exists()


def test_a_revision_without_a_repository(call, tmp_path):
    """The workspace is not under git."""
    assert call("start", "w").exit_code == 0
    said = faults(call("-C", "w", "compare", "HEAD:example-club/2027", "example-club/2027"))
    assert said.startswith("w: no-repository the workspace is not under git; ")


def test_files_that_are_no_rule_books(call, put):
    """Not UTF-8, 50 MB, and not there: every one is reported, and both sides at once."""
    root = put({"latin.md": "1. Breite\n\n2. Höhe".encode("latin-1"), "big.md": ""})
    os.truncate(root / "big.md", 50_000_000)
    said = faults(call("compare", "latin.md", "big.md"))
    assert said.startswith(
        "big.md: file-too-large 50 MB of text, expected at most 20 MB; split it into chapters, or take the pictures out\n"
        "latin.md:3:5: not-utf8 the byte 0xF6, expected UTF-8 text; save the file as UTF-8\n"
        "    2. H\N{REPLACEMENT CHARACTER}he\n"
        "        ^\n"
    )
    assert faults(call("compare", "latin.md", "gone.md")).startswith("gone.md: file-missing no such file; ")


def test_a_chapter_that_is_not_utf8_is_a_fault_of_verify(call, put):
    """With its path in the workspace."""
    assert call("start", "w").exit_code == 0
    put({"w/rulesets/example-club/2027/03-new.md": b"# 3 New\n\n3.1 caf\xe9\n"})
    result = call("-C", "w", "verify")
    assert result.exit_code == 2
    assert "rulesets/example-club/2027/03-new.md:3:8: not-utf8 the byte 0xE9, expected UTF-8 text" in result.output


def test_a_site_that_a_person_made_is_not_replaced(call, put):
    """`publish` leaves a folder `site/public` with files in it alone."""
    assert call("start", "w").exit_code == 0
    root = put({"w/site/public/mine.html": "mine"})
    result = call("-C", "w", "publish", "--today", "2027-01-01")
    assert result.exit_code == 2
    assert "file-unwritable a folder with files that were not made here; move it away" in result.stderr
    assert [file.name for file in (root / "w/site/public").iterdir()] == ["mine.html"]


def test_a_workspace_is_not_started_over_another(call, put):
    """A folder with anything in it is left alone."""
    root = put({"w/x": "x"})
    assert call("start", "w").exit_code == 2
    assert [file.name for file in (root / "w").iterdir()] == ["x"]
