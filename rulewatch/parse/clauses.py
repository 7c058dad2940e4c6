"""Rule text in Markdown or plain text into clauses, each verbatim and with its place.

A chapter is cut into blocks (`clause_blocks.py`); a block that begins with a label (`labels.py`) that fits the numbering
(`clause_numbering.py`) opens a clause, and every other falls to a clause that is open (`clause_reader.py`). Here the ids are
made, over all chapters of a book, and the references between clauses found (`references.py`).
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from rulewatch.model.clause import Clause, DoubtfulPlace
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.marks import has_marks, in_force
from rulewatch.parse.clause_contents import without_contents
from rulewatch.parse.clause_numbering import Node
from rulewatch.parse.clause_reader import Draft, Reader
from rulewatch.parse.labels import AS_ANNEX
from rulewatch.parse.references import find_references


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingBlock:
    """One fenced `reading` block, not yet read as YAML.

    `place` is its opening fence. `text` begins on `first_line` of the source, with `indent` columns cut off its lines.
    """

    clause: str
    text: str
    place: Place
    first_line: int
    indent: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """What a text holds: clauses in document order, the reading blocks, the doubtful places, and what is wrong with it."""

    clauses: tuple[Clause, ...]
    blocks: tuple[ReadingBlock, ...]
    faults: tuple[Fault, ...]
    doubts: tuple[DoubtfulPlace, ...] = ()


def parse_chapter(source: Source, *, chapter: str = "", first_line: int = 1) -> Chapter:
    """The clauses of one chapter, from a line on; `chapter` is by default the file's name without its ending."""
    return _finish([Reader(source, chapter=chapter or _stem(source), first_line=first_line)], plain=False)


def parse_book(sources: Sequence[Source], *, plain: bool = False) -> Chapter:
    """Several chapters as one book: ids are unique, and references are resolved over all of it.

    A number that is used again becomes `4.2#2`, which is the fault `duplicate-clause` in an edition. Where `plain` says that
    the text is a downloaded file it is a warning, and hazards of one kind are counted in one warning.
    """
    return _finish([Reader(source, chapter=_stem(source), plain=plain) for source in sources], plain=plain)


def _stem(source: Source) -> str:
    return PurePosixPath(source.path).stem


def _finish(readers: Iterable[Reader], *, plain: bool) -> Chapter:
    drafts: list[Draft] = []
    faults: list[Fault] = []
    read = list(readers)
    for reader in read:
        reader.read()
        found = without_contents(reader.drafts)
        struck = _struck(found)
        drafts += [draft for draft in found if draft not in struck]
        faults += (*reader.faults, *_of_struck(reader, struck))
    faults += _make_ids(drafts, plain=plain)
    kept = frozenset(drafts)
    known = frozenset(draft.node.id for draft in drafts)
    clauses = tuple(_clause(draft, known) for draft in drafts)
    blocks = tuple(
        ReadingBlock(
            clause=reading.draft.node.id,
            text=reading.text,
            place=reading.place,
            first_line=reading.first_line,
            indent=reading.indent,
        )
        for reader in read
        for reading in reader.readings
        if reading.draft in kept
    )
    doubts = tuple(
        DoubtfulPlace(clause=doubt.draft.node.id if doubt.draft in kept else "", why=doubt.why, place=doubt.place)
        for reader in read
        for doubt in reader.doubts
    )
    return Chapter(clauses=clauses, blocks=blocks, faults=in_order(faults), doubts=doubts)


def _struck(drafts: Sequence[Draft]) -> set[Draft]:
    """The clauses that are struck as a whole, number and words, with all that stands under them."""
    struck: set[Draft] = set()
    holds: set[Node | None] = set()
    for draft in reversed(drafts):
        if draft.is_struck and draft.node not in holds:
            struck.add(draft)
        else:
            holds.add(draft.node.parent)
    return struck


def _of_struck(reader: Reader, struck: Container[Draft]) -> Iterator[Fault]:
    for reading in reader.readings:
        if reading.draft in struck:
            found = f"a reading of {reading.draft.node.label.printed}, which is struck"
            remedy = "take it out, or the marks of the clause"
            yield reader.source.fault("reading-misplaced", reading.place.line, reading.place.column, found, remedy=remedy)


def _make_ids(drafts: Sequence[Draft], *, plain: bool) -> Iterable[Fault]:
    """Give every clause its id, parents first, and report the numbers that are used again."""
    first: dict[str, Draft] = {}
    uses: dict[str, int] = {}
    for draft in drafts:
        own = draft.node.make_id()
        unique = own
        while unique in first:
            uses[own] = uses.get(own, 1) + 1
            unique = f"{own}#{uses[own]}"
        draft.node.id = unique
        first[unique] = draft
        if unique != own:
            place = first[own].place
            where = f"on line {place.line}" if place.path == draft.place.path else f"in {place}"
            yield draft.source.fault(
                "duplicate-clause",
                draft.place.line,
                draft.place.column,
                f"clause `{own}` again (first {where})",
                remedy=f"here it is called `{unique}`" if plain else "give each clause its own number",
                warning=plain,
            )


def _clause(draft: Draft, known: frozenset[str]) -> Clause:
    node, shown = draft.node, draft.text
    text, heading = in_force(shown), in_force(draft.heading)
    around = node.annex.id if node.annex else ""
    return Clause(
        id=node.id,
        label=node.label.printed,
        text=text,
        place=draft.place,
        last_line=draft.last_line,
        heading=heading if text.startswith(heading) else "",
        parent=node.parent.id if node.parent else "",
        chapter=draft.chapter,
        container=node.label.form is AS_ANNEX and node.children > 0,
        references=find_references(text, known, clause=node.id, annex=around),
        marked=shown if has_marks(shown) else "",
    )
