"""A PDF file opened, and its pages read off it one by one. The only module that knows the library that decodes them."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from rulewatch.intake.pdf_letters import Letters, letters
from rulewatch.intake.pdf_page import Bounds, Sheet
from rulewatch.intake.pdf_shapes import Shapes, shapes
from rulewatch.intake.pdf_turn import Turn
from rulewatch.model.fault import Fault, Place

_STREAM = re.compile(rb"<<((?:[^<>]|<<[^<>]*>>|<[^<>]*>){0,4000})>>\s{0,4}stream\r?\n")

_SHAPE = 4  # letters: the work that a line or picture makes
_TAIL = 4_096  # bytes in which the end of a file is looked for


class PageError(Exception):
    """A page that cannot be read, and why; made into a fault by whoever asked for the page."""


class Book:
    """An open file; made by `opened`."""

    def __init__(self, document: Any, bounds: Bounds) -> None:
        self._document = document
        self._bounds = bounds
        self.pages = len(document)

    def sheet(self, number: int) -> Sheet:
        """One page, from 1. PageError: it is damaged, or holds more than the bounds allow."""
        from pypdfium2 import PdfiumError, raw

        try:
            page = self._document[number - 1]
        except PdfiumError:
            raise PageError("it is damaged and cannot be shown") from None
        try:
            return self._read(page, raw, number)
        finally:
            page.close()

    def _read(self, page: Any, raw: Any, number: int) -> Sheet:
        objects = raw.FPDFPage_CountObjects(page)
        if objects > self._bounds.objects:
            raise PageError(f"it holds {objects:,} objects, and at most {self._bounds.objects:,} are read")
        turn = Turn.of(page.get_bbox(), page.get_rotation())
        if max(turn.width, turn.height) > self._bounds.paper:
            raise PageError(f"it is {turn.width / 72 * 0.0254:,.1f} m wide and {turn.height / 72 * 0.0254:,.1f} m high")
        text = page.get_textpage()
        try:
            count = raw.FPDFText_CountChars(text)
            if count > self._bounds.letters:
                raise PageError(f"it holds {count:,} characters, and at most {self._bounds.letters:,} are read")
            found = letters(raw, text, count, turn)
        finally:
            text.close()
        drawn = shapes(raw, page, found.turn, self._bounds.objects)
        if drawn is None:
            raise PageError(f"it holds more than the {self._bounds.objects:,} objects that are read")
        return _sheet(number, found, drawn, work=count + _SHAPE * drawn.seen)


def _sheet(number: int, found: Letters, drawn: Shapes, work: int) -> Sheet:
    return Sheet(
        number=number,
        width=found.turn.width,
        height=found.turn.height,
        glyphs=tuple(found.upright),
        sideways=found.sideways,
        unknown=found.unknown,
        rules=tuple(drawn.rules),
        fills=tuple(drawn.fills),
        pictures=tuple(drawn.pictures),
        drawn=tuple(drawn.drawn),
        links=tuple(drawn.links),
        struck=tuple(drawn.struck),
        underlined=tuple(drawn.underlined),
        work=work,
    )


@contextmanager
def opened(data: bytes, path: str, bounds: Bounds) -> Iterator[Book | Fault]:
    """The file as a `Book`, or why it is none: locked, damaged, too large, not a PDF."""
    from pypdfium2 import PdfDocument, PdfiumError

    fault = _refused(data, path, bounds)
    if fault:
        yield fault
        return
    try:
        document = PdfDocument(data)
    except PdfiumError as error:
        yield _unopened(path, getattr(error, "err_code", None))
        return
    try:
        book = Book(document, bounds)
        if book.pages == 0:
            yield _fault("book-damaged", path, "the PDF has no pages")
        elif book.pages > bounds.pages:
            yield _fault("book-too-large", path, f"the PDF has {book.pages:,} pages", f"at most {bounds.pages:,}")
        else:
            yield book
    finally:
        document.close()


def _unopened(path: str, code: int | None) -> Fault:
    from pypdfium2 import raw

    if code in {raw.FPDF_ERR_PASSWORD, raw.FPDF_ERR_SECURITY}:
        return _fault(
            "book-encrypted", path, "the PDF opens only with a password", remedy="save a copy without one, and take that in"
        )
    return _fault("book-damaged", path, "the PDF is damaged and does not open", remedy="fetch it again from the body")


def _refused(data: bytes, path: str, bounds: Bounds) -> Fault | None:
    """What can be said before the library sees the file."""
    if len(data) > bounds.size:
        found = f"the PDF is {len(data) / 1e6:,.0f} MB"
        return _fault("book-too-large", path, found, f"at most {bounds.size / 1e6:,.0f} MB")
    if b"%PDF-" not in data[:1024]:
        return _fault("book-damaged", path, "the file is not a PDF")
    if b"%%EOF" not in data.rstrip(b"\0\r\n\t ")[-_TAIL:]:
        return _fault("book-damaged", path, "the PDF is cut off: its end is missing", remedy="fetch it again from the body")
    if packed_too_tight(data, bounds.unpacked):
        found = f"a part of the PDF unpacks to more than {bounds.unpacked / 1e6:,.0f} MB"
        return _fault("book-too-large", path, found, remedy="no printed page needs that; fetch the book again from the body")
    return None


def packed_too_tight(data: bytes, most: int) -> bool:
    """Whether a compressed part that is no picture unpacks to more than that many bytes; looked at without keeping what it holds."""
    for match in _STREAM.finditer(data):
        head = match[1]
        if b"Flate" not in head or re.search(rb"/Subtype\s*/Image", head):
            continue
        if _unpacks_beyond(data, match.end(), most):
            return True
    return False


def _unpacks_beyond(data: bytes, start: int, most: int) -> bool:
    machine, size, at = zlib.decompressobj(), 0, start
    chunk = data[at : at + 65536]
    try:
        while chunk and not machine.eof:
            size += len(machine.decompress(chunk, 1 << 20))
            if size > most:
                return True
            at += 65536 if not machine.unconsumed_tail else 0
            chunk = machine.unconsumed_tail or data[at : at + 65536]
    except zlib.error:
        return False
    return False


def _fault(code: str, path: str, found: str, expected: str = "", remedy: str = "") -> Fault:
    return Fault(code=code, place=Place(path=path), found=found, expected=expected, remedy=remedy)
