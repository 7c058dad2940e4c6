"""Small questions without a solver: every car that matters, tried one by one.

Where each number is compared with plain numbers only, a formula is the same everywhere between two of them. So the numbers
themselves, and something between and beyond them, stand for all values.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise, product

from rulewatch.compare.formulas import (
    AllOf,
    AnyOf,
    Car,
    Compare,
    Formula,
    Has,
    Is,
    Negation,
    Sort,
    Truth,
    Value,
    Variable,
    holds,
    variables,
)
from rulewatch.compare.statements import Speech, step_of

MOST_CARS = 400


def cars_for(formulas: Sequence[Formula], known: Sequence[Mapping[Variable, Value]], speech: Speech) -> list[Car] | None:
    """Cars on which all formulas hold, one at least for each way in which they can; None where the question is not small.

    Values that are `known` of some cars are tried too, and those a step beyond each number.
    """
    edges: dict[Variable, set[Fraction]] = {}
    if not all(_collect(formula, edges) for formula in formulas):
        return None
    values: list[list[tuple[Variable, Value]]] = []
    count = 1
    for variable in sorted(variables(*formulas), key=lambda one: one.key):
        stated = [one[variable] for one in known if variable in one]
        tried = _values(variable, edges.get(variable, set()), stated, speech)
        count *= len(tried)
        if not tried or count > MOST_CARS:
            return None
        values.append([(variable, value) for value in tried])
    cars = (dict(each) for each in product(*values))
    return [car for car in cars if all(holds(formula, car) for formula in formulas)]


def _collect(formula: Formula, edges: dict[Variable, set[Fraction]]) -> bool:
    """Note the numbers that each variable is compared with; False where it is compared with something else."""
    match formula:
        case Truth() | Has() | Is():
            return True
        case Negation():
            return _collect(formula.part, edges)
        case AllOf() | AnyOf():
            return all(_collect(part, edges) for part in formula.parts)
        case Compare():
            factor, variable = formula.term.parts[0]
            if len(formula.term.parts) == 1 and isinstance(variable, Variable):
                edges.setdefault(variable, set()).add(-formula.term.plus / factor)
                return True
    return False


def _values(variable: Variable, edges: Iterable[Fraction], stated: Sequence[Value], speech: Speech) -> list[Value]:
    """The values to try, none where too little is known of what there is."""
    if variable.sort is Sort.PRESENCE:
        return [True, False]
    if variable.sort is Sort.WORD:
        return list(variable.choices)
    if variable.sort is Sort.DAY:
        return []
    step, numbers = step_of(variable, speech), sorted(edges)
    between = [(one + other) / 2 for one, other in pairwise(numbers)]
    beside = [each + way * step for each in numbers for way in (1, -1)]
    ends = [numbers[0] - step, numbers[-1] + step] if numbers else [Fraction(0)]
    known = [value for value in stated if isinstance(value, Fraction)]
    low = [Fraction(0)] if variable.never_negative else []
    tried = dict.fromkeys((*known, *numbers, *beside, *between, *ends, *low))
    return [value for value in tried if value >= 0 or not variable.never_negative]
