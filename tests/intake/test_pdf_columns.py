"""Gutters and what only looks like one, of rows that are put together by hand."""

from __future__ import annotations

from rulewatch.intake.document import Mark
from rulewatch.intake.pdf_columns import agreed, may_have_columns
from rulewatch.intake.pdf_words import Row, Word

WORD, GAP = 20.0, 3.0  # points


def row(n: int, *stretches: tuple[float, float]) -> Row:
    """A row of words that fill stretches of it."""
    base = 100.0 + 12 * n
    words = []
    for start, end in stretches:
        at = start
        while at < end:
            words.append(Word((), "rim", at, min(at + WORD, end), base, 10.0, marks=(Mark.NONE,)))
            at += WORD + GAP
    return Row(tuple(words), base, 10.0)


LEFT, RIGHT, ACROSS = (50.0, 280.0), (310.0, 545.0), (50.0, 545.0)
COLUMNS = [row(n, LEFT, RIGHT) for n in range(40)]
PLAIN = [row(n, ACROSS) for n in range(40)]


def middles(pages: list[list[Row]]) -> list[list[int]]:
    """Where the gutters of pages are."""
    return [[round(gutter.middle) for gutter in page] for page in agreed(pages)]


def test_a_river_within_a_column_is_no_gutter():
    """White that a quarter of the rows cross, beside a strip that none does."""
    river = [row(n, LEFT, *([RIGHT] if n % 4 == 0 else [(310.0, 430.0), (440.0, 545.0)])) for n in range(40)]
    assert middles([river]) == [[294]]


def test_a_page_with_a_strip_where_another_has_its_gutter():
    """Few rows beside the left column are enough there; a page without a strip has none."""
    short = [row(n, LEFT, *([(310.0, 450.0)] if n < 3 else [])) for n in range(20)]
    assert middles([COLUMNS, short, PLAIN]) == [[294], [294], []]


def test_a_page_that_may_have_columns():
    """Rows with a clear strip that was taken for none, since lines beside it do not fill their measure."""
    ragged = [row(n, (50.0, 280.0 if n % 4 == 0 else 140.0), (310.0, 545.0 if n % 4 == 0 else 400.0)) for n in range(40)]
    assert middles([ragged]) == [[]]
    assert may_have_columns(ragged)
    assert not may_have_columns(PLAIN)
