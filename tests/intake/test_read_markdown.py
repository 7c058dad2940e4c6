"""Published Markdown into documents: as our own chapters are read, with tables, footnotes and the marks of other programs."""

from __future__ import annotations

import time

import pytest

from rulewatch.intake.document import Document, Kind, Mark
from rulewatch.intake.markdown import read_markdown

SIGNS = {Mark.NONE: "", Mark.STRUCK: "~~", Mark.INSERTED: "++"}


def read(text: str | bytes) -> Document:
    """The document of a Markdown file."""
    return read_markdown(text if isinstance(text, bytes) else text.encode(), "book.md")


def marked(line):
    """A line with its marks."""
    return "".join(SIGNS[run.mark] + run.text + SIGNS[run.mark] for run in line.runs)


def shown(document: Document) -> list[str]:
    """Each block in one line: heading signs, label, words with marks, lines parted by bars."""
    return [
        " ".join(filter(None, ["#" * block.level, block.label, "|".join(marked(line) for line in block.lines)]))
        for block in document.blocks
    ]


def cells(document):
    """The words of the only table's cells with their marks."""
    (table,) = [block for block in document.blocks if block.kind is Kind.TABLE]
    return [["|".join(marked(line) for line in cell) for cell in row] for row in table.rows]


def test_headings_paragraphs_and_lines():
    """Headings of both forms keep their level; a paragraph keeps its lines, each with its place."""
    document = read("# 4 Wheels #\n\nOf steel\nor *cast* metal.\n\n4.1 Rims\n--------\n\n    indented is no code\n")
    assert shown(document) == ["# 4 Wheels", "Of steel|or cast metal.", "## 4.1 Rims", "indented is no code"]
    assert [line.spot.line for block in document.blocks for line in block.lines] == [1, 3, 4, 6, 9]
    assert document.faults == ()


def test_items():
    """A numbered item has its number as written; a bullet is none; an item that begins with another keeps its own."""
    text = "2. two\n3) three\n\n- bare\n  more\n  1. inner\n\n1. 1. both\n"
    assert shown(read(text)) == ["2. two", "3) three", "bare|more", "1. inner", "1.", "1. both"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("of ~~60~~ ++75++ mm", "of ~~60~~ ++75++ mm"),
        ("of <del>60</del> <ins>75</ins> mm", "of ~~60~~ ++75++ mm"),
        ("of <s>60</s> <u>75</u><br>mm", "of ~~60~~ ++75++|mm"),
        ("**4.1 ++new++ ~~old~~**", "4.1 ++new++ ~~old~~"),
        ("++all of\nthe lines++ x", "++all of++|++the lines++ x"),
        ("++new ~~and gone~~++", "++new ++~~and gone~~"),
        ("C++ and a++ b, `~~code~~`", "C++ and a++ b, ~~code~~"),
        (r"\~~ and 4\.1 \*", "~~ and 4.1 *"),
        ("[link](http://x) [named][n] ![](a.png)\n\n[n]: http://y 'title'", "link named"),
        ("a <span class='x'>b</span> 2 < 3 &plusmn;5", "a b 2 < 3 ±5"),
        ("*c_d_e* __f__ `a\nb` g", "c_d_e f a|b g"),
    ],
)
def test_words_and_their_marks(text, expected):
    """Signs of Markdown and tags of HTML make marks; links are their words; what is escaped or code is text."""
    assert shown(read(text))[0] == expected


def test_looks():
    """Emphasis, raised figures and the calls of footnotes are known."""
    document = read("**a** *b* m<sup>2</sup> c[^1]\n\n[^1]: note *d*\n")
    assert [(run.text, run.bold, run.italic, run.raised) for run in document.blocks[0].lines[0].runs] == [
        ("a", True, False, False),
        (" ", False, False, False),
        ("b", False, True, False),
        (" m", False, False, False),
        ("2", False, False, True),
        (" c", False, False, False),
        ("1", False, False, True),
    ]
    assert (document.blocks[1].kind, document.blocks[1].text) == (Kind.NOTE, "1 note d")


