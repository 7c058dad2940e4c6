"""What a clause's words are taken to say: suggested readings, each with the words that it came from and how sure it is.

A suggestion is an offer to a person, and nothing else: it is never stored as a reading and decides no verdict.
"""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """The words that one part of a reading came from: `words` is `clause.text[start:end]`.

    `part` is the path of keys to it in the reading, parted by spaces: `limit wheels.rear.rim_width max`, `when`, `noted`.
    """

    part: str
    start: int
    end: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestedReading:
    """One reading as a person would write it.

    `yaml` is the inside of the block, without a line end behind it. `certainty` is from 0 to 1; `doubts` say in plain words
    what to look at before it is taken.
    """

    yaml: str
    origins: tuple[Origin, ...]
    certainty: float
    doubts: tuple[str, ...] = ()

    @property
    def block(self) -> str:
        """The whole block as it stands in a chapter."""
        return f"```reading\n{self.yaml}\n```\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """The readings suggested for a clause, all of which belong together; or, where there is none, why, and what is near.

    `nearest` are the names of the quantities and components of the vocabulary that the clause may speak of, the nearest
    first; `why_not` is a plain sentence, empty where there are readings.
    """

    clause: str
    readings: tuple[SuggestedReading, ...] = ()
    why_not: str = ""
    nearest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestedBook:
    """What is suggested for clauses of a book, each with its clause, in the book's order."""

    edition: Edition
    clauses: tuple[tuple[Clause, Suggestion], ...]
