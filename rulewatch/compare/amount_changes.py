"""Amounts that changed between two texts of a clause, compared as values: 60 mm became 75 mm; 10 in became 254 mm, the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

from rulewatch.model.amounts import FoundAmount
from rulewatch.model.change import Mark, ValueChange
from rulewatch.model.quantity import Amount


def amount_changes(
    runs: Iterable[tuple[Mark, str]], old: Sequence[FoundAmount], new: Sequence[FoundAmount]
) -> tuple[ValueChange, ...]:
    """Compare the amounts of two folded texts, aligned by the runs of their wording."""
    changes: list[ValueChange] = []
    at_old = at_new = 0
    for keeps, group in groupby(runs, key=lambda run: run[0] is Mark.KEEP):
        texts = list(group)
        long_old = sum(len(text) for mark, text in texts if mark.in_old)
        long_new = sum(len(text) for mark, text in texts if mark.in_new)
        ours = [one for one in old if at_old <= one.start < at_old + long_old]
        theirs = [one for one in new if at_new <= one.start < at_new + long_new]
        changes += kept(ours, theirs, at_new - at_old) if keeps else replaced(ours, theirs)
        at_old, at_new = at_old + long_old, at_new + long_new
    return without_moved(changes)


def kept(old: Sequence[FoundAmount], new: Sequence[FoundAmount], shift: int) -> list[ValueChange]:
    """Amounts in words that stayed. The number may mean another amount all the same: its unit came behind a range."""
    there = {one.start: one.amount for one in new}
    changes = [change(one.amount, there.pop(one.start + shift, None)) for one in old]
    changes += [change(None, amount) for amount in there.values()]
    return [one for one in changes if one.old != one.new]


def replaced(old: Sequence[FoundAmount], new: Sequence[FoundAmount]) -> list[ValueChange]:
    """Amounts of words that were replaced: each with the nearest of its kind, in order."""
    ours, theirs = [one.amount for one in old], [one.amount for one in new]
    pairs: list[tuple[Amount, Amount]] = []
    for alike in (equal, same_unit, same_dimension):
        pairs += take_alike(ours, theirs, alike)
    changes = [change(before, after) for before, after in pairs if not equal(before, after)]
    return changes + [change(before, None) for before in ours] + [change(None, after) for after in theirs]


def take_alike(old: list[Amount], new: list[Amount], alike: Callable[[Amount, Amount], bool]) -> list[tuple[Amount, Amount]]:
    """Take the pairs that are alike out of both lists."""
    pairs = []
    for before in tuple(old):
        after = next((one for one in new if alike(before, one)), None)
        if after is not None:
            old.remove(before)
            new.remove(after)
            pairs.append((before, after))
    return pairs


def without_moved(changes: list[ValueChange]) -> tuple[ValueChange, ...]:
    """Changes without the amounts that only went to another place of the text."""
    gone = [one.old for one in changes if one.old and one.new is None]
    came = [one.new for one in changes if one.new and one.old is None]
    take_alike(gone, came, equal)
    return tuple(one for one in changes if (one.old and one.new) or (one.old or one.new) in (gone if one.old else came))


def change(old: Amount | None, new: Amount | None) -> ValueChange:
    """A change with its difference in the new unit, where the two compare."""
    comparable = old is not None and new is not None and same_dimension(old, new)
    return ValueChange(old=old, new=new, delta=new.minus(old) if comparable and old and new else None)


def equal(one: Amount, other: Amount) -> bool:
    """The same number of the same unit."""
    return one.number == other.number and one.unit == other.unit


def same_unit(one: Amount, other: Amount) -> bool:
    """Two amounts in one unit."""
    return one.unit == other.unit


def same_dimension(one: Amount, other: Amount) -> bool:
    """Two amounts that convert into each other."""
    return one.unit.dimension == other.unit.dimension
