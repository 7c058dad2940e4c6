"""`rulewatch amend`: what a bulletin does to the text that it amends, on the terminal and as data."""

import json
import shutil
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

ROOT = Path(__file__).parents[2]
NOTICE = """---
number: 9
title: Noise and wheels
published: 2027-06-20
effective: 2027-06-10
---

## In 4.3, replace “95 dB(A)” with “96 dB(A)”.

## Renumber 6.3 as 6.40

## Suspend 4.2 until 1 September 2027
"""


@pytest.fixture
def notice(tmp_path):
    """A bulletin outside of the workspace."""
    file = tmp_path / "notice.md"
    file.write_text(NOTICE)
    return file


def run(*arguments, root=ROOT):
    """The command's status, output and messages, in a terminal of 100 columns."""
    found = CliRunner().invoke(cli, ["-C", str(root), "amend", *map(str, arguments)], env={"COLUMNS": "100"})
    return found.exit_code, found.stdout, found.stderr


def test_the_consolidated_clauses_are_shown_whole_with_marks_on_what_changed(notice):
    """Changed words, a new number, a suspension with its end, and what else there is to know of the bulletin."""
    status, out, err = run(notice, "--of", "saltmarsh/2027")
    assert (status, err) == (0, "")
    assert out.startswith(
        "Bulletin 9 of saltmarsh/2027: Noise and wheels\n    In force from 2027-06-10, published 2027-06-20\n"
    )
    assert "text of every day from 2027-06-10 on has it" in out
    assert "The exhaust noise shall not exceed ~~95 dB(A)~~ __96 dB(A)__, measured 0.5 m from the outlet" in out
    assert "6.3 → 6.40  Rear rims\n    renumbering" in out
    assert "suspended until 2027-09-01, loosened for every class" in out
    assert out.endswith("4.2 comes back on 2027-09-01\n")
    assert all(len(line) <= 100 for line in out.splitlines())


def test_what_cannot_be_done_is_a_fault_and_the_rest_is_shown(notice):
    """The fault shows the nearest words, and the call ends with status 2."""
    notice.write_text(NOTICE.replace("95 dB(A)", "97 dB(A)"))
    status, out, err = run(notice, "--of", "saltmarsh/2027")
    assert status == 2
    assert ":8:21: words-missing “97 dB(A)” is not in 4.3 as in force on 2027-06-10; nearest there: “95 dB(A)”" in err
    assert "6.3 → 6.40" in out
    assert "96 dB(A)" not in out


def test_a_bulletin_of_the_workspace_is_taken_among_the_others():
    """The ones before it are in force, itself not twice; a draft says that it counts for nothing."""
    folder = ROOT / "rulesets/saltmarsh/2027/bulletins"
    status, out, err = run(folder / "1.md")
    assert (status, err) == (0, "")
    assert "Checked against the text as published\n" in out
    assert "A draft: it counts for nothing" in run(folder / "3.md")[1]


def test_later_bulletins_on_the_same_clauses_are_named_and_what_they_cannot_do_any_more_is_told(tmp_path):
    """A bulletin that comes in between takes words away from one that was there."""
    shutil.copytree(ROOT / "rulesets", tmp_path / "rulesets")
    folder = tmp_path / "rulesets/saltmarsh/2027/bulletins"
    (folder / "8.md").write_text(
        "---\nnumber: 8\npublished: 2027-06-01\neffective: 2027-07-01\n---\n\n## In 4.3, replace “95 dB(A)” with “94 dB(A)”\n"
    )
    (folder / "9.md").write_text(NOTICE)
    status, out, err = run(folder / "9.md", root=tmp_path)
    assert status == 2
    assert "4.3 is named again by bulletin 8 from 2027-07-01" in out
    assert "8.md:7:21: words-missing “95 dB(A)” is not in 4.3" in err


def test_its_data_has_the_published_shape(notice):
    """Also with a fault, and with a suspension."""
    schema = json.loads(schema_bytes("amend.schema.json"))
    for text in (NOTICE, NOTICE.replace("95 dB(A)", "97 dB(A)")):
        notice.write_text(text)
        status, out, _ = run(notice, "--of", "saltmarsh/2027", "--json")
        data = json.loads(out)
        jsonschema.validate(data, schema)
        assert (status, len(data["faults"])) == ((0, 0) if text == NOTICE else (2, 1))
        assert {one["clause"]: one["until"] for change in data["changes"] for one in change["texts"]}["4.2"] == "2027-09-01"


def test_a_file_of_no_edition_asks_for_one(notice):
    """Without --of, and with a file that is not there."""
    assert "say which edition it amends: `--of BODY/SEASON`" in run(notice)[2]
    status, _, err = run(notice.with_name("none.md"), "--of", "saltmarsh/2027")
    assert (status, "none.md" in err) == (2, True)
