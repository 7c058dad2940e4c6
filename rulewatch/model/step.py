"""What waits for a person's word: one reading, or one clause without a reading, with all that helps to decide."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.model.carried import Carried
from rulewatch.model.change import Mark
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Point
from rulewatch.model.impact import Verdict
from rulewatch.model.proposal import Proposal
from rulewatch.model.reading import Reading

# The lines of a reading's block, its fences included, without the indent of the place where it stands.
Block = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a reading belongs: a clause with the digest of its text, and which of its readings (from 1), with its block.

    `number` is 0, and the block empty, where the clause has no reading yet.
    """

    clause: str
    digest: str
    number: int = 0
    block: Block = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Readings that could stand in the place of one, or under a clause without any: shown, and written only on a person's word.

    `blocks` and `readings` go together; a block that is no valid reading has None. `origins` are the parts of the readings with the
    words that they came from. Without blocks, `why_not` says in words why there is none, and `nearest` names entries of the
    vocabulary that the clause may speak of.
    """

    blocks: tuple[Block, ...] = ()
    readings: tuple[Reading | None, ...] = ()
    origins: tuple[tuple[str, str], ...] = ()
    doubts: tuple[str, ...] = ()
    why_not: str = ""
    nearest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Touched:
    """A car of the crew in one class: what a clause speaks of there, how that stands, and why."""

    car: str
    class_name: str
    subject: str
    verdict: Verdict
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Concern:
    """What hangs on a clause: the cars that are subject to it, and the options of the crew's that it speaks of (car, what).

    `parts` are the components that an unread clause names. Such a clause may bear on every car that has them; one that names
    none may bear on any.
    """

    cars: tuple[Touched, ...] = ()
    options: tuple[tuple[str, str], ...] = ()
    parts: tuple[str, ...] = ()

    @property
    def rank(self) -> int:
        """What comes first: limits on cars, unread words on parts of cars, options, what may bear on any car, the rest."""
        if any(touched.subject for touched in self.cars):
            return 0
        if self.cars and self.parts:
            return 1
        return 2 if self.options else 3 if self.cars else 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to decide: a reading, or a clause that has none (`reading` is None).

    `number` says which of the clause's `count` readings it is, from 1. `before` are the clauses that it comes from, with
    `words` for what changed; where the reading was confirmed against a text that is known, that one. `confirmed` tells that
    nothing is open here.
    """

    point: Point
    clause: Clause
    number: int = 0
    count: int = 0
    reading: Reading | None = None
    block: Block = ()
    before: tuple[Clause, ...] = ()
    words: tuple[tuple[Mark, str], ...] = ()
    proposal: Proposal | None = None
    concern: Concern = Concern()

    @property
    def spot(self) -> Spot:
        """Where the decision is written."""
        return Spot(clause=self.clause.id, digest=self.clause.digest, number=self.number, block=self.block)

    @property
    def confirmed(self) -> bool:
        """Whether the reading is confirmed against the text as it is."""
        return self.reading is not None and self.reading.is_confirmed(self.clause.digest)

    @property
    def asked(self) -> bool:
        """Whether the officials have not answered yet."""
        return self.reading is not None and self.reading.is_open

    @property
    def path(self) -> str:
        """The file that the decision is written to."""
        return self.clause.place.path if self.reading is None else self.reading.place.path

    @property
    def name(self) -> str:
        """`5.2.1`, and `5.2.1:2` for the second reading of several: what the command line calls it."""
        return f"{self.clause.id}:{self.number}" if self.count > 1 else self.clause.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriage:
    """Readings carried into an edition: from which one, and what became of each. `written` are the files that were changed."""

    old: Point
    new: Point
    carried: Carried
    written: tuple[str, ...] = ()
