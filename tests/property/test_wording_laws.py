"""Laws of wording: nothing of either text is lost or made up."""

from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.compare.wording import difference, value_changes
from rulewatch.model.change import Mark
from rulewatch.model.clause import fold

SEVERAL = settings(deadline=None, max_examples=100, derandomize=True)

words = st.sampled_from(
    [
        "the",
        "car",
        "shall",
        "not",
        "60 mm",
        "75 mm",
        "10 in",
        "1,065.75 kg",
        ",",
        ".",
        " ",
        "\n",
        "(",
        ")",
        "4.2.1",
        "“x”",
        "–",
        "½",
        "The car is flat.",
        "A rim is round;",
    ]
)
texts = st.one_of(st.lists(words, max_size=25).map(" ".join), st.lists(words, max_size=25).map("".join), st.text(max_size=60))


@SEVERAL
@given(texts, texts)
def test_both_texts_come_back(old, new):
    """What stayed and was dropped is the old text, what stayed and was added the new one; no run is empty."""
    found = difference(old, new).words
    assert "".join(text for mark, text in found if mark.in_old) == fold(old)
    assert "".join(text for mark, text in found if mark.in_new) == fold(new)
    assert all(text for _, text in found)


@SEVERAL
@given(texts, texts)
def test_runs_take_turns(old, new):
    """No two runs of a kind follow each other, and what was dropped stands before what replaced it."""
    marks = [mark for mark, _ in difference(old, new).words]
    assert all(one is not two for one, two in pairwise(marks))
    assert (Mark.ADD, Mark.DROP) not in list(pairwise(marks))


@SEVERAL
@given(texts)
def test_white_space_is_no_change(text):
    """A text broken into lines otherwise is the same text."""
    wording = difference(text, "\n ".join(text.split()))
    assert wording.same
    assert wording.wording_only
    assert not value_changes(difference(text, "\n ".join(text.split())))


@SEVERAL
@given(texts, texts)
def test_wording_only_works_both_ways(old, new):
    """Whether a difference changes no rule does not depend on which text is the older."""
    assert difference(old, new).wording_only == difference(new, old).wording_only


@SEVERAL
@given(st.integers(1, 999), st.integers(1, 999), st.sampled_from(["mm", "kg", "Nm", "kPa"]))
def test_a_changed_amount(before, after, unit):
    """An amount that changed is found with its difference, and none is found where it did not."""
    found = value_changes(difference(f"It measures {before} {unit} at most.", f"It measures {after} {unit} at most."))
    assert [change.delta and change.delta.number for change in found] == ([Fraction(after - before)] if after != before else [])
