"""The direct comparison of a change: what old and new readings ask and permit, claim by claim, as intervals and sets.

It costs next to nothing and decides most changes. Where it is `settled`, it says exactly what the comparison as logic says;
otherwise claims of one change may depend on each other, and logic decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rulewatch.compare.claims import MASS, WEIGHT, Claim, move
from rulewatch.compare.constraints import Grants, is_count
from rulewatch.compare.guards import related
from rulewatch.compare.keys import amount_key, condition_key, condition_subjects, constraint_bounds, rest_key
from rulewatch.compare.ranges import Move, joined
from rulewatch.model.change import Effect
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import (
    All,
    Bound,
    Constraint,
    Fixed,
    Linear,
    MinimumWeight,
    OneOf,
    Presence,
    Range,
    Reading,
    Scalar,
    Steps,
    Test,
    WeightAdder,
)
from rulewatch.model.vocabulary import within


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moved:
    """How the claims of one key moved, and what they and their conditions depend on."""

    key: tuple[str, ...]
    move: Move
    about: frozenset[str]
    hides: bool = False  # whether a claim lets a part be there as it is, or keeps it off the car

    @property
    def subject(self) -> str:
        return self.key[1] if len(self.key) > 1 else WEIGHT


@dataclass(frozen=True, slots=True, kw_only=True)
class Direct:
    """The effect for one class, with the reason in words, and whether it is exact."""

    effect: Effect
    why: str
    settled: bool = True


@dataclass(frozen=True, kw_only=True)
class Editions:
    """Both editions, and the new numbers of the old one's clauses."""

    old: Edition
    new: Edition
    renumbered: Mapping[str, str]


def compared(old: Sequence[Clause], new: Sequence[Clause], editions: Editions, name: str) -> Direct:
    """The effect of a change for a class, as far as its claims compare one by one."""
    before, after = readings_for(old, editions.old, name), readings_for(new, editions.new, name)
    left, right = _claims(before, editions.old, name), _claims(after, editions.new, name)
    settled = not any(reading.since or reading.until or reading.instead_of for reading in (*before, *after))
    closed, closes = _closes(old, editions.old), _closes(new, editions.new)
    settled = settled and not closed and not closes
    if _rests(before, editions.renumbered) != _rests(after, {}):
        why = "what it replaces, its dates or how it is measured changed"
        return Direct(effect=Effect.UNDECIDED, why=why, settled=False)
    if closed != closes:
        return Direct(effect=Effect.UNDECIDED, why="which parts of the car it closes changed", settled=False)
    if not left and not right:
        return Direct(effect=Effect.SAME, why="asks nothing of a car of this class", settled=settled)
    found = _together(_moves(left, right, editions))
    return replace(found, settled=settled and found.effect is not Effect.UNDECIDED and _exact(left, right))


def _closes(clauses: Iterable[Clause], edition: Edition) -> set[str]:
    """The scopes that are closed by some clauses."""
    ids = {clause.id for clause in clauses}
    return {scope.scope for scope in edition.header.closed if scope.clause in ids}


def readings_for(clauses: Iterable[Clause], edition: Edition, name: str) -> list[Reading]:
    """The readings of clauses that are for a class, whatever their dates."""
    return [
        reading
        for clause in clauses
        for reading in edition.readings.get(clause.id, ())
        if reading.classes is None or name in reading.classes
    ]


def _rests(readings: Iterable[Reading], renumbered: Mapping[str, str]) -> list[str]:
    """What replaces, is dated or is measured, and under which condition."""
    found = [(condition_key(reading.when), rest_key(reading, renumbered)) for reading in readings]
    return sorted(repr(one) for one in found if one[1])


def _claims(readings: Iterable[Reading], edition: Edition, name: str) -> list[Claim]:
    claims: list[Claim] = []
    for reading in readings:
        grants = _grants(reading, edition)
        # Outside a closed scope everything is permitted already, and an allow changes nothing.
        allows = [test for test in reading.allows if _is_closed(test.subject, edition)]
        made = partial(
            Claim,
            guard=(condition_key(reading.when), reading.since, reading.until, reading.measured),
            when=reading.when,
            dated=reading.since is not None or reading.until is not None,
        )
        claims += [made(key=("limit", test.subject), what=test.constraint, grants=grants) for test in reading.limits]
        # A permission is taken as it stands: the book grants nothing on it.
        claims += [made(key=("allow", test.subject), what=test.constraint) for test in allows]
        if reading.minimum is not None:
            granted = tuple(grant for grant in grants if grant.unit.dimension == MASS)
            claims.append(made(key=("minimum",), what=reading.minimum, grants=granted))
        if reading.adder is not None:
            claims.append(made(key=("adder",), what=reading.adder, weights=_weights(edition, name)))
    return claims


