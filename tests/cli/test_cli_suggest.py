"""`rulewatch suggest` as a user runs it, and that nothing of it gets into a verdict."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]
VERDICTS = (("impact", "--json"), ("verify", "--json"), ("compare", "saltmarsh/2026", "saltmarsh/2027", "--json"))
BOOK = """# 6 Wheels

## 6.1 Rim width

A rear rim shall be no wider than 10 in, measured between the bead seats.

## 6.2 Manners

Drivers shall be polite.
"""


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args])
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def test_suggestions_of_a_plain_book_show_reading_and_words(put):
    """A downloaded book gets readings with the words that they come from, and a reason where there is none."""
    root = put({"book.md": BOOK})
    printed = run("suggest", str(root / "book.md"), root=root)
    assert printed.exit_code == 0
    assert "limit: {wheels.rear.rim_width: {max: 10 in}}" in printed.output
    assert "“no wider than 10 in”" in printed.output
    assert "they decide nothing until a person" in printed.output


def test_suggestions_as_data_follow_their_schema():
    """The JSON is what the published schema says, for every clause of a book of the demo."""
    data = json.loads(run("suggest", "saltmarsh/2027", "--all", "--json").stdout)
    jsonschema.validate(data, json.loads(schema_bytes("suggest.schema.json")))
    assert len(data["suggestions"]) > 80
    assert any(one["readings"] for one in data["suggestions"])


def test_suggestions_are_for_unread_clauses_unless_others_are_named():
    """Without a number only what has no reading is looked at; a named clause always; an unknown one is a fault."""
    unread = json.loads(run("suggest", "saltmarsh/2027", "--json").stdout)["suggestions"]
    opened = [found["found"] for found in json.loads(run("verify", "--json").stdout)["open"] if found["code"] == "unread"]
    assert {f"{one['clause']} of saltmarsh/2027 has no reading" for one in unread} <= set(opened)
    assert unread
    named = json.loads(run("suggest", "saltmarsh/2027", "4.3", "--json").stdout)["suggestions"]
    assert [one["clause"] for one in named] == ["4.3"]
    assert "98" not in named[0]["readings"][0]["reading"]
    wrong = run("suggest", "saltmarsh/2027", "99.1")
    assert wrong.exit_code == 2
    assert "unknown-clause" in wrong.output


@pytest.mark.parametrize("args", VERDICTS, ids=lambda args: args[0])
def test_no_verdict_has_anything_of_a_suggestion(args, monkeypatch):
    """What verify, compare and impact say of the demo is the same to the byte whether or not suggestions can be made."""
    before = run(*args).stdout
    run("suggest", "saltmarsh/2027", "--all")

    def refuse(*_: object) -> None:
        message = "a verdict asked for a suggestion"
        raise AssertionError(message)

    monkeypatch.setattr("rulewatch.intake.suggest.suggest", refuse)
    monkeypatch.setattr("rulewatch.suggesting.suggest", refuse)
    assert run(*args).stdout == before


def test_suggesting_writes_nothing(put):
    """No file of a workspace is touched, and none is added."""
    root = put({"book.md": BOOK})
    before = {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
    run("suggest", str(root / "book.md"), root=root)
    assert {path: path.read_bytes() for path in root.rglob("*") if path.is_file()} == before
