"""A published bulletin taken in: a draft beside the edition that it amends, which counts for nothing until a person has read it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from rulewatch.intake.bulletin_draft import DraftText, draft_text
from rulewatch.intake.document import Mark
from rulewatch.model.edition import Point
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.result import Result
from rulewatch.model.taken_in import TakenIn, Wish
from rulewatch.new_edition import Book, Progress, read
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.points import NAME_SIGNS, is_name
from rulewatch.store.folder import FolderTree
from rulewatch.store.writing import write_file
from rulewatch.workspace import RULESETS, Workspace


def take_in_bulletin(root: Path, files: Sequence[Path], wish: Wish, *, progress: Progress | None = None) -> Result[TakenIn]:
    """Make a draft bulletin of the files of a published one; `wish` has its number and both its days.

    Blocks that do not read yet are told with their places in the draft; where none does, it has the text alone, and says so.
    Faults: those of the readers, unknown-edition, edition-there, name-unsafe, file-unwritable.
    """
    workspace = Workspace(FolderTree(root))
    point = Point(body=wish.body, season=wish.season)
    path = f"{RULESETS}/{wish.body}/{wish.season}/bulletins/{wish.bulletin}.md"
    edition = workspace.edition(point)
    faults = list(_asked(workspace, wish, path))
    if edition is None or faults:
        return Result(value=None, faults=in_order((*faults, *workspace.faults)))
    book = read(files, progress)
    if any(not fault.warning for fault in book.faults):
        return Result(value=None, faults=in_order(book.faults))
    found = draft_text(book.documents, {clause.id for clause in edition.clauses})
    text = _whole(found, wish)
    bulletin, wrong = parse_bulletin(Source(path=path, text=text), vocabulary=workspace.vocabulary, header=edition.header)
    # A draft stops nothing: what does not read yet is told with its place, and mended there.
    remarks = tuple(replace(fault, warning=True) for fault in wrong)
    if bulletin is None or not (bulletin.amendments or bulletin.instructions):
        remarks = (_left_as_text(path, found),) if found.blocks else ()
        found = draft_text(book.documents)
        text = _whole(found, wish)
    if not wish.dry and (fault := write_file(root / path, text.encode())) is not None:
        return Result(value=None, faults=in_order((*book.faults, fault)))
    return Result(value=_taken(book, found, wish, path), faults=in_order((*book.faults, *remarks)))


def _asked(workspace: Workspace, wish: Wish, path: str) -> Iterator[Fault]:
    """What is wrong with where the bulletin is to go."""
    if not is_name(wish.bulletin):
        at = Place(path="intake")
        yield Fault(code="name-unsafe", place=at, found=f"the number `{wish.bulletin}`", expected=NAME_SIGNS)
    elif workspace.tree.exists(path):
        remedy = "give another number, or move that file away first"
        yield Fault(
            code="edition-there", place=Place(path=path), found=f"bulletin {wish.bulletin} is there already", remedy=remedy
        )


def _whole(found: DraftText, wish: Wish) -> str:
    """The file: its front matter, then its text."""
    title = wish.title or found.title
    head = [
        "---",
        f"number: {json.dumps(wish.bulletin)}",
        *([f"title: {json.dumps(title, ensure_ascii=False)}"] if title else []),
        f"published: {wish.published}",
        f"effective: {wish.effective}",
        "status: draft",
        "---",
        "",
    ]
    return "\n".join([*head, found.text])


def _left_as_text(path: str, found: DraftText) -> Fault:
    blocks = f"{found.blocks} blocks that look" if found.blocks > 1 else "a block that looks"
    told = f"{blocks} like amendments, and could not be read as such; the draft has the text alone"
    remedy = "write its instructions as headings of the second level"
    return Fault(code="bulletin-unread", place=Place(path=path), found=told, remedy=remedy, warning=True)


def _taken(book: Book, found: DraftText, wish: Wish, path: str) -> TakenIn:
    marks = [
        run.mark
        for document in book.documents
        for block in document.blocks
        for line in block.lines
        for run in line.runs
        for _ in run.text.split()
    ]
    return TakenIn(
        point=Point(body=wish.body, season=wish.season),
        title=wish.title or found.title,
        files=(path,),
        chapters=(),
        styles=(),
        doubts=(),
        pages=sum(document.pages for document in book.documents),
        struck=marks.count(Mark.STRUCK),
        inserted=marks.count(Mark.INSERTED),
        amendments=found.blocks,
        bulletin=wish.bulletin,
        dry=wish.dry,
    )
