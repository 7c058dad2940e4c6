"""The parts of the two sheets that a crew takes along: the weight sheet and the inspection sheet."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.publish.balance_words import StateRow
from rulewatch.publish.inspection_words import LineWords
from rulewatch.publish.page_parts import ClauseLink
from rulewatch.publish.weight_words import WeightStep
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionRow:
    """One requirement: its verdict, its clauses, and the rest in words."""

    term: Term
    risk: bool
    clauses: tuple[ClauseLink, ...]
    words: LineWords


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionGroup:
    """The requirements on one system, or the items with a life."""

    title: str
    rows: tuple[InspectionRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankRow:
    """A value that is still to be measured, with how it is taken and the clauses that ask for it."""

    label: str
    how: str
    clauses: tuple[ClauseLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """The inspection sheet of one entry."""

    anchor: str
    title: str
    standing: str
    closing: tuple[str, ...]
    groups: tuple[InspectionGroup, ...]
    waivers: tuple[str, ...]
    questions: tuple[str, ...]
    unread: tuple[str, ...]
    blanks: tuple[BlankRow, ...]
    idle: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlookView:
    """What the scales of one entry's inspection will find, and its ballast."""

    anchor: str
    title: str
    minimum: str
    steps: tuple[WeightStep, ...]
    lines: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceView:
    """How a car stands on its wheels: a table of its states, and lines on its centre of gravity and its axle loads at speed."""

    weighed: str
    corners: tuple[str, ...]
    states: tuple[StateRow, ...]
    gravity: tuple[str, ...]
    speed_title: str
    speeds: tuple[str, ...]
    notes: tuple[str, ...]
