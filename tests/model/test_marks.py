"""Words that a body shows as struck or inserted."""

import pytest

from rulewatch.model.marks import before, has_marks, in_force, literal, marked_at, segments


@pytest.mark.parametrize(
    ("text", "now", "was"),
    [
        ("no wider than ~~10 in~~ ++11 in++.", "no wider than 11 in.", "no wider than 10 in."),
        ("1~~0~~++2++ mm", "12 mm", "10 mm"),
        ("the ~~old~~ wheel", "the wheel", "the old wheel"),
        ("tight nuts ~~and bolts~~.", "tight nuts.", "tight nuts and bolts."),
        ("~~Rear~~ ++Front++ rims", "Front rims", "Rear rims"),
        ("sound ++and tight++", "sound and tight", "sound"),
        ("a ~~b~~ ~~c~~ d", "a d", "a b c d"),
        ("a ~~b\nc~~ d", "a d", "a b\nc d"),
        ("a\n~~b~~\nc", "a\nc", "a\nb\nc"),
        ("a ~~b~~\nc", "a\nc", "a b\nc"),
        ("one\n\n~~two~~\n\nthree", "one\n\nthree", "one\n\ntwo\n\nthree"),
        ("| ~~10~~ ++11++ | in |", "| 11 | in |", "| 10 | in |"),
        ("~~all of it~~", "", "all of it"),
        ("++a ~~b~~ c++ d", "a c d", "d"),
        ("less than ~~1~~ ++2++.5 m", "less than 2.5 m", "less than 1.5 m"),
    ],
)
def test_a_mark_says_what_is_in_force_and_what_was(text, now, was):
    """Struck words are out and inserted ones in, or the reverse, with the blanks that a person would leave."""
    assert (in_force(text), before(text)) == (now, was)


@pytest.mark.parametrize(
    "text",
    [
        r"tilde \~~not struck~~ here",
        "`~~code~~` and ``++ `more` ++``",
        "~~ not beside a blank~~",
        "~~not beside a blank ~~",
        "~~never closed",
        "~~of one paragraph\n\nonly~~",
        "- ~~of one item\n- only~~",
        "| ~~of one cell | only~~ |",
        "~~~ not three ~~~",
        "C++ and D++",
        "i++ < n",
        "~~~~",
        "```\n~~fenced~~\n```",
    ],
)
def test_what_is_no_mark_stays_text(text):
    """Escaped, in code, beside a blank, without its other half, or beyond its paragraph, item or cell."""
    assert not has_marks(text)
    assert in_force(text) == before(text) == text


def test_marks_that_cross_are_not_both_marks():
    """What is opened within a pair is closed within it, or stays text."""
    assert in_force("~~a ++b~~ c++") == "c++"


def test_segments_are_the_whole_text_but_its_signs():
    """Each run knows its marks, and where it stands in the text as written."""
    found = [(each.text, each.start, each.struck, each.inserted) for each in segments("a ~~b~~ ++c ~~d~~++")]
    assert found == [
        ("a ", 0, False, False),
        ("b", 4, True, False),
        (" ", 7, False, False),
        ("c ", 10, False, True),
        ("d", 14, True, True),
    ]


def test_a_place_in_the_text_in_force_is_found_in_the_text_as_written():
    """Every sign that is in force stands where it is said to."""
    text = "A rim ~~of steel~~ is\nno wider than ~~10 in~~\n++11 in++ ~~at all~~."
    found = in_force(text)
    assert found == "A rim is\nno wider than\n11 in."
    assert "".join(text[marked_at(text, at)] for at in range(len(found))) == found


def test_a_text_can_be_written_so_that_it_has_no_marks():
    """Signs that are the text's own get a backslash, and none a second."""
    assert literal(r"a ~~b~~ \~~c~~") == r"a \~~b\~~ \~~c\~~"
    assert not has_marks(literal("~~a~~ ++b++ `~~c~~`"))
