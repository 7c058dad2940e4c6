"""Mappings read field by field."""

from datetime import date
from enum import StrEnum

import pytest

from rulewatch.model.fault import Source
from rulewatch.parse.fields import Report, nearest, one_of, open_fields, shortened
from rulewatch.parse.nodes import ScalarNode, read_yaml


class Colour(StrEnum):
    """Words to choose from."""

    RED = "red"
    GREEN = "green"


def fields_of(text, *, required=(), optional=()):
    """The fields of a YAML text, and the list that faults go to."""
    source = Source(path="f.yaml", text=text)
    node, faults = read_yaml(source)
    assert not faults
    report = Report(source=source, faults=[])
    return open_fields(node, report, "the sample", required=required, optional=optional), report.faults


def told(faults):
    """Place, code and message of each fault."""
    return [(fault.place.line, fault.place.column, fault.code, fault.message) for fault in faults]


def test_every_getter_gives_its_type():
    """A mapping without faults gives each value as asked for."""
    text = "a: some text\nb: 2027-05-01\nc: 12\nd: yes\ne: green\nf: [x, y]\ng: {k: v}\nh: single\ni: red"
    fields, faults = fields_of(text, required="abcdefghi")
    assert fields.text("a") == "some text"
    assert fields.day("b") == date(2027, 5, 1)
    assert fields.integer("c") == 12
    assert fields.yes_no("d") is True
    assert fields.word("e", Colour) is Colour.GREEN
    assert fields.texts("f") == ("x", "y")
    assert [(key.text, value.text) for key, value in fields.mapping("g")] == [("k", "v")]
    assert fields.texts("h") == ("single",)
    assert fields.choice("i", ("red", "blue")) == "red"
    assert faults == []


def test_keys_that_are_not_there_are_no_fault():
    """A getter of an optional key gives nothing, in silence."""
    fields, faults = fields_of("a: 1", required="a", optional="bcdef")
    assert (fields.text("b"), fields.day("b"), fields.integer("c"), fields.yes_no("c")) == ("", None, None, None)
    assert (fields.word("d", Colour), fields.choice("d", ("x",)), fields.texts("e"), fields.items("e")) == (None, "", (), ())
    assert (fields.fields("f"), fields.mapping("f"), fields.get("f"), fields.has("f")) == (None, (), None, False)
    assert fields.place_of("f") == fields.place
    assert faults == []


def test_unknown_keys_offer_the_nearest():
    """An unknown key is a fault at the key, with the nearest known one, or all of them where none is near."""
    _, faults = fields_of("title: x\ntittle: y\nzzz: 1", required=("title",), optional=("season",))
    assert told(faults) == [
        (2, 1, "unknown-key", "`tittle` in the sample; did you mean `title`?"),
        (3, 1, "unknown-key", "`zzz` in the sample; known here: title, season"),
    ]


def test_missing_keys_are_reported_at_the_mapping():
    """A key that is needed and not there is a fault where the mapping begins."""
    _, faults = fields_of("\n\n  a: 1", required=("a", "by"))
    assert told(faults) == [(3, 3, "missing-key", "the sample without `by`; add `by:`")]


@pytest.mark.parametrize("text", ["- a", "word", "~", "[]"])
def test_what_is_no_mapping_gives_no_fields(text):
    """A list or a scalar in place of a mapping is one fault."""
    fields, faults = fields_of(text)
    assert fields is None
    assert [fault.code for fault in faults] == ["wrong-type"]


def test_nothing_at_all_is_reported_at_the_top():
    """An empty file has no node; the fault stands on line 1."""
    fields, faults = fields_of("")
    assert fields is None
    assert told(faults) == [(1, 1, "wrong-type", "nothing for `the sample`, expected a mapping of keys to values")]


