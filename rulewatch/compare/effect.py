"""The effect of a change for one class: how the set of cars that old and new readings allow moved.

What can be compared directly is: limits and permissions with fixed bounds, or with bounds of the same shape; minimum weights
and adders. Everything else is *undecided*, and said so; a side without a confirmed reading is *unread*.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.compare.keys import (
    bound_subjects,
    condition_key,
    condition_subjects,
    constraint_bounds,
    minimum_shape,
    rest_key,
)
from rulewatch.compare.ranges import Grants, Move, as_move, bound_order, joined, set_move, sign
from rulewatch.model.change import Effect
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.reading import Constraint, MinimumWeight, OneOf, Presence, Range, Reading, WeightAdder
from rulewatch.model.vocabulary import within


@dataclass(frozen=True, slots=True, kw_only=True)
class _Claim:
    """One thing that a reading asks or permits, with a key that pairs it with its like on the other side."""

    key: tuple[str, ...]
    guard: object
    what: Constraint | MinimumWeight | WeightAdder
    about: frozenset[str]  # every quantity and component that it depends on
    grants: Grants = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moved:
    """How the claims of one key moved, and what they depend on."""

    key: tuple[str, ...]
    move: Move
    about: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """The effect for one class, with the reason in words."""

    effect: Effect
    why: str


@dataclass(frozen=True, kw_only=True)
class Editions:
    """Both editions, and the new numbers of the old one's clauses."""

    old: Edition
    new: Edition
    renumbered: Mapping[str, str]


def effects(old: Sequence[Clause], new: Sequence[Clause], editions: Editions, *, reworded: bool) -> dict[str, Decided]:
    """The effect of one change for every class that both editions have; empty for classes of one side only.

    `reworded` tells whether the text changed; only then is a side without a confirmed reading *unread*.
    """
    shared = [name for name in editions.new.classes if name in editions.old.classes]
    missing = next(filter(None, (_unread(old, editions.old), _unread(new, editions.new))), "") if reworded else ""
    if missing:
        return {name: Decided(effect=Effect.UNREAD, why=missing) for name in shared}
    return {name: _effect(old, new, editions, name) for name in shared}


def _effect(old: Sequence[Clause], new: Sequence[Clause], editions: Editions, name: str) -> Decided:
    before, after = _readings(old, editions.old, name), _readings(new, editions.new, name)
    left, right = _claims(before, editions.old), _claims(after, editions.new)
    if _rests(before, editions.renumbered) != _rests(after, {}):
        return Decided(effect=Effect.UNDECIDED, why="what it replaces, its dates or how it is measured changed")
    if not left and not right:
        return Decided(effect=Effect.SAME, why="asks nothing of a car of this class")
    return _together(_moves(left, right, editions))


def _unread(clauses: Sequence[Clause], edition: Edition) -> str:
    for clause in clauses:
        readings = edition.readings.get(clause.id, ())
        if not readings and not clause.container:
            return f"{clause.id} of {edition.header.season or edition.point} has no reading"
        if any(not reading.is_confirmed(clause.digest) for reading in readings):
            return f"the reading of {clause.id} of {edition.header.season or edition.point} is not confirmed"
    return ""


def _readings(clauses: Iterable[Clause], edition: Edition, name: str) -> list[Reading]:
    return [
        reading
        for clause in clauses
        for reading in edition.readings.get(clause.id, ())
        if reading.classes is None or name in reading.classes
    ]


def _rests(readings: Iterable[Reading], renumbered: Mapping[str, str]) -> list[object]:
    return sorted((part for reading in readings for part in rest_key(reading, renumbered)), key=repr)


def _claims(readings: Iterable[Reading], edition: Edition) -> list[_Claim]:
    claims: list[_Claim] = []
    for reading in readings:
        guard, grants = condition_key(reading.when), _grants(reading, edition)
        found: list[tuple[tuple[str, ...], Constraint | MinimumWeight | WeightAdder]] = []
        found += [(("limit", test.subject), test.constraint) for test in reading.limits]
        # Outside a closed scope everything is permitted already, and an allow changes nothing.
        found += [(("allow", test.subject), test.constraint) for test in reading.allows if _is_closed(test.subject, edition)]
        found += [(("minimum",), reading.minimum)] if reading.minimum is not None else []
        found += [(("adder",), reading.adder)] if reading.adder is not None else []
        of_guard = condition_subjects(reading.when)
        claims += [
            _Claim(key=key, guard=guard, what=what, about=of_guard | _depends(key, what), grants=grants) for key, what in found
        ]
    return claims


def _depends(key: tuple[str, ...], what: Constraint | MinimumWeight | WeightAdder) -> frozenset[str]:
    """The quantities and components that a claim speaks of; every weight rule speaks of the weight."""
    subject = frozenset(key[1:]) or frozenset({"car.weight"})
    if isinstance(what, WeightAdder):
        return subject
    bounds = (what.bound,) if isinstance(what, MinimumWeight) else constraint_bounds(what)
    return subject.union(*map(bound_subjects, bounds))


