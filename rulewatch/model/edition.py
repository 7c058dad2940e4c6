"""Bodies, editions, bulletins, and the points at which an edition is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from rulewatch.model.clause import Clause, DoubtfulPlace
from rulewatch.model.fault import Place
from rulewatch.model.instruction import Amendment, Instruction, Suspension
from rulewatch.model.quantity import Amount, NumberStyle
from rulewatch.model.reading import Reading, Test, Ties


class Governs(StrEnum):
    """Which of two units for one value rules."""

    FIRST = "first"
    METRIC = "metric"


class DecisionRule(StrEnum):
    """How inspectors decide on a measured value near a limit (JCGM 106:2012, clause 8)."""

    SIMPLE = "simple"  # the value itself is compared (8.2)
    GUARDED = "guarded"  # the value must keep away from the limit by a guard band (8.3)
    PROBABILITY = "probability"  # it must conform with a probability (7)


class ObservedRounding(StrEnum):
    """Whether a measured value is compared as it is, or rounded to the last place of the limit first (ASTM E29)."""

    ABSOLUTE = "absolute"
    LIMIT = "limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """A body's rule for measured values.

    `guard` is the guard band as a multiple of the expanded uncertainty (k = 2); below zero the value may be beyond the limit by as
    much (guarded rejection). `p` is the least probability of conformity.
    """

    rule: DecisionRule = DecisionRule.SIMPLE
    guard: Fraction = Fraction(1)
    p: Fraction = Fraction(95, 100)
    rounding: ObservedRounding = ObservedRounding.ABSOLUTE
    ties: Ties = Ties.EVEN


SIMPLE = Decision()


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """An organisation that publishes rules. `classes` maps a class's id to its title."""

    id: str
    name: str
    classes: Mapping[str, str]
    numbers: NumberStyle = field(default_factory=NumberStyle)
    governs: Governs = Governs.FIRST
    decision: Decision = field(default_factory=Decision)
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One event of a season. `entries_close` is the last day on which a car can be entered for it."""

    id: str
    title: str
    on: date
    until: date | None = None
    track: str = ""
    track_at: Place | None = field(default=None, compare=False)
    entries_close: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedScope:
    """A part of the car in which only what is permitted may be altered, and the clause that says so, if known.

    `free` is what an official paper permits in it for one car; there the paper's own word holds instead.
    """

    scope: str
    clause: str = ""
    free: tuple[Test, ...] = ()
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionHeader:
    """What `edition.yaml` says. `classes` is empty for all of the body's."""

    body: str
    season: str
    title: str
    place: Place = field(compare=False)
    published: date | None = None
    effective: date | None = None
    previous: str = ""
    previous_place: Place | None = field(default=None, compare=False)
    classes: tuple[str, ...] = ()
    closed: tuple[ClosedScope, ...] = ()
    tolerances: tuple[Amount, ...] = ()
    events: tuple[Event, ...] = ()

    def last_day(self, day: date) -> date:
        """The last day of the event that begins on a day; that day itself where none does, or it is over the same day."""
        return max((event.until for event in self.events if event.on == day and event.until is not None), default=day)

    def next_event(self, day: date, covers: Callable[[date], bool]) -> Event | None:
        """The first event that is not over before a day and begins on one that counts; None where there is none."""
        coming = (event for event in self.events if (event.until or event.on) >= day and covers(event.on))
        return min(coming, key=lambda event: event.on, default=None)


class BulletinStatus(StrEnum):
    """Whether a bulletin is in force or only proposed."""

    FINAL = "final"
    DRAFT = "draft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulletin:
    """A published amendment: new texts by clause, and instructions. `events` is empty unless it was issued for those alone."""

    number: str
    published: date
    effective: date
    place: Place = field(compare=False)
    title: str = ""
    status: BulletinStatus = BulletinStatus.FINAL
    events: tuple[str, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    instructions: tuple[Instruction, ...] = ()

    @property
    def numbers(self) -> frozenset[str]:
        """The clauses that it names as amended, by the numbers that it uses for them."""
        told = (target for each in self.instructions for target in (*each.targets, *each.to))
        named = (name for target in told for name in (target.number, target.named) if name)
        return frozenset((*named, *(number for each in self.amendments for number in (each.number, each.block))))


class Selector(StrEnum):
    """Which bulletins of a season count at a point."""

    ALL = "all"
    PUBLISHED = "published"  # none
    DATE = "date"  # those effective on or before a day
    EVENT = "event"  # those of an event's day, and what was issued for it


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """Where to read an edition from. `file` is set, and the rest empty, for a plain Markdown file."""

    body: str = ""
    season: str = ""
    selector: Selector = Selector.ALL
    day: date | None = None
    event: str = ""
    revision: str = ""
    file: str = ""

    def __str__(self) -> str:
        """As the command line takes it."""
        if self.file:
            return self.file
        suffix = {
            Selector.ALL: "",
            Selector.PUBLISHED: "@published",
            Selector.DATE: f"@{self.day}",
            Selector.EVENT: f"@event:{self.event}",
        }[self.selector]
        return f"{self.revision + ':' if self.revision else ''}{self.body}/{self.season}{suffix}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassPoint:
    """A class of the edition at a point; no class stands for all of them."""

    point: Point
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One body's rule book as it stands at a point: its clauses in document order, with their readings.

    `day` is the day on which date-bound readings are judged. `applied` are the bulletins that count at this point, in the
    order of application; `drafts` are kept apart. `suspended` are the clauses that are out of force for a time, and `origins`
    says of those that a bulletin renumbered, made or put under a used number which published ones they come from (`lineage` of
    consolidation: the published number, or bulletin and number). `doubts` are the places of its chapters that wait for a look into the published
    book. A plain file gives an edition without classes and readings.
    """

    point: Point
    header: EditionHeader
    body: Body
    clauses: tuple[Clause, ...]
    readings: Mapping[str, tuple[Reading, ...]]
    day: date | None = None
    applied: tuple[Bulletin, ...] = ()
    drafts: tuple[Bulletin, ...] = ()
    amended_by: Mapping[str, str] = field(default_factory=dict)
    doubts: tuple[DoubtfulPlace, ...] = ()
    suspended: Mapping[str, Suspension] = field(default_factory=dict)
    origins: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def classes(self) -> tuple[str, ...]:
        """The ids of the classes that this edition has."""
        return self.header.classes or tuple(self.body.classes)

    @property
    def unread(self) -> tuple[Clause, ...]:
        """The clauses that ask for a reading and have none; a heading that only holds other clauses asks for none."""
        return tuple(clause for clause in self.clauses if not self.readings.get(clause.id) and not self.only_holds(clause))

    def only_holds(self, clause: Clause) -> bool:
        """Whether a clause of this edition says nothing itself: a heading that holds others, or a note that it is reserved."""
        is_bare = bool(clause.heading) and clause.folded == clause.heading
        return clause.container or clause.says_nothing or (is_bare and any(one.parent == clause.id for one in self.clauses))

    @property
    def by_id(self) -> Mapping[str, Clause]:
        """The clauses by id."""
        return {clause.id: clause for clause in self.clauses}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A day on which a car may run, with the book as it stands that day; `title` is the event's, empty for a day without one."""

    edition: Edition
    day: date
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledPair:
    """A pairing that a person has settled in `pairs.yaml`, or a bulletin by what it renumbers, splits, joins or suspends.

    An empty side means that the other has no counterpart.
    """

    old: tuple[str, ...]
    new: tuple[str, ...]
    place: Place = field(compare=False)
    note: str = ""
    by_bulletin: bool = False
