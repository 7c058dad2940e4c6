"""How the values that a constraint allows moved: sets of values, ends of ranges, and the order of bounds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction

from rulewatch.compare.constraints import (
    NEVER_NEGATIVE,
    Grants,
    all_in,
    bound_size,
    granted,
    is_count,
    is_day,
    is_empty,
    plain,
)
from rulewatch.compare.keys import amount_key, bound_key, constraint_key
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Bound, Constraint, Fixed, Greatest, Least, Linear, OneOf, Presence, Range, Steps


class Move(Enum):
    """How one requirement moved; `UNSURE` where the two do not compare directly."""

    SAME = "same"
    LOOSER = "looser"
    TIGHTER = "tighter"
    BOTH = "looser for some, tighter for others"
    UNSURE = "changed in a way that is not compared"


def as_move(order: int | None, *, more: Move) -> Move:
    """A move from the order of two bounds, given what it means that the bound grew."""
    less = Move.LOOSER if more is Move.TIGHTER else Move.TIGHTER
    return {None: Move.UNSURE, 0: Move.SAME, 1: more, -1: less}[order]


def joined(moves: Iterable[Move]) -> Move:
    """Several moves of independent requirements as one."""
    found = set(moves) - {Move.SAME}
    if Move.UNSURE in found:
        return Move.UNSURE
    if len(found) > 1:
        return Move.BOTH
    return found.pop() if found else Move.SAME


def set_move(left: Constraint, right: Constraint, left_grants: Grants = (), right_grants: Grants = ()) -> Move:
    """How the values that a constraint allows moved from `left` to `right`."""
    left, right = plain(left, left_grants), plain(right, right_grants)
    if is_empty(left) or is_empty(right):
        return Move.SAME if constraint_key(left) == constraint_key(right) else Move.UNSURE
    return _plain_move(left, right, left_grants, right_grants)


def _plain_move(left: Constraint, right: Constraint, left_grants: Grants, right_grants: Grants) -> Move:
    match left, right:
        case (Presence(), Presence()):
            return Move.SAME if left.present == right.present else Move.BOTH
        case (OneOf(), OneOf()):
            vague = _is_granted_on(left, right, (left_grants, right_grants))
            return Move.UNSURE if vague else _contained((all_in(left.values, right), all_in(right.values, left)))
        case (OneOf(), Range()):
            return _widened(left, right, right_grants, more=Move.LOOSER)
        case (Range(), OneOf()):
            return _widened(right, left, left_grants, more=Move.TIGHTER)
        case (Range(), Range()):
            return _range_move(left, right, left_grants, right_grants)
    return Move.UNSURE


def _widened(values: OneOf, wide: Range, grants: Grants, *, more: Move) -> Move:
    """How single values moved to a range of them, `more` where the range holds all; what is counted may fill a list."""
    inside = all_in(values.values, wide)
    bounds = [bound for bound in (wide.low, wide.high) if bound is not None]
    if inside is None or any(is_day(bound) or is_count(bound) or granted(bound, grants) for bound in bounds):
        return Move.UNSURE
    return more if inside else Move.BOTH


def _is_granted_on(left: OneOf, right: OneOf, grants: tuple[Grants, Grants]) -> bool:
    """Whether what a book grants on single values may make lists the same, or others than they look."""
    values = [Fixed(value=value) for value in (*left.values, *right.values) if isinstance(value, Amount)]
    before, after = ([granted(value, side) for value in values] for side in grants)
    return before != after or (any(before) and min(len(left.values), len(right.values)) > 1)


def united(left: Constraint, right: Constraint) -> Constraint | None:
    """What at least one of two constraints allows; None where that is no single constraint."""
    if isinstance(left, OneOf) and isinstance(right, OneOf):
        return OneOf(values=left.values + right.values)
    return {Move.SAME: left, Move.TIGHTER: left, Move.LOOSER: right}.get(set_move(left, right))


def _contained(answers: tuple[bool | None, bool | None]) -> Move:
    """The move, given whether all of the left is in the right, and all of the right in the left."""
    moves: dict[tuple[bool | None, bool | None], Move] = {
        (True, True): Move.SAME,
        (True, False): Move.LOOSER,
        (False, True): Move.TIGHTER,
        (False, False): Move.BOTH,
    }
    return moves.get(answers, Move.UNSURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """One end of a range: its bound (None: open), whether it is strict, and what the book grants on it."""

    bound: Bound | None
    strict: bool
    grants: Grants

    @property
    def worked_out(self) -> bool:
        """Whether the bound differs from car to car, so that it does not show what is granted on it."""
        return self.bound is not None and not isinstance(self.bound, Fixed)

    @property
    def at_most_nothing(self) -> bool:
        """Whether the end is open or takes away no more than what no car has: less than nothing."""
        if self.bound is None:
            return True
        value = self.bound.value if isinstance(self.bound, Fixed) else None
        return isinstance(value, Amount) and value.unit.dimension in NEVER_NEGATIVE and value.base <= 0


def _range_move(left: Range, right: Range, left_grants: Grants, right_grants: Grants) -> Move:
    high = _edge_move(
        _End(bound=left.high, strict=left.high_strict, grants=left_grants),
        _End(bound=right.high, strict=right.high_strict, grants=right_grants),
        up=True,
    )
    low = _edge_move(
        _End(bound=left.low, strict=left.low_strict, grants=left_grants),
        _End(bound=right.low, strict=right.low_strict, grants=right_grants),
        up=False,
    )
    return joined((high, low))


def _edge_move(left: _End, right: _End, *, up: bool) -> Move:
    """How one end of a range moved; an end that is not there lies beyond all others."""
    if not up and left.at_most_nothing and right.at_most_nothing and not (left.bound is None and right.bound is None):
        return Move.SAME if left == right else Move.UNSURE
    if left.bound is None or right.bound is None:
        return Move.SAME if left.bound is right.bound else (Move.TIGHTER if left.bound is None else Move.LOOSER)
    if (left.worked_out or right.worked_out) and list(map(amount_key, left.grants)) != list(map(amount_key, right.grants)):
        return Move.UNSURE
    shift = granted(right.bound, right.grants) - granted(left.bound, left.grants)
    order = bound_order(left.bound, right.bound, shift if up else -shift)
    if left.strict != right.strict and is_count(left.bound) and is_count(right.bound):
        return Move.UNSURE  # up to 6 gears are fewer than 7, and 6.5 to 1 is neither
    if order == 0 and left.strict != right.strict:
        return Move.TIGHTER if right.strict else Move.LOOSER
    return as_move(order, more=Move.LOOSER if up else Move.TIGHTER)


def bound_order(left: Bound, right: Bound, shift: Fraction = Fraction(0)) -> int | None:
    """1 where `right` (moved by `shift`, in base units) is greater on every car, 0 equal, -1 less; None where it depends."""
    match left, right:
        case (Fixed(), Fixed()):
            if isinstance(left.value, date) != isinstance(right.value, date):
                return None
            return sign(bound_size(right) + shift - bound_size(left))
        case (Linear(), Linear()):
            same = (left.of, left.sheet) == (right.of, right.sheet) and amount_key(left.rate) == amount_key(right.rate)
            return sign(_plus(right) - _plus(left) + shift) if same else None
        case (Steps(), Steps()):
            return _steps_order(left, right, shift)
        case (Greatest(), Greatest()) | (Least(), Least()):
            # Not part by part: which of them rules may differ from car to car.
            return 0 if not shift and bound_key(left) == bound_key(right) else None
    return None


def _steps_order(left: Steps, right: Steps, shift: Fraction) -> int | None:
    """Steps at the same edges of the same quantity compare step by step; others may cross."""
    if left.by != right.by or _edges(left) != _edges(right) or (left.above is None) != (right.above is None):
        return None
    orders = [bound_order(one, two, shift) for (_, one), (_, two) in zip(left.steps, right.steps, strict=True)]
    if left.above is not None and right.above is not None:
        orders.append(bound_order(left.above, right.above, shift))
    return _same_way(orders)


def _same_way(orders: Iterable[int | None]) -> int | None:
    found = set(orders) - {0}
    return None if None in found or len(found) > 1 else found.pop() if found else 0


def _edges(steps: Steps) -> list[Fraction]:
    return [edge.base for edge, _ in steps.steps]


def _plus(bound: Linear) -> Fraction:
    return bound.plus.span if bound.plus is not None else Fraction(0)


def sign(number: Fraction) -> int:
    """1, 0 or -1."""
    return (number > 0) - (number < 0)
