"""The direct comparison of a change: what old and new readings ask and permit, claim by claim, as intervals and sets.

It costs next to nothing and decides most changes. Where it is `settled`, it says exactly what the comparison as logic says;
otherwise claims of one change may depend on each other, and logic decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.compare.keys import (
    amount_key,
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
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Bound,
    Condition,
    Constraint,
    Fixed,
    Linear,
    MinimumWeight,
    OneOf,
    Presence,
    Range,
    Reading,
    Steps,
    Test,
    WeightAdder,
)
from rulewatch.model.vocabulary import within


@dataclass(frozen=True, slots=True, kw_only=True)
class _Claim:
    """One thing that a reading asks or permits, with a key that pairs it with its like on the other side."""

    key: tuple[str, ...]
    guard: object
    what: Constraint | MinimumWeight | WeightAdder
    about: frozenset[str]  # every quantity and component that it depends on
    when: Condition | None
    grants: Grants = ()

    @property
    def own(self) -> frozenset[str]:
        """What it depends on besides its condition."""
        return _depends(self.key, self.what)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moved:
    """How the claims of one key moved, and what they depend on."""

    key: tuple[str, ...]
    move: Move
    about: frozenset[str]


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
    left, right = _claims(before, editions.old), _claims(after, editions.new)
    settled = not any(reading.since or reading.until or reading.instead_of for reading in (*before, *after))
    settled = settled and not _closes(old, editions.old) and not _closes(new, editions.new)
    if _rests(before, editions.renumbered) != _rests(after, {}):
        why = "what it replaces, its dates or how it is measured changed"
        return Direct(effect=Effect.UNDECIDED, why=why, settled=False)
    if not left and not right:
        return Direct(effect=Effect.SAME, why="asks nothing of a car of this class", settled=settled)
    found = _together(_moves(left, right, editions))
    return replace(found, settled=settled and found.effect is not Effect.UNDECIDED and _exact(left, right))


def _closes(clauses: Sequence[Clause], edition: Edition) -> bool:
    """Whether one of the clauses closes a part of the car."""
    return any(scope.clause == clause.id for scope in edition.header.closed for clause in clauses)


def readings_for(clauses: Iterable[Clause], edition: Edition, name: str) -> list[Reading]:
    """The readings of clauses that are for a class, whatever their dates."""
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
            _Claim(key=key, guard=guard, what=what, about=of_guard | _depends(key, what), when=reading.when, grants=grants)
            for key, what in found
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


def _together(moves: Sequence[_Moved]) -> Direct:
    """The effect of a whole change: of requirements that are independent, some looser and some tighter make it shifted.

    Where they depend on the same quantities (a permission and what it costs), whether any car lost by both together is not
    compared here.
    """
    whole = joined(moved.move for moved in moves)
    if whole is Move.BOTH and _depend(moves):
        whole = Move.UNSURE
    said = ", ".join(f"{_name(moved.key)} {moved.move.value}" for moved in moves if moved.move is not Move.SAME)
    return Direct(effect=_EFFECTS[whole], why=said or "the readings allow the same cars")


def _depend(moves: Sequence[_Moved]) -> bool:
    """Whether something looser and something tighter speak of the same part of the car."""
    looser, tighter = (
        {name for one in moves if one.move is move for name in one.about} for move in (Move.LOOSER, Move.TIGHTER)
    )
    return _related(looser, tighter)


def _related(some: Iterable[str], others: Iterable[str]) -> bool:
    """Whether two claims speak of the same part of the car, or of a part and what is under it."""
    known = tuple(others)
    return any(within(one, other) or within(other, one) for one in some for other in known)


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


def _exact(left: Sequence[_Claim], right: Sequence[_Claim]) -> bool:
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


def _is_plain(claim: _Claim) -> bool:
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
        return True
    ends = constraint_bounds(constraint)
    days = any(isinstance(end, Fixed) and not isinstance(end.value, Amount) for end in ends)
    if days and (constraint.low_strict or constraint.high_strict):
        return False  # after a day and from the next day on are the same
    return (len(ends) == 1 or all(isinstance(end, Fixed) for end in ends)) and all(
        _is_plain_bound(end, subject) for end in ends
    )


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


def _compare_plainly(before: _Claim, after: _Claim | None) -> bool:
    """Whether two claims are of one shape; what came or went must rule out some car."""
    if after is None:
        words = isinstance(before.what, OneOf) and any(isinstance(value, str) for value in before.what.values)
        return before.key[0] == "allow" or not words
    same_grants = [amount_key(one) for one in before.grants] == [amount_key(one) for one in after.grants]
    return type(before.what) is type(after.what) and same_grants
