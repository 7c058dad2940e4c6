"""What a car's page is made of."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.publish.page_parts import ClauseLink, Tally
from rulewatch.publish.weight_words import WeightSide
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherView:
    """What a change does beside its outcome, with the work of its own."""

    term: Term
    why: str
    job: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpactView:
    """One impact in full. `kept` is what the crew has said in the matter already."""

    anchor: str
    term: Term
    what: str
    why: str
    on: str
    old: tuple[ClauseLink, ...]
    new: tuple[ClauseLink, ...]
    before: str
    after: str
    also: str
    job: str
    kept: str
    href: str
    weights: tuple[WeightSide, ...]
    further: tuple[FurtherView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding: what it is about, the car's value, the bound, the room between, and why unless the row says it all."""

    what: str
    note: str
    value: str
    bound: str
    room: str
    clauses: tuple[ClauseLink, ...]
    why: str
    shows_why: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """The findings of one verdict."""

    term: Term
    anchor: str
    findings: tuple[FindingView, ...]
    folded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRow:
    """Work that altered a car: on which day, what, by whom, what it altered, and the rule that it came from.

    `clause` may have no link, and no number where it came from none.
    """

    day: str
    what: str
    by: str
    altered: tuple[str, ...]
    clause: ClauseLink | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRow:
    """One line of the weight's build-up; `note` is what the clause adds, where that is no mass."""

    label: str
    note: str
    clause: ClauseLink
    amount: str
    total: str
    certain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightView:
    """The minimum weight, the car's, and what follows, in words; `reasons` where the verdict rests on more than the sum."""

    rows: tuple[WeightRow, ...]
    minimum: str
    car: str
    term: Term
    result: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportView:
    """What the changes of one comparison do to an entry; `idle` are those without effect."""

    title: str
    draft: bool
    href: str
    impacts: tuple[ImpactView, ...]
    idle: tuple[ImpactView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryView:
    """One entry of a car."""

    title: str
    season: str
    anchor: str
    dates: str
    waivers: tuple[str, ...]
    standing: tuple[Tally, ...]
    reports: tuple[ReportView, ...]
    groups: tuple[FindingGroup, ...]
    weight: WeightView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherSide:
    """What one entry's book says of a quantity or an option."""

    entry: str
    term: Term
    words: str
    clauses: tuple[ClauseLink, ...]
    tighter: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherRow:
    """One quantity or option of a car that is entered more than once, with what each book says of it."""

    what: str
    sides: tuple[TogetherSide, ...]
