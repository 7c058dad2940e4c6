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
from rulewatch.compare.moves import Moves, Sought
from rulewatch.compare.nearest import Near, Reference, nearest, nearest_of, rank
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
        *,
        moves: Moves | None = None,
    ) -> None:
        """Look for cars; `index` gives the requirements, and perhaps others, that speak of each variable."""
        self._solver, self._speech, self._moves = solver, speech, moves
        self._requirements = {id(each): each for each in requirements}
        self._legal = legal
        self._index = by_variable(requirements) if index is None and legal is not None else index or {}

    def find(self, claim: Sequence[Formula], references: Sequence[Reference], own: Sequence[Variable] = ()) -> Found:
        """The car nearest to a reference on which a claim holds; `own` is what the change itself speaks of."""
        needed: dict[int, Requirement] = {}
        if self._legal is None:
            needed = dict(self._requirements)
        small = self._small(claim, references)
        if small is not None:
            return small
        best, left = self._by_moves(claim, references[:1], own, wide=False)
        some = self._some(claim, needed) if best is None else None
        if isinstance(some, Answer):
            return Found(near=some, needed=tuple(needed.values()))
        best, left = self._nearest_by_moves(claim, references[1:], own, best, left)
        if best is not None and not left:
            return Found(near=self._whole(best, references), needed=())
        return self._by_solver(claim, references, needed, best, left)

    def _by_solver(
        self,
        claim: Sequence[Formula],
        references: Sequence[Reference],
        needed: dict[int, Requirement],
        best: Near | None,
        left: Sequence[Reference],
    ) -> Found:
        """The nearest car, as `best` or nearer, to one of the references that are left; `needed` grows by what is looked at."""
        while True:
            formulas = [*claim, *(each.truth.yes for each in needed.values())]
            near = nearest(self._solver.question(formulas), formulas, self._speech, left, best)
            if near is best and best is not None:
                return Found(near=self._whole(best, references), needed=())
            if isinstance(near, Answer):
                return Found(near=near, needed=tuple(needed.values()))
            near = self._whole(near, references)
            broken = self._broken(near.car, needed)
            if not broken:
                return Found(near=near, needed=tuple(needed.values()))
            needed |= broken

    def _nearest_by_moves(
        self,
        claim: Sequence[Formula],
        references: Sequence[Reference],
        own: Sequence[Variable],
        best: Near | None,
        left: Sequence[Reference],
    ) -> tuple[Near | None, Sequence[Reference]]:
        """The best car known or a nearer one: to other references, then by a wider search to those that are left by then."""
        for wide in (False, True):
            those, left = (left, ()) if wide else (references, left)
            if those:
                other, more = self._by_moves(claim, those, own, wide=wide)
                best = min(filter(None, (best, other)), key=rank, default=None)
                left = [*left, *more]
        return best, left

    def _by_moves(
        self, claim: Sequence[Formula], references: Sequence[Reference], own: Sequence[Variable], *, wide: bool
    ) -> tuple[Near | None, Sequence[Reference]]:
        """The nearest car that is found by moving few values, and the references to which a nearer one may be left to find."""
        if self._moves is None or not (own and references):
            return None, references
        sought = Sought(claim=tuple(claim), requirements=tuple(self._requirements.values()), own=tuple(own))
        found = [(one, self._moves.nearest(sought, one, wide=wide)) for one in references]
        best = min((near for _, near in found if isinstance(near, Near)), key=rank, default=None)
        left = [one for one, near in found if isinstance(near, int) and (best is None or near < len(best.differs))]
        return best, left

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
        near = self._whole(nearest_of(cars, self._speech, references), references)
        return None if self._broken(near.car, needed) else Found(near=near, needed=tuple(needed.values()))

    def _whole(self, near: Near, references: Sequence[Reference]) -> Near:
        """A car found with all that it has besides: what is known of the one that it is near to, else as on the legal car."""
        known = next((one.known for one in references if one.name == near.reference), {})
        return replace(near, car={**(self._legal or {}), **known, **near.car})

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
