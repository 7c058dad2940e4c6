"""What was altered on a car, and which changes of the rules that answered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from rulewatch.model.car import Car, Stated
from rulewatch.model.fault import Source
from rulewatch.model.job import Job
from rulewatch.model.timeline import Recorded


@dataclass(frozen=True, slots=True, kw_only=True)
class FileState:
    """A file as a commit left it."""

    recorded: Recorded
    source: Source


class Kind(StrEnum):
    """What a difference is: only the first tells of a car that is other than before."""

    ALTERED = "altered"
    MEASURED = "measured"  # the same value, taken again
    STATED = "stated"  # for the first time: what it was before nobody said
    WITHDRAWN = "withdrawn"  # nobody says any more


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What a car states of a quantity or component before and after; None where it stated nothing.

    Where a part above it was stated absent or standard on a side, that stands there.
    """

    subject: str
    old: Stated | None
    new: Stated | None
    kind: Kind = Kind.ALTERED


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A change of the rules that an alteration answers, in a season's book, for a class.

    `clauses` are those of that book. `opening` tells that the change allowed what was done; else it had made the car illegal.
    `bulletins` are the numbers of those that brought it. `said` tells that the crew's job names it as its cause.
    """

    body: str
    season: str
    clauses: tuple[str, ...]
    class_name: str = ""
    opening: bool = False
    bulletins: tuple[str, ...] = ()
    why: str = ""
    said: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Alteration:
    """One difference in a car, with where it is known from: a commit, a job that is done, or both.

    `day` is the commit's author day, or the job's where no commit is known; None for what is not committed yet, and for a job
    without a day. `difference` is None for what only a job tells. `recorded` is the commit, `job` the work.
    """

    day: date | None
    subjects: tuple[str, ...]
    difference: Difference | None = None
    recorded: Recorded | None = None
    job: Job | None = None
    answers: tuple[Answer, ...] = ()

    @property
    def kind(self) -> Kind:
        """What it is; a job alters."""
        return self.difference.kind if self.difference is not None else Kind.ALTERED


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A rule book or a bulletin that was published."""

    day: date
    body: str
    season: str
    bulletin: str = ""
    effective: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A measured value that is older than an alteration: `counted` where verdicts know it, else only perhaps stale.

    `why` and `todo` are whole phrases.
    """

    subject: str
    why: str
    counted: bool
    todo: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CarHistory:
    """The history of one car, from old to new, what is not committed yet last.

    `first` is the commit that first had its spec; None where none is known, and then `unknown` says why in words.
    """

    car: Car
    alterations: tuple[Alteration, ...]
    issued: tuple[Issued, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    first: Recorded | None = None
    unknown: str = ""
