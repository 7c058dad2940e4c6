"""The vocabulary: named, typed properties of a car, and the components that they belong to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property, lru_cache

from rulewatch.model.fault import Place
from rulewatch.model.quantity import NUMBER, Amount, Unit


class ValueKind(StrEnum):
    """What a quantity's values are."""

    AMOUNT = "amount"  # a number with a unit, or a plain number
    CHOICE = "choice"  # one of a list of words
    DATE = "date"
    TEXT = "text"  # free words, compared for equality only


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One named property of a car: `wheels.rear.rim_width`.

    `unit` is the unit that values are shown in; any unit of its dimension is taken. `choices` is empty unless `kind` is
    CHOICE. `step` is the size of a typical alteration; `below_zero` tells
    whether an amount may be less than nothing.
    """

    name: str
    kind: ValueKind
    label: str
    component: str
    system: str
    unit: Unit | None = None
    choices: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    how: str = ""
    step: Amount | None = None
    below_zero: bool = True
    place: Place | None = field(default=None, compare=False)

    @property
    def whole(self) -> bool:
        """Whether it is counted, so that there is nothing between 6 and 7: a plain number that is altered in whole steps."""
        return self.unit == NUMBER and self.step is not None and self.step.number.denominator == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A part of a car that can be present or absent, with everything under it: `aero.rear_wing`."""

    name: str
    label: str
    system: str
    synonyms: tuple[str, ...] = ()
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, kw_only=True)
class Vocabulary:
    """All quantities and components by name. A system is a component without a dot in its name."""

    quantities: Mapping[str, Quantity]
    components: Mapping[str, Component]

    def knows(self, name: str) -> bool:
        """Whether the name is a quantity or a component."""
        return name in self.quantities or name in self.components

    def label(self, name: str) -> str:
        """The label of a quantity or component; the name itself where neither is known."""
        entry = self.quantities.get(name) or self.components.get(name)
        return entry.label if entry else name

    def in_sentence(self, name: str) -> str:
        """The label as it stands inside a sentence: with a small first letter, but for abbreviations."""
        label = self.label(name)
        return label[0].lower() + label[1:] if label[1:2].islower() else label

    def joined(self, newer: Vocabulary) -> Vocabulary:
        """What either knows; of what both know the newer one's entry."""
        if newer is self:
            return self
        return Vocabulary(
            quantities={**self.quantities, **newer.quantities}, components={**self.components, **newer.components}
        )

    @cached_property
    def under(self) -> Mapping[str, tuple[str, ...]]:
        """For each component, the names of the quantities anywhere under it, in the vocabulary's order."""
        found: dict[str, list[str]] = {name: [] for name in self.components}
        for name in self.quantities:
            for above in ancestors(name):
                if above in found:
                    found[above].append(name)
        return {name: tuple(names) for name, names in found.items()}


@lru_cache(maxsize=4096)
def ancestors(name: str) -> tuple[str, ...]:
    """The dotted names above a name, nearest first: `a.b.c` gives `a.b`, `a`."""
    parts = name.split(".")
    return tuple(".".join(parts[:n]) for n in range(len(parts) - 1, 0, -1))


def within(name: str, scope: str) -> bool:
    """Whether a dotted name is the scope or stands under it."""
    return name == scope or name.startswith(scope + ".")
