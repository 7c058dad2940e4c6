"""What a page holds besides letters: lines, filled areas, pictures, links and the marks that readers of a PDF can put on it."""

from __future__ import annotations

import ctypes
from dataclasses import dataclass, field
from typing import Any

from rulewatch.intake.pdf_page import Box, Rule
from rulewatch.intake.pdf_turn import Turn

Matrix = tuple[float, float, float, float, float, float]

_PLAIN: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_THIN = 3.0  # points: a rectangle that is no thicker is a line
_STRAIGHT = 0.5  # points: by how much a level line may rise
_DEEP = 8  # forms within forms
_MANY_CORNERS = 400  # a path of more is a drawing
_WHITE = 250
_UNDERLINE, _STRIKE = 10, 12  # kinds of annotation, as the library numbers those of ISO 32000-1, table 169


@dataclass(slots=True, kw_only=True)
class Shapes:
    """Everything found on one page; `seen` counts what was looked at."""

    rules: list[Rule] = field(default_factory=list)
    fills: list[Box] = field(default_factory=list)
    pictures: list[Box] = field(default_factory=list)
    drawn: list[Box] = field(default_factory=list)
    links: list[Box] = field(default_factory=list)
    struck: list[Box] = field(default_factory=list)
    underlined: list[Box] = field(default_factory=list)
    seen: int = 0


def shapes(raw: Any, page: Any, turn: Turn, most: int) -> Shapes | None:
    """All of a page's; None where there are more than `most`, those inside of forms counted."""
    reader = _Reader(raw, turn, most)
    whole = reader.objects(raw.FPDFPage_CountObjects, raw.FPDFPage_GetObject, page, _PLAIN, 0)
    if not whole:
        return None
    reader.links(page)
    reader.notes(page)
    return reader.found


