"""Who first recorded a line: one pass over the history, and nothing of the repository runs."""

from __future__ import annotations

import pytest

from rulewatch.model.fault import Fault
from rulewatch.store.history import first_recorded

ONE, TWO = "rulesets/a/2026/1.md", "rulesets/a/2026/zwei Teile.md"


@pytest.fixture
def history(put, run_git, monkeypatch):
    """Three commits by two people; one line goes and comes again."""
    run_git("init", "-q", "-b", "main")

    def commit(name: str, day: str, files: dict[str, str]):
        monkeypatch.setenv("GIT_AUTHOR_NAME", name)
        monkeypatch.setenv("GIT_AUTHOR_DATE", f"{day}T23:30:00+02:00")
        root = put(files)
        run_git("add", ".")
        run_git("commit", "-qm", "x")
        return root

    commit("Ina", "2026-01-05", {ONE: "1. Old\n++ b/other\n2. Same\n", TWO: "3. Über alles\n", "cars/x/car.yaml": "1. Old\n"})
    commit("Uwe\tx", "2026-02-06", {ONE: "1. New\n2. Same\n"})
    return commit("Ina", "2026-03-07", {ONE: "1. Old\n1. New\n2. Same\nno end of line"})


def told(root, *wanted, **more):
    """Who and when for each line, in the order of the commits."""
    found = first_recorded(root, "rulesets/a", set(wanted), **more)
    assert not isinstance(found, Fault), found
    return [(line[1], one.by, str(one.on)) for line, one in found.items()]


def test_the_first_commit_that_added_a_line_counts(history, run_git):
    """By author and the day where they were; a line that came again keeps its first; one of another file or of none is left out."""
    assert told(
        history, (ONE, "1. New"), (ONE, "2. Same"), (ONE, "1. Old"), (ONE, "no end of line"), (ONE, "3. Nie"), (TWO, "2. Same")
    ) == [
        ("1. Old", "Ina", "2026-01-05"),
        ("2. Same", "Ina", "2026-01-05"),
        ("1. New", "Uwe\tx", "2026-02-06"),
        ("no end of line", "Ina", "2026-03-07"),
    ]
    found = first_recorded(history, "rulesets/a", {(ONE, "no end of line")})
    assert found[ONE, "no end of line"].commit == run_git("rev-parse", "HEAD")


def test_names_with_spaces_and_lines_that_look_like_a_header(history):
    """`+++ b/other` may be a line of a file, and a path may have a space or an umlaut in it."""
    assert told(history, (TWO, "3. Über alles"), (ONE, "++ b/other")) == [
        ("++ b/other", "Ina", "2026-01-05"),
        ("3. Über alles", "Ina", "2026-01-05"),
    ]


def test_only_what_a_revision_knows(history):
    """Up to a commit; one that is not there is a fault."""
    assert told(history, (ONE, "1. New"), (ONE, "no end of line"), revision="HEAD~1") == [("1. New", "Uwe\tx", "2026-02-06")]
    fault = first_recorded(history, "rulesets/a", set(), "nowhere")
    assert isinstance(fault, Fault)
    assert fault.code == "unknown-revision"


def test_a_workspace_below_the_top_of_its_repository(put, run_git):
    """Paths count from the workspace."""
    run_git("init", "-q", "-b", "main")
    root = put({f"crew/{ONE}": "1. Old\n"})
    run_git("add", ".")
    run_git("commit", "-qm", "x")
    assert [line for line, *_ in told(root / "crew", (ONE, "1. Old"))] == ["1. Old"]


def test_no_driver_of_the_repository_runs(history, run_git, put):
    """Neither an external diff nor a text conversion nor a check of signatures nor colours of the configuration."""
    proof = history / "proof"
    script = put({"run.sh": f"#!/bin/sh\ntouch {proof}\ncat $1\n"}) / "run.sh"
    script.chmod(0o755)
    put({".git/info/attributes": "*.md diff=evil\n"})
    for name, value in {
        "diff.external": script,
        "diff.evil.command": script,
        "diff.evil.textconv": script,
        "gpg.program": script,
        "log.showSignature": "true",
        "color.ui": "always",
        "diff.noprefix": "true",
        "diff.mnemonicPrefix": "true",
    }.items():
        run_git("config", name, str(value))
    assert told(history, (ONE, "1. Old")) == [("1. Old", "Ina", "2026-01-05")]
    assert not proof.exists()


def test_no_repository(put):
    """A folder that is under no git is a fault with a remedy."""
    fault = first_recorded(put({ONE: "1. Old\n"}), "rulesets/a", {(ONE, "1. Old")})
    assert isinstance(fault, Fault)
    assert fault.code == "no-repository"
