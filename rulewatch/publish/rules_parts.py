"""What the pages of a rule book are made of."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from rulewatch.publish.change_parts import EffectView, ImpactLine
from rulewatch.publish.page_parts import ClauseLink, Link


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRow:
    """How many changes have each effect for a class, in the order of the page's `effects`."""

    name: str
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingView:
    """One reading in words. `state` says who confirmed it, or why it does not count as confirmed."""

    sentences: tuple[str, ...]
    confirmed: bool
    state: str
    question: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartView:
    """A value over time: what it is, and its picture."""

    title: str
    picture: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class StationView:
    """A row of a clause's history: when, under which number, what became of it, what it says, and who confirmed that."""

    label: str
    since: str
    number: Link
    state: str
    values: tuple[str, ...]
    effects: tuple[EffectView, ...]
    confirmed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseView:
    """A clause's history: the values that moved as charts, and everything as a table behind them, with how usual that is.

    `outlook` says, where the rule was loosened last, how long such freedoms last.
    """

    summary: str
    charts: tuple[ChartView, ...]
    stations: tuple[StationView, ...]
    habits: tuple[str, ...]
    outlook: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseView:
    """One clause as it stands. `level` is its heading's, 0 for a clause without one.

    `lasting` is an anchor that stays with the rule through all its numbers; `first` says where it stood under its first one,
    and `now` where the rule of an older book stands today. `effects` are those of the change since the season before, and
    `course` is its history, on the newest page that it has.
    """

    id: str
    anchor: str
    level: int
    heading: str
    text: Markup
    container: bool
    readings: tuple[ReadingView, ...]
    amended_by: str
    changed: Link | None
    kinds: tuple[str, ...]
    effects: tuple[EffectView, ...]
    lasting: str
    first: Link | None
    now: Link | None
    course: CourseView | None
    referred_from: tuple[ClauseLink, ...]
    impacts: tuple[ImpactLine, ...]

    @property
    def bare(self) -> bool:
        """Whether nothing but an anchor is left, because the page's title says all that the clause says."""
        return not (self.id or self.text or self.readings or self.changed or self.referred_from)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterBrief:
    """One chapter in an edition's contents."""

    title: str
    href: str
    clauses: int
    changed: int
    unread: int
