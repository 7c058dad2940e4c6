"""What readings ask and permit, one claim for each thing, and how the claims of one key moved between two books.

A move is claimed only where it is sure; all else is `UNSURE`. The claims of one condition count together: limits must all be
met, one permission is enough, and of several minimum weights the greatest rules.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations

from rulewatch.compare.constraints import Grants, is_empty, meet
from rulewatch.compare.guards import apart, leaves_room
from rulewatch.compare.keys import (
    amount_key,
    bound_subjects,
    condition_subjects,
    constraint_bounds,
    constraint_key,
    minimum_key,
    minimum_shape,
)
from rulewatch.compare.ranges import Move, as_move, bound_order, joined, set_move, sign, united
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    Bound,
    Condition,
    Constraint,
    Fixed,
    MinimumWeight,
    OneOf,
    Presence,
    Range,
    Steps,
    WeightAdder,
)

WEIGHT, MASS = "car.weight", "[mass]"
# A difference of so many steps of rounding stays one, whatever is added to both weights.
LASTING = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One thing that a reading asks or permits, with a key that pairs it with its like on the other side.

    `guard` is equal for claims that hold under the same condition, dates and measuring. `weights` are the minimum weights
    of the book that an adder adds to.
    """

    key: tuple[str, ...]
    guard: object
    when: Condition | None = None
    what: Constraint | MinimumWeight | WeightAdder
    dated: bool = False
    grants: Grants = ()
    weights: tuple[MinimumWeight, ...] = ()

    @property
    def subject(self) -> str:
        """The quantity or component that it is about; every weight rule is about the weight."""
        return self.key[1] if len(self.key) > 1 else WEIGHT

    @property
    def own(self) -> frozenset[str]:
        """The subject, and the quantities that its bounds are worked out from."""
        if isinstance(self.what, WeightAdder):
            return frozenset({self.subject})
        bounds = (self.what.bound,) if isinstance(self.what, MinimumWeight) else constraint_bounds(self.what)
        return frozenset({self.subject}).union(*map(bound_subjects, bounds))

    @property
    def about(self) -> frozenset[str]:
        """Every quantity and component that it depends on, those of its condition too."""
        return self.own | condition_subjects(self.when)

    @property
    def said(self) -> object:
        """Equal for claims that say the same."""
        grants = tuple(map(amount_key, self.grants))
        match self.what:
            case MinimumWeight():
                return (minimum_key(self.what), grants)
            case WeightAdder():
                return (amount_key(self.what.amount), self.what.share)
        return (constraint_key(self.what), grants)


def move(before: Sequence[Claim], after: Sequence[Claim]) -> Move:
    """How the claims of one key moved, condition by condition."""
    whens = {claim.guard: claim.when for claim in (*before, *after)}
    moves = [
        _move_under([one for one in before if one.guard == guard], [one for one in after if one.guard == guard])
        for guard in whens
    ]
    # One direction for all stays one; else a limit that moved may be behind another that holds for the same cars.
    if len(set(moves)) == 1 and moves[0] is not Move.BOTH:
        return moves[0]
    if len(moves) == 1 or all(apart(one, other) for one, other in combinations(whens.values(), 2)):
        return joined(moves)
    adds = all(isinstance(claim.what, WeightAdder) for claim in (*before, *after))
    return joined(moves) if adds and joined(moves) is not Move.BOTH else Move.UNSURE


def _move_under(before: Sequence[Claim], after: Sequence[Claim]) -> Move:
    """How the claims under one condition moved."""
    if sorted(repr(claim.said) for claim in before) == sorted(repr(claim.said) for claim in after):
        return Move.SAME
    claims = (*before, *after)
    if not before or not after:
        moves = {_came_or_went(claim, gained=not before) for claim in claims}
        found = moves.pop() if len(moves) == 1 else Move.UNSURE
    else:
        left, right = _together(before), _together(after)
        found = Move.UNSURE if left is None or right is None else _compare(left, right)
    sure = not any(claim.dated for claim in claims) and all(leaves_room(claim.when, claim.own) for claim in claims)
    return found if sure or found is Move.SAME else Move.UNSURE


def _together(claims: Sequence[Claim]) -> Claim | None:
    """What the claims of one key and condition come to; None where that is no single claim."""
    first, *rest = claims
    whole = first
    for claim in rest:
        if claim.grants != first.grants:
            return None
        what = _both(whole.what, claim.what, meet if first.key[0] == "limit" else united)
        if what is None:
            return None
        whole = replace(whole, what=what)
    return whole


