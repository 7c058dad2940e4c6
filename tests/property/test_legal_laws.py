"""The nearest legal car against cars of a grid, judged one by one: it is legal, and none of them is legal and nearer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import combinations
from random import Random

from generated_rules import CLASS, DAY, HERE, PARTS, VOCABULARY, grid, sheets, two_books, verdict
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rulewatch.assess.legality import nearest
from rulewatch.assess.rulings import altered
from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Car, Stated, Waiver
from rulewatch.model.impact import Verdict
from rulewatch.model.quantity import Amount
from rulewatch.model.vocabulary import ancestors

CARS = grid(24)
VALUES = sheets(Fraction(1, 2))


def base(value):
    """A value as a number or a word."""
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if isinstance(value, date) else value


def state(car: Car, name: str):
    """What a car has of a quantity or part; None where it is gone, or never was."""
    if any(above in car.spec and not car.spec[above].present for above in ancestors(name)):
        return None
    stated = car.spec.get(name)
    if stated is None:
        return None
    return base(stated.values[0]) if stated.values else stated.present


def rank(car: Car, other: Car):
    """How many of a car's quantities another one has otherwise, in kind, and how far in size; what goes with a part counts with it."""
    gone = [name for name, stated in other.spec.items() if not stated.present]
    differs = [
        name
        for name in car.spec
        if (was := state(car, name)) is not None
        and was != state(other, name)
        and not any(above in gone for above in ancestors(name))
    ]
    kinds, far = 0, Fraction(0)
    for name in differs:
        was, now = state(car, name), state(other, name)
        sized = isinstance(was, Fraction) and isinstance(now, Fraction)
        kinds += not sized
        far += abs(was - now) / VOCABULARY.quantities[name].step.base if sized else 0
    return len(differs), kinds, far


def with_values(car: Car, values) -> Car:
    """A car with some values of the grid in the place of its own."""
    changes = {
        name: Stated(subject=name, place=HERE, values=() if name in PARTS else (value,), present=value != "absent")
        for name, value in values.items()
    }
    return altered(car, changes)


def neighbours(car: Car, chance: Random):
    """Every car of the grid that differs in one quantity, and some that differ in two or three."""
    names = [name for name in VALUES if name in car.spec and name != "car.built"]
    for name in names:
        for value in VALUES[name]:
            yield with_values(car, {name: value})
    for few in (2, 3):
        sets = list(combinations(names, few))
        for _ in range(120):
            yield with_values(car, {name: chance.choice(VALUES[name]) for name in chance.choice(sets)})


@settings(max_examples=50, deadline=None, derandomize=True)
@given(two_books(), st.sampled_from(CARS), st.integers(0, 10**6))
def test_nearest_legal_car_is_legal_and_none_is_nearer(books, car, seed):
    """In two books at once; where there is said to be none, no car of the grid is legal."""
    both = (books.old, books.new)
    assessments = [judge(book, car, car.entries[0], book.day or DAY, VOCABULARY) for book in both]
    found = nearest(car, assessments, VOCABULARY)
    assume(not found.undecided)
    then = altered(car, found.altered)
    legal = [one for one in neighbours(car, Random(seed)) if all(verdict(book, one) is Verdict.LEGAL for book in both)]  # noqa: S311
    if found.clashes:
        assert legal == []
        return
    assert found.left == ()
    assert all(verdict(book, then) is not Verdict.ILLEGAL for book in both)
    assert all(rank(car, one) >= rank(car, then) for one in legal), (found.alterations, min(rank(car, one) for one in legal))
    assert len(found.alterations) <= len(car.spec)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(two_books(), st.sampled_from(CARS), st.sampled_from(["car.weight", "wheels.rear.rim_width", "engine.position"]))
def test_what_is_fixed_stays(books, car, name):
    """A quantity that cannot be altered is in no set of alterations; where only that would do, it is named in the clash."""
    assume(name in car.spec)
    held = replace(car, spec={**car.spec, name: replace(car.spec[name], fixed=True)})
    assessments = [judge(book, held, held.entries[0], book.day or DAY, VOCABULARY) for book in (books.old, books.new)]
    found = nearest(held, assessments, VOCABULARY)
    assert name not in {one.subject for one in found.alterations}
    free = nearest(car, assessments, VOCABULARY)
    if found.clashes and not free.clashes:
        assert any(name in clash.fixed for clash in found.clashes)
    if not found.clashes and not found.undecided and not free.undecided:
        assert len(found.alterations) >= len(free.alterations)


def test_classes_of_the_grid():
    """The cars of the grid are entered in the class of the books."""
    assert {car.entries[0].class_name for car in CARS} == {CLASS}


def waivers(book, chance: Random):
    """Papers on some limits of a book, each with what another limit or permission says of the same quantity or part."""
    readings = [one for several in book.readings.values() for one in several]
    said = [(one, test) for one in readings for test in (*one.limits, *one.allows)]
    for count, (reading, test) in enumerate(chance.sample(said, min(2, len(said)))):
        others = [other for _, other in said if other.subject == test.subject]
        limits = (replace(test, constraint=chance.choice(others).constraint),)
        yield Waiver(clause=reading.clause, limits=limits, until=date.max, paper=f"W-{count}", place=HERE)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(two_books(), st.sampled_from(CARS), st.integers(0, 10**6))
def test_papers_count_as_they_do_for_the_verdict(books, car, seed):
    """With papers on some clauses the car found is legal by the verdict too, and a car that is legal has nothing to alter."""
    entry = replace(car.entries[0], waivers=tuple(waivers(books.new, Random(seed))))  # noqa: S311
    car = replace(car, entries=(entry,))
    before = judge(books.new, car, entry, books.new.day or DAY, VOCABULARY)
    found = nearest(car, [before], VOCABULARY)
    assume(not found.undecided)
    assert found.left == () or found.clashes
    if before.verdict is Verdict.LEGAL:
        assert (found.alterations, found.clashes) == ((), ())
