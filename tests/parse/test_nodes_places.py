"""YAML as a tree with places. What breaks it stands in tests/broken/yaml."""

import pytest

from rulewatch.model.fault import Source
from rulewatch.parse.nodes import ListNode, MapNode, ScalarNode, read_yaml


def read(text, **options):
    """The tree of a text that has no faults."""
    tree, faults = read_yaml(Source(path="f.yaml", text=text), **options)
    assert not faults
    return tree


def test_scalars_stay_text():
    """No word or number of YAML becomes something else: `no`, `on`, dates and numbers stay as written."""
    tree = read("a: no\non: 1e3\nb: 2026-11-20\nc: 0x10\nd: 010\ne: 1_000\n=: .inf")
    assert [(key.text, value.text) for key, value in tree] == [
        ("a", "no"),
        ("on", "1e3"),
        ("b", "2026-11-20"),
        ("c", "0x10"),
        ("d", "010"),
        ("e", "1_000"),
        ("=", ".inf"),
    ]


def test_places_begin_and_end():
    """Each node knows where it begins; a scalar also where it ends, quotes included."""
    tree = read('k: [a, "b c", {d: e}]')
    items = tree.get("k")
    assert isinstance(items, ListNode)
    assert [(item.place.line, item.place.column) for item in items.items] == [(1, 5), (1, 8), (1, 15)]
    quoted = items.items[1]
    assert isinstance(quoted, ScalarNode)
    assert (quoted.end.column, quoted.quoted) == (13, True)


def test_columns_count_characters():
    """Umlauts and signs beyond the first plane of Unicode count one column each."""
    tree = read("ä: {𝄞ö: ü}")
    (key, value), *_ = tree.get("ä").pairs
    assert (key.place.column, value.place.column) == (5, 9)


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x85", "\r"])
def test_lines_are_those_of_an_editor(sign):
    """Signs at which YAML breaks lines and editors do not are white space, so that the lines below keep their numbers."""
    tree = read(f"a: 'x{sign}y'\nb: z")
    assert tree.get("a").text == "x y"
    assert tree.get("b").place.line == 2


def test_line_ends_of_every_system():
    """Files with carriage returns at their line ends read alike."""
    assert [(key.text, value.text, key.place.line) for key, value in read("a: 1\r\nb: 2\r\n")] == [("a", "1", 1), ("b", "2", 2)]


def test_a_part_of_a_source_keeps_its_places():
    """A block that is cut out of a file, and moved to the left, reports the file's lines and columns."""
    source = Source(path="rules.md", text="x\n\n   a: b\n   a: c\n")
    tree, faults = read_yaml(source, text="a: b\na: c\n", first_line=3, indent=3)
    assert tree.get("a").place == source.place(3, 7)
    assert [str(fault.place) for fault in faults] == ["rules.md:4:4"]
    assert faults[0].line_text == "   a: c"


def test_control_characters_are_placed_in_a_part():
    """The same for a character that YAML does not take."""
    source = Source(path="rules.md", text="x\n\n   a: b\n   a: \x07c\n")
    _, faults = read_yaml(source, text="a: b\na: \x07c\n", first_line=3, indent=3)
    assert [str(fault.place) for fault in faults] == ["rules.md:4:7"]


@pytest.mark.parametrize("text", ["", "# nothing\n", "\n\n"])
def test_nothing_is_no_tree(text):
    """An empty document is no fault here; whether one was needed is for the reader of the format to say."""
    assert read(text) is None


@pytest.mark.parametrize(
    ("text", "empty"), [("k:", True), ("k: ~", True), ("k: null", True), ("k: ''", False), ("k: no", False)]
)
def test_empty_values(text, empty):
    """A value that is not there, and YAML's nulls; an empty text in quotes is one that somebody wrote."""
    assert read(text).get("k").empty is empty


def test_a_list_of_plain_numbers_has_no_comma_slip():
    """`[1,5]` may well be two numbers."""
    tree = read("k: [1,5]")
    assert [item.text for item in tree.get("k").items] == ["1", "5"]


@pytest.mark.parametrize(("text", "mended"), [("k: {max: 13,5 in, min: 2}", "13.5 in"), ("k: {a: 1, max: 2,5}", "2.5")])
def test_a_decimal_comma_is_one_fault(text, mended):
    """After the fault the number is read as if it had a point, so that nothing else is reported for the same slip."""
    tree, faults = read_yaml(Source(path="f.yaml", text=text))
    assert [fault.code for fault in faults] == ["decimal-comma"]
    assert tree.get("k").get("max").text == mended


def test_a_decimal_comma_in_a_list_is_one_fault():
    """The same in a list, whose other items stay."""
    tree, faults = read_yaml(Source(path="f.yaml", text="k: [a, 13,5 in, 2 mm]"))
    assert [fault.code for fault in faults] == ["decimal-comma"]
    assert [item.text for item in tree.get("k").items] == ["a", "13.5 in", "2 mm"]


@pytest.mark.parametrize("text", ["[" * 200_000, "{a: " * 200_000, "- " * 200_000, "[" * 200_000 + "]" * 200_000])
def test_no_depth_uses_up_the_stack(text):
    """Nesting of any depth is one fault, found before the rest is read."""
    tree, faults = read_yaml(Source(path="f.yaml", text=text))
    assert tree is None
    assert [fault.code for fault in faults] == ["yaml-depth"]


def test_all_faults_of_a_file_are_reported():
    """Reading goes on after a fault."""
    tree, faults = read_yaml(Source(path="f.yaml", text="a: &x 1\nb: !!int 2\nc: 3\nc: 4\nd: {max: 1,5 mm}\n"))
    assert [fault.code for fault in faults] == ["yaml-alias", "yaml-alias", "duplicate-key", "decimal-comma"]
    assert isinstance(tree, MapNode)
    assert [key.text for key, _ in tree] == ["c", "d"]
    assert tree.get("c").text == "3"
