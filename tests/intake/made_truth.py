"""What must come out of a made book, and what came out, as plain words that can be laid side by side."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import SequenceMatcher

from made_books import Book

from rulewatch.model.clause import Clause, plain
from rulewatch.model.marks import segments

RULE_OF_TABLE = re.compile(r"^\|(?: --- \|)+$", re.MULTILINE)
CALL = re.compile(r"\[\^\d+\]:?")


def ids(book: Book) -> list[str]:
    """The ids that the clauses of a book must have: those of an appendix behind its name, items behind their paragraph's."""
    found: list[str] = []
    annex = above = ""
    for clause in book.clauses:
        if clause.level == 1:
            annex = clause.number if clause.number.startswith("Appendix") else ""
        if clause.level == 4:
            found.append(above + clause.number)
            continue
        above = f"{annex}/{clause.number}" if annex and clause.level > 1 else clause.number
        found.append(above)
    return found


def words(book: Book) -> list[str]:
    """The words of a book's clauses in order, struck ones among them, each footnote behind the text that calls it."""
    found: list[str] = []
    for clause in book.clauses:
        found += [*clause.number.split(), *clause.heading.split(), *clause.text.split()]
        if clause.note:
            found += clause.note.text.split()
        if clause.table:
            found += [word for row in clause.table.rows for cell in row for word in cell.split()]
    return found


def words_of(clauses: Sequence[Clause], mark: str = "") -> list[str]:
    """The words of clauses as they are shown, without what is only Markdown; or those under one mark."""
    found: list[str] = []
    for clause in clauses:
        if not mark:
            found += clause.label.split()
        text = CALL.sub("", RULE_OF_TABLE.sub("", clause.shown).replace("|", " "))
        for segment in segments(text):
            if not mark or (segment.struck if mark == "struck" else segment.inserted):
                found += plain(segment.text).split()
    return found


def share(expected: Sequence[str], found: Sequence[str]) -> float:
    """How many of the expected words are found in their order."""
    blocks = SequenceMatcher(None, expected, found, autojunk=False).get_matching_blocks()
    return sum(block.size for block in blocks) / len(expected)
