"""The room of a car that runs in two classes at once, and clauses that no car can meet together."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.model.reading import Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """A clause in its book: the point and class that it was read for, and its id."""

    book: str
    clause: str

    def __str__(self) -> str:
        """`saltmarsh/2027:silhouette-b 5.2.1`."""
        return f"{self.book} {self.clause}"


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end of a range: its value, whether the value itself is outside, and the clauses that set it."""

    value: Scalar
    strict: bool
    laws: tuple[Law, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What one quantity or component can be on a car that is legal in both classes, whatever else the car is.

    A quantity has a range between two ends (None: open), or one of `values`; a component has one word in `values`, `present` or
    `absent`. `laws` are the clauses that leave only these values. `undecided` tells that the limit of work was reached.
    """

    subject: str
    label: str
    low: End | None = None
    high: End | None = None
    values: tuple[Scalar, ...] = ()
    laws: tuple[Law, ...] = ()
    undecided: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedRoom:
    """The room common to two classes, quantity by quantity; only what is bounded is listed.

    `conflict` names a smallest set of clauses that no car can meet together; then there is no room at all. `unread` are clauses
    without a confirmed reading. `undecided` tells that neither a car nor a conflict was found within the limit of work.
    """

    first: str
    second: str
    rooms: tuple[Room, ...] = ()
    conflict: tuple[Law, ...] = ()
    unread: tuple[Law, ...] = ()
    undecided: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """A smallest set of clauses of a class that no car can meet together; none where some car meets all."""

    name: str
    laws: tuple[Law, ...] = ()
    unread: tuple[Law, ...] = ()
    undecided: bool = False
