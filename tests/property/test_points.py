"""Laws of points."""

import shutil
import subprocess

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.model.edition import Point, Selector
from rulewatch.model.fault import Fault
from rulewatch.parse.points import parse_point

SETTINGS = settings(max_examples=100, deadline=None, derandomize=True)
NAMES = st.from_regex(r"[a-zA-Zäß0-9_][a-zA-Z0-9_+-]{0,8}(\.[a-zA-Z0-9]{1,3})?", fullmatch=True).filter(
    lambda name: not name.endswith(".md")
)
REVISIONS = st.from_regex(r"([a-zA-Z0-9/:@~^_]{1,4}|@\{[a-z0-9 :-]{0,8}\}){1,3}(\.[0-9])?", fullmatch=True)


@st.composite
def points(draw):
    """A point of any form."""
    fields = {"body": draw(NAMES), "season": draw(NAMES), "revision": draw(st.just("") | REVISIONS)}
    selector = draw(st.sampled_from(Selector))
    if selector is Selector.DATE:
        fields["day"] = draw(st.dates())
    if selector is Selector.EVENT:
        fields["event"] = draw(NAMES)
    return Point(selector=selector, **fields)


@SETTINGS
@given(points())
def test_a_printed_point_reads_back(point):
    """str() of a point is a text that reads as the same point."""
    assert parse_point(str(point)) == point


@SETTINGS
@given(st.text(max_size=40) | st.from_regex(r"[-a-z.:@/ ]{0,6}:?[a-z.]{1,3}/[a-z.]{1,3}(@[a-z:0-9]*)?", fullmatch=True))
def test_no_text_breaks_the_reader(text):
    """Any text gives a point that prints as it was written, or a fault within the text; no name leads out of a folder."""
    found = parse_point(text)
    if isinstance(found, Fault):
        assert found.place.line == 1
        assert 1 <= found.place.column <= len(text) + 2
    else:
        assert str(found) == text
        assert not found.revision.startswith("-")
        assert not {found.body, found.season, found.event} & {".", ".."}
        assert "/" not in found.body + found.season + found.event


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
@pytest.mark.parametrize(
    "name", ["v1", "crew/winter", "a-b", "v1.0", "ä", "x@y", "{", "a b", "a..b", "a?b", "a*b", "a[b", "a\\b", "a\x7fb"]
)
def test_branch_names_are_taken_as_git_takes_them(name):
    """A branch name is accepted where `git check-ref-format --branch` accepts it, braces apart (they ask for `@{…}`)."""
    run = subprocess.run(["git", "check-ref-format", "--branch", name], check=False, capture_output=True)
    accepted = isinstance(parse_point(f"{name}:saltmarsh/2027"), Point)
    assert accepted == (run.returncode == 0 and "{" not in name)
