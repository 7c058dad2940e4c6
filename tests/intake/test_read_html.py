"""Pages of HTML into documents: what is kept, how it is marked and numbered, what is left out and said so."""

from __future__ import annotations

import time

import pytest

from rulewatch.intake.document import Document, Kind, Mark
from rulewatch.intake.html import read_html


def read(page: str | bytes) -> Document:
    """The document of a page."""
    return read_html(page if isinstance(page, bytes) else page.encode(), "book.html")


def shown(document: Document) -> list[str]:
    """Each block in one line: its label, its words, marks as in our own Markdown, headings with signs in front."""
    return [
        " ".join(filter(None, ["#" * block.level, block.label, " / ".join(marked(line) for line in block.lines)]))
        for block in document.blocks
    ]


def marked(line):
    """A line with its marks."""
    signs = {Mark.NONE: "", Mark.STRUCK: "~~", Mark.INSERTED: "++"}
    return "".join(signs[run.mark] + run.text + signs[run.mark] for run in line.runs)


def test_headings_and_paragraphs():
    """Headings keep their level, white space is folded, and each block knows the line that it begins on."""
    document = read("<h1>4 Wheels</h1>\n<p>Rims of\n  cast\n\tmetal.<p>Second.\n<h3>4.1 Tyres</h3>")
    assert shown(document) == ["# 4 Wheels", "Rims of cast metal.", "Second.", "### 4.1 Tyres"]
    assert [block.spot.line for block in document.blocks] == [1, 2, 4, 5]
    assert document.faults == ()


def test_numbered_lists():
    """The items of a list have the number that a reader sees, from its start, kind, direction and own values."""
    page = """
    <ol type="a" start="3"><li>third<li value="5">fifth<ol type="i"><li>inner</ol><li>sixth</ol>
    <ol reversed><li>two<li>one</ol>
    <ol style="list-style-type: upper-roman"><li>Roman</ol>
    <ol style="list-style: none"><li>4.1 its own number</ol>
    <ul><li>bare</ul>"""
    assert shown(read(page)) == [
        *("c. third", "e. fifth", "i. inner", "f. sixth"),
        *("2. two", "1. one", "I. Roman", "4.1 its own number", "bare"),
    ]


def test_a_number_without_words_of_its_own():
    """An item that begins with another list keeps its number."""
    assert shown(read("<ol><li><ol type=a><li>x</ol></ol>")) == ["1.", "a. x"]


@pytest.mark.parametrize(
    ("page", "expected"),
    [
        ("<p>of <del>60</del> <ins>75</ins> mm", "of ~~60~~ ++75++ mm"),
        ("<p>of <s>60</s><strike> or 61</strike> <u>75</u>", "of ~~60 or 61~~ ++75++"),
        ("<p><ins>new, <del>then gone</del></ins>", "++new, ++~~then gone~~"),
        ("<p><del>gone <ins>though new</ins></del>", "~~gone though new~~"),
        ('<p>a <span style="text-decoration: line-through">b</span>', "a ~~b~~"),
        ('<p>words enough <span style="color:#C00">red</span>', "words enough ++red++"),
        ('<p>words enough <font color="red">red</font> <span style="color:#333">grey</span>', "words enough ++red++ grey"),
        ('<p>words enough <a href="x" style="color:blue"><u>link</u></a>', "words enough ++link++"),
        ('<p>words enough <a href="x" style="color:blue; text-decoration: underline">link</a>', "words enough link"),
        ("<style>.gone {text-decoration: line-through}</style><p>a <b class='x gone'>b</b>", "a ~~b~~"),
        ("<p>a <s>b</p><p>c</s> d</p>", "a ~~b~~|~~c~~ d"),
        ("<s><p>a</s> b</p>", "~~a~~ b"),
        ("<p>a <s>b</i> c</s> d", "a ~~b c~~ d"),
    ],
)
def test_marks(page, expected):
    """Struck and inserted words are marked, by tag, style and colour, also where tags are crossed."""
    assert shown(read(page)) == expected.split("|")


def test_the_colour_of_the_text_is_no_mark():
    """Where most of a book is blue, blue is no mark; and what was taken for inserted by its look is said."""
    document = read("<div style='color:navy'><p>All of this is blue.<p>And <u>this new word</u></div>")
    assert shown(document) == ["All of this is blue.", "And ++this new word++"]
    assert [(fault.code, fault.warning) for fault in document.faults] == [("marks-by-look", True)]
    assert "3 words that are underlined were taken for inserted" in document.faults[0].message


def test_the_colour_of_a_heading_is_no_mark():
    """Headings have colours for the eye, in their own tag or around it."""
    assert shown(read("<h2 style='color:red'>4 Wheels</h2><h2><font color=red>5 Tyres</font></h2><p>x")) == [
        *("## 4 Wheels", "## 5 Tyres", "x")
    ]