class _Reader:
    def __init__(self, raw: Any, turn: Turn, most: int) -> None:
        self.raw, self.turn, self.most = raw, turn, most
        self.found = Shapes()
        self.floats = tuple(ctypes.c_float() for _ in range(4))
        self.colour = tuple(ctypes.c_uint() for _ in range(4))
        self.matrix = raw.FS_MATRIX()
        self.width = ctypes.c_float()
        self.fill, self.stroke = ctypes.c_int(), ctypes.c_int()

    def objects(self, count_of: Any, object_of: Any, holder: Any, outer: Matrix, depth: int) -> bool:
        """Look at every object of a page or of a form on it; False as soon as there are too many."""
        raw, found = self.raw, self.found
        for n in range(count_of(holder)):
            found.seen += 1
            if found.seen > self.most:
                return False
            item = object_of(holder, n)
            kind = raw.FPDFPageObj_GetType(item)
            if kind == raw.FPDF_PAGEOBJ_PATH:
                self.path(item, outer)
            elif kind == raw.FPDF_PAGEOBJ_IMAGE:
                found.pictures.append(Box(*self.extent(item, outer)))
            elif kind == raw.FPDF_PAGEOBJ_FORM and depth < _DEEP:
                inner = _within(self.placed(item), outer)
                if not self.objects(raw.FPDFFormObj_CountObjects, raw.FPDFFormObj_GetObject, item, inner, depth + 1):
                    return False
        return True

    def placed(self, item: Any) -> Matrix:
        m = self.matrix
        return (m.a, m.b, m.c, m.d, m.e, m.f) if self.raw.FPDFPageObj_GetMatrix(item, m) else _PLAIN

    def extent(self, item: Any, outer: Matrix) -> tuple[float, float, float, float]:
        if not self.raw.FPDFPageObj_GetBounds(item, *self.floats):
            return 0.0, 0.0, 0.0, 0.0
        left, bottom, right, top = (value.value for value in self.floats)
        corners = [_moved(outer, x, y) for x in (left, right) for y in (bottom, top)]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return self.turn.box_of(min(xs), min(ys), max(xs), max(ys))

    def path(self, item: Any, outer: Matrix) -> None:
        """A path: its level and upright lines, its filled rectangles, or else the room that it takes."""
        raw = self.raw
        raw.FPDFPath_GetDrawMode(item, self.fill, self.stroke)
        filled, drawn = bool(self.fill.value), bool(self.stroke.value)
        if not filled and not drawn:  # a clipping path
            return
        whole = self.extent(item, outer)
        paint = self.painted(item, raw.FPDFPageObj_GetFillColor if filled else raw.FPDFPageObj_GetStrokeColor)
        if paint is None:
            return
        thin = min(whole[2] - whole[0], whole[3] - whole[1]) <= _THIN
        if thin and filled:
            self.found.rules.append(Rule(*whole, paint))
            return
        if raw.FPDFPath_CountSegments(item) > _MANY_CORNERS:
            self.found.drawn.append(Box(*whole))
            return
        lines = self.lines(item, outer)
        if lines is None:
            self.found.drawn.append(Box(*whole))
            return
        if filled:
            self.found.fills.append(Box(*whole, paint))
        edge = self.painted(item, raw.FPDFPageObj_GetStrokeColor) if drawn else None
        if edge is not None and min(edge) < _WHITE:
            raw.FPDFPageObj_GetStrokeWidth(item, self.width)
            half = max(self.width.value, 0.1) / 2
            self.found.rules += [Rule(*_thick(line, half), edge) for line in lines]

    def painted(self, item: Any, ask: Any) -> tuple[int, int, int] | None:
        """The colour that something is painted in; None where it does not show at all."""
        if not ask(item, *self.colour):
            return 0, 0, 0
        red, green, blue, solid = (part.value for part in self.colour)
        return (red, green, blue) if solid else None

    def lines(self, item: Any, outer: Matrix) -> list[tuple[float, float, float, float]] | None:
        """The level and upright lines of a path, on the page; None if it has any other."""
        raw = self.raw
        matrix = _within(self.placed(item), outer)
        x, y = self.floats[0], self.floats[1]
        found: list[tuple[float, float, float, float]] = []
        start = here = (0.0, 0.0)
        for n in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, n)
            kind = raw.FPDFPathSegment_GetType(segment)
            if kind == raw.FPDF_SEGMENT_BEZIERTO:
                return None
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            there = self.turn.point(*_moved(matrix, x.value, y.value))
            ways = [] if kind == raw.FPDF_SEGMENT_MOVETO else [(here, there)]
            if kind == raw.FPDF_SEGMENT_MOVETO:
                start = there
            here = there
            if raw.FPDFPathSegment_GetClose(segment):
                ways.append((there, start))
                here = start
            for (ax, ay), (bx, by) in ways:
                if min(abs(ax - bx), abs(ay - by)) > _STRAIGHT:
                    return None
                if max(abs(ax - bx), abs(ay - by)) > _STRAIGHT:
                    found.append((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))
        return found

    def links(self, page: Any) -> None:
        """Where the page can be clicked."""
        raw = self.raw
        at, link, rect = ctypes.c_int(0), raw.FPDF_LINK(), raw.FS_RECTF()
        while raw.FPDFLink_Enumerate(page, at, link) and self.found.seen < self.most:
            self.found.seen += 1
            if raw.FPDFLink_GetAnnotRect(link, rect):
                self.found.links.append(Box(*self.turn.box_of(rect.left, rect.bottom, rect.right, rect.top)))

    def notes(self, page: Any) -> None:
        """Strikes and underlines that lie over the page as notes."""
        raw = self.raw
        quad = raw.FS_QUADPOINTSF()
        for n in range(min(raw.FPDFPage_GetAnnotCount(page), self.most - self.found.seen)):
            self.found.seen += 1
            note = raw.FPDFPage_GetAnnot(page, n)
            kind = raw.FPDFAnnot_GetSubtype(note)
            if kind in {_UNDERLINE, _STRIKE}:
                marks = self.found.struck if kind == _STRIKE else self.found.underlined
                for k in range(min(raw.FPDFAnnot_CountAttachmentPoints(note), 100)):
                    raw.FPDFAnnot_GetAttachmentPoints(note, k, quad)
                    xs, ys = (quad.x1, quad.x2, quad.x3, quad.x4), (quad.y1, quad.y2, quad.y3, quad.y4)
                    marks.append(Box(*self.turn.box_of(min(xs), min(ys), max(xs), max(ys))))
            raw.FPDFPage_CloseAnnot(note)


def _within(inner: Matrix, outer: Matrix) -> Matrix:
    """First the inner, then the outer."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _moved(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _thick(line: tuple[float, float, float, float], half: float) -> tuple[float, float, float, float]:
    left, top, right, bottom = line
    if right - left >= bottom - top:
        return left, top - half, right, bottom + half
    return left - half, top, right + half, bottom
