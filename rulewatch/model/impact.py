"""Verdicts on a car, and impacts: what a change does to an entry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from rulewatch.model.car import Car, Entry
from rulewatch.model.change import Change
from rulewatch.model.edition import Edition
from rulewatch.model.job import Cause, Job
from rulewatch.model.measured import Doubt
from rulewatch.model.quantity import Amount


class Verdict(StrEnum):
    """Kleene's three values, in the words of inspection."""

    LEGAL = "legal"
    ILLEGAL = "illegal"
    UNKNOWN = "unknown"

    def __invert__(self) -> Verdict:
        """Not."""
        return {Verdict.LEGAL: Verdict.ILLEGAL, Verdict.ILLEGAL: Verdict.LEGAL}.get(self, Verdict.UNKNOWN)

    @staticmethod
    def every(verdicts: Iterable[Verdict]) -> Verdict:
        """And: illegal if any is, else unknown if any is, else legal (of none, too)."""
        found = set(verdicts)
        return next((v for v in (Verdict.ILLEGAL, Verdict.UNKNOWN) if v in found), Verdict.LEGAL)

    @staticmethod
    def some(verdicts: Iterable[Verdict]) -> Verdict:
        """Or: legal if any is, else unknown if any is, else illegal (of none, too)."""
        found = set(verdicts)
        return next((v for v in (Verdict.LEGAL, Verdict.UNKNOWN) if v in found), Verdict.ILLEGAL)


class Need(StrEnum):
    """Why a verdict is unknown: what someone must do."""

    MEASURE = "measure"  # a value is missing, or was taken under other conditions
    READ = "read"  # a reading is missing or not confirmed
    ASK = "ask"  # a question to the officials is open


class Sort(StrEnum):
    """What sort of requirement a finding is about."""

    LIMIT = "limit"
    CLOSED = "closed scope"
    WEIGHT = "minimum weight"
    WAIVER = "waiver"
    DATED = "item with a life"
    UNREAD = "unread clause"  # also a reading that only waits: to be confirmed, or for an answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """The verdict of one requirement on one car: one quantity or component under one or more clauses.

    `alone` gives the verdict of each clause by itself; `verdict` takes the rest of the book into account (what replaces it,
    what else permits). `applies` is False where the requirement does not concern this car (its condition is false, the part
    is absent, or it is replaced). `margin` is the room to the bound in the bound's unit, of the worst instance, negative
    beyond it; None where there is no such measure. `doubt` is what the measurement leaves open. `needs` says what an unknown
    waits for; `missing` names the quantities that are not stated. `ends` is the last day of what it rests on, the item with a
    life that is over first, and `since` the day on which the latest of such lives began.
    """

    sort: Sort
    subject: str
    clauses: tuple[str, ...]
    verdict: Verdict
    alone: Mapping[str, Verdict]
    why: str
    applies: bool = True
    margin: Amount | None = None
    doubt: Doubt | None = None
    value: str = ""
    bound: str = ""
    needs: frozenset[Need] = frozenset()
    missing: tuple[str, ...] = ()
    ends: date | None = None
    since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightLine:
    """One line of the minimum weight's build-up: a minimum or an adder, what it adds, and the total after it."""

    clause: str
    label: str
    amount: Amount
    total: Amount
    certain: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightSheet:
    """The minimum weight of an entry, built up line by line, against the car's weight.

    Where a condition is unknown the minimum is a range, `least` to `greatest`; both None where nothing can be said. `granted` is what
    the book grants on it, `measured` how it wants the car weighed (`driver: yes`), and `guard` by how much
    a measured weight must be over it to be taken, in kilograms.
    """

    lines: tuple[WeightLine, ...]
    least: Amount | None
    greatest: Amount | None
    car: Amount | None
    granted: Amount | None = None
    measured: tuple[tuple[str, str], ...] = ()
    guard: Fraction = Fraction(0)


