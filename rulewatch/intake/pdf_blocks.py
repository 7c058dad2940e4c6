"""Rows of one column into paragraphs, as the page shows them: by gaps, indents, sizes, and lines that end before they need to."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from rulewatch.intake.document import Line, Mark, Run, Spot
from rulewatch.intake.pdf_page import Look
from rulewatch.intake.pdf_words import Row, Word, parted

_GAP = 1.25  # of the usual distance between bases: a wider one parts paragraphs
_MOST = 1.75  # of the size: a distance between bases that is wider parts them in any case
_OTHER_SIZE = 0.05  # of the size
_INDENT = 0.6  # of the size: what is set further in, or out, than by that shows
_SLACK = 0.3  # of the size, for the gap of a word and the unevenness of a measure


def paragraphs(rows: Sequence[Row]) -> list[list[Row]]:
    """Rows from the top into paragraphs."""
    found: list[list[Row]] = []
    for group in _apart(rows):
        found += _by_lines(group)
    return found


def _apart(rows: Sequence[Row]) -> list[list[Row]]:
    """Parted where the page shows a gap or another size or weight."""
    steps = [below.base - above.base for above, below in pairwise(rows) if _alike(above, below)]
    usual = median(steps) if steps else 0.0
    close = [step for step in steps if step <= usual * 1.02]
    usual = median(close) if close else usual
    found: list[list[Row]] = []
    for row in rows:
        if found:
            above = found[-1][-1]
            step = row.base - above.base
            if _alike(above, row) and 0 < step <= min(usual * _GAP, above.size * _MOST):
                found[-1].append(row)
                continue
        found.append([row])
    return found


def _alike(above: Row, below: Row) -> bool:
    return abs(above.size - below.size) <= _OTHER_SIZE * above.size and above.bold == below.bold


def _by_lines(group: list[Row]) -> list[list[Row]]:
    """Parted where a line ends though the next word would have fitted, and where a line is set in or out as a paragraph's first is."""
    edge = max(row.right for row in group)
    found = [[group[0]]]
    for above, row in pairwise(group):
        first = row.words[0]
        short = above.right + (first.right - first.left) + _SLACK * above.size < edge - _SLACK * above.size
        if short or _begins(found[-1], row):
            found.append([row])
        else:
            found[-1].append(row)
    return found


def _begins(paragraph: list[Row], row: Row) -> bool:
    """Whether a row is set in or out from the lines of the paragraph so far in a way that its second line would not be."""
    if len(paragraph) == 1:
        return row.left < paragraph[0].left - 2 * _INDENT * row.size
    return abs(row.left - paragraph[-1].left) > _INDENT * row.size


def line(row: Row, spot: Spot, edge: float) -> Line:
    """A row as the document has it; `edge` is the left edge from which its indent counts."""
    runs: list[Run] = []
    for n, word in enumerate(row.words):
        gap = bool(n) and parted(row.words[n - 1], word)
        for run in _runs(word):
            _add(runs, run, gap=gap)
            gap = False
    return Line(runs=tuple(runs), spot=spot, indent=round(max(0.0, row.left - edge), 1))


def _add(runs: list[Run], run: Run, *, gap: bool) -> None:
    """Put a run behind the others, in one with the last where they look the same."""
    if runs and (last := runs[-1]) and _looks(last) == _looks(run):
        runs[-1] = _run(last.text + " " * gap + run.text, last)
        return
    if gap:  # a space belongs to no mark unless both its sides do
        if not runs[-1].mark:
            runs[-1] = _run(runs[-1].text + " ", runs[-1])
        elif not run.mark:
            run = _run(" " + run.text, run)
        else:
            runs.append(_run(" ", Run(text="", size=run.size)))
    runs.append(run)


def _looks(run: Run) -> tuple[Mark, bool, bool, bool, float]:
    return run.mark, run.bold, run.italic, run.raised, run.size


def _run(text: str, like: Run) -> Run:
    return Run(text=text, mark=like.mark, bold=like.bold, italic=like.italic, raised=like.raised, size=like.size)


def _runs(word: Word) -> list[Run]:
    """A word as runs; several where its letters differ in look or mark."""
    first = word.look
    if len(word.marks) == 1 and all(glyph.look is first for glyph in word.glyphs):
        return [_shown(word.text, first, word.marks[0], raised=word.raised)]
    marks = word.marks if len(word.marks) > 1 else word.marks * len(word.glyphs)
    found: list[Run] = []
    for glyph, mark in zip(word.glyphs, marks, strict=True):
        run = _shown(glyph.text, glyph.look, mark, raised=word.raised)
        if found and _looks(found[-1]) == _looks(run):
            found[-1] = _run(found[-1].text + glyph.text, run)
        else:
            found.append(run)
    return found


def _shown(text: str, look: Look, mark: Mark, *, raised: bool) -> Run:
    return Run(text=text, mark=mark, bold=look.bold, italic=look.italic, raised=raised, size=look.size)
