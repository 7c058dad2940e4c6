"""Laws of cutting text into clauses, and bounds on hostile text."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

LABELS = ["4.2.1", "4.2.2", "4.3", "(1)", "(2)", "(a)", "a)", "b)", "1.", "2.", "4b3a)", "§ 36a", "Annex A", "i)", "aa)", "5"]
lines = st.one_of(
    st.sampled_from(
        ["", "", "# ", "## ", "    ", "- ", "> ", "* * ", "1. ", "```", "```reading", "---", "===", "Text.", "<b>", "|"]
    ),
    st.builds(
        lambda before, label, behind: before + label + behind,
        st.sampled_from(["", "", "# ", "### ", "- ", "    ", "**", "> "]),
        st.sampled_from(LABELS),
        st.sampled_from([" Rims are free.", " rims", "", "** Rims", " and 4.2.1"]),
    ),
    st.text(max_size=12),
)
texts = st.lists(lines, max_size=14).map("\n".join)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(texts)
def test_any_text(text):
    """Whatever the text, ids are unique, parents and references are clauses, places are in the text and in order."""
    source = Source(path="x.md", text=text)
    chapter = parse_book([source], plain=True)
    ids = [clause.id for clause in chapter.clauses]
    assert len(set(ids)) == len(ids)
    for clause in chapter.clauses:
        assert not clause.parent or clause.parent in ids
        assert set(clause.references) <= set(ids) - {clause.id}
        assert 1 <= clause.place.line <= clause.last_line <= len(source.lines)
        assert source.lines[clause.place.line - 1][clause.place.column - 1 :].lstrip("*_").startswith(clause.label)
        assert clause.heading == "" or clause.text.startswith(clause.heading.strip())
    places = [clause.place for clause in chapter.clauses]
    assert places == sorted(places)
    assert {block.clause for block in chapter.blocks} <= set(ids)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(texts)
def test_same_text_same_clauses(text):
    """Reading is a function of the text: a second reading gives the same, and empty lines at the end change nothing."""
    first = parse_book([Source(path="x.md", text=text)])
    assert parse_book([Source(path="x.md", text=text)]) == first
    if not first.blocks and "```" not in text:
        assert parse_book([Source(path="x.md", text=text + "\n\n\n")]).clauses == first.clauses


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.text("abcdefgh ,;\n", min_size=1, max_size=60).filter(str.strip), min_size=1, max_size=8))
def test_text_comes_back(bodies):
    """Clauses written out with their labels are read back word by word."""
    text = "".join(f"## 7.{number} Title\n\n{' '.join(body.split())}\n\n" for number, body in enumerate(bodies, 1))
    chapter = parse_book([Source(path="x.md", text=text)])
    assert [clause.folded for clause in chapter.clauses] == [f"Title {' '.join(body.split())}" for body in bodies]


HOSTILE = {
    "nested items on one line": "- " * 10_000 + "x",
    "nested numbers on one line": "1. " * 10_000 + "x",
    "nested items on lines": "\n".join(" " * min(n, 500) + "- (a) x" for n in range(10_000)),
    "nested brackets": "(" * 10_000 + "4.2.1" + ")" * 10_000,
    "nested link brackets": "[" * 500_000,
    "nested quotes": "> " * 10_000 + "(1) x",
    "chained labels": "(1) " * 20_000,
    "one long line": "4.2.1 " + "x" * 5_000_000,
    "one long line of references": "4.2.1 " + "see 4.2.1 and (a), " * 100_000,
    "many labels": "\n\n".join(f"{n // 100}.{n % 100} X" for n in range(20_000)),
    "many labels in one paragraph": "\n".join(f"{n}.1 X." for n in range(100_000)),
    "one label again and again": "4.2.1 X\n\n" * 10_000,
    "many definitions": "\n".join(f"[a{n}]: x:y" for n in range(20_000)),
    "unclosed tags": "<a " * 200_000,
    "unclosed links": "](" * 200_000,
    "emphasis": "*" * 500_000 + "\n\n" + "**4.2.1 " * 50_000,
    "fences": "```reading\n" * 20_000,
    "digits": "1" * 500_000 + "." + "1." * 200_000,
    "white space": "§" + " " * 1_000_000,
    "annexes": "# Annex A\n\n# Appendix B\n\n" * 2_000,
    "control characters": "\0\r\v\f\x1b\u202e" * 50_000,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_text(text):
    """No text makes the reader hang or raise; each of these takes a second or two on a slow machine."""
    begun = time.perf_counter()
    chapter = parse_book([Source(path="x.md", text=text)])
    assert time.perf_counter() - begun < 20
    assert len({clause.id for clause in chapter.clauses}) == len(chapter.clauses)
