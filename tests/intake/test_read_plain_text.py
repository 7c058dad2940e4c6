"""Plain texts into documents: paragraphs, headings, tables, footnotes, pages and what runs at their edges."""

from __future__ import annotations

import time

import pytest

from rulewatch.intake.document import Document, Kind
from rulewatch.intake.plain_text import read_plain_text


def read(text: str | bytes) -> Document:
    """The document of a text."""
    return read_plain_text(text if isinstance(text, bytes) else text.encode(), "book.txt")


def shown(document: Document) -> list[str]:
    """Each block of text in one line, headings with signs in front, lines parted by bars."""
    return [("#" * block.level + " " if block.level else "") + block.text.replace("\n", "|") for block in document.blocks]


def cells(document: Document) -> list[list[str]]:
    """The words of the only table's cells, lines of a cell parted by bars."""
    (table,) = [block for block in document.blocks if block.kind is Kind.TABLE]
    return [["|".join(line.text for line in cell) for cell in row] for row in table.rows]


def test_paragraphs_keep_their_lines():
    """Paragraphs end at empty lines; lines, their hyphens and their places stay as they are."""
    document = read("A rim of cast-\niron is not\n\n   allowed.\n")
    assert shown(document) == ["A rim of cast-|iron is not", "allowed."]
    assert [(line.spot.line, line.indent) for block in document.blocks for line in block.lines] == [(1, 0), (2, 0), (4, 18)]
    assert (document.pages, document.faults) == (0, ())


def test_headings_are_underlined():
    """Levels follow the order in which the kinds of underlining first occur; a line above and below is a kind of its own."""
    text = (
        "=====\nTitle\n=====\n\n4 Wheels\n========\nText.\n\n4.1 Rims\n--------\n\n5 Tyres\n=======\n\nOf a line\n--\n\n---\n"
    )
    assert shown(read(text)) == ["# Title", "## 4 Wheels", "Text.", "### 4.1 Rims", "## 5 Tyres", "Of a line|--"]


def test_items_begin_blocks():
    """Items that hang, or that come behind the end of a sentence, begin blocks; a number within a sentence does not."""
    text = "4.1 Rims shall be\n    of steel.\n4.2 Tyres as in\n    4.1 or smaller.\n\nAs stated in\n5.2.1 rims are free.\n(a) bolts\n(b) nuts\n"
    assert shown(read(text)) == [
        "4.1 Rims shall be|of steel.",
        "4.2 Tyres as in|4.1 or smaller.",
        "As stated in|5.2.1 rims are free.",
        "(a) bolts",
        "(b) nuts",
    ]


def test_an_indented_first_line_begins_a_paragraph():
    """Where paragraphs are told by the indent of their first line, each is a block."""
    text = "First of all\nthe text.\n   Second of all\nthe text.\n   Third\n"
    assert shown(read(text)) == ["First of all|the text.", "Second of all|the text.", "Third"]


DRAWN = """\
+-------+------------+
| Class | Minimum    |
+=======+============+
| B     | 900 kg     |
|       | with fuel  |
+-------+------------+
| C     | 940 kg     |
+-------+------------+
"""
LINES = """\
┌───────┬────────┐
│ Class │ Weight │
├───────┼────────┤
│ B     │ 900 kg │
│ C     │ 940 kg │
└───────┴────────┘
"""
SPANNED = """\
+-------+-----+-----+
| Class | Minimum   |
|       +-----+-----+
|       | dry | wet |
+-------+-----+-----+
| B     | 1   | 2   |
+-------+-----+-----+
"""
RULED = """\
Class    Minimum weight
=======  ==============
B        900 kg
         with fuel
C        940 kg
"""
ALIGNED = """\
  Class      Weight  Note
  B          900 kg  with fuel
  touring    940 kg  dry
"""
EXPECTED = [["Class", "Weight"], ["B", "900 kg"], ["C", "940 kg"]]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (DRAWN, [["Class", "Minimum"], ["B", "900 kg|with fuel"], ["C", "940 kg"]]),
        (LINES, EXPECTED),
        (RULED, [["Class", "Minimum weight"], ["B", "900 kg|with fuel"], ["C", "940 kg"]]),
        (ALIGNED, [["Class", "Weight", "Note"], ["B", "900 kg", "with fuel"], ["touring", "940 kg", "dry"]]),
    ],
)
def test_tables(text, expected):
    """Tables drawn with signs, under lines of dashes and of aligned columns are tables, and say their lines."""
    document = read(f"Before.\n\n{text}\nBehind.\n")
    assert cells(document) == expected
    assert (document.blocks[0].text, document.blocks[-1].text) == ("Before.", "Behind.")
    assert document.blocks[1].rows[1][0][0].spot.line >= 4


