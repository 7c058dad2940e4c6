"""The letters of a page, read off the library with as few calls a letter as it allows."""

from __future__ import annotations

import ctypes
import math
import re
from collections import Counter
from typing import Any, NamedTuple

from rulewatch.intake.pdf_page import Glyph, Look
from rulewatch.intake.pdf_turn import Turn

_BOLD = re.compile(r"bold|black|heavy|demi", re.IGNORECASE)
_ITALIC = re.compile(r"italic|oblique", re.IGNORECASE)
_FLAG_ITALIC, _FLAG_BOLD = 1 << 6, 1 << 18  # ISO 32000-1, table 123
_UNPAINTED = {3, 7}  # text rendering modes that draw nothing: ISO 32000-1, table 106
_WRITTEN = {"ﬀ": "ff", "ﬁ": "fi", "ﬂ": "fl", "ﬃ": "ffi", "ﬄ": "ffl", "ﬅ": "st", "ﬆ": "st", "‐": "-", "‑": "-"}
_LINE_END_HYPHEN = 2  # the library's own sign for a hyphen at the end of a line
_MOST_OF = 0.8

_Found = tuple[str, float, float, float, float, int]  # a letter, its left, bottom, right and top, and the piece that it is of


class _Piece(NamedTuple):
    """What the library set in one go: its look, where it runs, where its first letter stands, and whether the file says which it is."""

    look: Look
    direction: int | None
    x: float
    y: float
    known: bool


class Letters(NamedTuple):
    """The letters that run as most of the page's do, the text of those that do not, how the page is turned to read them.

    `unknown` counts those of which the file does not say what they are.
    """

    upright: list[Glyph]
    sideways: str
    turn: Turn
    unknown: int


def letters(raw: Any, text: Any, count: int, turn: Turn) -> Letters:
    """All of a page's; `count` is how many the library knows of."""
    pieces, found = _read(raw, text, count, turn)
    most = Counter(pieces[one[5]].direction for one in found).most_common(1)
    main: int | None = 0
    if most and most[0][0] and most[0][1] > _MOST_OF * len(found):
        main = most[0][0]
        turn = turn.further(-most[0][0])
    upright: list[Glyph] = []
    sideways: list[str] = []
    bases = [turn.point(piece.x, piece.y)[1] for piece in pieces]
    for letter, left, bottom, right, top, index in found:
        piece = pieces[index]
        if piece.direction != main:
            sideways.append(letter)
        else:
            start, end = turn.span(left, bottom, right, top)
            upright.append(Glyph(_WRITTEN.get(letter, letter), start, end, bases[index], piece.look, index))
    unknown = sum(not pieces[one[5]].known for one in found)
    return Letters(upright, "".join(sideways).strip(), turn, unknown)


def _read(raw: Any, text: Any, count: int, turn: Turn) -> tuple[list[_Piece], list[_Found]]:
    """Every letter of a page, and the pieces that they belong to."""
    pieces: list[_Piece] = []
    found: list[_Found] = []
    object_of = ctypes.cast(raw.FPDFText_GetTextObject, ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int))
    page = ctypes.cast(text.raw, ctypes.c_void_p)
    code_of, box_of = raw.FPDFText_GetUnicode, raw.FPDFText_GetLooseCharBox
    box = raw.FS_RECTF()
    at_box = ctypes.byref(box)
    handle = text.raw
    last, looks = None, _Looks(raw, handle, turn)
    for n in range(count):
        address = object_of(page, n)
        if not address:  # a space or a line end that the library thought of itself
            continue
        if address != last:
            last = address
            pieces.append(looks.piece(n))
        code = code_of(handle, n)
        letter = "-" if code == _LINE_END_HYPHEN else chr(code)
        box_of(handle, n, at_box)
        found.append((letter, box.left, box.bottom, box.right, box.top, len(pieces) - 1))
    return pieces, found


class _Looks:
    """Asks how the letters of a piece look; each question once a piece."""

    def __init__(self, raw: Any, handle: Any, turn: Turn) -> None:
        self.raw, self.handle, self.turn = raw, handle, turn
        self.matrix = raw.FS_MATRIX()
        self.x, self.y = ctypes.c_double(), ctypes.c_double()
        self.colour = tuple(ctypes.c_uint() for _ in range(4))
        self.flags = ctypes.c_int()
        self.name = ctypes.create_string_buffer(256)
        self.known: dict[Look, Look] = {}

    def piece(self, n: int) -> _Piece:
        raw, handle, matrix = self.raw, self.handle, self.matrix
        raw.FPDFText_GetMatrix(handle, n, matrix)
        raw.FPDFText_GetCharOrigin(handle, n, self.x, self.y)
        raw.FPDFText_GetFillColor(handle, n, *self.colour)
        raw.FPDFText_GetFontInfo(handle, n, self.name, 256, self.flags)
        mode = raw.FPDFTextObj_GetTextRenderMode(raw.FPDFText_GetTextObject(handle, n))
        size = raw.FPDFText_GetFontSize(handle, n) * math.hypot(matrix.c, matrix.d)
        name = self.name.value.decode("utf-8", "replace")
        red, green, blue, solid = (part.value for part in self.colour)
        look = Look(
            size=round(size, 1),
            bold=bool(_BOLD.search(name)) or bool(self.flags.value & _FLAG_BOLD),
            italic=bool(_ITALIC.search(name)) or bool(self.flags.value & _FLAG_ITALIC),
            colour=(red, green, blue),
            drawn=mode not in _UNPAINTED and solid > 0,
        )
        look = self.known.setdefault(look, look)
        known = raw.FPDFText_HasUnicodeMapError(handle, n) != 1
        return _Piece(look, self.turn.direction(matrix.a, matrix.b), self.x.value, self.y.value, known)
