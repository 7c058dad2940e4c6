"""Three values: when something holds on a car, when it does not, and, on all other cars, that it is unknown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rulewatch.compare.formulas import Formula, all_of, any_of, negation


@dataclass(frozen=True, slots=True)
class Kleene:
    """When something holds, and when it does not; on other cars it is unknown, for want of what a part that they lack measures."""

    yes: Formula
    no: Formula

    @property
    def definite(self) -> bool:
        """Whether it is known for every car."""
        return self.no == negation(self.yes)


def sure(formula: Formula) -> Kleene:
    """A formula that is true or false on every car."""
    return Kleene(formula, negation(formula))


def every(parts: Iterable[Kleene]) -> Kleene:
    """And: false if any is, else unknown if any is."""
    found = tuple(parts)
    return _joined(found, all_of(part.yes for part in found), any_of(part.no for part in found))


def some(parts: Iterable[Kleene]) -> Kleene:
    """Or: true if any is, else unknown if any is."""
    found = tuple(parts)
    return _joined(found, any_of(part.yes for part in found), all_of(part.no for part in found))


def _joined(parts: tuple[Kleene, ...], yes: Formula, no: Formula) -> Kleene:
    return sure(yes) if all(part.definite for part in parts) else Kleene(yes, no)


def opposite(part: Kleene) -> Kleene:
    """Not."""
    return Kleene(part.no, part.yes)


def implied(condition: Kleene, consequence: Kleene) -> Kleene:
    """`if condition then consequence`."""
    return some((opposite(condition), consequence))
