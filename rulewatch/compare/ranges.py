"""How the values that a constraint allows moved: sets of values, ends of ranges, and the order of bounds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction

from rulewatch.compare.keys import amount_key, bound_key, value_key
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Bound, Constraint, Fixed, Greatest, Least, Linear, OneOf, Presence, Range, Scalar, Steps

Grants = tuple[Amount, ...]  # tolerances that a book grants on a limit, each for its own dimension


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
    match left, right:
        case (Presence(), Presence()):
            return Move.SAME if left.present == right.present else Move.BOTH
        case (OneOf(), OneOf()):
            return _contained((_all_in(left.values, right), _all_in(right.values, left)))
        case (OneOf(), Range()):
            inside = _all_in(left.values, right)
            return Move.UNSURE if inside is None else Move.LOOSER if inside else Move.BOTH
        case (Range(), OneOf()):
            inside = _all_in(right.values, left)
            return Move.UNSURE if inside is None else Move.TIGHTER if inside else Move.BOTH
        case (Range(), Range()):
            return _range_move(left, right, left_grants, right_grants)
    return Move.UNSURE


def _contained(answers: tuple[bool | None, bool | None]) -> Move:
    """The move, given whether all of the left is in the right, and all of the right in the left."""
    moves: dict[tuple[bool | None, bool | None], Move] = {
        (True, True): Move.SAME,
        (True, False): Move.LOOSER,
        (False, True): Move.TIGHTER,
        (False, False): Move.BOTH,
    }
    return moves.get(answers, Move.UNSURE)


def _all_in(values: Iterable[Scalar], constraint: OneOf | Range) -> bool | None:
    """Whether every value meets a constraint with fixed bounds; None where a bound is not fixed."""
    answers = [_value_in(value, constraint) for value in values]
    return None if None in answers else all(answers)


def _value_in(value: Scalar, constraint: OneOf | Range) -> bool | None:
    if isinstance(constraint, OneOf):
        return any(value_key(value) == value_key(other) for other in constraint.values)
    size = _size(value)
    for bound, strict, way in ((constraint.low, constraint.low_strict, 1), (constraint.high, constraint.high_strict, -1)):
        if bound is None:
            continue
        if not isinstance(bound, Fixed) or size is None:
            return None
        room = way * (size - _bound_size(bound))
        if room < 0 or (strict and room == 0):
            return False
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """One end of a range: its bound (None: open), whether it is strict, and what the book grants on it."""

    bound: Bound | None
    strict: bool
    grants: Grants

    def granted(self) -> Fraction:
        """The tolerance on this end, as a difference in base units."""
        if not isinstance(self.bound, Fixed) or not isinstance(self.bound.value, Amount):
            return Fraction(0)
        dimension = self.bound.value.unit.dimension
        return next((grant.span for grant in self.grants if grant.unit.dimension == dimension), Fraction(0))


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
    if left.bound is None or right.bound is None:
        return Move.SAME if left.bound is right.bound else (Move.TIGHTER if left.bound is None else Move.LOOSER)
    granted = right.granted() - left.granted()
    order = bound_order(left.bound, right.bound, granted if up else -granted)
    if order == 0 and left.strict != right.strict:
        return Move.TIGHTER if right.strict else Move.LOOSER
    return as_move(order, more=Move.LOOSER if up else Move.TIGHTER)


def bound_order(left: Bound, right: Bound, shift: Fraction = Fraction(0)) -> int | None:
    """1 where `right` (moved by `shift`, in base units) is greater on every car, 0 equal, -1 less; None where it depends."""
    match left, right:
        case (Fixed(), Fixed()):
            if isinstance(left.value, date) != isinstance(right.value, date):
                return None
            return sign(_bound_size(right) + shift - _bound_size(left))
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


def _bound_size(bound: Fixed) -> Fraction:
    return bound.value.base if isinstance(bound.value, Amount) else Fraction(bound.value.toordinal())


def _size(value: Scalar) -> Fraction | None:
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if isinstance(value, date) else None


def sign(number: Fraction) -> int:
    """1, 0 or -1."""
    return (number > 0) - (number < 0)
