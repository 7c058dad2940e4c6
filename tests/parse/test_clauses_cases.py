"""Rule text to clauses, by the cases of `tests/cases/clauses.md`."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

FILE = Path(__file__).parents[1] / "cases" / "clauses.md"
CASE = re.compile(
    r"^## (?P<title>.+?)\n\n~~~~text\n(?P<text>.*?)~~~~\n\n~~~~clauses\n(?P<clauses>.*?)~~~~$", re.MULTILINE | re.DOTALL
)
CASES = [match.groups() for match in CASE.finditer(FILE.read_text(encoding="utf-8"))]


def show(clause: Clause) -> str:
    """A clause as the case file writes it."""
    above = f" [{clause.parent}]" if clause.parent else ""
    return f"{clause.id}{above}: {clause.folded}".rstrip()


def test_every_case_is_read():
    """The cases are found by a pattern; none is left out for a slip in its form."""
    assert len(CASES) == FILE.read_text(encoding="utf-8").count("\n~~~~clauses\n")


@pytest.mark.parametrize(("title", "text", "expected"), CASES, ids=[title for title, _, _ in CASES])
def test_case(title, text, expected):
    """The text gives exactly the clauses that the case states, in order."""
    chapter = parse_book([Source(path="book.md", text=text)], plain=True)
    assert [show(clause) for clause in chapter.clauses] == expected.splitlines()


@pytest.mark.parametrize(("title", "text", "expected"), CASES, ids=[title for title, _, _ in CASES])
def test_case_in_an_edition(title, text, expected):
    """None of the cases is at fault in an edition either."""
    chapter = parse_book([Source(path="book.md", text=text)])
    assert [fault for fault in chapter.faults if not fault.warning] == []
