"""The nearest legal car: the fewest alterations that make a car legal wherever it is entered, or why there are none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from rulewatch.model.car import Stated
from rulewatch.model.impact import Assessment, Finding
from rulewatch.model.reading import Scalar
from rulewatch.model.room import Law


@dataclass(frozen=True, slots=True, kw_only=True)
class Alteration:
    """One quantity or component to alter: what it is now, what it would be, and the rules it is for.

    `to` has one value for each instance (left, right), or `present` or `absent` alone.
    """

    subject: str
    now: str
    to: tuple[Scalar, ...]
    laws: tuple[Law, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Rules that no car can meet together without altering what is `fixed`; a smallest set."""

    laws: tuple[Law, ...]
    fixed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestLegal:
    """The smallest set of alterations of a car, or the proof that there is none.

    `alterations` are the fewest quantities that differ, a part that goes counted once with all that is under it; of those sets the one with the
    fewest other words and parts, then the one with the least sum of differences in size in steps of the vocabulary, `distance`. `clashes` name rules that no car meets together; then there are no
    alterations. `undecided` tells that the limit of work was reached for some rules, so that there may be fewer. `altered` is what the
    spec would state; `left` is what is still illegal on a car so altered, judged again: a measured value too near to its limit for the body's own rule, an item
    too old, a paper; and `waiting` counts what is unknown there.
    """

    car: str
    alterations: tuple[Alteration, ...] = ()
    distance: Fraction = Fraction(0)
    clashes: tuple[Clash, ...] = ()
    undecided: tuple[Law, ...] = ()
    altered: Mapping[str, Stated] = field(default_factory=dict)
    left: tuple[tuple[Assessment, Finding], ...] = ()
    waiting: int = 0

    @property
    def is_legal_already(self) -> bool:
        """Whether nothing has to be altered, as far as is known."""
        return not (self.alterations or self.clashes or self.undecided or self.left)