@dataclass(frozen=True, kw_only=True)
class Assessment:
    """One entry of one car judged against a whole edition on a day.

    Where the car was not `entered` then, nothing was judged and nothing is known. Not slotted: the findings are indexed once,
    as every change asks for some of them.
    """

    car: Car
    entry: Entry
    edition: Edition
    day: date
    findings: tuple[Finding, ...]
    weight: WeightSheet | None = None
    entered: bool = True

    @property
    def last_day(self) -> date:
        """The day until which papers and items must be good: the last of an event that begins on the day."""
        return self.edition.header.last_day(self.day)

    @property
    def verdict(self) -> Verdict:
        """The whole book's verdict."""
        return Verdict.every(finding.verdict for finding in self.findings) if self.entered else Verdict.UNKNOWN

    def about(self, subjects: Iterable[str]) -> tuple[Finding, ...]:
        """The findings about these quantities and components, each once."""
        return tuple(finding for subject in dict.fromkeys(subjects) for finding in self._by_subject.get(subject, ()))

    def of_clauses(self, ids: Iterable[str]) -> tuple[Finding, ...]:
        """The findings to which one of these clauses contributes, each once."""
        found = {id(finding): finding for name in ids for finding in self._by_clause.get(name, ())}
        return tuple(found.values())

    @cached_property
    def _by_subject(self) -> Mapping[str, tuple[Finding, ...]]:
        return _grouped((finding.subject, finding) for finding in self.findings)

    @cached_property
    def _by_clause(self) -> Mapping[str, tuple[Finding, ...]]:
        return _grouped((name, finding) for finding in self.findings for name in finding.clauses)


def _grouped(pairs: Iterable[tuple[str, Finding]]) -> Mapping[str, tuple[Finding, ...]]:
    found: dict[str, list[Finding]] = {}
    for name, finding in pairs:
        found.setdefault(name, []).append(finding)
    return {name: tuple(findings) for name, findings in found.items()}


class Outcome(StrEnum):
    """What a change does to an entry, in order of precedence."""

    BREACH = "breach"
    STILL_IN_BREACH = "still in breach"
    MEASURE = "measure"
    READ = "read"
    AT_RISK = "at risk"
    CLOSING = "closing"
    CURED = "cured"
    OPENING = "opening"
    TIGHTER = "tighter"
    ROOMIER = "roomier"
    NONE = "none"


PRECEDENCE: tuple[Outcome, ...] = tuple(Outcome)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """The verdict on one side of a change: by the whole book, and by the change's clauses alone."""

    verdict: Verdict
    alone: Verdict
    margin: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionEffect:
    """What became of an option of the crew's, by its short name, or of a part that the car lacks; then `option` is empty."""

    option: str
    what: str
    outcome: Outcome
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Further:
    """What a change does to an entry beside its outcome: to another quantity or component, to an option, or to be read."""

    outcome: Outcome
    why: str
    subject: str = ""
    job: str = ""
    waits_for: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Impact:
    """What one change does to one entry of one car.

    `weights` are the build-ups of the minimum weight on both sides, of the impact on the weight alone.
    `options` are those that the change opens or closes, and the parts that the car could have. `subject` is the quantity or
    component that decided the outcome, empty where none did. `also` holds the other outcomes that apply. `job` is the work
    suggested, empty for none; `cause` is what it would be kept under. `waits_for` names the clause of the new book, and what it
    speaks of, that must be read or answered before an option is decided. `further` is what the change does to other quantities
    and options, each with its own reason and work. `kept` is the crew's own job in the same matter; `again`
    tells that there is work beyond it. `others` are further jobs of the crew's in that matter.
    """

    car: str
    entry: Entry
    old: tuple[str, ...]
    new: tuple[str, ...]
    outcome: Outcome
    before: Side
    after: Side
    why: str
    also: tuple[Outcome, ...] = ()
    subject: str = ""
    on: date | None = None
    job: str = ""
    cause: Cause | None = None
    kept: Job | None = None
    again: bool = False
    others: tuple[Job, ...] = ()
    waits_for: tuple[str, str] | None = None
    further: tuple[Further, ...] = ()
    options: tuple[OptionEffect, ...] = ()
    weights: tuple[WeightSheet | None, WeightSheet | None] = (None, None)
    change: Change | None = field(default=None, compare=False)

    def each(self) -> Iterator[Impact]:
        """The impact itself, then each further one as an impact of its own."""
        yield self
        for one in self.further:
            yield replace(
                self,
                outcome=one.outcome,
                why=one.why,
                subject=one.subject,
                job=one.job,
                waits_for=one.waits_for,
                also=(),
                further=(),
            )
