"""Work lists: the jobs of a car, kept and suggested, with what they are due for and what became of their causes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from rulewatch.model.impact import Outcome
from rulewatch.model.job import Job


class State(StrEnum):
    """What is to be done about a job."""

    SUGGESTED = "suggested"  # by a change, and not in jobs.yaml
    TO_DO = "to do"
    ASK = "ask first"  # somebody must be asked before it is decided
    DECLINED = "declined"
    DONE = "done"

    @property
    def waits(self) -> bool:
        """Whether it is work for somebody."""
        return self not in {State.DECLINED, State.DONE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trail:
    """Where the rule of a cause went: its last number and season; `gone` where it stands no longer."""

    body: str
    season: str
    clause: str
    gone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A job on the list of a car.

    `system` is that of the vocabulary, empty where it is about none. `due` is the day by which it should be done, `event` the
    title of the event that it is due for, if it is one. `trail` is None for the crew's own work and where the cause is `lost`.
    `outcome` is what the newest changes come to in the same matter, None where they come to nothing; `asks` is the work that
    they suggest, empty where the job says just that.
    """

    car: str
    job: Job
    state: State
    system: str = ""
    due: date | None = None
    event: str = ""
    trail: Trail | None = None
    lost: bool = False
    outcome: Outcome | None = None
    asks: str = ""

    @property
    def unresolved(self) -> bool:
        """Whether it was declined or done, and the car is illegal all the same, as far as its own values say."""
        return not self.state.waits and self.outcome in {Outcome.BREACH, Outcome.STILL_IN_BREACH}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What was added to the `jobs.yaml` of a car."""

    car: str
    path: str
    added: tuple[Job, ...]
