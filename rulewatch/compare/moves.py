"""The nearest car to one of the crew's, found by moving a few of its values: exact, and without a solver.

First what has to move whatever else does is put as near as its own limits let it be. Then the quantities that a change speaks of are
moved, alone and together, with all others where they are. Which cars matter to so few quantities is told by `cells.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from rulewatch.compare.cells import cars_for
from rulewatch.compare.entailment import follows
from rulewatch.compare.formulas import FALSE, TRUE, Car, Formula, Sort, Value, Variable, holds, negation, variables
from rulewatch.compare.nearest import GRIDS, Near, Reference, measured, offset_of
from rulewatch.compare.partial import Settled, choices
from rulewatch.compare.requirements import Requirement
from rulewatch.compare.statements import Speech, step_of
from rulewatch.model.reading import Sheet
from rulewatch.model.vocabulary import within

# So many quantities are moved together where a change speaks of few; with so few to choose from, all others are tried beside them.
MOST_TOGETHER, FEW = 3, 10
MOST_PARTS = 10  # parts of a step that a value is put nearer by
# A bound is a formula and what it speaks of.
Bound = tuple[Formula, frozenset[Variable]]
Rank = tuple[int, Fraction]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """A claim about some car, the requirements that the car meets besides, and what the change itself speaks of."""

    claim: tuple[Formula, ...]
    requirements: tuple[Requirement, ...]
    own: tuple[Variable, ...]

    def bounds(self) -> list[Bound]:
        """All that the car has to meet, the claim first."""
        asked = ((each.truth.yes, each.about) for each in self.requirements)
        return [*((each, variables(each)) for each in self.claim), *asked]


class Moves:
    """Moves values of cars; what a car does not state is as on a car that is `legal` anyway. What was worked out is kept."""

    def __init__(self, speech: Speech, legal: Car) -> None:
        """Take a car that gives the values which others lack."""
        self.speech, self._legal = speech, legal
        # By the identity of formulas, with these kept alive.
        self._kept: dict[int, Formula] = {}
        self._met: dict[tuple[object, ...], bool] = {}
        self._put: dict[tuple[object, ...], Value | None] = {}

    def nearest(self, sought: Sought, reference: Reference, *, wide: bool) -> Near | int:
        """The nearest car to a reference; or, where it was not found, how many quantities at least would differ.

        Where the search is `wide`, another quantity is moved too, besides those that the change speaks of.
        """
        bounds = sought.bounds()
        names = frozenset[Variable]().union(*(about for _, about in bounds))
        known = {one: value for one, value in reference.known.items() if one in names}
        start = {**{one: self._legal[one] for one in names if one in self._legal}, **known}
        forced = self._forced(bounds, start, known)
        if forced is None:
            return 0
        around = _Around(self, sought, bounds, {**start, **forced}, reference=reference, forced=frozenset(forced))
        return around.nearest(names, wide=wide)

    def met(self, bound: Bound, car: Car) -> bool:
        """Whether a bound holds on a car; False where the car lacks what it speaks of."""
        formula, about = bound
        key = (id(formula), *map(car.get, about))
        if key not in self._met:
            self._kept[id(formula)] = formula
            self._met[key] = all(one in car for one in about) and holds(formula, car)
        return self._met[key]

    def _forced(self, bounds: Sequence[Bound], start: Car, known: Car) -> dict[Variable, Value] | None:
        """What cannot stay as it is known to be, put as near as its own limits let it be; None where they do not."""
        single: dict[Variable, list[Formula]] = {}
        broken: dict[Variable, None] = {}
        for bound in bounds:
            only = _only(bound[1])
            if only is not None and only in known and only.sheet is Sheet.CAR:
                single.setdefault(only, []).append(bound[0])
                if not self.met(bound, start):
                    broken[only] = None
        forced: dict[Variable, Value] = {}
        for one in broken:
            key = (one, known[one], *map(id, single[one]))
            if key not in self._put:
                self._kept |= {id(each): each for each in single[one]}
                self._put[key] = self._near_by(one, known[one], single[one], start)
            value = self._put[key]
            if value is None:
                return None
            forced[one] = value
        return forced

    def _near_by(self, one: Variable, value: Value, formulas: Sequence[Formula], start: Car) -> Value | None:
        settled = Settled({each: value for each, value in start.items() if each != one})
        cars = cars_for([choices(settled.formula(each)) for each in formulas], (), self.speech) or ()
        found = [car[one] for car in cars]
        return min(found, key=lambda each: far(one, each, value, self.speech), default=None)


class _Around:
    """The cars around a reference, of which some values had to be moved already."""

    def __init__(
        self,
        moves: Moves,
        sought: Sought,
        bounds: Sequence[Bound],
        start: Car,
        *,
        reference: Reference,
        forced: frozenset[Variable],
    ) -> None:
        self._moves, self._sought, self._bounds = moves, sought, bounds
        self._start, self._reference, self._forced = start, reference, forced
        self._broken = [bound for bound in bounds if not moves.met(bound, start)]
        self._open = frozenset[Variable]().union(*(about for _, about in self._broken)) - start.keys()

    def nearest(self, names: Iterable[Variable], *, wide: bool) -> Near | int:
        """The nearest of those cars that are looked at."""
        if not self._broken:
            return self._near(self._start)
        movable = [one for one in sorted(names, key=lambda one: one.key) if self._may_move(one)]
        few, best = len(movable) <= FEW, None
        for chosen in self._sets(movable, wide=wide or few):
            if best is not None and self._added(chosen) >= best[0][0] and not (few and len(chosen) == 1):
                continue
            found = self._moved(chosen)
            if found is not None and (best is None or found[0] < best[0]):
                best = found
        return len(self._forced) if best is None else self._near(best[1])

    def _near(self, car: Car) -> Near:
        return measured(car, self._reference, self._moves.speech)

    def _may_move(self, one: Variable) -> bool:
        return one.sheet is Sheet.CAR or one not in self._reference.known

    def _added(self, chosen: Iterable[Variable]) -> int:
        """How many quantities differ besides those that have to."""
        return sum(one in self._reference.known and one not in self._forced for one in chosen)

    def _needs_own(self) -> bool:
        """Whether the claim cannot hold with all that the change itself speaks of where it is."""
        if len(self._sought.claim) != 2 or not all(one in self._start for one in self._sought.own):  # noqa: PLR2004 - two sides
            return False
        settled = Settled({one: self._start[one] for one in self._sought.own})
        one, other = map(settled.formula, self._sought.claim)
        return follows(negation(other), one)

    def _sets(self, movable: Sequence[Variable], *, wide: bool) -> Iterator[tuple[Variable, ...]]:
        """Quantities to move together, those first that the change speaks of."""
        own = [one for one in movable if one in self._sought.own]
        related = self._related(own) if wide else frozenset[Variable]()
        others = [one for one in movable if one in related and one not in self._sought.own]
        if self._open:
            yield ()
        yield from ((one,) for one in own)
        if others and not self._needs_own():
            yield from ((one,) for one in others)
        # Of many quantities there are thousands of sets, each of which costs as much as a question to the solver.
        for count in range(2, MOST_TOGETHER + 1) if len(own) <= FEW else ():
            yield from combinations(own, count)
        yield from ((one, other) for one in own for other in others)

    def _related(self, own: Iterable[Variable]) -> frozenset[Variable]:
        """What some bound speaks of together with what a change speaks of, or with what is broken; to move the rest helps nothing."""
        moved = frozenset(own).union(*(about for _, about in self._broken))
        return moved.union(*(about for _, about in self._bounds if not about.isdisjoint(moved)))

    def _moved(self, chosen: Sequence[Variable]) -> tuple[Rank, Car] | None:
        """The nearest car with only some values moved."""
        moving = self._open.union(chosen)
        if any(about.isdisjoint(moving) for _, about in self._broken):
            return None
        settled = Settled({one: value for one, value in self._start.items() if one not in moving})
        left: list[Formula] = []
        first = {id(formula) for formula, _ in self._broken}
        for formula, about in sorted(self._bounds, key=lambda bound: id(bound[0]) not in first):
            if not about.isdisjoint(moving):
                found = settled.formula(formula)
                if found == FALSE:
                    return None
                if found != TRUE:
                    left.append(choices(found))
        cars = cars_for(left, [self._reference.known, self._start], self._moves.speech) or ()
        ranked = [(self._rank(car), place) for place, car in enumerate(cars)]
        if not ranked:
            return None
        _, place = min(ranked)
        car = {**self._start, **cars[place]}
        if not self._open <= car.keys():
            return None  # what is left open by all formulas is for the solver to fill in
        for one in cars[place]:
            car[one] = self._nearer(one, car)
        return self._rank({one: car[one] for one in cars[place]}), car

    def _nearer(self, one: Variable, car: Car) -> Value:
        """A value that is within a step of one that is not allowed, put nearer by the coarsest part of a step that lets it be."""
        value, known = car[one], self._reference.known.get(one)
        step = step_of(one, self._moves.speech)
        if one.whole or not isinstance(value, Fraction) or not isinstance(known, Fraction):
            return value
        if (value - offset_of(one, self._moves.speech)) % step == 0:
            return value
        bounds = [formula for formula, about in self._bounds if one in about]
        for grid in GRIDS:
            way = grid * step if value < known else -grid * step
            near = value
            for _ in range(MOST_PARTS):
                if abs(near + way - known) >= abs(near - known):
                    break
                if not all(holds(formula, {**car, one: near + way}) for formula in bounds):
                    break
                near += way
            if near != value:
                return near
        return value

    def _rank(self, car: Mapping[Variable, Value]) -> Rank:
        """How far a car is from the reference in what was moved."""
        known = self._reference.known
        if any(one.sort is Sort.PRESENCE for one in car):
            near = self._near({**self._start, **car})
            return (len(near.differs) - len(self._forced), near.distance)
        moved = {one: value for one, value in car.items() if one in known}
        count = sum(value != known[one] and one not in self._forced for one, value in moved.items())
        return (count, sum((far(one, value, known[one], self._moves.speech) for one, value in moved.items()), Fraction(0)))


def far(variable: Variable, value: Value, known: Value, speech: Speech) -> Fraction:
    """How many steps two values are apart; nought for what has no steps."""
    if not isinstance(value, Fraction) or not isinstance(known, Fraction):
        return Fraction(0)
    return abs(value - known) / step_of(variable, speech)


def _only(about: Iterable[Variable]) -> Variable | None:
    """The one quantity that is spoken of, besides whether it is there; None where there are several."""
    names = list(about)
    found = [one for one in names if one.sort is not Sort.PRESENCE]
    if len(found) == 1 and all(within(found[0].name, one.name) for one in names):
        return found[0]
    return names[0] if len(names) == 1 else None
