"""Readings carried from one edition of a workspace to another, in its files; each file whole, or not at all."""

from __future__ import annotations

from pathlib import Path

from rulewatch.carrying import carry
from rulewatch.model.carried import Carried
from rulewatch.model.edition import Point
from rulewatch.model.fault import Fault, Place, in_order
from rulewatch.model.result import Result
from rulewatch.model.step import Carriage
from rulewatch.parse.splicing import spliced_bytes
from rulewatch.store.folder import FolderTree
from rulewatch.store.tree import decode
from rulewatch.store.updating import update_file
from rulewatch.workspace import Workspace


def carry_into(root: Path, new: Point, old: Point | None = None, *, write: bool = True) -> Result[Carriage]:
    """Put the readings of an edition under the clauses of another that have none.

    `old` is the edition before, as `edition.yaml` names it, where none is given. Without `write` the files stay as they are.
    Faults: previous-missing, those of both editions, stale-decision where someone saved a chapter meanwhile, edit-failed.
    """
    workspace = Workspace(FolderTree(root))
    book = workspace.edition(new)
    if book is None:
        return Result(value=None, faults=workspace.faults)
    header = book.header
    if old is None:
        if not header.previous:
            told, remedy = f"{new} names no previous season", "say which: `previous: 2026`; or give the edition with --from"
            fault = Fault(code="previous-missing", place=header.place, found=told, remedy=remedy)
            return Result(value=None, faults=in_order((*workspace.faults, fault)))
        old = Point(body=new.body, season=header.previous)
    source = workspace.edition(old)
    wrong = any(not fault.warning for fault in workspace.faults)
    if source is None or wrong:
        return Result(value=None, faults=workspace.faults)
    # What a person settled is settled between a season and the one before it.
    settled = workspace.settled(new.body, new.season) if (old.body, old.season) == (new.body, header.previous) else ()
    carried = carry(source, workspace.sources, workspace.chapters(new.body, new.season), settled)
    value = Carriage(old=old, new=new, carried=carried, written=tuple(carried.insertions) if write else ())
    faults = [found for path in value.written if (found := _insert(root, path, carried, workspace)) is not None]
    return Result(value=None if faults else value, faults=in_order((*workspace.faults, *faults)))


def _insert(root: Path, path: str, carried: Carried, workspace: Workspace) -> Fault | None:
    """Put the carried readings into one chapter, unless someone saved it meanwhile."""

    def edit(data: bytes) -> bytes | Fault:
        source = decode(path, data)
        if isinstance(source, Fault):
            return source
        if source.text == workspace.sources[path].text:
            return spliced_bytes(data, carried.insertions[path])
        found, remedy = "the chapter was saved by someone meanwhile; nothing was put into it", "carry again"
        return Fault(code="stale-decision", place=Place(path=path), found=found, remedy=remedy)

    result = update_file(FolderTree(root), path, edit)
    return result if isinstance(result, Fault) else None
