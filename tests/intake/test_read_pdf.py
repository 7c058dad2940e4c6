"""PDFs into documents: whole books by two producers against the text that they were made from, then one small file for each case."""

from __future__ import annotations

import re
import zlib
from functools import cache

import pytest
from made_books import INSERTED, STRUCK
from rapidfuzz.distance import Indel
from small_pdfs import LINE, SHOWN, assembled, drawn, numbered, one_page, stream, text

from rulewatch.intake.document import Block, Document, Kind, Line, Mark
from rulewatch.intake.pdf import read_pdf
from rulewatch.intake.pdf_book import read_pages
from rulewatch.intake.pdf_page import Bounds

PRINTED = [(name, producer) for name in ("one column", "two columns") for producer in ("chromium", "reportlab")]
LEADER = re.compile(r"( ?\.){5,}")


@pytest.fixture(params=PRINTED, ids=" by ".join)
def printed(request, printed_book):
    """A made book, its producer, and the document that is read of its PDF; each is read once."""
    name, producer = request.param
    book, pdf = printed_book(name, producer)
    return book, producer, _read_once(pdf)


@cache
def _read_once(pdf: bytes) -> Document:
    return read_pages(pdf, "book.pdf")


def lines_of(block: Block) -> list[Line]:
    """Every line of a block, those in cells row by row."""
    return [*block.lines, *(line for row in block.rows for cell in row for line in cell)]


def words(lines: list[Line], mark: Mark | None = None) -> list[str]:
    """The words of lines, of one mark or all: without superior figures and leaders; words parted by a line end are whole, without hyphens."""
    found: list[str] = []
    parted = False
    for line in lines:
        shown = "".join(run.text if mark in {None, run.mark} else " " for run in line.runs if not run.raised)
        own = LEADER.sub(" ", shown).split()
        if parted and own and shown[:1].islower():
            found[-1] += own.pop(0)
        found += own
        parted = bool(own) and shown.endswith("-")
    return [word.replace("-", "") for word in found]


def faults(document: Document) -> list[tuple[str, bool, str]]:
    """Code, whether it is a warning, and what was found."""
    return [(fault.code, fault.warning, fault.found) for fault in document.faults]


def blocks(document: Document) -> list[tuple[str, str]]:
    """Kind and words of each block; cells are parted by bars, rows by strokes."""
    return [
        (
            block.kind.value,
            " / ".join(" | ".join(" ".join(line.text for line in cell) for cell in row) for row in block.rows) or block.text,
        )
        for block in document.blocks
    ]


def share(expected: list[str], found: list[str]) -> float:
    """How many of the expected words were found in order, in per cent."""
    return 50 * Indel.similarity(expected, found) / len(expected)


# Whole books


def test_words_in_order(printed):
    """Of a book of at least 60 pages at least 99.5 % of the words come in order, and hardly any besides."""
    book, producer, document = printed
    notes = producer == "chromium"  # there at the end of their chapter, otherwise on each page
    kinds = set(Kind) if notes else {Kind.TEXT, Kind.TABLE}
    found = words([line for block in document.blocks if block.kind in kinds for line in lines_of(block)])
    expected = [word.replace("-", "") for word in book.words(notes=notes)]
    assert document.pages >= 60
    assert share(expected, found) >= 99.5
    assert len(found) <= 1.002 * len(expected)


@pytest.mark.parametrize("mark", [STRUCK, INSERTED])
def test_marked_words(printed, mark):
    """At least 99 % of the words that are struck, or inserted, are marked so, by lines or by colours, and hardly any others."""
    book, _, document = printed
    expected = [word.replace("-", "") for word in book.marked(mark)]
    found = words([line for block in document.blocks for line in lines_of(block)], Mark(mark))
    assert len(expected) > 300
    assert share(expected, found) >= 99
    assert len(found) <= 1.01 * len(expected)


def test_no_running_head_or_foot_in_a_block(printed):
    """Heads, feet and page numbers stand in no block, and one warning says that they were left out."""
    book, _, document = printed
    whole = [" ".join(line.text for line in lines_of(block)) for block in document.blocks]
    assert [text for text in whole if book.title in text] == [book.title]
    assert not [text for text in whole if book.foot in text or (book.head in text and text != book.title)]
    assert all(whole.count(chapter.title) == 1 for chapter in book.chapters)
    assert [fault.code for fault in document.faults] == ["furniture", "marks-by-look"]