@pytest.mark.parametrize(
    "text",
    [
        "(a)  first rim\n(b)  other rim\n(c)  third rim\n",
        "4.1   Scope\n4.2   Rims\n4.3   Tyres\n",
        "*   one\n*   two\n*   three\n",
        "A  justified  line\nof  words  has gaps\nthat do  not  align\n",
        "Two  lines\nare  few\n",
        SPANNED.replace("|", " ").replace("+", " ").replace("-", " "),
    ],
)
def test_what_is_no_table_for_sure_stays_text(text):
    """Lists, contents and justified lines are no tables."""
    assert {block.kind for block in read(text).blocks} == {Kind.TEXT}


def test_footnotes():
    """A paragraph behind a sign that is called elsewhere is a footnote, with what is further in behind it."""
    text = "Rims are free. [1]\n\n[1] Not in\n    class B.\n\n    Nor in C.\n\nTyres.\n\n[7] no note\n"
    document = read(text)
    assert [block.kind for block in document.blocks] == [Kind.TEXT, Kind.NOTE, Kind.TEXT, Kind.TEXT]
    assert shown(document)[1] == "[1] Not in|class B.|Nor in C."


def test_pages_and_what_runs_at_their_edges():
    """Form feeds make pages; heads, feet and page numbers are left out, once said, and no line of the text with them."""
    page = "Saltmarsh Circuit Club          Rules 2027\n\n\n{text}\n\n\nmara                            [Page {page}]\n"
    texts = ["4.1 Rims are of", "steel.", "4.2 Tyres.", "4.3 Nuts."]
    document = read("\f\n".join(page.format(text=text, page=at + 3) for at, text in enumerate(texts)) + "\f")
    assert shown(document) == texts
    assert [str(block.spot) for block in document.blocks] == [
        "page 1, line 4",
        "page 2, line 5",
        "page 3, line 5",
        "page 4, line 5",
    ]
    assert document.pages == 4
    (fault,) = document.faults
    assert (fault.code, fault.warning) == ("furniture", True)
    assert "8 running heads and feet were left out (lines 1, 7, 9," in fault.message


def test_text_that_only_looks_like_a_running_head():
    """Without an empty line before the text, on too few pages, or with numbers that do not count with the pages: rule text."""
    pages = ["Same words\nand {0}.", "Article {1}\n\nOf {0}."]
    for page in pages:
        document = read("\f".join(page.format(word, number) for word, number in (("rims", 4), ("nuts", 9), ("bolts", 11))))
        assert document.faults == ()
        assert len(document.blocks) >= 3
    assert read("Head\n\none\fHead\n\ntwo\fthree").faults == ()


@pytest.mark.parametrize(
    ("data", "text", "codes"),
    [
        ("±5 mm".encode(), "±5 mm", []),
        (b"\xef\xbb\xbf" + "±5 mm".encode(), "±5 mm", []),
        ("\ufeff±5 mm".encode("utf-16-be"), "±5 mm", []),
        (b"\xb15 mm", "±5 mm", ["encoding-guessed"]),
        (b"a\rb\r\nc", "a|b|c", []),
        (b"\x81", "\ufffd", ["encoding-guessed", "encoding-guessed"]),
        (b"un\xc2\xadeven\tx", "uneven x", []),
    ],
)
def test_encodings(data, text, codes):
    """UTF-8 and marked encodings are certain; else windows-1252 is read, with a warning on the line."""
    document = read(data)
    assert shown(document) == [text]
    assert [fault.code for fault in document.faults] == codes


def test_a_stated_encoding():
    """A person who knows the encoding is believed, without a warning."""
    document = read_plain_text("Größe".encode("cp850"), "book.txt", "cp850")
    assert (shown(document), document.faults) == (["Größe"], ())


@pytest.mark.parametrize("data", [b"", b" \n\f\n"])
def test_an_empty_text(data):
    """No words are a fault."""
    assert [(fault.code, fault.warning) for fault in read(data).faults] == [("book-empty", False)]


@pytest.mark.parametrize("data", [b"x" * 20_000_001, b"\n" * 500_001])
def test_a_text_beyond_the_bounds(data):
    """Too many bytes or lines are a clear fault, without blocks."""
    document = read(data)
    assert [fault.code for fault in document.faults] == ["book-too-large"]
    assert document.blocks == ()


@pytest.mark.parametrize(
    "piece",
    ["\f", "x\f", "a\n\n\f", "\t", "+--", "|", "| ", "-", "=  ", "[1] ", "[1]\n\n", "a  b\n", "(a) x\n", "a\n-\n", "   x\ny\n"],
)
def test_hostile_texts_are_read_within_a_bound(piece):
    """Whatever is repeated, 100 kB of it are read in seconds, and never an exception."""
    begun = time.process_time()
    read("x" + piece * (100_000 // len(piece)))
    assert time.process_time() - begun < 4
