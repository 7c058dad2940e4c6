"""Which reader a published book needs: by its bytes first, then by the ending of its name."""

from __future__ import annotations

import re
from collections.abc import Callable

from rulewatch.intake.book_kinds import TAKEN_IN, Stranger, by_bytes
from rulewatch.intake.document import Document
from rulewatch.intake.encoding import MOST_BLOCKS, too_many_blocks
from rulewatch.model.fault import Fault, Place

START = 1_024  # bytes that are looked at
HTML_START = re.compile(
    rb"(?:\xef\xbb\xbf)?\s*(?:<!--.{0,500}?-->\s*|<\?xml[^>]{0,200}>\s*)*<(?:!doctype\s+html|html|head|body)\b",
    re.DOTALL | re.IGNORECASE,
)
FEW_ZEROS, ZEROS = 8, 0.001  # zero bytes that a text may have by mistake: so many, or that share
WIDE = (b"\xff\xfe", b"\xfe\xff")  # UTF-16 and UTF-32, in which text has zero bytes
ENDINGS = {
    **dict.fromkeys((".md", ".markdown", ".mdown", ".mkd"), "markdown"),
    **dict.fromkeys((".html", ".htm", ".xhtml", ".xht"), "html"),
    **dict.fromkeys((".txt", ".text", ".asc", ""), "text"),
}

Progress = Callable[[int, int], None]  # pages read, pages in all


def read_book(data: bytes, path: str, *, encoding: str = "", progress: Progress | None = None) -> Document:
    """The document of a published book. A file of another kind is one fault, which names what is taken in.

    `path` is the name that the faults give. `encoding` is that of a text or page, where a person knows better. `progress` is
    told how far a PDF is read.
    """
    kind = kind_of(data, path)
    if isinstance(kind, Fault):
        return Document(blocks=(), faults=(kind,))
    document = _read(kind, data, path, encoding, progress)
    return Document(blocks=(), faults=(too_many_blocks(path),)) if len(document.blocks) > MOST_BLOCKS else document


def _read(kind: str, data: bytes, path: str, encoding: str, progress: Progress | None) -> Document:
    """The document of a file of a known kind."""
    if kind == "pdf":
        from rulewatch.intake.pdf import read_pdf

        return read_pdf(data, path, progress=progress)
    if kind == "docx":
        from rulewatch.intake.docx import read_docx

        return read_docx(data, path)
    if kind == "html":
        from rulewatch.intake.html import read_html

        return read_html(data, path, encoding)
    if kind == "markdown":
        from rulewatch.intake.markdown import read_markdown

        return read_markdown(data, path, encoding)
    from rulewatch.intake.plain_text import read_plain_text

    return read_plain_text(data, path, encoding)


def kind_of(data: bytes, path: str) -> str | Fault:
    """`pdf`, `docx`, `html`, `markdown` or `text`. A fault where a file is none of these, or not what its name says.

    An archive counts as a DOCX here; its reader finds out whether it is one.
    """
    if not data:
        return Fault(code="book-empty", place=Place(path=path), found="an empty file", remedy="fetch it again")
    start = data[:START]
    if b"%PDF-" in start:
        return "pdf"
    if start.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "docx"
    if HTML_START.match(start):
        return "html"
    stranger = by_bytes(data, START) or _by_name(data, _ending(path))
    if stranger is None:
        return ENDINGS[_ending(path)]
    return Fault(code=stranger.code, place=Place(path=path), found=stranger.what, expected=TAKEN_IN, remedy=stranger.remedy)


def _by_name(data: bytes, ending: str) -> Stranger | None:
    """What is wrong with a file that its first bytes do not tell, by the ending of its name; nothing with one of text."""
    if ending in {".pdf", ".docx"}:
        what = f"a file that is no {ending[1:].upper()} although its name says so"
        return Stranger(what, "fetch it again", "book-damaged")
    zeros = 0 if data.startswith(WIDE) else data.count(b"\0")
    if zeros > max(FEW_ZEROS, ZEROS * len(data)):
        line = data.count(b"\n", 0, data.index(b"\0")) + 1
        return Stranger(f"a file that holds no text (byte 00 on line {line}, {zeros:,} in all)", "look what it is")
    if ending not in ENDINGS:
        return Stranger(f"a file whose name ends in {ending[:20]}", "if it is plain text, give its name the ending .txt")
    return None


def _ending(path: str) -> str:
    """The ending of a name, in small letters; nothing where there is none."""
    name = path.replace("\\", "/").rpartition("/")[2]
    stem, dot, ending = name.rpartition(".")
    return f".{ending.lower()}" if dot and stem else ""