def _weights(edition: Edition, name: str) -> tuple[MinimumWeight, ...]:
    """Every minimum weight of a class, in the whole book."""
    found = [reading for clause in edition.clauses for reading in readings_for((clause,), edition, name)]
    return tuple(reading.minimum for reading in found if reading.minimum is not None)


def _is_closed(subject: str, edition: Edition) -> bool:
    """Whether a subject touches a closed scope, from within or from above."""
    return any(within(subject, scope.scope) or within(scope.scope, subject) for scope in edition.header.closed)


def _grants(reading: Reading, edition: Edition) -> Grants:
    """The tolerances that the book grants on this reading's limits: its own, else the edition's."""
    return (reading.tolerance,) if reading.tolerance is not None else edition.header.tolerances


def _moves(left: Sequence[Claim], right: Sequence[Claim], editions: Editions) -> list[_Moved]:
    """How each claim moved; claims pair by what they speak of and under which condition."""
    moves = []
    for key in dict.fromkeys(claim.key for claim in (*left, *right)):
        before, after = ([claim for claim in side if claim.key == key] for side in (left, right))
        about = frozenset[str]().union(*(claim.about for claim in (*before, *after)))
        unlike = key[0] == "allow" and not _closed_in_both(key[1], editions)
        moved = Move.UNSURE if unlike else move(before, after)
        hides = any(_hides(claim) for claim in (*before, *after))
        moves.append(_Moved(key=key, move=moved, about=about, hides=hides))
    return moves


def _closed_in_both(subject: str, editions: Editions) -> bool:
    """Whether a subject stands in a closed scope on both sides; where one side opened or closed it, more than this changed."""
    sides = (editions.old, editions.new)
    return all(any(within(subject, scope.scope) for scope in edition.header.closed) for edition in sides)


def _together(moves: Sequence[_Moved]) -> Direct:
    """The effect of a whole change: of requirements that are independent, some looser and some tighter make it shifted.

    Where they depend on the same quantities (a permission and what it costs), whether any car lost by both together is not
    compared here.
    """
    whole = joined(moved.move for moved in moves)
    if (whole is Move.BOTH and _depend(moves)) or _hidden(moves):
        whole = Move.UNSURE
    said = ", ".join(f"{_name(moved.key)} {moved.move.value}" for moved in moves if moved.move is not Move.SAME)
    return Direct(effect=_EFFECTS[whole], why=said or "the readings allow the same cars")


def _depend(moves: Sequence[_Moved]) -> bool:
    """Whether something looser and something tighter, of two keys, speak of the same part of the car."""
    looser, tighter = ([one for one in moves if one.move in {way, Move.BOTH}] for way in (Move.LOOSER, Move.TIGHTER))
    return any(
        related(one, other) for more in looser for less in tighter if more != less for one in more.about for other in less.about
    )


def _hidden(moves: Sequence[_Moved]) -> bool:
    """Whether something that stayed may rule where something moved: the same quantity's other rule, or a part not there."""
    stayed = [one for one in moves if one.move is Move.SAME]
    return any(_may_hide(one, moved) for one in stayed for moved in moves if moved.move is not Move.SAME)


def _hides(claim: Claim) -> bool:
    return isinstance(claim.what, Presence) and (claim.key[0] == "allow" or not claim.what.present)


def _may_hide(stayed: _Moved, moved: _Moved) -> bool:
    if stayed.hides and related(stayed.subject, moved.subject) and (stayed.key[0] != "allow" or moved.key[0] == "allow"):
        return True
    weights = {("minimum",), ("adder",)}
    return stayed.subject == moved.subject and not {stayed.key, moved.key} <= weights


def _related(some: Iterable[str], others: Iterable[str]) -> bool:
    """Whether two claims speak of the same part of the car, or of a part and what is under it."""
    known = tuple(others)
    return any(related(one, other) for one in some for other in known)


