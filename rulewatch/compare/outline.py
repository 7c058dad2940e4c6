"""Where each clause of a book stands: its parent, its siblings, its place among them."""

from __future__ import annotations

from collections.abc import Sequence

from rulewatch.model.clause import Clause

# What siblings have in common: the index of their parent, or the chapter of those without one.
Family = tuple[int, str]


class Outline:
    """The tree of a book by index into its clauses. Clauses at the top of one chapter are siblings."""

    def __init__(self, clauses: Sequence[Clause]) -> None:
        """Read the tree from the clauses' parents."""
        self.ids = [clause.id for clause in clauses]
        self.at = at = {label: index for index, label in enumerate(self.ids)}
        self.parent = [at.get(clause.parent, -1) for clause in clauses]
        self.family: list[Family] = [
            (parent, "" if parent >= 0 else clause.chapter) for parent, clause in zip(self.parent, clauses, strict=True)
        ]
        self.siblings: dict[Family, list[int]] = {}
        self.rank: list[int] = []
        for index, family in enumerate(self.family):
            row = self.siblings.setdefault(family, [])
            self.rank.append(len(row))
            row.append(index)
        self.tail = [tail(clause) for clause in clauses]

    def children(self, index: int) -> Sequence[int]:
        """The clauses directly under one."""
        return self.siblings.get((index, ""), ())

    def beside(self, index: int, step: int) -> int:
        """The sibling so many places further on, or -1."""
        row = self.siblings[self.family[index]]
        rank = self.rank[index] + step
        return row[rank] if 0 <= rank < len(row) else -1


def tail(clause: Clause) -> str:
    """The part of a clause's number that is its own: `b` of `4.2.1(b)`, the whole of a clause without a parent."""
    own = clause.id.removeprefix(clause.parent) if clause.parent else clause.id
    return own.strip(".()/ ")
