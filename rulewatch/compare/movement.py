"""How a set of allowed cars moved between two books, and what is seen of that in several surroundings, or on several days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from rulewatch.compare.entailment import follows
from rulewatch.compare.formulas import Formula, Variable, holds
from rulewatch.compare.kleene import Kleene
from rulewatch.compare.requirements import Requirement
from rulewatch.model.change import Effect, Witness

if TYPE_CHECKING:
    from rulewatch.compare.nearest import Near


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """How the set of allowed cars moved, with a car for each way that it did."""

    effect: Effect
    lost: Near | None = None
    gained: Near | None = None
    why: str = ""
    kept: tuple[tuple[Requirement, ...], ...] = ()  # for lost and gained, what both books ask that had to be looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """What a change does to a class: alone and inside the whole book, who masks it, and the cars that show it."""

    alone: Effect
    in_book: Effect
    masked_by: tuple[str, ...] = ()
    witnesses: tuple[Witness, ...] = ()
    why: str = ""


SAME = Moved(effect=Effect.SAME)

# Whether cars may have lost, and whether they may have gained.
Ways = tuple[bool, bool]
BOTH_WAYS: Ways = (True, True)
WAYS: Mapping[Effect, Ways] = {
    Effect.SAME: (False, False),
    Effect.TIGHTENED: (True, False),
    Effect.LOOSENED: (False, True),
    Effect.SHIFTED: BOTH_WAYS,
}


def joined(effects: Sequence[Effect]) -> Effect:
    """The effects of several days as one."""
    found = set(effects) - {Effect.SAME}
    for strongest in (Effect.UNDECIDED, Effect.SHIFTED):
        if strongest in found:
            return strongest
    return Effect.SHIFTED if len(found) > 1 else next(iter(found), Effect.SAME)


def either_seen(one: Moved, other: Moved) -> Moved:
    """What is seen in one of two surroundings at least; where one is undecided, only a car for each way still decides."""
    lost, gained = _nearer(one.lost, other.lost), _nearer(one.gained, other.gained)
    if lost is not None and gained is not None:
        return replace(one, effect=Effect.SHIFTED, lost=lost, gained=gained, why="")
    effect, why = joined((one.effect, other.effect)), one.why or other.why
    if effect is Effect.UNDECIDED:
        return replace(one, effect=effect, lost=None, gained=None, why=why)
    return replace(one, effect=effect, lost=lost, gained=gained, why=why)


def _nearer(one: Near | None, other: Near | None) -> Near | None:
    """The nearer of two cars, if there are two; one that is near to none of the crew's last."""
    return min(filter(None, (one, other)), key=by_nearness, default=None)


def by_nearness(near: Near) -> tuple[bool, int, Fraction]:
    """Sorts cars from the nearest; those that are near to none of the crew's come last."""
    return (not near.reference, len(near.differs), near.distance)


def broken_about(near: Near, book: Iterable[Requirement]) -> frozenset[Variable]:
    """What those requirements speak of that a car is seen not to meet."""
    seen = (each for each in book if each.about <= near.car.keys())
    return frozenset[Variable]().union(*(each.about for each in seen if not holds(each.truth.yes, near.car)))


def open_ways(before: Kleene, after: Kleene) -> Ways:
    """The ways that are not ruled out by what the two say, as they stand."""
    return (not follows(after.yes, before.yes), not follows(before.yes, after.yes))


def shows(near: Near, claim: Iterable[Formula], common: Iterable[Requirement]) -> bool:
    """Whether a car found for another claim shows this one too."""
    try:
        return all(holds(formula, near.car) for formula in (*claim, *(each.truth.yes for each in common)))
    except KeyError:
        return False