def test_tables(printed):
    """Every table is one block with its rows and cells, with lines and without, also where it goes on in another column."""
    book, _, document = printed
    found = [
        [[" ".join(words(list(cell))) for cell in row] for row in block.rows]
        for block in document.blocks
        if block.kind is Kind.TABLE
    ]
    assert len(book.tables) > 20
    assert found == [[[cell.replace("-", "") for cell in row] for row in table.rows] for table in book.tables]


def test_footnotes_and_their_calls(printed):
    """Footnotes are blocks of their own that begin with their sign; the sign in the text is raised."""
    book, producer, document = printed
    calls = [
        run.text.strip()
        for block in document.blocks
        if block.kind is Kind.TEXT
        for line in block.lines
        for run in line.runs
        if run.raised and not line.text.startswith(run.text)
    ]
    assert calls == [note.sign for note in book.notes]
    if producer == "reportlab":
        found = [" ".join(words(list(block.lines))) for block in document.blocks if block.kind is Kind.NOTE]
        assert [text.removeprefix(note.sign).strip() for text, note in zip(found, book.notes, strict=True)] == [
            note.text.replace("-", "") for note in book.notes
        ]


def test_spots_grow(printed):
    """Lines are counted from 1 on each page, no number comes twice, and only the head of a table that goes on is passed over."""
    _, _, document = printed
    spots = [(line.spot.page, line.spot.line) for block in document.blocks for line in lines_of(block)]
    by_page: dict[int, list[int]] = {}
    for page, line in spots:
        by_page.setdefault(page, []).append(line)
    assert all(min(lines) >= 1 and len(set(lines)) == len(lines) for lines in by_page.values())
    assert all(max(lines) <= len(lines) + 8 for lines in by_page.values())
    assert sorted(by_page) == list(range(1, document.pages + 1))


# The page


def test_a_page_that_is_shown_turned():
    """A page that the file turns is read as it is shown."""
    sideways = b"0 1 -1 0 595 0 cm " + SHOWN.replace(b"60 700", b"60 400")
    assert blocks(read_pages(one_page(sideways, page=b"/Rotate 90"), "x")) == [("text", "The wing is 900 mm wide")]


def test_a_page_whose_text_is_turned():
    """A wide page that lies on its side is read the way its text runs."""
    assert blocks(read_pages(one_page(b"0 1 -1 0 595 0 cm " + SHOWN.replace(b"60 700", b"60 400")), "x")) == [
        ("text", "The wing is 900 mm wide")
    ]


def test_text_along_the_margin():
    """Text that runs another way than the page's is left out, and said so."""

    def draw(canvas):
        text(canvas, *numbered(4))
        canvas.rotate(90)
        canvas.drawString(300, -30, "Draft of 3 May")

    document = read_pages(drawn(draw), "x")
    assert "Draft" not in str(blocks(document))
    assert faults(document) == [
        ("text-hidden", True, "page 1: text that runs another way than the page’s was left out: “Draft of 3 May”")
    ]


def test_columns_that_change_between_pages():
    """One column, then two under a heading over both, then one again: each in its own order."""
    one, left, right, last = numbered(20), numbered(30, 100), numbered(30, 200), numbered(20, 300)

    def two(canvas):
        text(canvas, "5 Wheels and tyres of every class of the club and what is fitted to them, for all cars of the year")
        canvas.setFontSize(8)
        text(canvas, *left, y=110)
        text(canvas, *right, x=310, y=110)

    document = read_pages(drawn(lambda c: text(c, *one), two, lambda c: text(c, *last)), "x")
    found = [line.text for block in document.blocks for line in block.lines]
    assert [line.split()[0] for line in found] == [line.split()[0] for line in [*one, "5 Wheels", *left, *right, *last]]


