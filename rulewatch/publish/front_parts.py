"""What the front page is made of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.publish.page_parts import ClauseLink, Link, Tally
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class Countdown:
    """An event ahead or under way, `when` in words. `days` is 0 from its first day on; `length` is that of its line, in steps of 5 %."""

    title: str
    body: str
    on: date
    days: int
    when: str
    length: int = 100
    track: str = ""
    cars: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefItem:
    """One thing that matters about an entry."""

    term: Term
    what: str
    why: str
    href: str
    clauses: tuple[ClauseLink, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryBrief:
    """An entry on the front page: its standing, the most pressing items, and how many more there are."""

    title: str
    season: str
    href: str
    standing: tuple[Tally, ...]
    tallies: tuple[Tally, ...]
    items: tuple[BriefItem, ...]
    more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CarBrief:
    """A car on the front page."""

    name: str
    href: str
    entries: tuple[EntryBrief, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BulletinBrief:
    """A bulletin and what it amends."""

    body: str
    season: str
    number: str
    title: str
    published: date
    effective: date
    draft: bool
    in_force: bool
    events: tuple[str, ...]
    amended: tuple[ClauseLink, ...]
    repealed: tuple[ClauseLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonBrief:
    """A comparison in one line."""

    title: str
    href: str
    changed: int
    total: int
    kinds: tuple[Tally, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyBrief:
    """A body with its editions, the newest first."""

    name: str
    editions: tuple[Link, ...]
