"""Wording: what a reader sees of a change, what changes no rule, and which amounts changed."""

import time

import pytest

from rulewatch.compare.wording import difference, value_changes
from rulewatch.model.change import Mark
from rulewatch.model.quantity import NumberStyle

KEEP, DROP, ADD = Mark.KEEP, Mark.DROP, Mark.ADD


@pytest.mark.parametrize(
    ("old", "new", "runs"),
    [
        pytest.param(
            "no wider than 10 in, flat",
            "no wider than 11 in, flat",
            [(KEEP, "no wider than "), (DROP, "10 in"), (ADD, "11 in"), (KEEP, ", flat")],
            id="a number stays with its unit",
        ),
        pytest.param(
            "at least 1,065.75 kg.",
            "at least 1,070 kg.",
            [(KEEP, "at least "), (DROP, "1,065.75 kg"), (ADD, "1,070 kg"), (KEEP, ".")],
            id="a number with separators is one word",
        ),
        pytest.param(
            "It must not exceed that.",
            "It must exceed that.",
            [(KEEP, "It must"), (DROP, " not"), (KEEP, " exceed that.")],
            id="a single word struck",
        ),
        pytest.param(
            "The front wing, where fitted, ends ahead of it.",
            "The front wing, where fitted, ends behind it.",
            [(KEEP, "The front wing, where fitted, ends "), (DROP, "ahead of"), (ADD, "behind"), (KEEP, " it.")],
            id="words kept on both sides",
        ),
        pytest.param(
            "Wheels, tyres of steel",
            "Hubs, bolts of steel",
            [(DROP, "Wheels, tyres"), (ADD, "Hubs, bolts"), (KEEP, " of steel")],
            id="a lone comma is no island",
        ),
        pytest.param(
            "Judges weigh the car twice here",
            "Officials measure the car twice here",
            [(DROP, "Judges weigh"), (ADD, "Officials measure"), (KEEP, " the car twice here")],
            id="no shredding",
        ),
        pytest.param(
            "Two bolts the size of 8 mm hold it",
            "Four screws the strength of 8 mm carry it",
            [
                (DROP, "Two bolts the size"),
                (ADD, "Four screws the strength"),
                (KEEP, " of 8 mm "),
                (DROP, "hold"),
                (ADD, "carry"),
                (KEEP, " it"),
            ],
            id="an article between changes goes with them, an amount that stayed does not",
        ),
        pytest.param("", "New rule.", [(ADD, "New rule.")], id="an insertion"),
        pytest.param("Old rule.", "", [(DROP, "Old rule.")], id="a repeal"),
    ],
)
def test_runs(old, new, runs):
    """The runs are those a reader would mark."""
    assert list(difference(old, new).words) == runs


def test_same_but_for_line_breaks():
    """White space and line breaks alone are the same text."""
    wording = difference("a rim\n  of steel", "a rim of steel")
    assert (wording.same, wording.wording_only) == (True, True)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('the "pit lane" is', "the “pit lane” is"),
        ("the 'pit lane' is", "the »pit lane« is"),
        ("the driver's seat", "the driver’s seat"),
        ("10-12 mm", "10–12 mm"),
        ("a wing — if any — is", "a wing – if any – is"),
        ("the ﬂoor is ﬁxed", "the floor is fixed"),
        ("If fitted, it", "if fitted, it"),
        ("( flat )", "(flat)"),
        ("60mm wide", "60 mm wide"),
        ("see 4.2.1 and 4b3a", "see 4.3.1 and 4b4"),
        ("as in clause 7 on 7 mm", "as in clause 8 on 7 mm"),
        ("see 5.1(a).", "see 5.2(a)."),
    ],
)
def test_wording_only(old, new):
    """The closed list of differences that change no rule."""
    renumbered = {"4.2.1": "4.3.1", "4b3a": "4b4", "7": "8", "5.1": "5.2"}
    wording = difference(old, new, renumbered)
    assert (wording.same, wording.wording_only) == (False, True)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("if fitted it", "if fitted, it"),
        ("see 4.2.1", "see 4.4.1"),
        ("see 4.2.1", "see 4.2.2"),
        ("it is 7 mm", "it is 8 mm"),
        ("in class 7", "in class 8"),
        ("version 4.2", "version 4.3"),
        ("a Car", "a car"),
        ("it may be", "it maybe"),
        ("4 .5 mm", "4.5 mm"),
        ("10 1/4 in", "101/4 in"),
        ("no longer than 10' there", 'no longer than 10" there'),
        ("well-known", "well known"),
        ("−5 mm", "5 mm"),
        ("must", "must not"),
    ],
)
def test_not_wording_only(old, new):
    """Whatever is not on the closed list may change a rule, a comma too."""
    renumbered = {"4.2.1": "4.3.1", "4.2": "4.3", "7": "8"}
    wording = difference(old, new, renumbered)
    assert (wording.same, wording.wording_only) == (False, False)