@pytest.mark.parametrize(
    ("value", "ask", "code", "message"),
    [
        ("", "text", "wrong-type", "nothing for `k`, expected a text"),
        ("[a]", "text", "wrong-type", "a list for `k`, expected a text"),
        ("{a: b}", "text", "wrong-type", "a mapping for `k`, expected a text"),
        ("null", "text", "wrong-type", "nothing for `k`, expected a text"),
        ("1 May", "day", "bad-date", "`1 May` for `k`, expected a date such as 2027-05-01"),
        ("2027-5-1", "day", "bad-date", "`2027-5-1` for `k`, expected a date such as 2027-05-01"),
        ("2027-02-29", "day", "bad-date", "`2027-02-29` for `k`, expected a day that the calendar has"),
        ("0000-01-01", "day", "bad-date", "`0000-01-01` for `k`, expected a day that the calendar has"),
        ("٢٠٢٧-٠٥-٠١", "day", "bad-date", "`٢٠٢٧-٠٥-٠١` for `k`, expected a date such as 2027-05-01"),
        ("", "day", "wrong-type", "nothing for `k`, expected a date such as 2027-05-01"),
        ("1.5", "integer", "wrong-type", "`1.5` for `k`, expected a whole number"),
        ("0x10", "integer", "wrong-type", "`0x10` for `k`, expected a whole number"),
        ("-1", "integer", "wrong-value", "`-1` for `k`, expected at least 0"),
        ("maybe", "yes_no", "wrong-type", "`maybe` for `k`, expected yes or no"),
        ("[]", "texts", "wrong-value", "an empty list for `k`; leave `k` out, or fill it"),
        ("", "items", "wrong-type", "nothing for `k`, expected a list"),
        ("[a, [b]]", "texts", "wrong-type", "a list for `k`, expected a text"),
    ],
)
def test_wrong_values_are_told_at_their_place(value, ask, code, message):
    """Each getter reports what it found and what it expected, at the value."""
    fields, faults = fields_of(f"k: {value}", required="k")
    assert not getattr(fields, ask)("k") or ask == "texts"
    assert [(fault.code, fault.message, fault.place.line) for fault in faults] == [(code, message, 1)]
    assert faults[0].line_text == f"k: {value}"


def test_a_word_of_a_list_offers_the_nearest():
    """A misspelt word is a fault that names all words and the nearest."""
    fields, faults = fields_of("k: gren", required="k")
    assert fields.word("k", Colour) is None
    assert told(faults) == [(1, 4, "wrong-value", "`gren` for `k`, expected red or green; did you mean `green`?")]


def test_nested_fields_know_their_name():
    """A mapping within a mapping is read in the same way."""
    fields, faults = fields_of("k: {on: 2027-05-01, bye: x}", required="k")
    inner = fields.fields("k", required=("on", "by"))
    assert inner.day("on") == date(2027, 5, 1)
    assert told(faults) == [
        (1, 21, "unknown-key", "`bye` in k; did you mean `by`?"),
        (1, 4, "missing-key", "k without `by`; add `by:`"),
    ]


@pytest.mark.parametrize("text", ["yes", "true", "Yes", "TRUE"])
def test_yes_in_every_spelling(text):
    """YAML's true and any letter case are taken for yes."""
    fields, _ = fields_of(f"k: {text}", required="k")
    assert fields.yes_no("k") is True


@pytest.mark.parametrize("text", ["no", "false", "No", "FALSE"])
def test_no_in_every_spelling(text):
    """The same for no, which is False and not nothing."""
    fields, _ = fields_of(f"k: {text}", required="k")
    assert fields.yes_no("k") is False


def test_the_nearest_name():
    """A slip of the pen finds its name; a word of another kind, or a page of text, finds none."""
    known = ["wheels.rear.rim_width", "wheels.front.rim_width", "aero.rear_wing"]
    assert nearest("wheels.rear.rimwidth", known) == "wheels.rear.rim_width"
    assert nearest("cage", known) == ""
    assert nearest("wheels.rear.rim_width" * 50, known) == ""


def test_words_for_messages():
    """Lists end in "or"; long texts are cut and stay on one line."""
    assert one_of(["a"]) == "a"
    assert one_of(["a", "b", "c"]) == "a, b or c"
    assert shortened("one\n two") == "one two"
    assert shortened("x" * 100, 10) == "x" * 9 + "…"


def test_items_keep_their_places():
    """The items of a list are nodes, for readers of mappings within lists."""
    fields, _ = fields_of("k: [a, b]", required="k")
    assert [(item.text, item.place.column) for item in fields.items("k") if isinstance(item, ScalarNode)] == [
        ("a", 5),
        ("b", 8),
    ]
