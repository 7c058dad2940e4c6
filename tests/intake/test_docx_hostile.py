"""Files in DOCX that are damaged, made to do harm, or no DOCX at all: a clear fault within a bound, never an exception."""

from __future__ import annotations

import io
import time
import tracemalloc
import zipfile

import pytest
from made_docx import NAMES, cell, docx, p, packed, part, parts_of, relations, row, table

from rulewatch.intake.document import Document
from rulewatch.intake.docx import read_docx
from rulewatch.intake.docx_bounds import DEEPEST, LARGEST_FILE, LARGEST_PART, LARGEST_WHOLE, MOST_CELLS, MOST_PARTS

SECONDS = 30  # within which any file is answered; the worst of these took 4 on two cores
BOMB = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


def read(data: bytes) -> Document:
    """The document of a file, within the bound on time."""
    begun = time.process_time()
    document = read_docx(data, "book.docx")
    assert time.process_time() - begun < SECONDS
    return document


def only_fault(document: Document) -> tuple[str, str]:
    """The code and message of the only fault; there are no blocks."""
    (fault,) = document.faults
    assert not fault.warning
    assert document.blocks == ()
    return fault.code, fault.message


def with_document(xml: str | bytes, **more: str | bytes) -> bytes:
    """A file whose main part is this."""
    return packed({**parts_of(""), "word/document.xml": xml, **more})


@pytest.mark.parametrize("declaration", [BOMB, OUTSIDE, "<!DOCTYPE x>"])
@pytest.mark.parametrize("name", ["word/document.xml", "word/styles.xml"])
def test_entities(declaration, name):
    """A declaration of a document type is refused, before anything in it is looked at."""
    parts = parts_of(p("rule"), styles="")
    parts[name] = str(parts[name]).replace("?><", f"?>{declaration}<", 1)
    document = read(packed(parts))
    (fault,) = document.faults
    assert (fault.code, fault.warning) == ("book-damaged", False)
    assert "a declaration of a document type" in fault.message
    assert name in fault.message
    assert bool(document.blocks) == (name != "word/document.xml")


