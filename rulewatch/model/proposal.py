"""What is proposed for a reading whose text changed: numbers that moved with the text's, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading, Written


@dataclass(frozen=True, slots=True, kw_only=True)
class Replacement:
    """One number of a reading that should be another one, because the text's own number moved so."""

    number: Written
    now: Amount | date

    @property
    def was_written(self) -> str:
        """The number as the reading has it."""
        return str(self.number.value)

    @property
    def now_written(self) -> str:
        """The number as it should stand in the reading."""
        return self.now.plain if isinstance(self.now, Amount) else str(self.now)

    def __str__(self) -> str:
        """`60 mm → 75 mm`."""
        return f"{self.was_written} → {self.now_written}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What the changed text suggests for one reading. It is only ever shown, and applied when a person says so.

    `doubts` say in words what no replacement covers. Where `turned` is not empty, the words around a number changed so that
    the sense may be another (what was allowed is forbidden, the most is the least): then nothing is replaced.
    """

    reading: Reading
    replacements: tuple[Replacement, ...] = ()
    doubts: tuple[str, ...] = ()
    turned: str = ""