def _both(
    one: Constraint | MinimumWeight | WeightAdder,
    other: Constraint | MinimumWeight | WeightAdder,
    constraint: Callable[[Constraint, Constraint], Constraint | None],
) -> Constraint | MinimumWeight | None:
    match one, other:
        case (MinimumWeight() as left, MinimumWeight() as right):
            order = bound_order(left.bound, right.bound) if minimum_shape(left) == minimum_shape(right) else None
            return None if order is None else right if order > 0 else left
        case ((OneOf() | Range() | Presence()) as left_set, (OneOf() | Range() | Presence()) as right_set):
            return constraint(left_set, right_set)
    return None


# --- One claim against its like, or against none ----------------------------------------------------------------------


def _came_or_went(claim: Claim, *, gained: bool) -> Move:
    """A new limit or weight leaves fewer cars; a new permission, or a weight taken off, more."""
    what = claim.what
    match what:
        case WeightAdder():
            came = as_move(_clear_sign(_added(what), claim), more=Move.TIGHTER)
        case MinimumWeight():
            came = Move.UNSURE if _least(what.bound) == 0 else Move.TIGHTER
        case _ if claim.key[0] == "allow":
            came = Move.UNSURE if is_empty(what) else Move.LOOSER
        case Presence():
            came = Move.TIGHTER
        case OneOf() | Range():
            # Several words may be all that there are.
            words = isinstance(what, OneOf) and len(what.values) > 1 and any(isinstance(value, str) for value in what.values)
            came = Move.UNSURE if words else set_move(Range(), what, claim.grants, claim.grants)
    return came if gained else _BACK.get(came, came)


_BACK = {Move.LOOSER: Move.TIGHTER, Move.TIGHTER: Move.LOOSER}


def _compare(before: Claim, after: Claim) -> Move:
    match before.what, after.what:
        case (MinimumWeight() as left, MinimumWeight() as right):
            if minimum_shape(left) != minimum_shape(right) or before.grants != after.grants:
                return Move.UNSURE
            lasting = left.rounding is None or _is_lasting(left.bound, right.bound, LASTING * left.rounding.to.base)
            return as_move(bound_order(left.bound, right.bound) if lasting else None, more=Move.TIGHTER)
        case (WeightAdder() as left_adder, WeightAdder() as right_adder):
            if (left_adder.share is None) != (right_adder.share is None):
                return Move.UNSURE
            grown = _added(right_adder) - _added(left_adder)
            orders = {_clear_sign(grown, before), _clear_sign(grown, after)}
            return as_move(orders.pop() if len(orders) == 1 else None, more=Move.TIGHTER)
        case ((OneOf() | Range() | Presence()) as left_set, (OneOf() | Range() | Presence()) as right_set):
            # A wider permission and a wider limit both let more cars in.
            return set_move(left_set, right_set, before.grants, after.grants)
    return Move.UNSURE


# --- Weights ----------------------------------------------------------------------------------------------------------


def _added(adder: WeightAdder) -> Fraction:
    """What an adder adds, in base units or as a share."""
    return adder.share if adder.share is not None else adder.amount.base if adder.amount is not None else Fraction(0)


def _clear_sign(grown: Fraction, adder: Claim) -> int | None:
    """Which way an adder moved the weight of every car; None where rounding may hide it, or there is nothing to add to."""
    if not grown:
        return 0
    share = isinstance(adder.what, WeightAdder) and adder.what.share is not None
    for minimum in adder.weights:
        if minimum.rounding is None:
            continue
        least = _least(minimum.bound) if share else Fraction(1)
        if least is None or abs(grown) * least < LASTING * minimum.rounding.to.base:
            return None
    return sign(grown) if adder.weights else None


def _least(bound: Bound) -> Fraction | None:
    """The least that a weight can be, where its bounds are fixed."""
    if isinstance(bound, Fixed):
        return bound.value.base if isinstance(bound.value, Amount) else None
    if not isinstance(bound, Steps):
        return None
    parts = [_least(part) for _, part in bound.steps] + ([] if bound.above is None else [_least(bound.above)])
    known = [part for part in parts if part is not None]
    return min(known) if len(known) == len(parts) else None


def _is_lasting(left: Bound, right: Bound, difference: Fraction) -> bool:
    """Whether two bounds are equal or differ by so much, step by step."""
    if isinstance(left, Steps) and isinstance(right, Steps):
        pairs = [(one, two) for (_, one), (_, two) in zip(left.steps, right.steps, strict=False)]
        if left.above is not None and right.above is not None:
            pairs.append((left.above, right.above))
        return all(_is_lasting(one, two, difference) for one, two in pairs)
    order = bound_order(left, right)
    return not order or bound_order(left, right, -order * difference) in {0, order}