def _name(key: tuple[str, ...]) -> str:
    return key[1] if len(key) > 1 else {"minimum": "the minimum weight", "adder": "what is added to it"}[key[0]]


_EFFECTS = {
    Move.SAME: Effect.SAME,
    Move.LOOSER: Effect.LOOSENED,
    Move.TIGHTER: Effect.TIGHTENED,
    Move.BOTH: Effect.SHIFTED,
    Move.UNSURE: Effect.UNDECIDED,
}


# --- Where the direct comparison is exact -----------------------------------------------------------------------------


def _exact(left: Sequence[Claim], right: Sequence[Claim]) -> bool:
    """Whether no claim can hide another, or be met by every car or none: then claim by claim is car by car."""
    claims = (*left, *right)
    if any(len({claim.key for claim in side}) < len(side) for side in (left, right)):
        return False
    together = all(
        one.key == other.key or not _related(one.about, other.about) for one in claims for other in claims if one is not other
    )
    partners = {claim.key: claim for claim in right}
    first = {claim.key for claim in left}
    pairs = [(claim, partners.get(claim.key)) for claim in left]
    pairs += [(claim, None) for claim in right if claim.key not in first]
    return together and all(_is_plain(claim) for claim in claims) and all(_compare_plainly(*pair) for pair in pairs)


def _is_plain(claim: Claim) -> bool:
    """Whether some cars meet a claim, and others do not."""
    tests = claim.when.parts if isinstance(claim.when, All) else () if claim.when is None else (claim.when,)
    subjects = [test.subject for test in tests if isinstance(test, Test)]
    if len(subjects) < len(tests) or any(_related([one], subjects[:place]) for place, one in enumerate(subjects)):
        return False
    guards = [test.constraint for test in tests if isinstance(test, Test)]
    if _related(claim.own, condition_subjects(claim.when)) or not all(map(_is_plain_constraint, guards)):
        return False
    match claim.what:
        case WeightAdder():
            return False
        case MinimumWeight():
            return claim.what.rounding is None and _is_plain_bound(claim.what.bound, "car.weight")
        case _:
            return _is_plain_constraint(claim.what, claim.key[1])


def _is_plain_constraint(constraint: Constraint, subject: str = "") -> bool:
    if not isinstance(constraint, Range):
        return not (isinstance(constraint, OneOf) and any(_is_between(value) for value in constraint.values))
    ends = constraint_bounds(constraint)
    if any(isinstance(end, Fixed) and _is_between(end.value) for end in ends):
        return False
    if constraint.low_strict and constraint.high_strict and any(is_count(end) for end in ends):
        return False  # nothing may lie between them
    days = any(isinstance(end, Fixed) and not isinstance(end.value, Amount) for end in ends)
    if days and (constraint.low_strict or constraint.high_strict):
        return False  # after a day and from the next day on are the same
    return (len(ends) == 1 or all(isinstance(end, Fixed) for end in ends)) and all(
        _is_plain_bound(end, subject) for end in ends
    )


def _is_between(value: Scalar) -> bool:
    """Whether a value lies between whole numbers, so that it is none of what is counted."""
    return isinstance(value, Amount) and value.unit == NUMBER and value.number.denominator != 1


def _is_plain_bound(bound: Bound, subject: str) -> bool:
    """Whether a bound lies where cars are, on both sides of it, and does not depend on what it bounds."""
    match bound:
        case Fixed():
            return not isinstance(bound.value, Amount) or bound.value.base > 0
        case Linear():
            return bound.of != subject and (bound.rate is None or bound.rate.number > 0)
        case Steps():
            parts = [part for _, part in bound.steps] + ([bound.above] if bound.above is not None else [])
            plain = all(isinstance(part, Fixed) and _is_plain_bound(part, subject) for part in parts)
            return plain and bound.by != subject and bound.steps[0][0].base > 0
    return False


def _compare_plainly(before: Claim, after: Claim | None) -> bool:
    """Whether two claims are of one shape; what came or went must rule out some car."""
    if after is None:
        words = isinstance(before.what, OneOf) and any(isinstance(value, str) for value in before.what.values)
        return before.key[0] == "allow" or not words
    same_grants = [amount_key(one) for one in before.grants] == [amount_key(one) for one in after.grants]
    return type(before.what) is type(after.what) and same_grants