def _is_closed(subject: str, edition: Edition) -> bool:
    """Whether a subject touches a closed scope, from within or from above."""
    return any(within(subject, scope.scope) or within(scope.scope, subject) for scope in edition.header.closed)


def _grants(reading: Reading, edition: Edition) -> Grants:
    """The tolerances that the book grants on this reading's limits: its own, else the edition's."""
    return (reading.tolerance,) if reading.tolerance is not None else edition.header.tolerances


def _moves(left: Sequence[_Claim], right: Sequence[_Claim], editions: Editions) -> list[_Moved]:
    """How each claim moved; claims pair by what they speak of and under which condition."""
    moves = []
    for key in dict.fromkeys(claim.key for claim in (*left, *right)):
        before, after = ([claim for claim in side if claim.key == key] for side in (left, right))
        about = frozenset[str]().union(*(claim.about for claim in (*before, *after)))
        moves.append(_Moved(key=key, move=_move(key, before, after, editions), about=about))
    return moves


def _move(key: tuple[str, ...], before: Sequence[_Claim], after: Sequence[_Claim], editions: Editions) -> Move:
    if key[0] == "allow" and not _closed_in_both(key[1], editions):
        return Move.UNSURE
    if not before or not after:
        return joined(_came_or_went(claim, gained=not before) for claim in (*before, *after))
    unpaired = list(after)
    found = []
    for claim in before:
        like = next((other for other in unpaired if other.guard == claim.guard), None)
        if like is None:
            return Move.UNSURE
        unpaired.remove(like)
        found.append(_compare(claim, like))
    return Move.UNSURE if unpaired else joined(found)


def _came_or_went(claim: _Claim, *, gained: bool) -> Move:
    """A new limit or weight leaves fewer cars; a new permission, or a weight taken off, more."""
    lightens = isinstance(claim.what, WeightAdder) and _adds(claim.what) < 0
    return Move.LOOSER if gained == (claim.key[0] == "allow" or lightens) else Move.TIGHTER


def _closed_in_both(subject: str, editions: Editions) -> bool:
    """Whether a subject stands in a closed scope on both sides; where one side opened or closed it, more than this changed."""
    sides = (editions.old, editions.new)
    return all(any(within(subject, scope.scope) for scope in edition.header.closed) for edition in sides)


def _compare(before: _Claim, after: _Claim) -> Move:
    match before.what, after.what:
        case (MinimumWeight() as left, MinimumWeight() as right):
            if minimum_shape(left) != minimum_shape(right):
                return Move.UNSURE
            return as_move(bound_order(left.bound, right.bound), more=Move.TIGHTER)
        case (WeightAdder() as left_adder, WeightAdder() as right_adder):
            return as_move(_adder_order(left_adder, right_adder), more=Move.TIGHTER)
        case ((OneOf() | Range() | Presence()) as left_set, (OneOf() | Range() | Presence()) as right_set):
            # A wider permission and a wider limit both let more cars in.
            return set_move(left_set, right_set, before.grants, after.grants)
    return Move.UNSURE


def _adds(adder: WeightAdder) -> Fraction:
    """A number with the sign of what an adder adds."""
    return adder.share if adder.share is not None else adder.amount.number if adder.amount is not None else Fraction(0)


def _adder_order(left: WeightAdder, right: WeightAdder) -> int | None:
    if left.share is not None and right.share is not None:
        return sign(right.share - left.share)
    if left.amount is not None and right.amount is not None:
        return sign(right.amount.base - left.amount.base)
    return None


def _together(moves: Sequence[_Moved]) -> Decided:
    """The effect of a whole change: of requirements that are independent, some looser and some tighter make it shifted.

    Where they depend on the same quantities (a permission and what it costs), whether any car lost by both together is not
    compared here.
    """
    whole = joined(moved.move for moved in moves)
    if whole is Move.BOTH and _depend(moves):
        whole = Move.UNSURE
    said = ", ".join(f"{_name(moved.key)} {moved.move.value}" for moved in moves if moved.move is not Move.SAME)
    return Decided(effect=_EFFECTS[whole], why=said or "the readings allow the same cars")


def _depend(moves: Sequence[_Moved]) -> bool:
    """Whether something looser and something tighter speak of the same part of the car."""
    looser, tighter = (
        {name for one in moves if one.move is move for name in one.about} for move in (Move.LOOSER, Move.TIGHTER)
    )
    return any(within(one, other) or within(other, one) for one in looser for other in tighter)


def _name(key: tuple[str, ...]) -> str:
    return key[1] if len(key) > 1 else {"minimum": "the minimum weight", "adder": "what is added to it"}[key[0]]


_EFFECTS = {
    Move.SAME: Effect.SAME,
    Move.LOOSER: Effect.LOOSENED,
    Move.TIGHTER: Effect.TIGHTENED,
    Move.BOTH: Effect.SHIFTED,
    Move.UNSURE: Effect.UNDECIDED,
}
