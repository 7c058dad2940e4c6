"""Files in DOCX that the project did not write, and files of ours in the eyes of another reader: python-docx (MIT).

It ships the files of a well-known word processor as its templates; their styles and lists are what the first test reads.
"""

from __future__ import annotations

import base64
import io

import made_books
import pytest
from docx_books import by_python_docx
from made_docx import cell, definition, docx, field, ins, item, level, listed, p, r, row, table

from rulewatch.intake.document import Kind, Mark
from rulewatch.intake.docx import read_docx

library = pytest.importorskip("docx", reason="python-docx is in the dev extra")

# One black point, the smallest picture that PNG allows.
PNG = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg==")


def saved(document) -> bytes:
    """The file of a document of the library."""
    file = io.BytesIO()
    document.save(file)
    return file.getvalue()


def test_styles_and_lists_of_a_word_processor():
    """Headings, numbered and bulleted lists, merged cells, pictures, heads and feet as the library and its template write them."""
    made = library.Document()
    made.sections[0].header.paragraphs[0].text = "Club book"
    made.add_heading("Rules", 0)
    made.add_heading("Scope", 1)
    made.add_heading("Cars", 2)
    for words, style in (("one", "List Number"), ("two", "List Number"), ("inner", "List Number 2"), ("dot", "List Bullet")):
        made.add_paragraph(words, style=style)
    grid = made.add_table(rows=3, cols=3)
    for at, one in enumerate(one for line in grid.rows for one in line.cells):
        one.text = str(at)
    grid.cell(0, 0).merge(grid.cell(0, 1)).text = "wide"
    grid.cell(1, 2).merge(grid.cell(2, 2)).text = "tall"
    made.add_picture(io.BytesIO(PNG))
    made.add_page_break()
    made.add_paragraph("end")
    document = read_docx(saved(made), "made.docx")
    assert [(block.level, block.label, block.text) for block in document.blocks if block.kind is Kind.TEXT] == [
        *((0, "", "Rules"), (1, "", "Scope"), (2, "", "Cars")),
        *((0, "1.", "one"), (0, "2.", "two"), (0, "1.", "inner"), (0, "", "dot"), (0, "", "end")),
    ]
    (found,) = [block for block in document.blocks if block.kind is Kind.TABLE]
    assert [["|".join(line.text for line in one) for one in line] for line in found.rows] == [
        *(["wide", "", "2"], ["3", "4", "tall"], ["6", "7", ""]),
    ]
    assert [fault.code for fault in document.faults] == ["picture", "furniture"]


def test_our_files_in_its_eyes():
    """What the tests write by hand opens with the library too, and the words of each paragraph and cell are the same."""
    body = (
        p("Rims of ", r("cast", "<w:b/>"), " metal")
        + item("one", 1)
        + p("see ", field(" REF x ", "4.2"), " and tab", "<w:r><w:tab/><w:t>b</w:t></w:r>")
    )
    body += p("of ", ins("75"), " mm") + table(row("a", "b"), row("c", cell(p("d"), p("e"))))
    data = docx(body + "<w:sectPr/>", numbering=definition(0, level(0, "%1.")) + listed(1, 0))
    ours = read_docx(data, "x.docx")
    theirs = library.Document(io.BytesIO(data))
    assert [block.text for block in ours.blocks if block.kind is Kind.TEXT][:3] == [
        paragraph.text.replace("\t", " ") for paragraph in theirs.paragraphs
    ][:3]
    (found,) = [block for block in ours.blocks if block.kind is Kind.TABLE]
    assert [["\n".join(line.text for line in one) for one in line] for line in found.rows] == [
        [one.text for one in line.cells] for line in theirs.tables[0].rows
    ]


@pytest.mark.parametrize(("seed", "colours"), [(11, False), (12, True)])
def test_made_books(seed, colours):
    """Of a book of known text every number is found once and in order, and all words and marks are."""
    book = made_books.book(seed=seed, chapters=10, colours=colours)
    document = read_docx(by_python_docx(book), "made.docx")
    texts = [block for block in document.blocks if block.kind is Kind.TEXT]
    assert [block.label for block in texts if block.label] == [clause.number for clause in book.clauses]
    expected = book.title.split()
    for clause in book.clauses:
        expected += [*clause.number.split(), *clause.heading.split(), *clause.text.split()]
        expected += [word for one in (clause.table.rows if clause.table else ()) for words in one for word in words.split()]
    lines = [
        (block.label if not number else "", line)
        for block in document.blocks
        for number, line in enumerate([*block.lines, *(line for one in block.rows for words in one for line in words)])
    ]
    assert [word for label, line in lines for word in f"{label} {line.text}".split()] == expected
    for mark in (Mark.STRUCK, Mark.INSERTED):
        words = [word for _, line in lines for run in line.runs if run.mark is mark for word in run.text.split()]
        assert words == book.marked(mark.value)
        assert len(words) > 100
