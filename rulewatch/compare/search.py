"""The search for a car that shows a claim and meets everything else that its book asks.

Most of a book has nothing to do with a claim. So the solver gets the claim alone, and of the rest only what a car that it found would
break, until nothing is broken: what was left out holds by the values of a car that is legal anyway. The nearest car with
less to meet is the nearest with everything to meet, once it meets everything.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from rulewatch.compare.cells import cars_for
from rulewatch.compare.formulas import Car, Formula, Variable, holds, variables
from rulewatch.compare.nearest import Near, Reference, nearest, nearest_of
from rulewatch.compare.requirements import Requirement, by_variable
from rulewatch.compare.solver import Answer, Question, Solver
from rulewatch.compare.statements import Speech
from rulewatch.model.reading import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A car, or why there is none, and the requirements that had to be looked at for that."""

    near: Near | Answer
    needed: tuple[Requirement, ...]


class Search:
    """Searches among the cars that meet some requirements; `legal` is one of them, None where none is known."""

    def __init__(
        self,
        solver: Solver,
        speech: Speech,
        requirements: Sequence[Requirement],
        legal: Car | None,
        index: Mapping[Variable, Sequence[Requirement]] | None = None,
    ) -> None:
        """Look for cars; `index` gives the requirements, and perhaps others, that speak of each variable."""
        self._solver, self._speech = solver, speech
        self._requirements = {id(each): each for each in requirements}
        self._legal = legal
        self._index = by_variable(requirements) if index is None and legal is not None else index or {}

    def find(self, claim: Sequence[Formula], references: Sequence[Reference]) -> Found:
        """The car nearest to a reference on which a claim holds."""
        needed: dict[int, Requirement] = {}
        if self._legal is None:
            needed = dict(self._requirements)
        small = self._small(claim, references)
        if small is not None:
            return small
        some = self._some(claim, needed)
        if isinstance(some, Answer):
            return Found(near=some, needed=tuple(needed.values()))
        while True:
            formulas = [*claim, *(each.truth.yes for each in needed.values())]
            near = nearest(self._solver.question(formulas), formulas, self._speech, references)
            if isinstance(near, Answer):
                return Found(near=near, needed=tuple(needed.values()))
            known = next((one.known for one in references if one.name == near.reference), {})
            car = {**(self._legal or {}), **known, **near.car}
            broken = self._broken(car, needed)
            if not broken:
                return Found(near=replace(near, car=car), needed=tuple(needed.values()))
            needed |= broken

    def _small(self, claim: Sequence[Formula], references: Sequence[Reference]) -> Found | None:
        """What can be said by trying every car that matters to the claim; None where that is not enough."""
        about = variables(*claim)
        needed = self._requirements
        if self._legal is not None:
            needed = {key: each for key, each in self._about(about).items() if each.about <= about}
        known = [one.known for one in references]
        cars = cars_for([*claim, *(each.truth.yes for each in needed.values())], known, self._speech)
        if cars is None:
            return None
        if not cars:
            return Found(near=Answer.NONE, needed=tuple(needed.values()))
        about = about.union(*(each.about for each in needed.values()))
        if not all(_keeps_its_sheets(one, about) for one in references):
            return None
        near = nearest_of(cars, self._speech, references)
        known_values = next((one.known for one in references if one.name == near.reference), {})
        car = {**(self._legal or {}), **known_values, **near.car}
        return None if self._broken(car, needed) else Found(near=replace(near, car=car), needed=tuple(needed.values()))

    def is_possible(self, claim: Sequence[Formula]) -> bool | None:
        """Whether a claim holds on some car; None where the limit was reached."""
        needed = dict(self._requirements) if self._legal is None else {}
        some = self._some(claim, needed)
        return {Answer.NONE: False, Answer.UNDECIDED: None}[some] if isinstance(some, Answer) else True

    def _some(self, claim: Sequence[Formula], needed: dict[int, Requirement]) -> Car | Answer:
        """Some car on which a claim holds; `needed` grows by what had to be looked at."""
        question: Question = self._solver.question([*claim, *(each.truth.yes for each in needed.values())])
        while True:
            car = question.find()
            broken = {} if isinstance(car, Answer) else self._broken({**(self._legal or {}), **car}, needed)
            if not broken:
                return car
            needed |= broken
            question.add(each.truth.yes for each in broken.values())

    def _broken(self, car: Car, needed: Mapping[int, Requirement]) -> dict[int, Requirement]:
        """The requirements, besides those looked at, that a car breaks; only what is not as on the legal car can break any."""
        legal = self._legal or {}
        moved = [one for one, value in car.items() if legal.get(one) != value]
        return {key: each for key, each in self._about(moved).items() if key not in needed and not holds(each.truth.yes, car)}

    def _about(self, names: Iterable[Variable]) -> dict[int, Requirement]:
        """The requirements that speak of some variables, in the order of the book."""
        found = {id(each) for one in names for each in self._index.get(one, ())}
        return {key: each for key, each in self._requirements.items() if key in found}


def _keeps_its_sheets(reference: Reference, about: Iterable[Variable]) -> bool:
    """Whether a question leaves the sheets of a car's model out, which cannot be altered."""
    return not any(one.sheet is not Sheet.CAR and one in reference.known for one in about)
