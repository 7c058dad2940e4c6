"""The made books as a word processor would keep them: by python-docx (MIT), numbers left to automatic numbering."""

from __future__ import annotations

import io
from typing import Any

from made_books import INSERTED, STRUCK, Book, Clause

# Chapters, sections, paragraphs, items; a number and a level of a list. Appendices are another list of the same form.
CHAPTERS = (("decimal", "%1"), ("decimal", "%1.%2"), ("decimal", "%1.%2.%3"), ("lowerLetter", "(%4)"))
APPENDICES = (("upperLetter", "Appendix %1"), ("decimal", "%2"), ("decimal", "%2.%3"), ("lowerLetter", "(%4)"))
COLOURS = {STRUCK: (0xCC, 0, 0), INSERTED: (0, 0x33, 0xCC)}


def by_python_docx(book: Book) -> bytes:
    """The book as a DOCX; it has no footnotes, which this library does not write."""
    import docx

    document = docx.Document()
    lists = [_list(document, 900 + number, levels) for number, levels in enumerate((CHAPTERS, APPENDICES))]
    section = document.sections[0]
    section.header.paragraphs[0].text, section.footer.paragraphs[0].text = book.head, book.foot
    document.add_paragraph(book.title, style="Title")
    for chapter in book.chapters:
        of_list = lists[chapter.clauses[0].number.startswith("Appendix")]
        for clause in chapter.clauses:
            _clause(document, book, clause, of_list)
    file = io.BytesIO()
    document.save(file)
    return file.getvalue()


def _clause(document: Any, book: Book, clause: Clause, of_list: int) -> None:
    """A clause: its heading, its words with their marks, its table."""
    if clause.heading:
        _numbered(document.add_paragraph(clause.heading, style=f"Heading {clause.level}"), of_list, clause.level - 1)
    if clause.pieces:
        paragraph = document.add_paragraph()
        if not clause.heading:
            _numbered(paragraph, of_list, clause.level - 1)
        _words(paragraph, book, clause)
    if clause.table:
        table = document.add_table(rows=0, cols=len(clause.table.rows[0]))
        for row in clause.table.rows:
            for cell, words in zip(table.add_row().cells, row, strict=True):
                cell.text = words


def _words(paragraph: Any, book: Book, clause: Clause) -> None:
    """The words of a clause in runs with their marks; a word may be broken where it holds a soft hyphen."""
    from docx.shared import RGBColor

    for number, piece in enumerate(clause.pieces):
        if number:
            paragraph.add_run(" ")
        run = paragraph.add_run(piece.text.replace("|", "\u00ad"))
        run.font.strike = piece.mark == STRUCK or None
        run.font.underline = (piece.mark == INSERTED and not book.colours) or None
        if piece.mark and book.colours:
            run.font.color.rgb = RGBColor(*COLOURS[piece.mark])


def _list(document: Any, number: int, levels: tuple[tuple[str, str], ...]) -> int:
    """Put the definition of a list of several levels into the file; gives its number."""
    from docx.oxml import parse_xml
    from docx.oxml.ns import nsdecls

    numbering = document.part.numbering_part.element
    inner = "".join(
        f'<w:lvl w:ilvl="{at}"><w:start w:val="1"/><w:numFmt w:val="{kind}"/><w:lvlText w:val="{pattern}"/></w:lvl>'
        for at, (kind, pattern) in enumerate(levels)
    )
    numbering.insert(0, parse_xml(f'<w:abstractNum {nsdecls("w")} w:abstractNumId="{number}">{inner}</w:abstractNum>'))
    return int(numbering.add_num(number).numId)


def _numbered(paragraph: Any, of_list: int, level: int) -> None:
    """Put a paragraph into a list."""
    properties = paragraph._p.get_or_add_pPr().get_or_add_numPr()  # noqa: SLF001 - the library has no public way
    properties.get_or_add_ilvl().val = level
    properties.get_or_add_numId().val = of_list
