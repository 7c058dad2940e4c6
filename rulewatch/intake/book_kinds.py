"""Files that are no book in a format which is taken in: by what they are known, what they are called, and what helps."""

from __future__ import annotations

import re
from typing import NamedTuple

TAKEN_IN = "a PDF, a DOCX, an HTML page, a Markdown file or a plain text"
SAVE_AS_DOCX = "open it in an office program and save it as DOCX, without a password"
SAVE_TEXT = "save its text as DOCX or PDF"
SAVE_AS_PDF = "save it as PDF"
FOR_TEXT = "ask the body for a file with text, or let a program for text recognition make one of it"
UNPACK_PAGES = "unpack it, and take in the HTML pages in it"
SAVE_MAIL = "save what is attached to it, or its text as a plain text, and take that in"
PICTURE = "a picture"


class Stranger(NamedTuple):
    """A kind of file: its name, what to do, and the code of the fault."""

    what: str
    remedy: str
    code: str = "book-kind"


def _packed(program: str, command: str) -> Stranger:
    return Stranger(f"a file packed by {program}", f"unpack it first: {command} NAME")


# By their first bytes.
STARTS: tuple[tuple[bytes, Stranger], ...] = (
    (b"{\\rtf", Stranger("a file in rich text format (RTF)", SAVE_AS_DOCX)),
    (b"\x1f\x8b", _packed("gzip", "gunzip")),
    (b"BZh", _packed("bzip2", "bunzip2")),
    (b"\xfd7zXZ\x00", _packed("xz", "unxz")),
    (b"7z\xbc\xaf\x27\x1c", Stranger("a 7z archive", "unpack it first")),
    (b"Rar!\x1a\x07", Stranger("a RAR archive", "unpack it first")),
    *(
        (sign, Stranger(PICTURE, FOR_TEXT))
        for sign in (b"\x89PNG", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"GIF8", b"AT&TFORM", b"\x00\x00\x00\x0cjP")
    ),
    (b"%!PS", Stranger("a PostScript file", "make a PDF of it")),
)
# By a pattern at the beginning, such as a length between two fixed words.
PATTERNS: tuple[tuple[re.Pattern[bytes], Stranger], ...] = (
    (re.compile(rb"RIFF.{4}WEBP|.{4}ftyp(?:heic|heix|mif1|avif)|BM.{4}\0{4}", re.DOTALL), Stranger(PICTURE, FOR_TEXT)),
    (
        re.compile(rb"(?:\xef\xbb\xbf)?\s*<svg\b|(?:\xef\xbb\xbf)?\s*<\?xml[^>]{0,200}>.{0,600}?<svg\b", re.DOTALL),
        Stranger(PICTURE, FOR_TEXT),
    ),
    (
        re.compile(
            rb"(?:\xef\xbb\xbf)?\s*<\?xml[^>]{0,200}>.{0,300}?<(?:\?mso-application|w:wordDocument|pkg:package|office:document)\b",
            re.DOTALL,
        ),
        Stranger("an office file in one piece of XML", SAVE_AS_DOCX),
    ),
    (
        re.compile(
            rb"MIME-Version:|(?:From |(?:Return-Path|Received|Delivered-To|From|To|Subject|Date|Message-ID|MIME-Version|X-[\w-]+):)"
            rb"(?=.*?^(?:MIME-Version|Message-ID|Received):).*?^(?:From|Subject|Date|Content-Type):",
            re.DOTALL | re.MULTILINE | re.IGNORECASE,
        ),
        Stranger("an e-mail, or a page saved in the form of one", SAVE_MAIL),
    ),
)
# Office files of the old kind hold a list of names; the first that occurs tells what they are.
OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
OLD_NAMES: tuple[tuple[str, Stranger], ...] = (
    ("EncryptedPackage", Stranger("an office file that is locked by a password", SAVE_AS_DOCX, "book-encrypted")),
    ("WordDocument", Stranger("a text of the old office format (DOC)", SAVE_AS_DOCX)),
    ("Workbook", Stranger("a spreadsheet of the old office format (XLS)", SAVE_TEXT)),
    ("PowerPoint Document", Stranger("a presentation of the old office format (PPT)", SAVE_AS_PDF)),
    ("__properties_version", Stranger("an e-mail (MSG)", SAVE_MAIL)),
)
OLD_OTHER = Stranger("an office file of the old kind", SAVE_AS_DOCX)
# Archives are known by a part of theirs, or by the kind that they state.
ARCHIVES: tuple[tuple[str, Stranger], ...] = (
    ("xl/workbook.xml", Stranger("a spreadsheet (XLSX)", SAVE_TEXT)),
    ("xl/workbook.bin", Stranger("a spreadsheet (XLSB)", SAVE_TEXT)),
    ("ppt/presentation.xml", Stranger("a presentation (PPTX)", SAVE_AS_PDF)),
    ("visio/document.xml", Stranger("a drawing (VSDX)", SAVE_AS_PDF)),
    ("index/document.iwa", Stranger("a file of an office program that keeps another format", SAVE_AS_DOCX)),
    ("meta-inf/container.xml", Stranger("an electronic book (EPUB)", UNPACK_PAGES)),
)
STATED: dict[str, Stranger] = {
    "application/vnd.oasis.opendocument.text": Stranger("an OpenDocument text (ODT)", SAVE_AS_DOCX),
    "application/vnd.oasis.opendocument.spreadsheet": Stranger("an OpenDocument spreadsheet (ODS)", SAVE_TEXT),
    "application/vnd.oasis.opendocument.presentation": Stranger("an OpenDocument presentation (ODP)", SAVE_AS_PDF),
    "application/epub+zip": Stranger("an electronic book (EPUB)", UNPACK_PAGES),
}
ARCHIVE = Stranger("an archive (ZIP) without a text of an office program in it", "unpack it, and take in the files in it")


def by_bytes(data: bytes, looked_at: int) -> Stranger | None:
    """What a file is by its bytes, if they say that it is none of those that are taken in; `looked_at` is how many at its beginning."""
    if data.startswith(OLD_OFFICE):
        return next((stranger for name, stranger in OLD_NAMES if name.encode("utf-16-le") in data), OLD_OTHER)
    found = next((stranger for sign, stranger in STARTS if data.startswith(sign)), None)
    start = data[:looked_at]
    return found or next((stranger for pattern, stranger in PATTERNS if pattern.match(start)), None)