def test_raised_figures_and_breaks():
    """A superior figure is known as one, and a break makes a line."""
    document = read("<p>one<sup>2</sup><br>two<br></p>")
    assert shown(document) == ["one2 / two"]
    assert [run.raised for run in document.blocks[0].lines[0].runs] == [False, True]


def test_preformatted_text_keeps_its_lines():
    """White space stays as it is in what is preformatted, and each line has its place."""
    document = read("<pre>a  b\n  c</pre>")
    assert shown(document) == ["a  b /   c"]
    assert [line.spot.line for line in document.blocks[0].lines] == [1, 2]


def cells(document):
    """The words of a table's cells, lines of a cell parted by a bar."""
    (table,) = [block for block in document.blocks if block.kind is Kind.TABLE]
    return [["|".join(line.text for line in cell) for cell in row] for row in table.rows]


def test_tables():
    """A table is a grid; a cell that spans leaves the places that it covers blank; the foot comes last."""
    page = """<table><caption>Weights</caption>
    <tfoot><tr><td>f1<td>f2<td>f3</tfoot>
    <tr><th rowspan=2>Class<th colspan=2>Minimum
    <tr><th>dry<th>wet
    <tr><td>B<td>900 kg<td><p>940 kg</p><p>with <del>fuel</del></p></table>"""
    document = read(page)
    assert cells(document) == [
        *(["Class", "Minimum", ""], ["", "dry", "wet"]),
        *(["B", "900 kg", "940 kg|with fuel"], ["f1", "f2", "f3"]),
    ]
    assert document.blocks[0].text == "Weights"
    assert document.blocks[1].rows[2][2][1].runs[1].mark is Mark.STRUCK


def test_tables_and_lists_in_cells():
    """A table within a cell becomes a line a row, and the numbers of a list in a cell stay in front of its items."""
    page = "<table><tr><td>x<td><table><tr><td>a<td>b</table><tr><td>y<td><ol><li>one<li>two</ol></table>"
    assert cells(read(page)) == [["x", "a; b"], ["y", "1. one|2. two"]]


def test_tables_that_only_place_things():
    """What such a table holds comes as if there were no table."""
    page = "<table><tr><td>menu<td><h1>1 Scope</h1><p>Text.</table><table><tr><td>only column</table>"
    assert shown(read(page)) == ["menu", "# 1 Scope", "Text.", "only column"]


def test_what_is_left_out_is_said():
    """Scripts, styles, navigation, heads, feet and asides of the page, forms, frames and hidden parts: one warning a kind."""
    page = """<html><head><title>T</title><script>var a = "<p>no</p>";</script><style>p {color: black}</style></head><body>
    <header>Club</header><nav>Menu of pages</nav><aside>advert</aside><p>Rule.</p><script>x</script>
    <p hidden>old</p><p style="display: none">older</p><select><option>2026</select><iframe src="a.html"></iframe>
    <article><header><h1>1 Scope</h1></header></article><footer>imprint</footer></body></html>"""
    document = read(page)
    assert shown(document) == ["Rule.", "# 1 Scope"]
    said = {fault.found.partition(" (")[0] for fault in document.faults}
    assert said == {
        "2 scripts were left out",
        "1 style sheet was left out",
        "1 head of the page was left out",
        "1 navigation part was left out",
        "1 aside was left out",
        "2 parts that do not show were left out",
        "1 form control was left out",
        "1 frame whose content is another file was left out",
        "1 foot of the page was left out",
    }
    assert all(fault.warning for fault in document.faults)
    assert document.faults[0].place.line == 1


def test_pictures():
    """A picture is kept with its words behind its paragraph; one without words is reported with its line."""
    document = read('<p>See <img src="a.png" alt="Figure 1: rim"> here.</p>\n<img src="data:image/png;base64,AAAA">')
    assert [(block.kind, block.text) for block in document.blocks] == [
        (Kind.TEXT, "See here."),
        (Kind.PICTURE, "Figure 1: rim"),
        (Kind.PICTURE, ""),
    ]
    (fault,) = document.faults
    assert (fault.code, fault.place.line) == ("picture", 2)


def test_footnotes():
    """A footnote is one block with its sign in front, in the forms that usual programs write."""
    page = """<p>Rule<a role="doc-noteref" href="#n">1</a></p>
    <aside class="footnote"><span>[1]</span> first</aside>
    <dl class="footnote brackets"><dt>2</dt><dd><p>second</p></dd><dt>3</dt><dd><p>third</p></dd></dl>
    <section><ol><li role="doc-endnote"><p>fourth <a href="#b">↩</a></p></ol></section>"""
    document = read(page)
    assert [block.text for block in document.blocks if block.kind is Kind.NOTE] == [
        "[1] first",
        "2 second",
        "3 third",
        "1. fourth",
    ]
    assert document.blocks[0].lines[0].runs[1].raised