@pytest.mark.parametrize("name", ["word/document.xml", "word/numbering.xml", "word/header1.xml", "_rels/.rels"])
def test_a_zip_bomb(name):
    """A part that unpacks to more than the bound is given up there, in bounded memory."""
    parts = parts_of(p("rule"), numbering="", header1="")
    parts[name] = b"<a>" + b" " * (LARGEST_PART + 10)
    data = packed(parts)
    assert len(data) < 100_000
    tracemalloc.start()
    document = read(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "book-too-large" in [fault.code for fault in document.faults if not fault.warning]
    assert f"more than {LARGEST_PART:,} bytes, expected at most {LARGEST_PART:,} in one part" in document.faults[0].message
    assert peak < 4 * LARGEST_PART


def test_many_parts_that_each_are_within_the_bound():
    """The bound holds for all parts together."""
    body = b" " * (LARGEST_PART - 1_000)
    parts = parts_of(p("rule"), header1="", header2="")
    parts |= {f"word/header{number}.xml": str(parts["word/header1.xml"]).encode() + body for number in (1, 2)}
    messages = [fault.message for fault in read(packed(parts)).faults if fault.code == "book-too-large"]
    assert f"all parts unpack to more than {LARGEST_WHOLE:,} bytes, expected at most {LARGEST_WHOLE:,} in all" in messages[0]


def test_too_many_paragraphs(monkeypatch):
    """A book of more than any has is one fault, before its paragraphs are read."""
    monkeypatch.setattr("rulewatch.intake.docx.MOST_BLOCKS", 3)
    code, message = only_fault(read(docx(p("x") * 4)))
    assert code == "book-too-large"
    assert "paragraphs and tables" in message


def test_too_many_parts():
    """An archive with a list that never ends is not opened."""
    code, message = only_fault(read(docx(p("x")) + zipfile.stringCentralDir * (MOST_PARTS + 1)))
    assert code == "book-too-large"
    assert f"at most {MOST_PARTS:,}" in message


def test_too_many_bytes():
    """A file that is larger than the bound is not opened."""
    code, message = only_fault(read(b"PK\x03\x04" + bytes(LARGEST_FILE)))
    assert code == "book-too-large"
    assert "take the pictures out of it" in message


def test_too_deep():
    """Tags within each other without end are a fault; up to the bound they are read."""
    nested = lambda depth: part("document", "<w:body>" + "<w:sdt>" * depth + p("x") + "</w:sdt>" * depth + "</w:body>")  # noqa: E731
    assert only_fault(read(with_document(nested(DEEPEST))))[0] == "book-too-large"
    assert [block.text for block in read(with_document(nested(DEEPEST - 6))).blocks] == ["x"]


@pytest.mark.parametrize(
    "piece",
    [table(row("@")), "<w:p><w:r><w:drawing><w:txbxContent>@</w:txbxContent></w:drawing></w:r></w:p>", "<w:ins>@</w:ins>"],
)
def test_deep_nesting_of_all_kinds(piece):
    """Tables in tables and boxes in boxes are read to the depth that the bound allows, without an exception."""
    before, after = piece.split("@")
    for depth in range(1, DEEPEST, 3):
        read(docx(before * depth + p("x") + after * depth))


@pytest.mark.parametrize(
    "name", ["../../../etc/passwd", "/word/document.xml", "..\\..\\document.xml", "C:\\document.xml", "a" * 60_000]
)
def test_names_of_parts_lead_nowhere(name, tmp_path, monkeypatch):
    """Nothing is unpacked onto disk, whatever a part is called and whatever refers to it."""
    monkeypatch.chdir(tmp_path)
    parts = {**parts_of(p("rule")), name: b"x"}
    parts["word/_rels/document.xml.rels"] = relations(
        ("styles", name), ("header", "../../../../etc/passwd"), ("numbering", "file:///x")
    )
    document = read(packed(parts))
    assert [block.text for block in document.blocks] == ["rule"]
    assert list(tmp_path.iterdir()) == []


def test_addresses_outside_are_not_asked():
    """A part that lies outside the file is as if it were not named."""
    parts = parts_of(p("rule"))
    parts["word/_rels/document.xml.rels"] = relations(("styles", "http://127.0.0.1:9/x")).replace(
        "Type=", 'TargetMode="External" Type='
    )
    assert read(packed(parts)).faults == ()


def test_a_locked_part():
    """A part that opens only with a password says so."""
    data = bytearray(docx(p("x")))
    for sign, offset in ((b"PK\x01\x02", 8), (b"PK\x03\x04", 6)):
        at = -1
        while (at := data.find(sign, at + 1)) >= 0:
            data[at + offset] |= 1
    document = read(bytes(data))
    assert {fault.code for fault in document.faults} == {"book-encrypted"}


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_ways_of_packing(method):
    """What is packed as no DOCX is, is not unpacked."""
    document = read(packed(parts_of(p("x")), method))
    assert {fault.code for fault in document.faults} == {"book-damaged"}


def test_truncated_files():
    """A file that is cut off anywhere is damaged, and says so."""
    data = docx(p("x" * 2_000))
    for end in range(4, len(data), max(len(data) // 60, 1)):
        assert only_fault(read(data[:end]))[0] == "book-damaged"


@pytest.mark.parametrize(
    ("xml", "code", "words"),
    [
        (b"", "book-damaged", "no element found"),
        (b"<w:document", "book-damaged", "XML that cannot be read"),
        (b"\xff\xfe\x00", "book-damaged", "XML that cannot be read"),
        (b'<?xml version="1.0" encoding="no-such"?><a/>', "book-damaged", "XML that cannot be read"),
        (b'<?xml version="1.0" encoding="zip"?><a/>', "book-damaged", "XML that cannot be read"),
        (b"<html><body>x</body></html>", "book-damaged", "no text in the part"),
        (part("document", "<w:body/>").encode(), "book-empty", "no text in this file"),
    ],
)
def test_a_main_part_that_is_none(xml, code, words):
    """XML that does not parse, another kind of XML, and a book without words are faults."""
    found, message = only_fault(read(with_document(xml)))
    assert found == code
    assert words in message


def test_other_encodings():
    """XML is read in the encoding that it states."""
    xml = part("document", f"<w:body>{p('±5')}</w:body>").replace("UTF-8", "UTF-16").encode("utf-16")
    assert [block.text for block in read(with_document(xml)).blocks] == ["±5"]


@pytest.mark.parametrize(
    ("parts", "what"),
    [
        ({"xl/workbook.xml": ""}, "a spreadsheet (XLSX)"),
        ({"ppt/presentation.xml": ""}, "a presentation (PPTX)"),
        ({"mimetype": "application/vnd.oasis.opendocument.text", "content.xml": ""}, "an OpenDocument text (ODT)"),
        ({"mimetype": "application/epub+zip"}, "an electronic book (EPUB)"),
        ({"mimetype": "x" * 50}, "an archive (ZIP)"),
        ({"rules.pdf": "%PDF-"}, "unpack it, and take in the files in it"),
        ({}, "an archive (ZIP)"),
    ],
)
def test_other_archives(parts, what):
    """An archive of another kind is named, with what to do."""
    code, message = only_fault(read(packed(parts)))
    assert code == "book-kind"
    assert what in message


def test_styles_and_lists_that_rest_on_themselves():
    """A circle of styles ends; numbers beyond every measure are passed over."""
    styles = "".join(
        f'<w:style w:type="paragraph" w:styleId="{one}"><w:basedOn w:val="{other}"/></w:style>'
        for one, other in ("ab", "ba", "cc")
    )
    many = "9" * 5_000
    numbering = (
        f'<w:abstractNum w:abstractNumId="0"><w:numStyleLink w:val="z"/><w:lvl w:ilvl="{many}"><w:start w:val="{many}"/></w:lvl></w:abstractNum>'
        '<w:num w:numId="1"><w:abstractNumId w:val="0"/></w:num>'
    )
    properties = (
        f'<w:numPr><w:ilvl w:val="{many}"/><w:numId w:val="1"/></w:numPr><w:ind w:left="{many}"/><w:outlineLvl w:val="{many}"/>'
    )
    size = f'<w:r><w:rPr><w:sz w:val="{many}"/><w:color w:val="{many}"/></w:rPr><w:t>x</w:t><w:sym w:char="{many}"/></w:r>'
    body = "".join(p(size, style=style, properties=properties) for style in "abc")
    wide = f'<w:gridSpan w:val="{many}"/>'
    document = read(docx(body + table(row(cell(p("y"), properties=wide), "z")), styles=styles, numbering=numbering))
    assert [block.text for block in document.blocks][:3] == ["x\ufffd"] * 3


def test_a_note_that_calls_notes():
    """A note is given once, however often it is called, also from within notes."""
    call = '<w:r><w:footnoteReference w:id="1"/></w:r>'
    document = read(docx(p("a", call * 2_000), footnotes=f'<w:footnote w:id="1">{p("n", call)}</w:footnote>'))
    assert [block.text for block in document.blocks][1:] == ["1 n"]


def test_a_table_too_large_to_be_one():
    """A table of too many places is read cell after cell, and that is said."""
    wide = '<w:gridSpan w:val="200"/>'
    document = read(docx(table(row(cell(p("x"), properties=wide), "y") * 1, *[row("a", "b")] * (MOST_CELLS // 200))))
    assert "book-too-large" in [fault.code for fault in document.faults]
    assert document.blocks[0].text == "x"


@pytest.mark.parametrize(
    "piece",
    [
        "<w:r><w:t>a</w:t></w:r>",
        "<w:r><w:br/></w:r>",
        '<w:r><w:fldChar w:fldCharType="begin"/></w:r>',
        '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:fldChar w:fldCharType="separate"/></w:r>',
        "<w:r><w:instrText>TOC </w:instrText></w:r>",
        "<w:ins><w:r><w:t> a</w:t></w:r></w:ins>",
        "<w:r><w:drawing/></w:r>",
        "<w:r><w:commentReference/></w:r>",
        "</w:p><w:p>",
        "</w:p><w:p><w:pPr><w:rPr><w:del/></w:rPr></w:pPr><w:r><w:t>a</w:t></w:r>",
    ],
)
def test_many_of_one_thing(piece):
    """Thirty thousand of anything are read in seconds."""
    read(docx(f"<w:p>{piece * 30_000}</w:p>"))


def test_fields_within_each_other():
    """Fields in fields take no time that grows with the square of their depth."""
    begin = '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:fldChar w:fldCharType="separate"/><w:t>a</w:t></w:r>'
    end = '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
    assert read(docx(f"<w:p>{begin * 30_000}{end * 30_000}</w:p>")).blocks[0].text == "a" * 30_000


def test_too_many_tags(monkeypatch):
    """The bound on tags holds for all parts together."""
    monkeypatch.setattr("rulewatch.intake.docx_package.MOST_ELEMENTS", 3_000)
    document = read(docx("<w:p/>" * 2_000 + p("x"), styles="<w:style/>" * 2_000))
    assert [block.text for block in document.blocks] == ["x"]
    assert [(fault.code, fault.warning) for fault in document.faults] == [("book-too-large", False)]
    assert only_fault(read(docx("<w:p/>" * 4_000)))[0] == "book-too-large"


def test_a_file_is_never_changed_while_it_is_listed():
    """Two parts of one name: the one that the list names last counts, as for usual programs."""
    file = io.BytesIO(docx(p("first")))
    with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(file, "a") as archive:
        archive.writestr("word/document.xml", f"<w:document {NAMES}><w:body>{p('second')}</w:body></w:document>")
    assert [block.text for block in read(file.getvalue()).blocks] == ["second"]