def test_pipe_tables():
    """A pipe table is one, also directly behind a paragraph; escaped bars are text; no cell is lost."""
    text = "Weights\n| Class | Least |\n|:---|---:|\n| B | ~~900~~ ++940++ kg |\n| a\\|b | 1 | more |\n| C\n"
    document = read(text)
    assert cells(document) == [["Class", "Least", ""], ["B", "~~900~~ ++940++ kg", ""], ["a|b", "1", "more"], ["C", "", ""]]
    assert shown(document)[0] == "Weights"
    assert [row[0][0].spot.line for row in document.blocks[1].rows] == [2, 4, 5, 6]


def test_what_is_no_pipe_table():
    """A line of dashes with another number of cells below a line makes no table."""
    assert shown(read("a | b | c\n---|---\n")) == ["a | b | c|---|---"]


def test_tables_and_scripts_of_html():
    """A table in HTML is read as one, in its place; scripts are left out and comments are, and both are said."""
    text = "Before.\n\n<table>\n<tr><th>Class<th>kg\n\n<tr><td>B<td><s>1</s>\n</table>\n\nBehind.\n\n<script>\nx\n</script>\n<!-- a\n\nb -->\n"
    document = read(text)
    assert cells(document) == [["Class", "kg"], ["B", "~~1~~"]]
    assert [block.spot.line for block in document.blocks] == [1, 3, 9]
    assert {(fault.code, fault.place.line) for fault in document.faults} == {("left-out", 11), ("left-out", 14)}


def test_front_matter():
    """What stands about the file before its text is left out and said; a line of dashes alone is none."""
    document = read("---\ntitle: Rules\nyear: 2027\n---\n\n# 1 Scope\n")
    assert shown(document) == ["# 1 Scope"]
    assert "title: Rules; year: 2027" in document.faults[0].message
    assert shown(read("---\n\nText. All of it.\n\n---\n")) == ["Text. All of it."]


def test_pictures():
    """A picture is kept with its words; one without words is reported with its line."""
    document = read("See ![Figure 1](a.png) here.\n\n![](b.png)\n")
    assert [(block.kind, block.text) for block in document.blocks] == [
        (Kind.TEXT, "See here."),
        (Kind.PICTURE, "Figure 1"),
        (Kind.PICTURE, ""),
    ]
    assert [(fault.code, fault.place.line) for fault in document.faults] == [("picture", 3)]


def test_fences():
    """What is fenced is text as it stands."""
    assert shown(read("```\na  b\n *c*\n```\n")) == ["a  b| *c*"]


def test_a_text_without_words():
    """No words are a fault, an unknown encoding a warning, too many bytes or lines a fault without blocks."""
    assert [fault.code for fault in read("\n\n").faults] == ["book-empty"]
    assert [fault.code for fault in read(b"\xb15").faults] == ["encoding-guessed"]
    for data in (b"x" * 20_000_001, b"\n" * 500_001):
        assert [fault.code for fault in read(data).faults] == ["book-too-large"]


@pytest.mark.parametrize(
    "piece",
    [
        *(
            "*",
            "_",
            "[",
            "![",
            "`",
            "``a`",
            "<",
            "&#",
            "~~",
            "++",
            "++a",
            "**a",
            "[a](",
            "\\",
            "<del>",
            "<a ",
            "[a][",
            "_a*",
            "<!--",
        ),
        *(
            "> ",
            "- ",
            "1. ",
            "a|",
            "|\n|-\n",
            "<table\n",
            "<!--\n",
            "[a]: b\n",
            "\u205f",
            "\ue000",
            "# ",
            "```\n",
            "\t",
            "[^1]",
        ),
    ],
)
def test_hostile_texts_are_read_within_a_bound(piece):
    """Whatever is repeated, 60 kB of it are read in seconds, and never an exception."""
    begun = time.process_time()
    read("x " + piece * (30_000 // len(piece)) + "\n\n" + piece * (30_000 // len(piece)))
    assert time.process_time() - begun < 5
