"""Clauses of texts that the project did not write, against counts taken from those texts by other means.

Cube: the competition regulations of the World Cube Association, public git repository, CC BY-SA 4.0; a clause is one list item
with a label, so `grep` counts them. Vehicle licensing: the German StVZO 2012, an official work. Both are read from the folder
that the environment variable RULEWATCH_CORPORA names. GNU FDL 1.2 and 1.3: Debian's package base-files.
"""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import Chapter, parse_book

CORPORA = os.environ.get("RULEWATCH_CORPORA", "")
LICENCES = Path("/usr/share/common-licenses")
needs_corpora = pytest.mark.skipif(not CORPORA, reason="RULEWATCH_CORPORA does not name the folder of the texts")


def read(path: Path) -> tuple[str, Chapter]:
    """A text, and its clauses as those of a downloaded file."""
    text = path.read_text(encoding="utf-8")
    return text, parse_book([Source(path=path.name, text=text)], plain=True)


@needs_corpora
@pytest.mark.parametrize(
    ("edition", "count"),
    [
        ("2013-05-21", 381),
        ("2014-01-01", 395),
        ("2018-05-29", 422),
        ("2019-05-01", 415),
        ("2022-06-01", 432),
        ("2023-02-01", 447),
        ("2023-08-01", 449),
        ("2024-01-01", 451),
    ],
)
def test_cube_competition(edition, count):
    """Every labelled list item is a clause, its id as printed, its parent the label without the last part."""
    text, chapter = read(Path(CORPORA) / "cube-competition" / f"{edition}.md")
    printed = re.findall(r"^ *- ([0-9A-Z]+[a-z0-9]*)\)", text, re.MULTILINE)
    assert [clause.id for clause in chapter.clauses] == printed
    assert len(printed) == count
    ids = set(printed)
    for clause in chapter.clauses:
        above = re.sub(r"(\d+|[a-z]+)\Z", "", clause.id)
        assert clause.parent == (above if above in ids else "")


@needs_corpora
@pytest.mark.parametrize(("edition", "sections"), [("2012-07", 117), ("2021-07", 122)])
def test_vehicle_licensing(edition, sections):
    """A long official text is read in seconds, without a fault, and nothing of it is lost."""
    path = Path(CORPORA) / "vehicle-licensing" / f"stvzo-{edition}.md"
    begun = time.perf_counter()
    text, chapter = read(path)
    assert time.perf_counter() - begun < 20  # about 1 s; the bound is for a busy machine
    assert [fault for fault in chapter.faults if not fault.warning] == []
    ids = [clause.id for clause in chapter.clauses]
    assert len(set(ids)) == len(ids)
    headings = re.findall(r"^#+ (§ \d+[a-z]?)(?= )", text, re.MULTILINE)
    assert [clause.id for clause in chapter.clauses if clause.heading and clause.id.startswith("§ ")] == headings
    assert len(headings) == sections
    numbered = re.findall(r"^(\d+(?:\.\d+)+|\(\d+[a-z]?\)) ", text, re.MULTILINE)
    labels = [clause.label for clause in chapter.clauses if clause.label in set(numbered)]
    assert len(labels) > 0.9 * len(numbered)  # the rest are tables of contents, and one misprint
    words = sum(len(f"{clause.label} {clause.text}".split()) for clause in chapter.clauses)
    assert words > 0.985 * len(text.split())  # the rest is the front matter, and marks of headings and items


@pytest.mark.skipif(not (LICENCES / "GFDL-1.3").exists(), reason="the GNU FDL of Debian's base-files is not on this machine")
@pytest.mark.parametrize(("version", "last"), [("1.2", 10), ("1.3", 11)])
def test_free_documentation_license(version, last):
    """Plain text that was never Markdown: the sections are clauses, the lettered duties of section 4 stand under it."""
    _, chapter = read(LICENCES / f"GFDL-{version}")
    ids = [clause.id for clause in chapter.clauses]
    assert [id_ for id_ in ids if "(" not in id_] == [*(str(number) for number in range(last + 1)), "ADDENDUM"]
    assert [id_ for id_ in ids if "(" in id_] == [f"4({letter})" for letter in "ABCDEFGHIJKLMNO"]
    by_id = {clause.id: clause for clause in chapter.clauses}
    assert by_id["2"].text.startswith("VERBATIM COPYING\n\nYou may copy")
    assert "4" in by_id["8"].references
