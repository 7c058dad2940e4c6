"""One car under several rule books at once: its entries side by side."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.model.car import Entry
from rulewatch.model.impact import Outcome, Verdict
from rulewatch.model.quantity import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What one entry's book asks of a quantity or component: the verdict, the room, the clauses, and what the season brought.

    `outcome` is the most important one of the season's impacts on it, None where nothing changed.
    """

    verdict: Verdict
    bound: str
    clauses: tuple[str, ...]
    margin: Amount | None = None
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedQuantity:
    """One quantity or component that more than one entry limits: a mark for each entry, None where its book says nothing.

    `tighter` is the number of the entry that leaves the least room; None where they leave the same, or have no measure.
    """

    subject: str
    value: str
    marks: tuple[Mark | None, ...]
    tighter: int | None = None

    @property
    def telling(self) -> bool:
        """Whether the verdicts differ, one is not legal, or the season brought anything."""
        marks = [mark for mark in self.marks if mark is not None]
        return len({mark.verdict for mark in marks}) > 1 or any(
            mark.verdict is not Verdict.LEGAL or mark.outcome is not None for mark in marks
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionMark:
    """What one entry's book says of an option: `allowed`, `forbidden` or `waits`, why, and what the season brought."""

    says: str
    why: str = ""
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedOption:
    """An option of the crew's under every entry."""

    option: str
    what: str
    marks: tuple[OptionMark, ...]

    @property
    def pays_everywhere(self) -> bool:
        """Whether every book allows it."""
        return all(mark.says == "allowed" for mark in self.marks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """A car's entries in several books, each as on the first day on which it runs; `days` are these."""

    car: str
    entries: tuple[Entry, ...]
    days: tuple[date, ...]
    quantities: tuple[SharedQuantity, ...]
    options: tuple[SharedOption, ...]
