"""Books of known text, printed by two producers or as a page, and taken in: every clause once, every word, every mark."""

from __future__ import annotations

from functools import cache

import made_truth
import pytest
from made_books import INSERTED, STRUCK, Book, book
from printed_books import as_html

from rulewatch.intake.html import read_html
from rulewatch.intake.numbering_style import Numbering
from rulewatch.intake.pdf import read_pdf
from rulewatch.intake.structure import Structured, structure

NAMES = ("one column", "two columns")
WORDS, MARKS = 0.995, 0.99


@cache
def made(columns: int) -> Book:
    """A book that no test of the printed ones uses."""
    return book(seed=10 + columns, chapters=8, columns=columns)


def check(whole: Book, taken: Structured) -> None:
    """What holds of every made book, whatever it was printed by."""
    ids = [clause.id for clause in taken.clauses]
    assert ids == made_truth.ids(whole)
    assert len(set(ids)) == len(ids)
    assert made_truth.share(made_truth.words(whole), made_truth.words_of(taken.clauses)) >= WORDS
    for mark in (STRUCK, INSERTED):
        expected, found = whole.marked(mark), made_truth.words_of(taken.clauses, mark)
        assert made_truth.share(expected, found) >= MARKS
        assert made_truth.share(found, expected) >= MARKS
    assert not [clause.id for clause in taken.clauses if whole.head in clause.text or whole.foot in clause.text]
    assert [len(contents.entries) for contents in taken.contents] == [len(whole.contents)]
    assert taken.title == whole.title


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("producer", ["chromium", "reportlab"])
def test_a_printed_book_comes_out_whole(printed_book, name, producer):
    """99.5 % of the words in order, 99 % of the marks, every number once, and no running head in a clause."""
    whole, pdf = printed_book(name, producer)
    check(whole, structure([read_pdf(pdf, "book.pdf")], Numbering()))


def test_a_page_comes_out_whole():
    """The same of a page as the browser prints it; its footnotes stand at the ends of the chapters."""
    whole = made(1)
    taken = structure([read_html(as_html(whole).encode(), "book.html")], Numbering())
    check(whole, taken)
    assert made_truth.words(whole) == made_truth.words_of(taken.clauses)
    assert [chapter.doubts for chapter in taken.chapters if chapter.doubts] == []


def test_chapters_are_files_of_their_own():
    """Each begins with its heading, and is named by its title."""
    whole = made(1)
    taken = structure([read_html(as_html(whole).encode(), "book.html")], Numbering())
    assert [chapter.title for chapter in taken.chapters] == [chapter.title for chapter in whole.chapters]
    assert taken.chapters[0].name == "01-definitions.md"
    assert taken.chapters[-1].name == "10-appendix-b-wheels-and-tyres-in-detail.md"
    assert all(chapter.text.startswith(f"# {chapter.title}\n") for chapter in taken.chapters)
