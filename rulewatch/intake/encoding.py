"""Bytes of a text file into text: by its byte order mark, by what it says of itself, as UTF-8, else as windows-1252."""

from __future__ import annotations

import codecs

from rulewatch.model.fault import Fault, Place

MOST_BLOCKS = 100_000  # paragraphs and tables of a book; one of 200 pages has some 3,000
LARGEST_TEXT = 20_000_000  # bytes; the Debian Policy Manual has half a million
MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark it begins with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
WESTERN = "windows-1252"
ALSO_WESTERN = {"iso8859-1", "ascii"}  # browsers read these as windows-1252, as the Encoding Standard of WHATWG asks


def decoded(data: bytes, path: str, stated: str = "") -> tuple[str, tuple[Fault, ...]]:
    """The text of a file with line feeds alone, and what was doubtful. `stated` is the encoding that it claims.

    What is not UTF-8 and claims nothing is read as windows-1252, with a warning; so are zero bytes left out. A text above a bound is
    a fault, and empty.
    """
    if len(data) > LARGEST_TEXT:
        return "", (too_large(path, f"{len(data):,} bytes", f"at most {LARGEST_TEXT:,} bytes of text"),)
    text, faults = _decoded(data, path, stated)
    if text.count("\n\n") > MOST_BLOCKS:
        return "", (too_many_blocks(path),)
    zeros = text.count("\0")
    if zeros:
        line = text.count("\n", 0, text.index("\0")) + 1
        found = "a byte 00 was left out" if zeros == 1 else f"{zeros:,} bytes 00 were left out, the first here"
        remedy = "look whether a letter is missing"
        faults = (
            *faults,
            Fault(code="encoding-guessed", place=Place(path=path, line=line), found=found, remedy=remedy, warning=True),
        )
    return text.replace("\0", ""), faults


def _decoded(data: bytes, path: str, stated: str) -> tuple[str, tuple[Fault, ...]]:
    """The same of a text within the bounds, zero bytes among it."""
    for mark, encoding in MARKS:
        if data.startswith(mark):
            return _read(data.removeprefix(mark), encoding, path)
    name, faults = _known(stated, path)
    if name and not name.startswith("utf-8"):
        text, more = _read(data, name, path)
        return text, (*faults, *more)
    try:
        return _lines(data.decode("utf-8")), faults
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        text, more = _read(data, WESTERN, path)
        found = f"byte {data[error.start]:02X} on line {line} is not UTF-8, so the file was read as {WESTERN}"
        remedy = "check letters with accents and signs such as ± and °; if they are wrong, save the file as UTF-8"
        place = Place(path=path, line=line)
        return text, (*faults, Fault(code="encoding-guessed", place=place, found=found, remedy=remedy, warning=True), *more)


def _known(stated: str, path: str) -> tuple[str, tuple[Fault, ...]]:
    """Python's name of an encoding for text; nothing, with a warning, where it is none."""
    if not stated:
        return "", ()
    try:
        name = codecs.lookup(stated).name
        "".encode(name)  # raises for the codecs of Python that are no text, such as zip
    except (LookupError, ValueError):
        found = f"the file claims the encoding {stated[:40]!r}, which is not known; it was read as if it said nothing"
        return "", (Fault(code="encoding-guessed", place=Place(path=path), found=found, warning=True),)
    return WESTERN if name in ALSO_WESTERN else name, ()


def _read(data: bytes, encoding: str, path: str) -> tuple[str, tuple[Fault, ...]]:
    """The text in an encoding; says so where bytes mean nothing in it."""
    text = _lines(data.decode(encoding, errors="replace"))
    lost = text.count("\ufffd")
    if not lost:
        return text, ()
    line = text.count("\n", 0, text.index("\ufffd")) + 1
    found = f"{lost} places are not {encoding} and show as \ufffd"
    return text, (Fault(code="encoding-guessed", place=Place(path=path, line=line), found=found, warning=True),)


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def too_many_blocks(path: str) -> Fault:
    """A book of more paragraphs and tables than any has."""
    return too_large(path, f"more than {MOST_BLOCKS:,} paragraphs and tables", f"at most {MOST_BLOCKS:,}")


def too_large(path: str, found: str, expected: str) -> Fault:
    """A book that exceeds a bound."""
    return Fault(code="book-too-large", place=Place(path=path), found=found, expected=expected, remedy="split the file")
