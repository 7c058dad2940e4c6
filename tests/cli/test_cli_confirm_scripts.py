"""Carrying and confirming from a script: what is listed, decided and refused, and with which status."""

from __future__ import annotations

import json

import jsonschema
import pytest
from click.testing import CliRunner
from small_season import CHAPTER, season

from rulewatch import cli
from rulewatch.publish.data import schema_bytes


@pytest.fixture
def call(put, monkeypatch):
    """Call the program in the small season, or with other files in it; gives the status, what it printed, and the chapter."""
    monkeypatch.setenv("COLUMNS", "120")
    monkeypatch.delenv("GIT_AUTHOR_NAME", raising=False)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", "/dev/null")
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    put(season())

    def run(*arguments, given="", **files):
        root = put(files)
        result = CliRunner().invoke(cli.cli, ["-C", str(root), *arguments], input=given)
        assert result.exception is None or isinstance(result.exception, SystemExit), result.output
        return result.exit_code, result.output, (root / CHAPTER).read_text()

    return run


BY = ("--by", "ines", "--today", "2026-12-01")


def test_what_is_open_is_listed_in_the_order_of_the_walk(call):
    """Each with its state, whom it concerns, and what is offered."""
    status, printed, _ = call("confirm", "--list")
    assert status == 0
    assert printed == (
        "saltmarsh/2027  5.1  Rear rims\n"
        "    confirmed against another text\n"
        "    concerns marram in silhouette-b\n"
        "    proposed: 10 in → 11 in\n"
        "saltmarsh/2027  5.4  Spacers\n"
        "    no reading\n"
        "    may concern marram in silhouette-b\n"
        "    a reading is suggested\n"
        "saltmarsh/2027  5.3  Club flag\n"
        "    confirmed against another text\n"
        "    may concern marram in silhouette-b\n"
        "    nothing is proposed: no number of it moved with the text\n"
        "3 readings and clauses open\n"
    )


def test_the_list_as_data_is_what_its_schema_says(call):
    """A script gets all that a person sees."""
    _, printed, _ = call("confirm", "--list", "--json")
    data = json.loads(printed)
    jsonschema.validate(data, json.loads(schema_bytes("confirm.schema.json")))
    first, second, _ = data["open"]
    assert (first["name"], first["state"], first["offer"]["moved"]) == (
        "5.1",
        "unconfirmed",
        [{"old": "10 in", "new": "11 in"}],
    )
    assert (second["state"], second["reading"], second["offer"]["from"][0].keys()) == ("unread", None, {"part", "words"})


def test_decisions_are_written_and_told(call):
    """Several at once; the list then has what is left."""
    status, printed, text = call("confirm", "--keep", "5.3", "--take", "5.1", "--take", "5.4", *BY)
    assert status == 0
    assert printed == (
        f"saltmarsh/2027 5.3: kept, in {CHAPTER}\n"
        f"saltmarsh/2027 5.1: taken, in {CHAPTER}\n"
        f"saltmarsh/2027 5.4: taken, in {CHAPTER}\n"
    )
    assert text.count("{by: ines, on: 2026-12-01, text: ") == 3
    assert call("confirm", "--list")[1] == "Nothing is open.\n"
    assert call("confirm", "--keep", "5.3", *BY)[:2] == (0, "saltmarsh/2027 5.3: confirmed already\n")


def test_a_reading_comes_from_a_file_or_from_standard_input(call, put):
    """With fences or without."""
    file = put({"rims.yaml": "limit: {wheels.rear.rim_width: {max: 11 in}}\n"}) / "rims.yaml"
    assert call("confirm", "--reading", "5.1", str(file), *BY)[0] == 0
    status, _, text = call("confirm", "--reading", "5.4", "-", *BY, given="```reading\nlimit: {wheels.spacers: absent}\n```\n")
    assert status == 0
    assert "not permitted.\n\n```reading\nlimit: {wheels.spacers: absent}\nconfirmed: {by: ines" in text
    assert "limit: {wheels.rear.rim_width: {max: 11 in}}\nconfirmed: {by: ines" in text


def test_a_question_is_kept(call):
    """It needs no confirmation."""
    status, printed, text = call("confirm", "--ask", "5.4", "Of 3 mm too?", *BY)
    assert (status, printed) == (0, f"saltmarsh/2027 5.4: asked, in {CHAPTER}\n")
    assert text.endswith('```reading\nask: "Of 3 mm too?"\n```\n')
    assert "nothing-to-take 5.4: it has a question already" in call("confirm", "--ask", "5.4", "And of 5 mm?", *BY)[1]


