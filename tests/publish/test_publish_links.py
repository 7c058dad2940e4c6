"""Addresses within the site."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from publish_example import PLACE

from rulewatch.model.car import Entry
from rulewatch.publish import links

SETTINGS = settings(deadline=None, max_examples=100, derandomize=True)


@pytest.mark.parametrize("name", ["saltmarsh", "2027", "05-wheels", "five-lakes", "a.b"])
def test_plain_names_stay_as_they_are(name):
    """A name that is a file name already is its own slug."""
    assert links.slug(name) == name


@SETTINGS
@given(st.text(max_size=90))
def test_slug_is_a_safe_file_name(name):
    """Small letters, digits, dots, dashes; never empty, hidden, or a step upwards; short."""
    slug = links.slug(name)
    assert set(slug) <= set("abcdefghijklmnopqrstuvwxyz0123456789.-")
    assert slug.strip(".-") == slug
    assert 0 < len(slug) <= links.LONGEST_SLUG + 7


@SETTINGS
@given(st.lists(st.text("aA-_. /é", max_size=5), unique=True, max_size=8))
def test_different_names_have_different_slugs(names):
    """Even those that differ only in case, blanks or signs."""
    assert len({links.slug(name) for name in names}) == len(names)


@SETTINGS
@given(st.lists(st.text("4.2(a)_ /-", min_size=1, max_size=6), unique=True, max_size=8))
def test_different_clauses_have_different_anchors(ids):
    """Whatever signs are in them; and an anchor needs no quoting in an address."""
    anchors = {links.clause_anchor(each) for each in ids}
    assert len(anchors) == len(ids)
    assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_-]*", anchor) for anchor in anchors)


def test_anchors_read_like_the_number():
    """A number as printed is recognised in its address."""
    assert links.clause_anchor("4.2.1(a)") == "c-4_2_1-a"
    assert links.clause_anchor("9.1.2.F.4.a") == "c-9_1_2_F_4_a"
    assert re.fullmatch(r"c-Anlage-VIII-1_2-[0-9a-f]{6}", links.clause_anchor("Anlage VIII/1.2"))
    assert re.fullmatch(r"c-36a-[0-9a-f]{6}", links.clause_anchor("§ 36a"))


def test_relative_addresses_work_from_any_depth():
    """Up and down between folders; within one page only the anchor."""
    assert links.relative("index.html", "cars/curlew.html") == "cars/curlew.html"
    assert links.relative("rules/a/2027/x.html", "index.html", "cars") == "../../../index.html#cars"
    assert links.relative("rules/a/2027/x.html", "rules/a/2027/y.html") == "y.html"
    assert links.relative("index.html", "index.html", "cars") == "#cars"
    assert links.relative("index.html", "index.html") == "index.html"


def test_entries_of_one_class_at_different_times_have_their_own_anchors():
    """A car that leaves a class and comes back has two entries there."""
    first = Entry(body="saltmarsh", class_name="b", place=PLACE, until=date(2027, 5, 1))
    second = Entry(body="saltmarsh", class_name="b", place=PLACE, since=date(2027, 8, 1))
    assert links.entry_anchor(first) != links.entry_anchor(second)


def test_anchor_taken_twice_gets_a_number():
    """No page has an id twice."""
    anchors = links.Anchors()
    assert [anchors.take("c-1"), anchors.take("c-1"), anchors.take("c-1")] == ["c-1", "c-1-n2", "c-1-n3"]


@pytest.mark.parametrize("url", ["http://a.example", "HTTPS://a.example", "mailto:a@b.example", "#c-4.2"])
def test_allowed_links(url):
    """http(s), mailto and anchors may be links."""
    assert links.is_allowed(url)


@pytest.mark.parametrize(
    "url",
    ["", "#", "javascript:x", "java\nscript:x", " javascript:x", "data:x", "file:///x", "//a.example", "x.html", "vbscript:x"],
)
def test_forbidden_links(url):
    """Everything else stays text."""
    assert not links.is_allowed(url)