@pytest.mark.parametrize(
    ("old", "new", "changes"),
    [
        pytest.param("60 mm high", "75 mm high", ["60 mm > 75 mm: 15 mm"], id="changed"),
        pytest.param("10 in wide", "254 mm wide", ["10 in > 254 mm: 0 mm"], id="the same value in another unit"),
        pytest.param("10 in wide", "255 mm wide", ["10 in > 255 mm: 1 mm"], id="nearly the same value"),
        pytest.param(
            "10 in (254 mm)", "10.5 in (266.7 mm)", ["10 in > 10.5 in: 0.5 in", "254 mm > 266.7 mm: 12.7 mm"], id="two units"
        ),
        pytest.param("10 in wide", "10 in (254 mm) wide", ["None > 254 mm: None"], id="a second unit came"),
        pytest.param("at most 98 dB(A)", "quiet", ["98 dB(A) > None: None"], id="an amount went"),
        pytest.param(
            "10 to 12 mm", "10 to 12 in", ["10 mm > 10 in: 9.606 in", "12 mm > 12 in: 11.528 in"], id="unit behind a range"
        ),
        pytest.param("5 mm and 60 kg", "60 kg and 5 mm", [], id="amounts that changed places"),
        pytest.param("bolts of 8 mm, four", "four bolts of 8 mm", [], id="an amount in other words"),
        pytest.param(
            "60 kg, 20 mm", "25 mm, 65 kg", ["60 kg > 65 kg: 5 kg", "20 mm > 25 mm: 5 mm"], id="each with its own kind"
        ),
    ],
)
def test_value_changes(old, new, changes):
    """Amounts are compared as values, each with the one that stands for it; those that stayed are not listed."""

    def shown(delta):
        return "None" if delta is None else f"{round(float(delta.number), 3):g} {delta.unit.symbol}"

    assert [f"{one.old} > {one.new}: {shown(one.delta)}" for one in value_changes(difference(old, new))] == changes


def test_numbers_in_the_style_of_the_body():
    """A decimal comma is read as the body prints it."""
    (change,) = value_changes(difference("höchstens 1,5 mm", "höchstens 2,5 mm"), NumberStyle(decimal=",", thousands="."))
    assert str(change.delta) == "1 mm"


def test_a_long_text_takes_no_age():
    """Texts of 8,000 words with nothing but changes are compared within two seconds."""
    old = " ".join(f"word{n}, the" for n in range(4000))
    new = " ".join(f"ward{n}, the" for n in range(4000))
    start = time.perf_counter()
    difference(old, new)
    assert time.perf_counter() - start < 2


@pytest.mark.parametrize(
    ("old", "new", "runs"),
    [
        pytest.param(
            "The car is weighed. The driver sits in it. Fuel stays in the tank.",
            "The driver sits in it. Fuel stays in the tank. The car is weighed.",
            [
                (Mark.LEFT, "The car is weighed. "),
                (KEEP, "The driver sits in it. Fuel stays in the tank."),
                (Mark.CAME, " The car is weighed."),
            ],
            id="to the end",
        ),
        pytest.param(
            "Rims are of steel. Nuts are of iron. The mark shows the maker.",
            "Rims are of alloy. The mark shows the maker. Nuts are of iron.",
            [
                (KEEP, "Rims are of "),
                (DROP, "steel"),
                (ADD, "alloy"),
                (KEEP, "."),
                (Mark.LEFT, " Nuts are of iron."),
                (KEEP, " The mark shows the maker."),
                (Mark.CAME, " Nuts are of iron."),
            ],
            id="past a longer one, beside a change",
        ),
    ],
)
def test_moved_sentences(old, new, runs):
    """A sentence that only went to another place of its clause is shown as that, at both places."""
    found = difference(old, new)
    assert list(found.words) == runs
    assert not found.wording_only


@pytest.mark.parametrize(
    ("old", "new", "runs"),
    [
        pytest.param(
            "Rims as in clause 4.2.1 apply.",
            "Rims as in clause 4.2.2 apply.",
            [(KEEP, "Rims as in clause "), (Mark.OLD_NUMBER, "4.2.1"), (Mark.NEW_NUMBER, "4.2.2"), (KEEP, " apply.")],
            id="number",
        ),
        pytest.param(
            "See 4.2.1(a) for rims.",
            "See 4.2.2(a) for rims.",
            [(KEEP, "See "), (Mark.OLD_NUMBER, "4.2.1"), (Mark.NEW_NUMBER, "4.2.2"), (KEEP, "(a) for rims.")],
            id="the part in brackets stayed",
        ),
        pytest.param(
            "See 4.2.1 for rims.",
            "See 4.2.9 for rims.",
            [(KEEP, "See "), (DROP, "4.2.1"), (ADD, "4.2.9"), (KEEP, " for rims.")],
            id="another clause",
        ),
        pytest.param("See 4.2.1 here.", "See 4.2.1 here.", [(KEEP, "See 4.2.1 here.")], id="not followed"),
    ],
)
def test_renumbered_references(old, new, runs):
    """A reference that changed only because its target was renumbered is shown as that."""
    renumbered = {"4.2.1": "4.2.2", "4.2.1(a)": "4.2.2(a)"}
    assert list(difference(old, new, renumbered).words) == runs
