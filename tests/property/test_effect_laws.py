"""Laws of effects: what is claimed about all cars holds for each car that `assess` judges, on generated books."""

from __future__ import annotations

from generated_rules import VOCABULARY, TwoBooks, alone, grid, stated_car, two_books, verdict, with_change
from hypothesis import HealthCheck, given, settings

from rulewatch.compare.allowed import Allowed
from rulewatch.compare.direct import Editions, compared
from rulewatch.compare.pairing import pair
from rulewatch.model.change import Change, Effect
from rulewatch.model.impact import Verdict

FIXED = settings(
    max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
CARS = grid(40)
CLASS = "silhouette-b"
SWAPPED = {Effect.LOOSENED: Effect.TIGHTENED, Effect.TIGHTENED: Effect.LOOSENED}


def seen(pairs: list[tuple[Verdict, Verdict]]) -> Effect:
    """The effect as far as some cars show it."""
    lost, gained = (Verdict.LEGAL, Verdict.ILLEGAL) in pairs, (Verdict.ILLEGAL, Verdict.LEGAL) in pairs
    if lost and gained:
        return Effect.SHIFTED
    return Effect.TIGHTENED if lost else Effect.LOOSENED if gained else Effect.SAME


def agrees(claimed: Effect, shown: Effect) -> bool:
    """Whether a claim about all cars leaves room for what some show."""
    return claimed in {shown, Effect.SHIFTED, Effect.UNDECIDED} or shown is Effect.SAME


def check(books: TwoBooks, change: Change) -> None:
    """Both effects of a change against a grid of cars, and each witness against both books."""
    surroundings, subjects = alone(books, change)
    hybrid = with_change(books, change)
    by_itself = [
        (verdict(before, one, subjects), verdict(after, one, subjects)) for before, after in surroundings for one in CARS
    ]
    in_book = [(verdict(books.old, one), verdict(hybrid, one)) for one in CARS]
    assert agrees(change.effects[CLASS], seen(by_itself)), (change.effects[CLASS], seen(by_itself))
    assert agrees(change.in_book[CLASS], seen(in_book)), (change.in_book[CLASS], seen(in_book))
    shown = {(witness.alone, witness.in_book, witness.gained) for witness in change.witness.get(CLASS, ())}
    for effect, place in ((change.effects[CLASS], 0), (change.in_book[CLASS], 1)):
        wanted = {Effect.TIGHTENED: {False}, Effect.LOOSENED: {True}, Effect.SHIFTED: {False, True}}.get(effect, set())
        assert {each[2] for each in shown if each[place]} == wanted, (effect, shown)
    for witness in change.witness.get(CLASS, ()):
        one = stated_car(witness.values)
        sides = (Verdict.ILLEGAL, Verdict.LEGAL) if witness.gained else (Verdict.LEGAL, Verdict.ILLEGAL)
        if witness.alone:
            seen_in = [(verdict(before, one, subjects), verdict(after, one, subjects)) for before, after in surroundings]
            assert sides in seen_in, witness
        if witness.in_book:
            assert (verdict(books.old, one), verdict(hybrid, one)) == sides, witness


@FIXED
@given(two_books())
def test_effects_agree_with_verdicts_on_a_grid_of_cars(books):
    """No car of the grid contradicts a claim, and every witness is legal on exactly the side claimed."""
    for change in books.comparison.changed:
        check(books, change)


@FIXED
@given(two_books())
def test_direct_comparison_never_disagrees_with_logic(books):
    """What intervals settle, logic settles in the same way."""
    old, new = books.old, books.new
    allowed = Allowed(old, new, pair(old.clauses, new.clauses), VOCABULARY)
    editions = Editions(old=old, new=new, renumbered={clause.id: clause.id for clause in old.clauses})
    for change in books.comparison.changed:
        direct = compared(change.old, change.new, editions, CLASS)
        if direct.settled:
            assert allowed.effect(change.old, change.new, CLASS).alone is direct.effect


@FIXED
@given(two_books())
def test_swapping_the_sides_swaps_loosened_and_tightened(books):
    """What a change takes, its reverse gives; so for each class as a whole."""
    forth, back = books.comparison, books.swapped.comparison
    for one, other in zip(forth.changed, back.changed, strict=True):
        assert other.effects[CLASS] is SWAPPED.get(one.effects[CLASS], one.effects[CLASS])
    whole = forth.classes[CLASS].effect
    assert back.classes[CLASS].effect is SWAPPED.get(whole, whole)


@FIXED
@given(two_books())
def test_a_class_as_a_whole_agrees_with_verdicts(books):
    """The old book against the new one, car by car."""
    whole = books.comparison.classes[CLASS]
    pairs = [(verdict(books.old, one), verdict(books.new, one)) for one in CARS]
    assert agrees(whole.effect, seen(pairs))
    for witness in whole.witnesses:
        one = stated_car(witness.values)
        sides = (Verdict.ILLEGAL, Verdict.LEGAL) if witness.gained else (Verdict.LEGAL, Verdict.ILLEGAL)
        assert (verdict(books.old, one), verdict(books.new, one)) == sides
