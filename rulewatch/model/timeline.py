"""Timelines: one rule through every season and bulletin of its body, and how often rules like it change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from rulewatch.model.change import Change, Comparison, Effect, Lineage
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Body, Edition, Point
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Bound, Condition, OneOf, Reading

# Fewer cases than this tell nothing about what is usual (common practice, no source).
FEW = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A body's book as it went: its editions as published and after each day on which bulletins came into force, from old to new.

    `points` name the editions; `comparisons` are those of each with the one before, one fewer.
    """

    points: tuple[Point, ...]
    editions: tuple[Edition, ...]
    comparisons: tuple[Comparison, ...]

    def day(self, at: int) -> date | None:
        """The day from which the book stood as at a station: a bulletin's, else the one it came into force or was published."""
        header = self.editions[at].header
        return self.points[at].day or header.effective or header.published


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """Who first recorded some lines in the workspace's history, when, and in which commit."""

    by: str
    on: date
    commit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A rule at one point of its course.

    `day` is the one from which the book stood so, `bulletins` are the numbers of those that came into force on it. `clause`
    is None once the rule is gone. `change` tells how it came from the station before; None at the body's first edition.
    """

    point: Point
    day: date | None
    bulletins: tuple[str, ...]
    classes: tuple[str, ...]
    clause: Clause | None
    readings: tuple[Reading, ...]
    change: Change | None
    recorded: Recorded | None = None

    @property
    def changed(self) -> bool:
        """Whether anything of the rule is otherwise than at the station before: number, place, wording, or that it stands."""
        return self.change is not None and bool(self.change.kinds)

    @property
    def effects(self) -> Mapping[str, Effect]:
        """The effect of what changed here, by class; empty where nothing did."""
        return self.change.effects if self.change is not None and self.changed else {}


class Sense(StrEnum):
    """What a value is to a car: a bound it must keep, what it must be, what it adds to the weight, or words that nobody read."""

    MOST = "at most"
    UNDER = "under"
    LEAST = "at least"
    OVER = "over"
    EXACTLY = "exactly"
    ADDS = "adds"
    STATED = "stated in the text"


class Fitting(StrEnum):
    """What a rule says of a part as such."""

    REQUIRED = "must be fitted"
    PERMITTED = "may be fitted"
    OPTIONAL = "may be left out"
    FORBIDDEN = "forbidden"


# An amount or day; whether a part may be there; one of several values; a bound that is worked out from other values.
Value = Amount | date | Fitting | OneOf | Bound


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One value through the stations: a limit of a reading for some classes, or an amount of the text where that is unread.

    `values` has one for each station, None where the rule says nothing of the kind. `subject` is the quantity or component,
    empty for an amount of the text; `permitted` marks values that a closed scope allows; `when` is the reading's condition.
    """

    subject: str
    sense: Sense
    classes: tuple[str, ...]
    values: tuple[Value | None, ...]
    permitted: bool = False
    when: Condition | None = None

    @property
    def moves(self) -> bool:
        """Whether the value is not the same throughout."""
        return len({value_key(value) for value in self.values}) > 1


def value_key(value: Value | None) -> object:
    """Equal for values of the same size, whatever their units."""
    return (value.unit.dimension, value.base) if isinstance(value, Amount) else repr(value)


def distinct(values: Sequence[Value | None]) -> dict[object, Value]:
    """The values of different sizes by their keys, in the order of time, each as it was first written."""
    found: dict[object, Value] = {}
    for value in values:
        if value is not None:
            found.setdefault(value_key(value), value)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Freedom:
    """Something that became allowed, and how long it lasted: until a change took of it, or up to now where `until` is None.

    `clause` is its number when it was given. `days` counts from the day it was given to the one it was taken, or to the
    newest station; None where a day is not known.
    """

    clause: str
    classes: tuple[str, ...]
    since: Point
    until: Point | None
    days: int | None


class Scope(StrEnum):
    """Which rules a habit is about."""

    CLAUSE = "clause"
    CHAPTER = "chapter"
    QUANTITY = "quantity"


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """How often rules change: this one, those of its chapter, or those of a quantity.

    `seasons` are those that each rule lived through, summed over `rules`; `changes` are changes of a rule, new and repealed
    ones among them, not of numbers, places or the wording alone. `freedoms` are in the order in which they were given.
    """

    scope: Scope
    about: str
    rules: int
    seasons: int
    changes: int
    freedoms: tuple[Freedom, ...] = ()

    @property
    def rate(self) -> Fraction:
        """Changes for each season that a rule lived through."""
        return Fraction(self.changes, self.seasons) if self.seasons else Fraction(0)

    @property
    def taken(self) -> tuple[int, ...]:
        """How many days each freedom lasted that was taken again, the shortest first."""
        return tuple(sorted(one.days for one in self.freedoms if one.until is not None and one.days is not None))

    @property
    def standing(self) -> tuple[int, ...]:
        """How many days each freedom that still stands has lasted so far, the shortest first."""
        return tuple(sorted(one.days for one in self.freedoms if one.until is None and one.days is not None))

    @property
    def median(self) -> Fraction | None:
        """The median of the days that freedoms lasted which were taken again; None where those are too few to tell."""
        days, half = self.taken, len(self.taken) // 2
        if len(days) < FEW:
            return None
        return Fraction(days[half]) if len(days) % 2 else Fraction(days[half - 1] + days[half], 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """One rule from where it first stood to the newest point, or to where it went."""

    body: Body
    lineage: Lineage
    stations: tuple[Station, ...]
    lines: tuple[Line, ...]
    habits: tuple[Habit, ...] = ()

    @property
    def now(self) -> Station:
        """The last station."""
        return self.stations[-1]

    @property
    def title(self) -> str:
        """The heading or opening of the rule as it last stood."""
        last = self.last
        return last.heading or last.folded

    @property
    def last(self) -> Clause:
        """The rule as it last stood."""
        return next(station.clause for station in reversed(self.stations) if station.clause is not None)

    @property
    def has_history(self) -> bool:
        """Whether anything ever happened to the rule after the body's first edition."""
        return any(station.changed for station in self.stations)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseName:
    """A clause as the command line names it: a number, alone or behind a body or a point.

    `text` is the whole, which may be a number with a space in it where `body` turns out not to be one.
    """

    text: str
    clause: str
    body: str = ""
    point: Point | None = None
    revision: str = ""
