"""The witness of a claim: a car on which it can be seen, as near as possible to one of the crew's.

Near means: the fewest quantities that differ, then the least sum of differences, each counted in steps of the vocabulary.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from rulewatch.compare.cells import cars_for
from rulewatch.compare.fewest import fewest
from rulewatch.compare.formulas import (
    TRUE,
    Car,
    Formula,
    Has,
    Is,
    Relation,
    Sort,
    Term,
    Value,
    Variable,
    all_of,
    compare,
    either,
    holds,
    minus,
    negation,
    number,
    plus,
    size,
    times,
    variables,
)
from rulewatch.compare.partial import Settled, choices
from rulewatch.compare.regions import around, lowest
from rulewatch.compare.solver import Answer, Question
from rulewatch.compare.statements import Speech, step_of
from rulewatch.model.reading import Sheet
from rulewatch.model.vocabulary import ancestors

SIZED = {Sort.NUMBER, Sort.DAY}
DISTANCE = Variable(name="distance", sort=Sort.NUMBER)
# Of so many quantities the least sum of differences is sought among all sets that are as few; of more in the set found first.
MOST_SUMMED = 10
# With so many quantities left open the cars that matter are few enough to be tried.
MOST_TRIED = 4
# Parts of a step on which a value is put where the exact end of a range is not allowed, and many values are.
GRIDS = (Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(1, 10), Fraction(1, 100), Fraction(1, 1000))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A car to be near to: its name, and what is known of it.

    `kinds` tells that other words, and parts that come or go, count before any difference in size; what goes with a part that it
    belongs to is then counted with that.
    """

    name: str
    known: Mapping[Variable, Value]
    kinds: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A car found: its values, which car it is near to, and what differs from that one.

    `kinds` is how many of these are other words, or parts that come or go, where the reference counts them; `distance` is the
    sum of the differences in size, in steps.
    """

    car: Car
    reference: str = ""
    differs: tuple[Variable, ...] = ()
    kinds: int = 0
    distance: Fraction = Fraction(0)


def nearest(
    question: Question,
    claim: Sequence[Formula],
    speech: Speech,
    references: Sequence[Reference],
    best: Near | None = None,
    *,
    most_summed: int = MOST_SUMMED,
) -> Near | Answer:
    """The car nearest to one of some cars on which the claim of a question holds; any simple one where there are none.

    Where the limit of work is reached on the way, it is the nearest one seen so far; so where none is nearer than the `best` known.
    """
    for one in references:
        with question.solver.for_nearness() as has_work:
            near = _near(question, claim, speech, one, best, most_summed=most_summed) if has_work else None
        if near is not None and (best is None or rank(near) < rank(best)):
            best = near
    if best is not None:
        return best
    car = question.find()
    return car if isinstance(car, Answer) else Near(car=_plain(car, claim, speech, {}))


def rank(near: Near) -> tuple[int, int, Fraction]:
    """How many quantities differ, how many of them in kind, and by how many steps in all: the less, the nearer."""
    return (len(near.differs), near.kinds, near.distance)


def nearest_of(cars: Sequence[Car], speech: Speech, references: Sequence[Reference]) -> Near:
    """The nearest of some cars to one of the references; the first where there are none."""
    found = [near for reference in references for near in all_measured(cars, reference, speech)]
    return min(found, key=rank, default=Near(car=cars[0]))


def measured(car: Car, reference: Reference, speech: Speech) -> Near:
    """How near a car is to a reference."""
    (near,) = all_measured((car,), reference, speech)
    return near


def all_measured(cars: Sequence[Car], reference: Reference, speech: Speech) -> Iterator[Near]:
    """How near cars are to a reference; all of them speak of the same."""
    known = [
        (one, value, _stands(one, reference, speech), _there(one, speech), step_of(one, speech))
        for one, value in reference.known.items()
        if one in cars[0] and one.sheet is Sheet.CAR
    ]
    for car in cars:
        differs: list[Variable] = []
        kinds, distance = 0, Fraction(0)
        for one, value, stands, there, step in known:
            is_there, here = holds(there, car), car[one]
            if (is_there and here == value) or not holds(stands, car):
                continue
            differs.append(one)
            if is_there and isinstance(here, Fraction) and isinstance(value, Fraction):
                distance += abs(here - value) / step
            else:
                kinds += reference.kinds
        yield Near(car=car, reference=reference.name, differs=tuple(differs), kinds=kinds, distance=distance)


def _near(
    question: Question,
    claim: Sequence[Formula],
    speech: Speech,
    reference: Reference,
    best: Near | None,
    *,
    most_summed: int,
) -> Near | None:
    """The nearest car to one; None where the sheets of its model do not allow any, or none can be as near as the best so far."""
    wanted = variables(*claim)
    known = {one: value for one, value in reference.known.items() if one in wanted}
    sheets = [equals(one, value) for one, value in known.items() if one.sheet is not Sheet.CAR]
    changed = {
        one: all_of((_stands(one, reference, speech), _differs(one, value, speech)))
        for one, value in known.items()
        if one.sheet is Sheet.CAR
    }
    with question.more(*sheets):
        few = fewest(
            question, {one.key: negation(test) for one, test in changed.items()}, None if best is None else len(best.differs)
        )
        if few is None:
            return None
        if few.forced or len(changed) > most_summed:
            fixed = [negation(test) for one, test in changed.items() if one.key not in few.names]
            moving = {one: value for one, value in known.items() if one.key in few.names}
            small = _tried(
                [*claim, *sheets, *fixed], {one: known[one] for one in known if one.key not in few.names}, reference, speech
            )
            if small is not None:
                return small
        else:
            count = plus(*(either(test, number(1), number(0)) for test in changed.values()))
            fixed, moving = [compare(count, number(len(few.names)), Relation.AT_MOST)], known
        with question.more(*fixed):
            formulas = [*claim, *sheets, *fixed]
            kinds = _kinds({one: changed[one] for one in moving if one in changed}, speech) if reference.kinds else number(0)
            car, few_kinds = _closest(question, formulas, kinds, few.car)
            with question.more(few_kinds):
                car, close = _closest(question, [*formulas, few_kinds], _distance(moving, speech), car)
    car = _plain(car, [*formulas, few_kinds, close], speech, known)
    return Near(
        car=car,
        reference=reference.name,
        differs=tuple(one for one in changed if holds(changed[one], car)),
        kinds=int(size(_kinds(changed, speech), car)) if reference.kinds else 0,
        distance=size(_distance(known, speech), car),
    )


def _tried(formulas: Sequence[Formula], settled: Car, reference: Reference, speech: Speech) -> Near | None:
    """The nearest car to a reference with some values settled, where few enough cars matter to try them all."""
    values = Settled(settled)
    left = [values.formula(one) for one in formulas]
    if len(variables(*left)) > MOST_TRIED:
        return None
    cars = cars_for([choices(one) for one in left], [reference.known], speech)
    if not cars:
        return None
    return nearest_of([{**settled, **car} for car in cars], speech, [reference])


def _closest(question: Question, formulas: Sequence[Formula], distance: Term, car: Car) -> tuple[Car, Formula]:
    """A car at the least distance, and what keeps it there; within a step of it where the least itself is just not allowed."""
    if not variables(distance):
        return car, TRUE
    tie = compare(DISTANCE, distance, Relation.EQUAL)
    here = {**car, DISTANCE: size(distance, car)}
    with question.more(tie):
        least = lowest(question, [*formulas, tie], DISTANCE, around([*formulas, tie], here, DISTANCE))
        if isinstance(least, Answer) or least.low is None:
            return car, TRUE
        close = compare(distance, number(least.low + least.low_strict), Relation.AT_MOST)
        found = question.find(close)
    if isinstance(found, Answer):
        return car, TRUE
    return {one: value for one, value in found.items() if one != DISTANCE}, close


def equals(variable: Variable, value: Value) -> Formula:
    """That a variable has a value."""
    if isinstance(value, bool):
        return Has(variable) if value else negation(Has(variable))
    return Is(variable, value) if isinstance(value, str) else compare(variable, number(value), Relation.EQUAL)


def _differs(variable: Variable, value: Value, speech: Speech) -> Formula:
    """What is not as on the reference; to leave a part off takes all that is known of it away too."""
    return negation(all_of((_there(variable, speech), equals(variable, value))))


def _stands(variable: Variable, reference: Reference, speech: Speech) -> Formula:
    """That no part goes with which a variable would be counted."""
    if not reference.kinds:
        return TRUE
    parts = (*ancestors(variable.name), *(() if variable.sort is Sort.PRESENCE else (variable.name,)))
    own = (speech.own(each) for each in parts)
    return all_of(each for each in own if isinstance(each, Has) and reference.known.get(each.variable) is True)


def _there(variable: Variable, speech: Speech) -> Formula:
    """That a car has what a variable tells of; whether a part is there can always be told."""
    return TRUE if variable.sort is Sort.PRESENCE else speech.there(variable.name)


def _distance(known: Mapping[Variable, Value], speech: Speech) -> Term:
    """The sum of differences in size, in steps, of what is there."""
    parts: list[Term] = []
    for variable, value in known.items():
        if variable.sheet is Sheet.CAR and isinstance(value, Fraction):
            far = minus(variable, number(value))
            sides = either(compare(number(value), variable, Relation.AT_MOST), far, times(Fraction(-1), far))
            parts.append(either(speech.there(variable.name), times(1 / step_of(variable, speech), sides), number(0)))
    return plus(*parts)


def _kinds(changed: Mapping[Variable, Formula], speech: Speech) -> Term:
    """How many differ in another way than in size: another word, or a part that comes or goes."""
    one, none = number(1), number(0)
    return plus(
        *(
            either(all_of((test, negation(speech.there(name.name)))) if name.sort in SIZED else test, one, none)
            for name, test in changed.items()
        )
    )


# --- Plain values -----------------------------------------------------------------------------------------------------


def _plain(car: Car, claim: Sequence[Formula], speech: Speech, known: Mapping[Variable, Value]) -> Car:
    """The car with values that a person would write, where the claim leaves a choice: on a grid of whole or part steps."""
    found = dict(car)
    speaks = [(formula, variables(formula)) for formula in claim]
    for variable in sorted(car, key=lambda one: one.key):
        value = found[variable]
        if (
            variable.sort is not Sort.NUMBER
            or variable.whole
            or not isinstance(value, Fraction)
            or value == known.get(variable)
        ):
            continue
        concerned = [formula for formula, names in speaks if variable in names]
        if (value - offset_of(variable, speech)) % step_of(variable, speech) == 0:
            continue
        for near in _on_grids(variable, value, speech):
            found[variable] = near
            if all(holds(formula, found) for formula in concerned):
                break
        else:
            found[variable] = value
    return found


def offset_of(variable: Variable, speech: Speech) -> Fraction:
    """Where the unit that a quantity is shown in has its nought, in base units."""
    quantity = speech.vocabulary.quantities.get(variable.name)
    return quantity.unit.offset if quantity is not None and quantity.unit is not None else Fraction(0)


def _on_grids(variable: Variable, value: Fraction, speech: Speech) -> Iterator[Fraction]:
    """Values near one, from coarse to fine; itself where it is on a grid."""
    step, offset = step_of(variable, speech), offset_of(variable, speech)
    for grid, away in product(GRIDS, (0, 1, -1)):
        width = grid * step
        near = (round((value - offset) / width) + away) * width + offset
        if not (variable.never_negative and near < 0):
            yield near
