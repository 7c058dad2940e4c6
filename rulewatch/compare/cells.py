"""Small questions without a solver: every car that matters, tried one by one.

Where each number is compared with plain numbers only, a formula is the same everywhere between two of them. So the numbers
themselves, and something between and beyond them, stand for all values. Quantities that are compared with each other share their
numbers, and have as many values between two of them as there are quantities, so that they can stand in any order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise, product
from math import floor

from rulewatch.compare.formulas import (
    FALSE,
    TRUE,
    AllOf,
    AnyOf,
    Car,
    Compare,
    Formula,
    Has,
    Is,
    Negation,
    Sort,
    Sum,
    Truth,
    Value,
    Variable,
    holds,
    negation,
    variables,
)
from rulewatch.compare.statements import Speech, step_of

# So many cars, and comparisons on all of them together, cost no more than asking the solver.
MOST_CARS, MOST_LOOKS = 400, 4_000


def cars_for(formulas: Sequence[Formula], known: Sequence[Mapping[Variable, Value]], speech: Speech) -> list[Car] | None:
    """Cars on which all formulas hold, one at least for each way in which they can; None where the question is not small.

    Values that are `known` of some cars are tried too, and those a step beyond each number.
    """
    edges, parts = _Edges(), list(_parts(formulas))
    if FALSE in parts:
        return []
    about = [(part, variables(part)) for part in parts]
    several = [part for part, names in about if len(names) > 1]
    understood = all(map(edges.collect, several))
    looks = edges.compared
    if not understood or not all(edges.collect(part) for part, names in about if len(names) == 1):
        return None
    values: list[list[tuple[Variable, Value]]] = []
    count = 1
    for variable in sorted(frozenset[Variable]().union(*(names for _, names in about)), key=lambda one: one.key):
        stated = [one[variable] for one in known if variable in one]
        numbers, alike = edges.of(variable)
        tried = _values(variable, numbers, alike, stated, speech)
        own = [part for part, names in about if variable in names and len(names) == 1]
        if not tried or len(tried) * len(own) > MOST_LOOKS:
            return None
        # What a single quantity has to meet is looked at before there are cars to look at.
        values.append([(variable, value) for value in tried if all(holds(part, {variable: value}) for part in own)])
        count *= len(values[-1])
        if count > MOST_CARS or count * looks > MOST_LOOKS:
            return None
    cars = (dict(each) for each in product(*values))
    return [car for car in cars if all(holds(part, car) for part in several)]


def _parts(formulas: Iterable[Formula]) -> Iterator[Formula]:
    """The parts that all have to hold."""
    for formula in formulas:
        if isinstance(formula, AllOf):
            yield from _parts(formula.parts)
        elif isinstance(formula, Negation) and isinstance(formula.part, AnyOf):
            yield from _parts(map(negation, formula.part.parts))
        elif formula != TRUE:
            yield formula


class _Edges:
    """The numbers that each variable is compared with, itself or by way of another that it is compared with."""

    def __init__(self) -> None:
        self._groups: dict[Variable, tuple[set[Variable], set[Fraction]]] = {}
        self.compared = 0

    def of(self, variable: Variable) -> tuple[set[Fraction], int]:
        """The numbers, and how many variables share them."""
        group, numbers = self._group(variable)
        return numbers, len(group)

    def _group(self, variable: Variable) -> tuple[set[Variable], set[Fraction]]:
        return self._groups.setdefault(variable, ({variable}, set()))

    def collect(self, formula: Formula) -> bool:
        """Note what a formula compares; False where that is something else."""
        match formula:
            case Truth() | Has() | Is():
                return True
            case Negation():
                return self.collect(formula.part)
            case AllOf() | AnyOf():
                return all(map(self.collect, formula.parts))
            case Compare():
                return self._compare(formula.term)
        return False

    def _compare(self, term: Sum) -> bool:
        self.compared += 1
        (factor, variable), *others = term.parts
        if not isinstance(variable, Variable):
            return False
        if not others:
            self._group(variable)[1].add(-term.plus / factor)
            return True
        ((share, other), *more) = others
        if more or term.plus or share != -factor or not isinstance(other, Variable):
            return False
        if variable.whole or other.whole:
            return False
        self._join(self._group(variable), self._group(other))
        return True

    def _join(self, one: tuple[set[Variable], set[Fraction]], other: tuple[set[Variable], set[Fraction]]) -> None:
        joined = (one[0] | other[0], one[1] | other[1])
        self._groups.update(dict.fromkeys(joined[0], joined))


def _values(variable: Variable, edges: Iterable[Fraction], alike: int, stated: Sequence[Value], speech: Speech) -> list[Value]:
    """The values to try, none where too little is known of what there is; `alike` variables may have to stand in order."""
    if variable.sort is Sort.PRESENCE:
        return [True, False]
    if variable.sort is Sort.WORD:
        return list(variable.choices)
    if variable.sort is Sort.DAY:
        return [value for value in _whole_values(edges, stated) if value > 0]
    if variable.whole:
        found = _whole_values(edges, stated)
        return [value for value in found if value >= 0 or not variable.never_negative]
    step, numbers = step_of(variable, speech), sorted(edges)
    parts = [Fraction(part, alike + 1) for part in range(1, alike + 1)]
    between = [one + part * (other - one) for one, other in pairwise(numbers) for part in parts]
    beside = [each + way * step for each in numbers for way in (1, -1)]
    beyond = [way * step * far for far in range(1, alike + 1) for way in (1, -1)]
    ends = [numbers[-1 if far > 0 else 0] + far for far in beyond] if numbers else [Fraction(0), *beyond[: 2 * (alike - 1)]]
    if variable.never_negative:
        # Something between nought and the least number, and nought itself.
        ends += [numbers[0] * part for part in parts] if numbers and alike > 1 else []
        ends.append(Fraction(0))
    known = [value for value in stated if isinstance(value, Fraction)]
    tried = dict.fromkeys((*known, *numbers, *beside, *between, *ends))
    return [value for value in tried if value >= 0 or not variable.never_negative]


def _whole_values(edges: Iterable[Fraction], stated: Sequence[Value]) -> list[Fraction]:
    """What may be counted: the numbers on and beside each edge."""
    known = [value for value in stated if isinstance(value, Fraction) and value.denominator == 1]
    around = [Fraction(floor(edge) + beside) for edge in sorted(edges) for beside in (0, 1, -1, 2)]
    return list(dict.fromkeys((*known, *around, Fraction(0))))
