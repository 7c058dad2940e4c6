"""`compare --both` and `compare --contradictions`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from rulewatch import cli
from rulewatch.publish.data import schema_bytes

ROOT = Path(__file__).parents[2]


@pytest.fixture
def call(monkeypatch: pytest.MonkeyPatch):
    """Call `compare` in the demo."""
    monkeypatch.setenv("COLUMNS", "100")
    return lambda *arguments: CliRunner().invoke(cli.cli, ["-C", str(ROOT), "compare", *arguments])


def test_room_of_two_seasons(call):
    """Each end with the clauses that set it; the ballast bolts of the newer book, the splitter of the older."""
    done = call("--both", "saltmarsh/2026:silhouette-b", "saltmarsh/2027:silhouette-a")
    assert done.exit_code == 0
    assert done.output.startswith("A  saltmarsh/2026:silhouette-b\nB  saltmarsh/2027:silhouette-a\n\n")
    lines = [" ".join(line.split()) for line in done.output.splitlines()]
    assert "Splitter projection at most 50 mm (A 7.2)" in lines
    assert "Ballast bolt diameter at least 12 mm (B 3.6)" in lines
    assert "without a confirmed reading, which may leave less: B " in " ".join(lines)


@pytest.mark.parametrize("columns", [60, 100])
def test_room_fits_the_terminal(call, monkeypatch, columns):
    """In columns where there is space for them, else below the name of the quantity; never wider than the terminal."""
    monkeypatch.setenv("COLUMNS", str(columns))
    lines = call("--both", "saltmarsh/2026:silhouette-b", "saltmarsh/2027:silhouette-a").output.splitlines()
    assert max(map(len, lines)) <= columns


def test_a_clause_unread_for_every_class_is_named_once(call):
    """The book's own contradictions are one book's: its clauses need no class in front."""
    last = call("--contradictions", "saltmarsh/2027").output.strip().rpartition(": ")[2].split(", ")
    assert len(last) == len(set(last)) > 0


@pytest.mark.parametrize(
    "arguments",
    [
        ("--both", "saltmarsh/2026:silhouette-b", "saltmarsh/2027@event:spring:touring-c"),
        ("--contradictions", "saltmarsh/2027"),
    ],
)
def test_data_meets_its_schema(call, arguments):
    """Both forms are described by one schema."""
    schema = json.loads(schema_bytes("room.schema.json"))
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(json.loads(call(*arguments, "--json").stdout))


def test_every_class_of_a_book_is_looked_at(call):
    """Without a class, each has its line; with one, only that."""
    assert call("--contradictions", "saltmarsh/2027").output.count("no contradiction") == 3
    assert call("--contradictions", "saltmarsh/2027:touring-c").output.startswith(
        "saltmarsh/2027:touring-c: no contradiction\n"
    )


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--both", "saltmarsh/2027:x", "saltmarsh/2027:touring-c"), "unknown-class saltmarsh/2027 has no class `x`"),
        (("--both", "saltmarsh/2027", "saltmarsh/2027:touring-c"), "unknown-class no class is named for saltmarsh/2027"),
        (("--contradictions", "saltmarsh/2031"), "unknown-edition"),
        (("--contradictions", "saltmarsh"), "bad-point"),
        (("saltmarsh/2026",), "name two points, or --both with two classes, or --contradictions with a point"),
        (("saltmarsh/2026", "saltmarsh/2027", "--contradictions", "saltmarsh/2027"), "name two points"),
    ],
)
def test_what_is_not_asked_rightly_ends_with_status_2(call, arguments, says):
    """A class or point that is not there, or two questions at once."""
    done = call(*arguments)
    assert done.exit_code == 2
    assert says in done.output
