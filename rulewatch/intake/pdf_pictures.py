"""Pictures and drawings, with the words in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rulewatch.intake.pdf_layout import Figure
from rulewatch.intake.pdf_page import Box, Sheet
from rulewatch.intake.pdf_words import Word, rows_of

_SMALLEST, _LARGEST = 0.01, 0.6  # of the page: a smaller one is an ornament, a larger one the page's ground
_NEAR = 12.0  # points: what is drawn so near each other is one drawing
_STROKES = 5  # the least that make a drawing
_MOST = 400  # boxes that are put together one by one; more make one drawing

Place = tuple[int, int, int, int]


def place(box: Box) -> Place:
    """Where a picture stands, to the point."""
    return round(box.left), round(box.top), round(box.right), round(box.bottom)


def repeated(sheets: Sequence[Sheet]) -> set[Place]:
    """The places at which page after page shows a picture, such as a sign in its head."""
    counts = Counter(where for sheet in sheets for where in {place(box) for box in sheet.pictures})
    return {where for where, count in counts.items() if count >= max(3, 0.2 * len(sheets))}


def figures(words: Sequence[Word], sheet: Sheet, ignored: set[Place]) -> tuple[list[Figure], list[Word]]:
    """The pictures and drawings of a page from the top, and the words outside of them."""
    page = sheet.width * sheet.height
    boxes = [box for box in sheet.pictures if place(box) not in ignored]
    boxes += _drawings(sheet.drawn)
    boxes = [_cut(box, sheet) for box in boxes]
    boxes = sorted((box for box in _apart(boxes) if _SMALLEST * page <= box.area <= _LARGEST * page), key=lambda box: box.top)
    found: list[Figure] = []
    rest = list(words)
    for box in boxes:
        inside = [word for word in rest if box.holds((word.left + word.right) / 2, word.base - word.size / 3)]
        found.append(Figure(box, tuple(rows_of(inside))))
        rest = [word for word in rest if not box.holds((word.left + word.right) / 2, word.base - word.size / 3)]
    return found, rest


def _cut(box: Box, sheet: Sheet) -> Box:
    return Box(max(box.left, 0), max(box.top, 0), min(box.right, sheet.width), min(box.bottom, sheet.height))


def _drawings(drawn: Sequence[Box]) -> list[Box]:
    """Strokes that lie near each other, as one box each; fewer than a few are an ornament."""
    if len(drawn) > _MOST:
        return [_around(drawn)]
    groups: list[list[Box]] = []
    for box in drawn:
        near = [group for group in groups if any(_touch(box, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([box, *(other for group in near for other in group)])
    return [_around(group) for group in groups if len(group) >= _STROKES]


def _apart(boxes: Sequence[Box]) -> list[Box]:
    """Boxes that overlap as one."""
    found: list[Box] = []
    for box in boxes:
        over = [other for other in found if _touch(box, other, 0)]
        found = [other for other in found if other not in over]
        found.append(_around([box, *over]))
    return found


def _touch(one: Box, other: Box, near: float = _NEAR) -> bool:
    return (
        one.left - near <= other.right
        and other.left - near <= one.right
        and one.top - near <= other.bottom
        and other.top - near <= one.bottom
    )


def _around(boxes: Sequence[Box]) -> Box:
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )
