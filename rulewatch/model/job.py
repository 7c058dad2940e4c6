"""Jobs: pieces of work on a car, what caused each, and what the crew decided about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from rulewatch.model.fault import Place
from rulewatch.model.work import Booked, Estimate, Part


class Choice(StrEnum):
    """What the crew decided about a job."""

    DO = "do"
    NOT_NOW = "not now"
    ASK = "ask"  # someone must be asked before it can be decided
    NEVER = "never"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """The rule that a job came from, as first written: its number in a season's book, and the quantity or component it is about.

    `quantity` is empty where the job is about the words of the clause as such. `place` is where it is written.
    """

    body: str
    season: str
    clause: str
    quantity: str = ""
    place: Place | None = field(default=None, compare=False)

    def __str__(self) -> str:
        """As jobs.yaml has it: `saltmarsh/2027 4.3 engine.exhaust.noise`."""
        return " ".join(filter(None, (f"{self.body}/{self.season}", self.clause, self.quantity)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """A choice: by whom (a person's id), on which day, and why, where that is written down."""

    choice: Choice
    by: str = ""
    on: date | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """That a job is done: on which day, and by whom (people's ids), where that is written down."""

    on: date | None = None
    by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One piece of work on a car, as `jobs.yaml` has it.

    `id` may be empty: only what others refer to needs one. `cause` is None for the crew's own work, `decision` None where none
    was taken. `by` are the ids of the people who do it together; else it is one of those who `can`, or who have the `skills`.
    `due` is a day or the id of an event, None where neither is said. `hours` is the work as a whole, of which some may be
    `booked`; `left`, where it is said, is what remains. `after` are the ids of jobs of the same car that come first,
    `equipment` is what it needs all the time. `wish` says whether it may be left out; None leaves that to the plan.
    `alters` names the quantities and components that doing it alters.
    """

    what: str
    place: Place = field(compare=False)
    id: str = ""
    cause: Cause | None = None
    decision: Decision | None = None
    by: tuple[str, ...] = ()
    due: date | str | None = None
    can: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()
    hours: Estimate | None = None
    booked: tuple[Booked, ...] = ()
    left: Estimate | None = None
    after: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    wish: bool | None = None
    done: Done | None = None
    alters: tuple[str, ...] = ()
    note: str = ""

    @property
    def name(self) -> str:
        """What to call it in a message: its id, else what it is."""
        return self.id or self.what

    @property
    def declined(self) -> bool:
        """Whether the crew decided against it, for now or for good."""
        return self.decision is not None and self.decision.choice in {Choice.NOT_NOW, Choice.NEVER}

    @property
    def asked(self) -> bool:
        """Whether someone must be asked before it can be decided."""
        return self.decision is not None and self.decision.choice is Choice.ASK
