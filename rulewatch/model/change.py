"""Changes: clauses of two points paired, with the kind, the wording and the effect of each change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar
from rulewatch.model.vocabulary import Vocabulary

# A pair at least this sure needs no word about it; one less sure than DOUBTFUL is for a person to settle.
SURE, DOUBTFUL = 0.95, 0.7


class Kind(StrEnum):
    """Kinds of change: the textual modifications of OASIS LegalDocML (Akoma Ntoso 1.0), and `move`, which is ours."""

    RENUMBERING = "renumbering"
    MOVE = "move"
    SUBSTITUTION = "substitution"
    SPLIT = "split"
    JOIN = "join"
    INSERTION = "insertion"
    REPEAL = "repeal"


class Effect(StrEnum):
    """How the set of cars that is allowed changed for a class."""

    SAME = "same"
    LOOSENED = "loosened"
    TIGHTENED = "tightened"
    SHIFTED = "shifted"
    UNREAD = "unread"  # a reading is missing on a side whose text changed
    UNDECIDED = "undecided"  # both sides are read, but the comparison at hand cannot decide


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """A car that shows a claim: legal on exactly one side of a change.

    `gained` tells that it was not legal and is; otherwise it was and is not. `alone` and `in_book` say for which of the two
    verdicts it stands. `car` is the id of the crew's car that it is nearest to, empty for none. `values` has everything that
    matters by quantity or component (`standard.` in front for the model's sheet), `differs` the names of what is not as on
    that car, or of what the changed clauses speak of; `supposed` of what they speak of and that car does not state. `says`
    is the car in words.
    """

    gained: bool
    alone: bool
    in_book: bool
    values: Mapping[str, Scalar]
    differs: tuple[str, ...]
    says: str
    car: str = ""
    supposed: tuple[str, ...] = ()

    def __str__(self) -> str:
        """As a sentence: `a car with rear rim width 10.5 in was legal and is not`."""
        return f"{self.says} {'was not legal and is' if self.gained else 'was legal and is not'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassEffect:
    """What all changes together do to a class: the old book against the new one, with the clauses left out for want of a reading."""

    effect: Effect
    witnesses: tuple[Witness, ...] = ()
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """Which old clauses became which new ones, by id, and how sure that is (0 to 1). An empty side: repeal or insertion."""

    old: tuple[str, ...]
    new: tuple[str, ...]
    certainty: float
    settled: bool = False  # by a person, in pairs.yaml


class Mark(StrEnum):
    """What became of a run of words.

    A sentence that only went to another place of its clause is marked at both places, and a reference that changed only
    because its target was renumbered with both numbers.
    """

    KEEP = "keep"
    DROP = "drop"
    ADD = "add"
    LEFT = "left"
    CAME = "came"
    OLD_NUMBER = "old-number"
    NEW_NUMBER = "new-number"

    @property
    def in_old(self) -> bool:
        """Whether the words stand in the old text."""
        return self in {Mark.KEEP, Mark.DROP, Mark.LEFT, Mark.OLD_NUMBER}

    @property
    def in_new(self) -> bool:
        """Whether the words stand in the new text."""
        return self in {Mark.KEEP, Mark.ADD, Mark.CAME, Mark.NEW_NUMBER}


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueChange:
    """An amount in the text that changed, or changed its unit only. One side is None where an amount came or went.

    `delta` is new minus old in the new amount's unit, None where the two do not compare.
    """

    old: Amount | None
    new: Amount | None
    delta: Amount | None = None


class Tie(StrEnum):
    """What makes one clause hang on another."""

    REFERENCE = "reference"  # it refers to the other, or is read in place of it
    DEFINITION = "definition"  # it uses a term that the other defines
    QUANTITY = "quantity"  # its reading depends on a quantity that the other's states


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why one clause hangs on another; `about` is the term or the quantity, empty for a reference."""

    tie: Tie
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """How a change reaches a clause that did not change itself.

    `path` leads from the clause that changed (by its old number where it was repealed) to the one that is touched; each of
    `reasons`, one fewer, says why the next clause of the path hangs on the one before it.
    """

    path: tuple[str, ...]
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One pairing of clauses between two points, with its kinds and its effect per class.

    `kinds` is empty for an unchanged clause. `wording_only` marks a substitution from the closed list of differences that
    change nothing; `reinterpreted` says, part by part, what is read otherwise under unchanged text, which is no change of the rules.
    `effects` are those of the clause alone, `in_book` those inside the old book, everything else unchanged; where the two
    differ, `masked_by` names the clauses that hide what the change does alone, a repealed one by its old number. `touched_by` gives, for a clause whose own rule stayed, each change that it hangs on
    directly, or else the nearest one.
    """

    old: tuple[Clause, ...]
    new: tuple[Clause, ...]
    kinds: tuple[Kind, ...]
    certainty: float
    words: tuple[tuple[Mark, str], ...] = ()
    values: tuple[ValueChange, ...] = ()
    effects: Mapping[str, Effect] = field(default_factory=dict)
    why: Mapping[str, str] = field(default_factory=dict)  # the reason of each effect, in words, by class
    in_book: Mapping[str, Effect] = field(default_factory=dict)
    masked_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    witness: Mapping[str, tuple[Witness, ...]] = field(default_factory=dict)  # cars that show each claim, by class
    wording_only: bool = False
    reinterpreted: tuple[str, ...] = ()
    settled: bool = False
    touched_by: tuple[Touch, ...] = ()

    @property
    def key(self) -> str:
        """The id that names the change: the new clause's, or the old one's of a repeal."""
        return (self.new or self.old)[0].id


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two editions compared over the whole book: one change for each pairing, unchanged ones too, in document order.

    `vocabulary` names the quantities of the readings; None where what they allow was not compared.
    """

    old: Edition
    new: Edition
    changes: tuple[Change, ...]
    classes: Mapping[str, ClassEffect] = field(default_factory=dict)
    vocabulary: Vocabulary | None = field(default=None, compare=False)

    @property
    def changed(self) -> tuple[Change, ...]:
        """Only what changed."""
        return tuple(change for change in self.changes if change.kinds)

    @property
    def touched(self) -> tuple[Change, ...]:
        """What did not change itself, or its number and place only, and hangs on what did."""
        return tuple(change for change in self.changes if change.touched_by)

    @property
    def renumbered(self) -> Mapping[str, str]:
        """The new number of each old clause that has one, the first of several."""
        return {old.id: change.new[0].id for change in self.changes if change.new for old in change.old[:1]}

    def counts(self) -> dict[str, int]:
        """How many changes of each kind there are, and how many clauses stayed."""
        found = {kind.value: 0 for kind in Kind}
        for change in self.changes:
            for kind in change.kinds:
                found[kind.value] += 1
        found["unchanged"] = sum(not change.kinds for change in self.changes)
        return found


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Lineage:
    """What names a rule through all its numbers: the season and number under which it first stood."""

    season: str
    clause: str

    def __str__(self) -> str:
        """`2025/4.2.1`."""
        return f"{self.season}/{self.clause}"