def test_signs_that_link_to_their_heading():
    """The sign by which a heading links to itself is no word of it; a paragraph sign in a link to elsewhere is."""
    document = read('<h2>4 Wheels<a href="#w">¶</a></h2><p><a href="#p36">§</a> 36a')
    assert shown(document) == ["## 4 Wheels", "§ 36a"]


def test_entities():
    """Entities are resolved; one that stands for no character is replaced, however many digits it has."""
    assert shown(read("<p>&plusmn;5&nbsp;mm &lt;b&gt; &#177; &#" + "9" * 5000 + "; caf&eacute; un&shy;even")) == [
        "±5\u00a0mm <b> ± \ufffd café uneven"
    ]


@pytest.mark.parametrize(
    ("page", "words", "codes"),
    [
        ("<p>±5 °".encode(), "±5 °", []),
        (b"\xef\xbb\xbf<p>" + "±5".encode(), "±5", []),
        ("\ufeff<p>±5".encode("utf-16-le"), "±5", []),
        (b'<meta charset="iso-8859-1"><p>\xb15 \x96', "±5 –", []),
        (b'<meta http-equiv=x content="text/html; charset=windows-1252"><p>\xb15', "±5", []),
        (b'<meta charset="no-such"><p>\xc2\xb15', "±5", ["encoding-guessed"]),
        (b'<meta charset="zip"><p>\xc2\xb15', "±5", ["encoding-guessed"]),
        (b"<p>\xb15", "±5", ["encoding-guessed"]),
        (b'<meta charset="utf-8"><p>\xb15', "±5", ["encoding-guessed"]),
    ],
)
def test_encodings(page, words, codes):
    """The byte order mark counts first, then what the page says, then UTF-8; a guess is said."""
    document = read(page)
    assert shown(document) == [words]
    assert [fault.code for fault in document.faults] == codes


def test_a_page_without_text():
    """A page that is drawn by a script has no rule text, and that is a fault."""
    document = read("<div id=app></div><script>draw()</script>")
    assert document.blocks == ()
    assert [(fault.code, fault.warning) for fault in document.faults] == [("book-empty", False), ("left-out", True)]


def test_what_never_ends():
    """A comment that never ends takes the rest of the page with it, as in a browser, but that is said."""
    document = read("<p>one <!-- two <p>three")
    assert shown(document) == ["one"]
    assert "never ends" in document.faults[0].message
    assert "two" in document.faults[0].message


PIECES = [
    *(
        "<a ",
        "<a a=",
        '<a a="',
        "</a ",
        "<!--",
        "<!",
        "<?",
        "</$",
        "<![CDATA[",
        "<!doctype",
        "<",
        "&",
        "&#",
        "&#9",
        "<p",
        "<b><p>",
    ),
    *(
        "<table>",
        "<table><tr><td>",
        "<tr><td colspan=9999 rowspan=99999>",
        "<ol reversed><li>",
        "<div>",
        "<s><div></s>",
        "</p>",
    ),
    *(
        "<style>{",
        "<style>/*",
        "<style>a{",
        "<script>",
        "</script",
        "<p><b><i><u><s>",
        "<font color=red><p>",
        "<svg><img alt=x>",
    ),
    *('<p style="', "<h1>", "</div></b>", "<select><option>", "<td>", "\u00ad", "<dl class=footnote><dt>1<dd>"),
]


@pytest.mark.parametrize("piece", PIECES)
@pytest.mark.parametrize("end", ["", '">'])
def test_hostile_pages_are_read_within_a_bound(piece, end):
    """Whatever is repeated without an end, 100 kB of it are read in seconds, and never an exception."""
    page = ("<p>begin" + piece * (100_000 // len(piece)) + end).encode()
    begun = time.process_time()
    read(page)
    assert time.process_time() - begun < 3


def test_a_page_beyond_the_bounds():
    """A page of too many bytes or elements is a clear fault, without blocks."""
    for page in (b"x" * 20_000_001, b"<b>x" * 300_000):
        document = read(page)
        assert document.blocks == ()
        assert [fault.code for fault in document.faults] == ["book-too-large"]


def test_deep_nesting_is_flattened():
    """What is nested deeper than the bound is read with what is around it, and that is said."""
    document = read("<div>" * 1000 + "deep" + "</div>" * 1000 + "<p>behind")
    assert shown(document) == ["deep", "behind"]
    assert [fault.code for fault in document.faults] == ["book-too-large"]
    assert document.faults[0].warning
