"""The sheet that a crew brings to an inspection: every requirement on one entry, and how what meets it is known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.model.car import Measurement, Waiver
from rulewatch.model.edition import Event
from rulewatch.model.impact import Assessment, Finding
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionLine:
    """One requirement: its finding, and how the value was taken; None where it is only declared, or not stated.

    `u` is the expanded uncertainty of the value, of a mean that of the mean. `missed` are the events of the season on whose last day the item's life, or the paper, is over.
    """

    finding: Finding
    measurement: Measurement | None = None
    u: Amount | None = None
    missed: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A waiver: why it does not count on the day, empty where it does, and the events to come at which it is over."""

    waiver: Waiver
    not_held: str = ""
    missed: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemLines:
    """The requirements on one system of the car, by its label."""

    system: str
    lines: tuple[InspectionLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMeasure:
    """A value that some clauses ask for and the car does not state: what it is, and how it is taken."""

    name: str
    label: str
    how: str
    clauses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question to the officials, with the answer where there is one."""

    clause: str
    text: str
    answered: Answer | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionSheet:
    """The sheet of one entry for one day.

    `events` are those that begin on the day; `systems` have what applies to the car, system by system, `lives` the items with a
    life and the paper, `idle` the requirements that do not apply to this car; `unread` the clauses that nobody has read, or
    whose reading nobody has confirmed. `crew_p` is the probability of conformity below which a legal value is at risk.
    """

    assessment: Assessment
    day: date
    crew_p: float
    events: tuple[Event, ...]
    systems: tuple[SystemLines, ...]
    lives: tuple[InspectionLine, ...]
    idle: tuple[Finding, ...]
    waivers: tuple[Paper, ...]
    to_measure: tuple[ToMeasure, ...]
    questions: tuple[Question, ...]
    unread: tuple[Finding, ...]

    def at_risk(self, finding: Finding) -> bool:
        """Whether a value that is legal is nearer to its limit than the crew wants."""
        return finding.doubt is not None and finding.doubt.p < self.crew_p
