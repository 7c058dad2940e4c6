"""Readings suggested for the clauses of a book that nobody has read.

What is suggested goes to a person, and nowhere else: no verdict, no comparison and no page takes any of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rulewatch.intake.suggest import Surroundings, suggest
from rulewatch.library import Library
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Fault, Place, in_order
from rulewatch.model.result import Result
from rulewatch.model.suggestion import SuggestedBook
from rulewatch.parse.vocabulary import packaged_vocabulary


def suggestions(root: Path, point: Point, wanted: Iterable[str] = (), *, every: bool = False) -> Result[SuggestedBook]:
    """What the unread clauses of a book suggest; with `every` all of them, with `wanted` those of these numbers.

    A plain file is read with the packaged vocabulary, as it has no workspace.
    """
    with Library(root) as library:
        edition = library.edition(point)
        workspace = None if point.file else library.workspace(point.revision)
        if edition is None or (workspace is None and not point.file):
            return Result(value=None, faults=library.faults)
        vocabulary = workspace.vocabulary if workspace is not None else packaged_vocabulary()
        clauses, unknown = _chosen(edition, tuple(wanted), every=every)
        around = Surroundings(edition=edition, vocabulary=vocabulary)
        found = tuple((clause, suggest(clause, around)) for clause in clauses) if not unknown else ()
        value = SuggestedBook(edition=edition, clauses=found)
        return Result(value=value, faults=in_order((*library.faults, *unknown)))


def _chosen(edition: Edition, wanted: tuple[str, ...], *, every: bool) -> tuple[tuple[Clause, ...], list[Fault]]:
    """The clauses that are asked for, and a fault for each number that the book has not."""
    if wanted:
        unknown = [
            Fault(
                code="unknown-clause",
                place=Place(path=str(edition.point)),
                found=f"no clause `{name}` in {edition.point}",
                remedy="look up its number in the book",
            )
            for name in wanted
            if name not in edition.by_id
        ]
        return tuple(edition.by_id[name] for name in wanted if name in edition.by_id), unknown
    if every:
        return tuple(clause for clause in edition.clauses if not edition.only_holds(clause)), []
    return edition.unread, []