def test_a_page_with_a_strip_where_another_has_its_gutter():
    """The few lines of its right column are read behind the left ones; a page without a strip is read across."""
    first, left, right, last = numbered(60, 100), numbered(20, 200), numbered(3, 300), numbered(20, 400)

    def columns(before, behind):
        def draw(canvas):
            canvas.setFontSize(8)
            text(canvas, *before)
            text(canvas, *behind, x=310)

        return draw

    pages = drawn(columns(first[:30], first[30:]), columns(left, right), lambda c: text(c, *[f"{one} {one}" for one in last]))
    found = [line.text for block in read_pages(pages, "x").blocks for line in block.lines]
    assert [line.split()[0] for line in found] == [line.split()[0] for line in [*first, *left, *right, *last]]


def test_a_page_that_may_have_two_columns_is_named():
    """Where a strip is clear from top to bottom, but most lines beside it are too short to tell columns from a table."""
    rest = " and a car of this class of the club has one and the same rim"

    def draw(canvas):
        canvas.setFontSize(8)
        for x, word in ((60, "rims"), (310, "tyres")):
            text(canvas, *(f"{n} The {word} of it" + rest * (n % 5 == 0) for n in range(40)), x=x)

    found = [(code, warning) for code, warning, _ in faults(read_pages(drawn(draw), "x"))]
    assert found == [("columns-unsure", True)]


def test_hidden_text():
    """Words that are white on white, unpainted, tiny or off the page are left out and named; white words on a dark ground are read."""

    def draw(canvas):
        text(canvas, LINE)
        canvas.rect(50, 600, 200, 30, fill=1)
        canvas.setFillColorRGB(1, 1, 1)
        canvas.drawString(60, 610, "light on dark")
        canvas.drawString(60, 500, "white")
        canvas.setFillColorRGB(0, 0, 0)
        unpainted = canvas.beginText(60, 480)
        unpainted.setTextRenderMode(3)
        unpainted.textLine("unpainted")
        canvas.drawText(unpainted)
        canvas.drawString(700, 460, "beyond")
        canvas.setFontSize(0.8)
        canvas.drawString(60, 440, "tiny")

    document = read_pages(drawn(draw), "x")
    assert {found for _, found in blocks(document)} == {LINE, "light on dark"}
    assert faults(document) == [
        ("text-hidden", True, "page 1: text that the page does not show was left out: “white unpainted beyond tiny”")
    ]


def test_a_word_that_is_drawn_twice_to_look_bold():
    """It is read once."""
    document = read_pages(drawn(lambda c: [text(c, LINE), text(c, LINE, x=60.3)]), "x")
    assert blocks(document) == [("text", LINE)]


# Marks


def test_marks_that_are_notes_on_the_page():
    """Strikes and underlines that the file keeps as annotations count as those that are drawn."""
    quad = b"/QuadPoints[%d 710 %d 710 %d 698 %d 698]/Rect[%d 698 %d 710]>>"
    struck = b"<</Type/Annot/Subtype/StrikeOut" + quad % (60, 78, 60, 78, 60, 78)
    under = b"<</Type/Annot/Subtype/Underline" + quad % (78, 101, 78, 101, 78, 101)
    document = read_pages(one_page(SHOWN, page=b"/Annots[6 0 R 7 0 R]", more=[struck, under]), "x")
    runs = [(run.text.strip(), run.mark) for run in document.blocks[0].lines[0].runs if run.mark]
    assert runs == [("The", Mark.STRUCK), ("wing", Mark.INSERTED)]


@pytest.mark.parametrize("linked", [True, False])
def test_the_line_under_a_link(linked):
    """Blue underlined words are an insertion, but not where they can be clicked."""

    def draw(canvas):
        text(canvas, *numbered(12))
        canvas.setFillColorRGB(0, 0, 1)
        canvas.setStrokeColorRGB(0, 0, 1)
        canvas.setLineWidth(0.6)
        canvas.drawString(60, 500, "see the list of parts")
        canvas.line(60, 498.5, 60 + canvas.stringWidth("see the list of parts", "Times-Roman", 10), 498.5)
        if linked:
            canvas.linkURL("https://example.org", (58, 495, 160, 512))

    last = read_pages(drawn(draw), "x").blocks[-1]
    assert {run.mark for line in last.lines for run in line.runs} == {Mark.NONE if linked else Mark.INSERTED}


