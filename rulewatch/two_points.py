"""Two points compared: the part of the main path that `rulewatch compare` goes, and all others with it.

It stands by itself so that comparing two plain files loads nothing of cars, readings and what is open.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from rulewatch.compare.comparison import compare_editions
from rulewatch.library import Library
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Point
from rulewatch.model.result import Result


def compare(root: Path, old: Point, new: Point) -> Result[Comparison]:
    """Compare the books at two points."""
    with Library(root) as library:
        before, after = library.edition(old), library.edition(new)
        if before is None or after is None:
            return Result(value=None, faults=library.faults)
        library.settled(before, after)
        faults = library.faults  # cars are only there to stay near to: what is wrong with one is no fault of the books
        return Result(value=compared(library, before, after, logic=True), faults=faults)


def compared(
    library: Library,
    old: Edition,
    new: Edition,
    *,
    logic: bool = False,
    whole: bool = True,
    closely: Collection[str] | None = None,
) -> Comparison:
    """Two editions compared; with `logic`, what their readings allow too, with witnesses near to the newer one's cars.

    What is left out unless `whole`, and of clauses that `closely` does not name, says `compare_editions`.
    """
    if not logic:
        return compare_editions(old, new, library.settled(old, new))
    workspaces = [None if each.point.file else library.workspace(each.point.revision) for each in (old, new)]
    before, after = workspaces
    vocabulary = before.vocabulary.joined(after.vocabulary) if before is not None and after is not None else None
    cars = after.cars if after is not None else ()
    settled = library.settled(old, new)
    return compare_editions(old, new, settled, vocabulary=vocabulary, cars=cars, whole=whole, closely=closely)
