"""What is known of a car: values, presence, and the reference sheets of its model.

A component that is absent makes everything under it absent. What is stated `standard` is as the model's sheet has it. What is
not stated is not known, and is never assumed; nor is what was measured before it was altered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rulewatch.assess.spread import spreads
from rulewatch.assess.staleness import stale_values
from rulewatch.assess.words import in_a_row, named, show
from rulewatch.model.car import Car, Stated
from rulewatch.model.measured import Spread
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.model.vocabulary import Vocabulary, ancestors


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """What is known of one quantity or component.

    `present` is None where that is not known. `values` has one value per instance and is empty where none is known;
    `conditions` are what the values were taken under or declared for; `standard` tells that the car states this part to be as
    the model's sheet has it. `measured` tells that the values were; `spreads` are then how sure each is, None where that is not
    stated. `stale` says in words what was measured before it was altered, and why that no longer counts; then there are no `values`.
    """

    present: bool | None = None
    values: tuple[Scalar, ...] = ()
    conditions: tuple[tuple[str, str], ...] = ()
    standard: bool = False
    measured: bool = False
    spreads: tuple[Spread | None, ...] = ()
    stale: str = ""


UNKNOWN = Fact()
ABSENT = Fact(present=False)


@dataclass(frozen=True, kw_only=True)
class Facts:
    """All that is known of a car, asked by name."""

    car: Car
    vocabulary: Vocabulary

    def of(self, subject: str, sheet: Sheet = Sheet.CAR) -> Fact:
        """The fact about a quantity or component, from the car itself or from a sheet of its model."""
        if sheet is not Sheet.CAR:
            return self._on_sheet(subject, sheet)
        stated = self._nearest(subject, self.car.spec)
        in_use = self._in_use[Sheet.CAR]
        if stated is None:
            return self._implied(subject, in_use)
        if stated.standard:
            on_sheet = self._on_sheet(subject, Sheet.STANDARD)
            # A part with something stated under it is there, even where all the rest, or it itself, is said to be standard.
            if subject in in_use and (stated.subject != subject or on_sheet.present is False):
                return self._implied(subject, in_use)
            return Fact(present=on_sheet.present, values=on_sheet.values, standard=True)
        if stated.subject in self._stale:
            was = " / ".join(show(value) for value in stated.values)
            return Fact(present=True, stale=f"{was}, {self._stale[stated.subject]}")
        return _as_stated(stated)

    def absent_part(self, subject: str) -> str:
        """The part that is stated absent and takes the subject with it: the highest one; empty where there is none."""
        absent = [name for name in (*reversed(ancestors(subject)), subject) if self.of(name).present is False]
        return absent[0] if absent else ""

    def wanting(self, names: Sequence[str]) -> str:
        """What values wait for, in words: those that are not stated, and each that no longer counts with the reason."""
        stale = {name: fact.stale for name in names if (fact := self.of(name)).stale}
        unsaid = tuple(named(name, self.vocabulary) for name in names if name not in stale)
        old = (f"{self.vocabulary.in_sentence(name)}: {why}" for name, why in stale.items())
        return "; ".join((*([f"not stated: {in_a_row(unsaid)}"] if unsaid else ()), *old))

    def _on_sheet(self, subject: str, sheet: Sheet) -> Fact:
        entries = self.car.standard if sheet is Sheet.STANDARD else self.car.homologated
        stated = self._nearest(subject, entries)
        return self._implied(subject, self._in_use[sheet]) if stated is None else _as_stated(stated)

    def _nearest(self, subject: str, entries: Mapping[str, Stated]) -> Stated | None:
        """The entry that speaks of the subject: an absent part above it, else its own, else a `standard` one above it."""
        above = [entries[name] for name in ancestors(subject) if name in entries]
        absent = next((stated for stated in above if not stated.present), None)
        return absent or entries.get(subject) or next((stated for stated in above if stated.standard), None)

    def _implied(self, subject: str, in_use: frozenset[str]) -> Fact:
        """A component is present where something under it is stated to be there."""
        return Fact(present=True) if subject in in_use else UNKNOWN

    @cached_property
    def _stale(self) -> Mapping[str, str]:
        return stale_values(self.car)

    @cached_property
    def _in_use(self) -> Mapping[Sheet, frozenset[str]]:
        """The components under which something is stated to be there, by sheet."""
        return {
            Sheet.CAR: _used(self.car.spec),
            Sheet.STANDARD: _used(self.car.standard),
            Sheet.HOMOLOGATED: _used(self.car.homologated),
        }


def _as_stated(stated: Stated) -> Fact:
    if not stated.present:
        return ABSENT
    return Fact(
        present=True,
        values=stated.values,
        conditions=stated.conditions,
        measured=stated.measurement is not None,
        spreads=spreads(stated.measurement, len(stated.values)),
    )


def _used(entries: Mapping[str, Stated]) -> frozenset[str]:
    return frozenset(
        above for name, stated in entries.items() if stated.present and not stated.standard for above in ancestors(name)
    )