def test_a_colour_of_headings_is_no_mark():
    """A colour in which the headings are printed marks nothing, also where it occurs elsewhere once."""

    def draw(canvas):
        for n in range(6):
            canvas.setFillColorRGB(0, 0.2, 0.7)
            canvas.setFont("Times-Bold", 14)
            text(canvas, f"{n} Wheels and tyres", y=80 + 100 * n)
            canvas.setFillColorRGB(0, 0, 0)
            canvas.setFont("Times-Roman", 10)
            text(canvas, *numbered(5, 10 * n), y=97 + 100 * n)

    document = read_pages(drawn(draw), "x")
    assert not any(run.mark for block in document.blocks for line in block.lines for run in line.runs)


# Pictures, scans, pages without text


def test_pictures_and_pages_without_text():
    """Both are reported with their page; a sign that every page shows is not."""
    pixel = b"/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8"
    sign = b" q 90 0 0 90 480 700 cm /I Do Q "
    others = SHOWN.replace(b"wing", b"rim"), SHOWN.replace(b"wing", b"sill"), SHOWN.replace(b"wing", b"belt")
    contents = [SHOWN + b"q 200 0 0 150 60 300 cm /I Do Q" + sign, *(other + sign for other in others), b""]
    pages = [
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents %d 0 R/Resources<</Font<</F 3 0 R>>/XObject<</I 4 0 R>>>>>>"
        % n
        for n in (5, 6, 7, 8, 9)
    ]
    root = [b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[10 0 R 11 0 R 12 0 R 13 0 R 14 0 R]/Count 5>>"]
    shared = [b"<</Type/Font/Subtype/Type1/BaseFont/Times-Roman>>", stream(b"\0", pixel)]
    document = read_pages(assembled([*root, *shared, *map(stream, contents), *pages]), "x")
    assert [(block.kind, block.spot.page) for block in document.blocks if block.kind is Kind.PICTURE] == [(Kind.PICTURE, 1)]
    assert [fault[:2] for fault in faults(document)] == [("page-without-text", True), ("picture", True)]
    assert faults(document)[0][2].startswith("page 5: ")
    assert faults(document)[1][2].startswith("page 1: ")


def test_a_scanned_book():
    """A book of pictures gets one clear message and no blocks."""
    image = stream(b"\0", b"/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8")
    document = read_pages(one_page(b"q 595 0 0 842 0 0 cm /I Do Q", resources=b"/XObject<</I 6 0 R>>", more=[image]), "x")
    assert document.blocks == ()
    assert faults(document) == [("book-scanned", False, "1 of 1 pages are pictures without text: the book was scanned")]


def test_a_scanned_page_with_recognised_words():
    """Words that lie unpainted over the picture of a page are read, with a warning to check them."""
    image = stream(b"\0", b"/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8")
    content = b"q 595 0 0 842 0 0 cm /I Do Q " + SHOWN.replace(b"BT", b"BT 3 Tr")
    document = read_pages(one_page(content, resources=b"/XObject<</I 6 0 R>>", more=[image]), "x")
    assert blocks(document) == [("text", "The wing is 900 mm wide")]
    assert [fault[:2] for fault in faults(document)] == [("book-scanned", True)]


def test_letters_that_the_file_does_not_name():
    """A font that does not say what its signs are gives no text, and a clear message."""
    odd = b"<</Type/Font/Subtype/Type1/BaseFont/ABCDEF+Odd/Encoding<</Type/Encoding/Differences[1/g1/g2/g3]>>>>"
    document = read_pages(one_page(b"BT /F 10 Tf 60 700 Td (\1\2\3\1\2) Tj ET", font=odd), "x")
    assert document.blocks == ()
    assert [fault[:2] for fault in faults(document)] == [("encoding-guessed", False)]


# Broken and hostile files


def test_a_locked_book():
    """A book that opens only with a password is one fault; one that is only locked against changes is read."""
    encryption = pytest.importorskip("reportlab.lib.pdfencrypt", reason="reportlab is in the dev extra")
    locked = drawn(lambda c: text(c, LINE), encrypt=encryption.StandardEncryption("secret", "owner"))
    assert [fault[:2] for fault in faults(read_pages(locked, "x"))] == [("book-encrypted", False)]
    open_ = drawn(lambda c: text(c, LINE), encrypt=encryption.StandardEncryption("", "owner"))
    assert blocks(read_pages(open_, "x")) == [("text", LINE)]


@pytest.mark.parametrize("part", [0.02, 0.3, 0.7, 0.99])
def test_a_book_that_is_cut_off(part):
    """Nothing is read of a file whose end is missing."""
    whole = one_page(SHOWN)
    document = read_pages(whole[: int(len(whole) * part)], "x")
    assert document.blocks == ()
    assert [fault[:2] for fault in faults(document)] == [("book-damaged", False)]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "book-damaged"),
        (b"%PDF-1.7\n%%EOF\n", "book-damaged"),
        (b"<html>no PDF</html>", "book-damaged"),
        (assembled([b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[]/Count 0>>"]), "book-damaged"),
        (assembled([b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[2 0 R 2 0 R]/Count 1000000>>"]), "book-too-large"),
        (one_page(zlib.compress(b" " * 65_000_000, 9), head=b"/Filter/FlateDecode"), "book-too-large"),
        (one_page(b""), "book-empty"),
    ],
    ids=["empty", "nothing in it", "another kind", "no pages", "pages in a circle", "unpacks to too much", "no text"],
)
def test_what_is_no_book(data, code):
    """One fault, which says why, and no blocks."""
    document = read_pages(data, "x")
    assert document.blocks == ()
    assert [fault[:2] for fault in faults(document)] == [(code, False)]


def test_a_file_of_100_000_objects():
    """Objects that no page uses do not matter."""
    data = one_page(SHOWN, more=[b"<</A %d>>" % n for n in range(100_000)])
    assert blocks(read_pages(data, "x")) == [("text", "The wing is 900 mm wide")]


def test_a_page_of_100_000_objects():
    """A page beyond the bounds is a fault that names it; the others are read."""
    data = one_page(SHOWN + b"0 0 m 9 9 l S\n" * 100_000)
    document = read_pages(data, "x")
    assert document.blocks == ()
    assert faults(document) == [
        ("page-unread", False, "page 1 was not read: it holds 100,001 objects, and at most 60,000 are read")
    ]


def test_work_beyond_the_bounds():
    """Where a book holds too much in all, the pages that were not read are named."""
    document = read_pages(drawn(*[lambda c: text(c, *numbered(20))] * 3), "x", bounds=Bounds(work=1000))
    assert faults(document)[0][0] == "page-unread"
    assert faults(document)[0][2].startswith("pages 2 to 3 were not read")


@pytest.mark.parametrize(
    ("bounds", "why"),
    [
        (Bounds(seconds=1.5), "page 1 of the PDF took longer than 1.5 seconds to decode"),
        (Bounds(memory=600_000_000), "page 1 of the PDF cannot be decoded: the attempt broke down"),
    ],
    ids=["time", "memory"],
)
def test_a_part_that_holds_itself(bounds, why):
    """A form that draws itself ten times over is stopped by time, or by the memory that it takes."""
    form = b"/Type/XObject/Subtype/Form/BBox[0 0 595 842]/Resources<</Font<</F 5 0 R>>/XObject<</X 6 0 R>>>>"
    data = one_page(b"/X Do " + SHOWN, resources=b"/XObject<</X 6 0 R>>", more=[stream(b"/X Do\n" * 10 + SHOWN, form)])
    document = read_pdf(data, "x", bounds=bounds)
    assert document.blocks == ()
    assert faults(document) == [("book-damaged", False, why)]


def test_a_file_beyond_the_size():
    """It is not even handed on."""
    assert faults(read_pdf(b"%PDF-" + b" " * 2_000_000, "x", bounds=Bounds(size=1_000_000))) == [
        ("book-too-large", False, "the PDF is 2 MB")
    ]


def test_progress_and_the_same_document_from_the_other_process():
    """Pages are told one by one from none to all, and what comes back is what is read here."""
    pdf = drawn(*[lambda c: text(c, *numbered(20))] * 3)
    told: list[tuple[int, int]] = []
    document = read_pdf(pdf, "x", progress=lambda page, pages: told.append((page, pages)))
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]
    assert document == read_pages(pdf, "x")
    assert document.pages == 3
