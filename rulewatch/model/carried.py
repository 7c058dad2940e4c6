"""What became of the readings of one edition in the next: carried to the clause that is theirs now, or left, and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from rulewatch.model.reading import Reading
from rulewatch.model.splice import Splice


class Fate(StrEnum):
    """What became of a reading; the first five were carried, the others left where they are."""

    SAME = "same"  # the text did not change
    WORDING = "wording only"  # the text says the same in other signs
    CHANGED = "changed"
    SPLIT = "of a split"  # carried to the part whose words it has
    JOINED = "of a join"
    READ = "read already"  # the new clause has a reading of its own
    GONE = "without a partner"  # the clause was repealed
    UNFOUNDED = "unconfirmed and unfounded"  # nobody had confirmed it, and the new text does not have its numbers
    UNPLACED = "not placed"  # it could not be put under its clause without changing the text

    @property
    def carried(self) -> bool:
        """Whether the reading stands in the new edition now."""
        return self in {Fate.SAME, Fate.WORDING, Fate.CHANGED, Fate.SPLIT, Fate.JOINED}


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedReading:
    """One reading of the old edition: the clause it stood under, the one it came to (empty for none), and what became of it.

    `text` is the block as it was, fences and comments included. `confirmed` tells that the reading stands and counts as
    confirmed there. `lost` are its numbers that the new text does not have, `followed` the clause numbers in it that went
    with their clauses, from old to new. `notes` say in words what else a person must know.
    """

    reading: Reading
    old: str
    new: str
    fate: Fate
    text: str
    confirmed: bool = False
    lost: tuple[str, ...] = ()
    followed: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """The new edition's chapters with the readings in them, and what became of each reading, in the old book's order.

    `chapters` has only the texts that changed, by path, with line feeds; `insertions` says of each which lines were put in, for a
    file whose lines end otherwise.
    """

    readings: tuple[CarriedReading, ...]
    chapters: Mapping[str, str]
    insertions: Mapping[str, tuple[Splice, ...]]

    @property
    def counts(self) -> Mapping[Fate, int]:
        """How many readings met each fate, in the order of `Fate`; none that no reading met."""
        counted = Counter(one.fate for one in self.readings)
        return {fate: counted[fate] for fate in Fate if counted[fate]}
