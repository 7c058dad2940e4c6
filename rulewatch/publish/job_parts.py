"""What a page of jobs is made of."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.publish.page_parts import ClauseLink
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskView:
    """One job. `cause` says of a rule that stands no longer, or is not found, what it was; `clause` leads to one that stands."""

    what: str
    term: Term | None
    suggested: bool
    ask: bool
    late: bool
    due: str
    details: tuple[str, ...]
    clause: ClauseLink | None
    cause: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskGroup:
    """The jobs under one heading."""

    title: str
    anchor: str
    tasks: tuple[TaskView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskSection:
    """The same jobs under headings of one sort."""

    title: str
    anchor: str
    groups: tuple[TaskGroup, ...]
