"""Classes by themselves: the room that two leave to one car, and clauses of one that no car can meet together."""

from __future__ import annotations

from pathlib import Path

from rulewatch.compare.shelf import OneClass
from rulewatch.library import Library
from rulewatch.model.edition import ClassPoint
from rulewatch.model.fault import Fault, Place
from rulewatch.model.result import Result
from rulewatch.model.room import Contradiction, SharedRoom


def both(root: Path, first: ClassPoint, second: ClassPoint) -> Result[SharedRoom]:
    """The room of a car that runs in two classes, of one book or of two."""
    from rulewatch.compare.room import shared_room  # brings the solver

    with Library(root) as library:
        sides = [side for each in (first, second) for side in _classes(library, each)]
        workspace = library.workspace(second.point.revision)
        if workspace is not None and all(each.name for each in (first, second)) and len(sides) == len((first, second)):
            return Result(value=shared_room(sides[0], sides[1], workspace.vocabulary), faults=library.faults)
        unknown = [fault for each in (first, second) for fault in _unknown_class(library, each)]
        return Result(value=None, faults=(*library.faults, *unknown))


def contradictions(root: Path, one: ClassPoint) -> Result[tuple[Contradiction, ...]]:
    """For a class, or each of a book, the clauses that no car can meet together."""
    from rulewatch.compare.room import contradiction

    with Library(root) as library:
        sides = _classes(library, one)
        workspace = library.workspace(one.point.revision)
        if workspace is None or not sides:
            return Result(value=None, faults=(*library.faults, *_unknown_class(library, one)))
        found = tuple(contradiction(side, workspace.vocabulary) for side in sides)
        return Result(value=found, faults=library.faults)


def _classes(library: Library, one: ClassPoint) -> list[OneClass]:
    edition = library.edition(one.point)
    names = edition.classes if edition is not None else ()
    return [OneClass(edition=edition, name=name) for name in names if edition is not None and one.name in {"", name}]


def _unknown_class(library: Library, one: ClassPoint) -> list[Fault]:
    """The fault of a class that the edition does not have."""
    edition = library.edition(one.point)
    if edition is None or one.name in edition.classes:
        return []
    place, known = Place(path="class", line=1, column=1), ", ".join(edition.classes) or "none"
    what = f"{edition.point} has no class `{one.name}`" if one.name else f"no class is named for {edition.point}"
    return [Fault(code="unknown-class", place=place, found=what, expected=f"one of: {known}", line_text=one.name)]