def test_what_cannot_be_decided_is_told_and_the_rest_is_written(call):
    """Each fault is named; the status says that there was one."""
    status, printed, text = call("confirm", "--keep", "5.1", "--keep", "5.4", "--keep", "5.3", *BY)
    assert status == 2
    assert "reading-contradicts-text `10 in` is not in the text of 5.1" in printed
    assert "nothing-to-take 5.4: there is no reading to keep; give the reading with --reading" in printed
    assert "saltmarsh/2027 5.3: kept" in printed
    assert printed.endswith("3 faults: what they are about is not written\n")
    assert text.count("by: ines") == 1


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("confirm",), "this is no terminal to walk in: see --list, and decide with --keep, --take, --reading or --ask"),
        (("confirm", "--list", "--keep", "5.1"), "--list shows what is open, and decides nothing"),
        (("confirm", "--json"), "--json goes with --list"),
        (("confirm", "5.1", "--keep", "5.3"), "name the clause behind --keep"),
        (("confirm", "saltmarsh/2027@published", "--list"), "is a part of saltmarsh/2027: name the whole edition"),
        (("confirm", "--keep", "5.9", "--by", "ines"), "5.9: unknown-clause no clause `5.9` in saltmarsh/2027"),
        (("confirm", "saltmarsh/2029", "--list"), "saltmarsh has no season `2029`"),
        (("confirm", "--keep", "5.1:3", "--by", "ines"), "5.1 has 1 reading: name one, as 5.1:1"),
        (("confirm", "--keep", "5.3", "--by", "nobody"), "`nobody` is not one of the crew: say --by with one of mara, ines"),
        (("confirm", "--keep", "5.3"), "it is not known whose word it is: say --by with one of mara, ines"),
        (("confirm", "--reading", "5.3", "none.yaml", *BY), "none.yaml: file-unreadable no such file or directory"),
        (("carry", "saltmarsh/2027@published"), "is a text at some time: name the edition, as saltmarsh/2027"),
        (("carry", "saltmarsh/2027", "--from", "saltmarsh/2027"), "an edition is not carried into itself"),
        (("carry", "saltmarsh/2026"), "previous-missing saltmarsh/2026 names no previous season"),
    ],
)
def test_a_call_that_cannot_be_meant_is_refused(call, arguments, told):
    """With a sentence that says what to do, and nothing written."""
    before = call("confirm", "--list")[2]
    status, printed, text = call(*arguments)
    assert (status, told in printed) == (2, True), printed
    assert text == before


def test_who_decides_is_one_of_the_crew_or_the_user_of_git(call, monkeypatch):
    """A full name is one of the crew as well; without a crew any name will do."""
    monkeypatch.setenv("GIT_AUTHOR_NAME", "Mara Fenwright")
    assert "by: mara, on: 2026-12-01" in call("confirm", "--keep", "5.3", "--today", "2026-12-01")[2]
    _, _, text = call(
        "confirm", "--take", "5.1", "--by", "T. Sedgeley", "--today", "2026-12-01", **{"cars/crew.yaml": "people: {}\n"}
    )
    assert "by: T. Sedgeley" in text


# --- Carrying ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def bare(put):
    """The new season without any reading yet."""
    return put(season(carried=False))


def test_readings_are_carried_once(call, bare):
    """Those of the same text confirmed, the others open; again, nothing is left to do."""
    status, printed, text = call("carry", "saltmarsh/2027")
    assert status == 0
    assert printed == (
        "saltmarsh/2026 → saltmarsh/2027\n"
        "3 readings carried, 1 of them confirmed\n\n"
        "Carried, to be confirmed: the text changed\n"
        "    5.1: the text no longer says 10 in\n"
        "    5.3\n\n"
        "Go through what is to be confirmed with `rulewatch confirm saltmarsh/2027`.\n"
    )
    assert text == season()[CHAPTER]
    status, printed, again = call("carry", "saltmarsh/2027")
    assert (
        printed.splitlines()[1]
        == "0 readings carried, 0 of them confirmed; 3 stay out, where the new clause has a reading already"
    )
    assert (status, again) == (0, text)


def test_a_dry_run_writes_nothing(call, bare):
    """It says what would be done."""
    before = (bare / CHAPTER).read_bytes()
    _, printed, _ = call("carry", "saltmarsh/2027", "--dry-run")
    assert "3 readings would be carried, 1 of them confirmed" in printed
    assert (bare / CHAPTER).read_bytes() == before


def test_what_was_carried_as_data_is_what_its_schema_says(call, bare):
    """With what each reading lost."""
    data = json.loads(call("carry", "saltmarsh/2027", "--json")[1])
    jsonschema.validate(data, json.loads(schema_bytes("carry.schema.json")))
    assert (data["written"], data["counts"]) == ([CHAPTER], {"same": 1, "changed": 2})
    assert [(one["old"], one["confirmed"], one["lost"]) for one in data["readings"]] == [
        ("5.1", False, ["10 in"]),
        ("5.2", True, []),
        ("5.3", False, []),
    ]


def test_what_has_no_place_is_listed_with_what_it_says(call, bare, put):
    """A repealed clause takes its reading with it, and that is told."""
    chapter = (bare / CHAPTER).read_text()
    put({CHAPTER: chapter.partition("## 5.3")[0]})
    _, printed, _ = call("carry", "saltmarsh/2027")
    assert "Left behind: the clause has no partner in the new book\n    5.3: concerns: officials\n" in printed


def test_another_edition_can_be_carried_from(call, bare, put):
    """Where edition.yaml names none, or the crew wants an older one."""
    put({"rulesets/saltmarsh/2027/edition.yaml": "title: Rules 2027\neffective: 2027-01-01\n"})
    assert call("carry", "saltmarsh/2027", "--from", "saltmarsh/2026")[0] == 0
