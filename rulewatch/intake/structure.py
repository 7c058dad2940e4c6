"""From what stands on the pages to chapters of clauses: the main way of intake behind the readers.

    blocks → without contents pages → clauses in the making → footnotes in their places → doubtful places → chapters → read back

The chapters are read by `parse` before they are given out, and must give back every clause that was found. Where a number could
not be read back from its paragraph, it gets a heading of its own; where that does not help either, it is text and a doubtful place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rulewatch.intake.document import Block, Document, Kind, Mark
from rulewatch.intake.numbering_style import Numbering, Style, styles
from rulewatch.intake.structure_chapters import Chapter, chapters, front_title, list_of
from rulewatch.intake.structure_contents import announced, entries_around, without_leaders
from rulewatch.intake.structure_doubts import demoted, mark_doubts
from rulewatch.intake.structure_looks import bare, clean, unfolded
from rulewatch.intake.structure_notes import place_notes
from rulewatch.intake.structure_parts import At, Contents, Draft, Part, What
from rulewatch.intake.structure_reader import Reader
from rulewatch.model.clause import Clause, fold
from rulewatch.model.fault import Source
from rulewatch.model.marks import in_force
from rulewatch.parse.clause_numbering import Node
from rulewatch.parse.clauses import parse_book
from rulewatch.parse.labels import AS_NUMBER, IN_HEADING, read_label

ROUNDS = 4  # of taking for text what cannot be read back
MENDINGS = 3  # of giving what is not read back a heading of its own, or its list its steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Structured:
    """A book as chapters.

    `clauses` are those that the chapters have, as `parse` reads them. `joined` are the words that were made whole, or kept
    apart, at line ends on no evidence. `tables` and `notes` (footnotes) are how many there are, `struck` and
    `inserted` how many words are marked so.
    """

    title: str
    chapters: tuple[Chapter, ...]
    clauses: tuple[Clause, ...]
    contents: tuple[Contents, ...]
    styles: tuple[Style, ...]
    joined: tuple[str, ...]
    tables: int = 0
    notes: int = 0
    struck: int = 0
    inserted: int = 0


def structure(documents: Sequence[Document], numbering: Numbering) -> Structured:
    """The chapters of a book that came in one or several files, in their order."""
    files: list[list[Block]] = []
    contents: list[Contents] = []
    for file, document in enumerate(documents):
        blocks, left_out = without_leaders(document.blocks, file)
        files.append(list(unfolded(blocks)))
        contents += left_out
    numbering = replace(numbering, offset=_offset(files))
    plain: set[At] = set()
    for _ in range(ROUNDS):
        draft, entries = _read(files, numbering, plain)
        title = front_title(draft.items)
        mark_doubts(draft, [*contents, *entries], place_notes(draft))
        written, clauses, wrong = _read_back(draft, title)
        if not wrong:
            break
        plain |= {part.at for part in wrong}
    contents += entries
    return Structured(
        title=title,
        chapters=tuple(written),
        clauses=clauses,
        contents=tuple(contents),
        styles=styles(part.node.label for part in draft.parts),
        tables=sum(item.what is What.TABLE for item in draft.items),
        notes=len(draft.notes),
        struck=_marked(draft, Mark.STRUCK),
        inserted=_marked(draft, Mark.INSERTED),
        joined=tuple(dict.fromkeys(word for item in draft.items if item.passage for word in item.passage.unsure)),
    )


def _marked(draft: Draft, mark: Mark) -> int:
    """How many words stand under a mark."""
    passages = [one for item in draft.items for one in (item.passage, item.title) if one is not None]
    cells = [line for item in draft.items if item.table for row in item.table.rows for cell in row for line in cell]
    rows = [*(one.runs for one in passages), *(line.runs for line in cells)]
    return sum(len(run.text.split()) for runs in rows for run in runs if run.mark is mark)


def _offset(files: Sequence[Sequence[Block]]) -> int:
    """By how much the headings of the files stand deeper than their numbers say; 0 where no format states levels."""
    found = []
    for blocks in files:
        for block in blocks:
            label = read_label(bare(clean(block.text)), 0, IN_HEADING) if block.level and block.kind is Kind.TEXT else None
            if label is not None:
                found.append(block.level - (len(label.parts) if label.form is AS_NUMBER else 1))
    return max(min(found, default=0), 0)


def _read(files: Sequence[Sequence[Block]], numbering: Numbering, plain: set[At]) -> tuple[Draft, list[Contents]]:
    """The clauses of the files: read as they stand, then without what only announces others, then without what is only text.

    `plain` is where labels stand that are text in any case.
    """
    draft = Reader(files, numbering).read()
    dropped, contents = announced(draft)
    dropped |= entries_around(files, dropped)
    if dropped:
        draft = Reader(files, numbering, dropped=dropped).read()
    _make_ids(draft.parts)
    again = demoted(draft.parts) | plain
    if again:
        draft = Reader(files, numbering, dropped=dropped, plain=again).read()
        _make_ids(draft.parts)
    return draft, contents


def _make_ids(parts: Sequence[Part]) -> None:
    for part in parts:
        part.node.id = part.node.make_id()


def _read_back(draft: Draft, title: str) -> tuple[list[Chapter], tuple[Clause, ...], list[Part]]:
    """The chapters, written so that the clauses that were found come out of them again, and those that do not."""
    stepped: set[Node] = set()
    for _ in range(MENDINGS):
        written = chapters(draft.items, title, stepped)
        book = parse_book([Source(path=chapter.name, text=chapter.text) for chapter in written])
        unread, other = _unlike(written, book.clauses)
        alone = [part for part in unread if part.node.step is None and not part.alone]
        lists = {root for part in (*unread, *other) if (root := list_of(part.node)[0]) is not None} - stepped
        if not alone and not lists:
            break
        stepped |= lists
        for part in alone:
            part.alone = True
    return written, book.clauses, unread


def _unlike(written: Sequence[Chapter], clauses: Sequence[Clause]) -> tuple[list[Part], list[Part]]:
    """The clauses that are not read back, and those that have other words then."""
    found: dict[tuple[str, str], set[str]] = {}
    for clause in clauses:
        found.setdefault((clause.place.path, clause.id.partition("#")[0]), set()).add(clause.folded)
    unread, other = [], []
    for chapter in written:
        for part, words in chapter.words.items():
            expected = fold(in_force(words))
            texts = found.get((chapter.name, part.node.id))
            if part.node.label.struck and not expected:
                continue  # not in force, and its number may be that of another clause
            if texts is None:
                unread.append(part)
            elif expected not in texts:
                other.append(part)
    return unread, other
