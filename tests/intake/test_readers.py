"""Which reader a file needs, and what is said of a file that none can read."""

from __future__ import annotations

import gzip

import pytest
from made_docx import docx, p, packed

from rulewatch.intake.readers import kind_of, read_book
from rulewatch.model.fault import Fault

HTML = b"<!DOCTYPE html><html><p>Rule."
OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(2_000)
MAIL = b"Return-Path: <a@example.org>\r\nReceived: x\r\nFrom: a@example.org\r\nSubject: rules\r\n\r\nRule."


def old(name: str) -> bytes:
    """An office file of the old kind with a stream of a name."""
    return OLD + name.encode("utf-16-le")


@pytest.mark.parametrize(
    ("data", "path", "kind"),
    [
        (b"%PDF-1.7", "rules.txt", "pdf"),
        (b"junk\n%PDF-1.4", "rules", "pdf"),
        (b"PK\x03\x04", "rules.pdf", "docx"),
        (HTML, "rules.txt", "html"),
        (b"\xef\xbb\xbf\n<!-- saved --><HTML>", "x.md", "html"),
        (b"<?xml version='1.0'?>\n<!DOCTYPE html>", "x", "html"),
        (b"<p>piece", "x.HTM", "html"),
        (b"<p>piece", "x.md", "markdown"),
        (b"# 1 Scope", "a.b/x.markdown", "markdown"),
        (b"# 1 Scope", "a.md/x", "text"),
        (b"1 Scope", "rules.TXT", "text"),
        ("1 Scope".encode("utf-16"), "rules.txt", "text"),
        (b"1 Scope", ".hidden", "text"),
    ],
)
def test_the_bytes_count_before_the_name(data, path, kind):
    """A file is what its bytes say; where they say nothing, what its name says."""
    assert kind_of(data, path) == kind


@pytest.mark.parametrize(
    ("data", "path", "code", "words"),
    [
        (b"", "rules.pdf", "book-empty", "an empty file"),
        (OLD, "rules.doc", "book-kind", "save it as DOCX, without a password"),
        (old("WordDocument"), "rules.doc", "book-kind", "a text of the old office format (DOC)"),
        (old("EncryptedPackage"), "rules.docx", "book-encrypted", "locked by a password"),
        (old("Workbook"), "rules.xls", "book-kind", "a spreadsheet of the old office format (XLS)"),
        (old("__properties_version1.0"), "rules.msg", "book-kind", "an e-mail (MSG)"),
        (MAIL, "rules.eml", "book-kind", "save what is attached to it"),
        (b"MIME-Version: 1.0\nContent-Type: multipart/related", "rules.mht", "book-kind", "a page saved in the form of one"),
        (b"RIFF\x10\0\0\0WEBPVP8 ", "rules.webp", "book-kind", "a picture"),
        (b"\xff\xd8\xff\xe0", "rules.jpg", "book-kind", "a picture"),
        (b"<?xml version='1.0'?>\n<svg xmlns='x'>", "rules.svg", "book-kind", "a picture"),
        (
            b"<?xml version='1.0'?>\n<?mso-application progid='x'?>",
            "rules.xml",
            "book-kind",
            "an office file in one piece of XML",
        ),
        (b"Rar!\x1a\x07\x01\0", "rules.rar", "book-kind", "a RAR archive"),
        (gzip.compress(b"1 Scope"), "rules.txt.gz", "book-kind", "unpack it first: gunzip NAME"),
        (b"{\\rtf1", "rules.rtf", "book-kind", "rich text format"),
        (b"\x89PNG\r\n", "rules.png", "book-kind", "a program for text recognition"),
        (b"text", "rules.pdf", "book-damaged", "no PDF although its name says so"),
        (b"text", "rules.docx", "book-damaged", "no DOCX although its name says so"),
        (b"a\n\0b" * 9, "rules.txt", "book-kind", "holds no text (byte 00 on line 2, 9 in all)"),
        (b"text", "rules.odt", "book-kind", "a file whose name ends in .odt"),
    ],
)
def test_what_is_not_taken_in(data, path, code, words):
    """A file of another kind is one clear fault, which names what is taken in, and gives no blocks."""
    fault = kind_of(data, path)
    assert isinstance(fault, Fault)
    assert (fault.code, fault.warning) == (code, False)
    assert words in fault.message
    if code != "book-empty":
        assert "a PDF, a DOCX, an HTML page, a Markdown file or a plain text" in fault.message
    document = read_book(data, path)
    assert (document.blocks, document.faults) == ((), (fault,))


def test_another_archive_is_named_by_its_reader():
    """What only an unpacked archive tells is told by the reader of DOCX."""
    document = read_book(packed({"xl/workbook.xml": ""}), "rules.xlsx")
    assert [(fault.code, fault.found) for fault in document.faults] == [("book-kind", "a spreadsheet (XLSX)")]


def test_a_text_that_begins_like_a_letter_is_none():
    """A rule book may begin with a heading and a colon."""
    assert kind_of(b"From: the committee\nSubject: rules of 2027\n\n1 Scope", "rules.txt") == "text"


@pytest.mark.parametrize(
    ("data", "path"), [(HTML, "x"), (b"Rule.", "x.md"), (b"Rule.", "x.txt"), (docx(p("Rule.")), "rules.txt")]
)
def test_each_kind_is_read(data, path):
    """The reader of the kind reads the book."""
    assert [block.text for block in read_book(data, path).blocks] == ["Rule."]


def test_a_stated_encoding_reaches_the_reader():
    """A person who knows the encoding of a text is believed."""
    assert read_book("Größe".encode("cp850"), "x.txt", encoding="cp850").blocks[0].text == "Größe"


@pytest.mark.parametrize("ending", ["txt", "md", "html"])
def test_a_few_zero_bytes_are_left_out_of_a_text(ending):
    """They are named with the line of the first."""
    document = read_book(b"<p>1.1 Rims.\n\n<p>1.2 Ty\0res.", f"rules.{ending}")
    assert "1.2 Tyres." in " ".join(block.text for block in document.blocks)
    assert [(fault.place.line, fault.warning) for fault in document.faults if "byte 00 was left out" in fault.message] == [
        (3, True)
    ]


@pytest.mark.parametrize("ending", ["txt", "md", "html"])
def test_more_paragraphs_than_any_book_has(ending, monkeypatch):
    """They are one fault, within any reader."""
    monkeypatch.setattr("rulewatch.intake.encoding.MOST_BLOCKS", 20)
    monkeypatch.setattr("rulewatch.intake.readers.MOST_BLOCKS", 20)
    document = read_book(b"<p>1</p>\n\n" * 22, f"rules.{ending}")
    assert document.blocks == ()
    assert [(fault.code, "more than 20 paragraphs" in fault.message) for fault in document.faults] == [("book-too-large", True)]
