"""Small PDFs for one case each: drawn by the drawing library, or put together from their parts where a file must be odd or broken."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import pytest

WIDTH, HEIGHT = 595.0, 842.0
LINE = "The rear wing shall not exceed 900 mm in any direction of the car."
SHOWN = b"BT /F 10 Tf 60 700 Td (The wing is 900 mm wide) Tj ET\n"


def drawn(*pages: Callable[[Any], object], **options: Any) -> bytes:
    """A PDF of A4 pages, each drawn by a function that gets the canvas; letters are of 10 points unless it sets others."""
    pytest.importorskip("reportlab", reason="reportlab is in the dev extra")
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(WIDTH, HEIGHT), invariant=1, **options)
    for draw in pages:
        canvas.setFont("Times-Roman", 10)
        draw(canvas)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def text(canvas: Any, *lines: str, x: float = 60, y: float = 80, leading: float = 12.5) -> None:
    """Lines of text from so far below the top."""
    for n, line in enumerate(lines):
        canvas.drawString(x, HEIGHT - y - leading * n, line)


def numbered(count: int, first: int = 1) -> list[str]:
    """Lines that differ, each a sentence of its own words."""
    names = ("wing", "rim", "sill", "hoop", "belt", "duct", "tray", "plate")
    return [
        f"{n} The {names[n % 8]} of part {n * 37 % 1000} shall not exceed {n * 13 % 800} mm."
        for n in range(first, first + count)
    ]


def assembled(objects: Sequence[bytes], extra: bytes = b"") -> bytes:
    """A PDF from its objects; the first is its root."""
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, made in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + made + b"\nendobj\n"
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    for place in places:
        out += b"%010d 00000 n \n" % place
    out += b"trailer <</Size %d/Root 1 0 R%s>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, extra, start)
    return bytes(out)


def stream(data: bytes, head: bytes = b"") -> bytes:
    """An object that holds data."""
    return b"<</Length %d%s>>\nstream\n" % (len(data), head) + data + b"\nendstream"


def one_page(
    content: bytes,
    *,
    head: bytes = b"",
    resources: bytes = b"",
    page: bytes = b"",
    font: bytes = b"<</Type/Font/Subtype/Type1/BaseFont/Times-Roman>>",
    more: Iterable[bytes] = (),
) -> bytes:
    """A PDF of one page; `head` is said of its content, `more` are objects from number 6 on."""
    return assembled(
        [
            b"<</Type/Catalog/Pages 2 0 R>>",
            b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
            b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>%s>>%s>>"
            % (resources, page),
            stream(content, head),
            font,
            *more,
        ]
    )
