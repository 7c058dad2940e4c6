"""Tables in plain text: drawn with signs, under a line of dashes a column, or of aligned columns, where that is sure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rulewatch.intake.plain_pages import Row

BARS = "|│║┃"
JUNCTIONS = BARS + "+┌┬┐├┼┤└┴┘╔╦╗╠╬╣╚╩╝╟╫╢╤╧╪╞╡╥╨╒╕╘╛╓╖╙╜┏┳┓┣╋┫┗┻┛╭╮╰╯"
STROKES = "-=─═━"
BORDER = re.compile(rf"(?=.*[{re.escape(STROKES)}]{{3}})[{re.escape(JUNCTIONS + STROKES)} ]+\Z")
RULED = re.compile(r"\s*[=-]{2,}(?:\s+[=-]{2,})+\Z")  # a line of dashes for each column
LABEL = re.compile(r"(?:[-*•·o–—]|\(?(?:§ ?)?[0-9a-zA-Z]{1,4}(?:\.[0-9a-zA-Z]{1,4})*[.)]*)\Z")  # what numbers an item
FEWEST, MOST = 3, 2_000  # lines of a table of aligned columns
WIDEST = 400  # characters of its lines

Cells = list[list[tuple[Row, str]]]  # of a table's row: the lines of each cell, with the row that each is from


def drawn(rows: Sequence[Row]) -> list[Cells] | None:
    """A table that is drawn with signs; nothing where the lines are none."""
    texts = [row.text for row in rows]
    content = [text.strip()[:1] and text.strip()[0] in BARS and text[-1] in BARS for text in texts]
    border = [bool(BORDER.match(text)) for text in texts]
    if not any(border) or not all(a or b for a, b in zip(content, border, strict=True)) or all(border):
        return None
    filled = [text for text, line in zip(texts, border, strict=True) if not line]
    edges = {at for text, line in zip(texts, border, strict=True) if line for at in _found(text, JUNCTIONS)}
    if len(edges) < 3:  # noqa: PLR2004 - two edges are one column: the lines of the frame alone
        edges = set.intersection(*(set(_found(text, BARS)) for text in filled))
    columns = sorted(edges)
    if len(columns) < 3:  # noqa: PLR2004
        return None
    groups = list(_groups(rows, border))
    separated = len(groups) > 2 or len(filled) == len(groups)  # noqa: PLR2004 - head and body alone are not rows
    made: list[Cells] = []
    for group in groups:
        for at, row in enumerate(group):
            parts = _drawn_cells(row.text, columns)
            goes_on = at > 0 and (separated or not parts[0])
            _add(made, row, parts, goes_on=goes_on)
    return made


def _groups(rows: Sequence[Row], border: Sequence[bool]) -> Iterator[list[Row]]:
    """The lines between borders."""
    group: list[Row] = []
    for row, line in zip(rows, border, strict=True):
        if line and group:
            yield group
            group = []
        elif not line:
            group.append(row)
    if group:
        yield group


def _drawn_cells(text: str, columns: Sequence[int]) -> list[str]:
    """The cells of a line. One that spans columns has its words in the first of them."""
    parts: list[str] = []
    start, open_at = columns[0] + 1, 0
    for at, column in enumerate(columns[1:]):
        parts.append("")
        if column >= len(text) or text[column] in BARS or at == len(columns) - 2:
            parts[open_at] = text[start:column].strip()
            start, open_at = column + 1, at + 1
    return parts


def _found(text: str, signs: str) -> list[int]:
    return [at for at, sign in enumerate(text) if sign in signs]


def _add(made: list[Cells], row: Row, parts: Sequence[str], *, goes_on: bool) -> None:
    """A line of cells as a row of its own, or as more lines of the row before."""
    if not goes_on or not made:
        made.append([[] for _ in parts])
    for cell, part in zip(made[-1], parts, strict=True):
        if part:
            cell.append((row, part))


def ruled(rows: Sequence[Row]) -> list[Cells] | None:
    """A table whose columns are given by a line of dashes for each; nothing where the lines are none."""
    lines = [at for at, row in enumerate(rows) if RULED.match(row.text)]
    if not lines or lines[0] > 1 or len(rows) - len(lines) < 2:  # noqa: PLR2004 - a head and a row
        return None
    starts = [match.start() for match in re.finditer(r"[=-]+", rows[lines[0]].text)]
    made: list[Cells] = []
    for at, row in enumerate(rows):
        if at in lines or set(row.text.strip()) <= set(STROKES):
            continue
        ends = [*starts[1:], max(len(row.text), starts[-1] + 1)]
        if row.indent < starts[0] or any(row.text[start - 1 : start].strip() for start in starts[1:]):
            return None
        parts = [row.text[start:end].strip() for start, end in zip(starts, ends, strict=True)]
        _add(made, row, parts, goes_on=not parts[0])
    return made


def aligned(rows: Sequence[Row]) -> list[Cells] | None:
    """A table of aligned columns: in each line words in each column, all at its left or all at its right edge.

    Lines that each begin with a label or a bullet are items.
    """
    if not FEWEST <= len(rows) <= MOST or max(len(row.text) for row in rows) > WIDEST:
        return None
    spans = _columns([row.text for row in rows])
    if len(spans) < 2:  # noqa: PLR2004 - one column is text
        return None
    made: list[Cells] = []
    for row in rows:
        parts = [row.text[start:end].strip() for start, end in spans]
        if not all(parts):
            return None
        _add(made, row, parts, goes_on=False)
    lists = all(LABEL.match(cells[0][0][1]) for cells in made)
    return None if lists or not all(_straight(rows, *span, either=at > 0) for at, span in enumerate(spans)) else made


def _straight(rows: Sequence[Row], start: int, end: int, *, either: bool) -> bool:
    """Whether the words of a column begin at one place, or, where either will do, end at one."""
    lefts = {len(row.text[start:end]) - len(row.text[start:end].lstrip()) for row in rows}
    rights = {len(row.text[start:end].rstrip()) for row in rows}
    return len(lefts) == 1 or (either and len(rights) == 1)


def _columns(texts: Sequence[str]) -> list[tuple[int, int]]:
    """The columns of lines, parted by two or more places that are empty in every line."""
    width = max(map(len, texts))
    used = [False] * width
    for text in texts:
        for at, sign in enumerate(text):
            if sign != " ":
                used[at] = True
    shape = "".join("x" if each else " " for each in used)
    return [(match.start(), match.end()) for match in re.finditer(r"x+(?: x+)*", shape)]
