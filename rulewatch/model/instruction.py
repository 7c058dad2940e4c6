"""Instructions of bulletins: what the sentences of a drafting office ask for, one by one."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place
from rulewatch.model.reading import Reading


class Act(StrEnum):
    """What an instruction does: to whole clauses, or to words within one."""

    ADD = "add"
    REMOVE = "remove"
    REVISE = "revise"
    REDESIGNATE = "redesignate"
    RESERVE = "reserve"
    SUSPEND = "suspend"
    LIFT = "lift"
    SPLIT = "split"
    JOIN = "join"
    REPLACE_WORDS = "replace words"
    INSERT_WORDS = "insert words"
    STRIKE_WORDS = "strike words"


class Where(StrEnum):
    """Where something is added: beside a clause or words, or at an end of a clause's text."""

    BEFORE = "before"
    AFTER = "after"
    START = "start"
    END = "end"


class Extent(StrEnum):
    """How much of a clause is revised. `CLAUSE` is only clear where nothing stands under it."""

    CLAUSE = "clause"
    TEXT = "text"  # its own words; what stands under it stays
    HEADING = "heading"
    WHOLE = "whole"  # with all that stands under it


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """One clause of a bulletin: its full new text, or its repeal (`clause` is None).

    `block` is the number of the heading that it stands under: its own, or that of the clause it is a part of.
    """

    number: str
    place: Place = field(compare=False)
    block: str = ""
    clause: Clause | None = None
    readings: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A number in an instruction, as written; `named` has the word in front of it too (`Article 5`), if there is one.

    It means the text in force just before the bulletin, or, where it is `renumbered`, what the bulletin's own renumbering has
    made. `through` is the last number of a range. `deep` takes in all that stands under it.
    """

    number: str
    place: Place = field(compare=False)
    named: str = ""
    renumbered: bool = False
    through: str = ""
    deep: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Words between quotation marks, without these."""

    text: str
    place: Place = field(compare=False)


ONLY, EACH, LAST = 0, -1, -2  # which occurrence of words is meant, where it is not the first, second ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Instruction:
    """One instruction. `said` is its sentence as written, and `last_line` the last line of what belongs to it.

    `targets` are the clauses that it acts upon, or the numbers of new ones; `to` the numbers that they get, one for each where
    they are renumbered. `sought` are the words that must be there, at the given `occurrence`, and `words` the new ones; `where`
    says on which side of them, of the text, or of the clause `beside`. `texts` are the new clauses with their readings, and
    `readings` those of the one target after a change of words. `corrects` is the number of the bulletin that it corrects, and
    `is_correction` tells that it calls itself one.
    """

    act: Act
    place: Place = field(compare=False)
    last_line: int = field(default=0, compare=False)
    said: str = ""
    targets: tuple[Target, ...] = ()
    to: tuple[Target, ...] = ()
    sought: Quote | None = None
    words: Quote | None = None
    occurrence: int = ONLY
    where: Where | None = None
    beside: Target | None = None
    extent: Extent = Extent.CLAUSE
    until: date | None = None
    texts: tuple[Amendment, ...] = ()
    readings: tuple[Reading, ...] = ()
    corrects: str = ""
    is_correction: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspension:
    """A clause out of force: as it will be again, with its readings, and from which day (None until that is said)."""

    clause: Clause
    readings: tuple[Reading, ...] = ()
    until: date | None = None
