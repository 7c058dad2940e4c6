"""The room around one car: how far one quantity can go while all others follow.

From a car on which formulas hold, the linear comparisons that hold there are taken, and every other variable is eliminated
from them (Loos and Weispfenning's substitution, guided by the car). What is left is a range of the one variable, all of it
possible. Asking for a car beyond it and repeating ends at the exact bound, without an optimiser.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.compare.formulas import (
    AllOf,
    AnyOf,
    Car,
    Compare,
    Either,
    Formula,
    Negation,
    Relation,
    Rounded,
    Sum,
    Term,
    Variable,
    compare,
    holds,
    multiple,
    number,
    size,
)
from rulewatch.compare.solver import Answer, Question

MOST_ROUNDS = 60
HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class _Line:
    """A sum of variables, each with its factor, and a number; as a comparison: with nought."""

    factors: dict[Variable, Fraction]
    plus: Fraction

    def times(self, factor: Fraction) -> _Line:
        return _Line({name: factor * share for name, share in self.factors.items()}, factor * self.plus)

    def add(self, other: _Line) -> _Line:
        factors = dict(self.factors)
        for name, share in other.factors.items():
            factors[name] = factors.get(name, Fraction(0)) + share
        return _Line({name: share for name, share in factors.items() if share}, self.plus + other.plus)

    def at(self, car: Car) -> Fraction:
        return sum((share * size(name, car) for name, share in self.factors.items()), self.plus)


@dataclass(frozen=True, slots=True)
class _Atom:
    """A line that is at most nought, under it, or equal to it."""

    line: _Line
    relation: Relation


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A range of one variable in base units; None where it has no end."""

    low: Fraction | None = None
    high: Fraction | None = None
    low_strict: bool = False
    high_strict: bool = False


class _Region:
    """The comparisons around a car that make formulas true with its parts and words as they are."""

    def __init__(self, formulas: Iterable[Formula], car: Car) -> None:
        self._car = car
        self.atoms: list[_Atom] = []
        for formula in formulas:
            self._take(formula, positive=True)
        for name in sorted({name for atom in self.atoms for name in atom.line.factors}, key=lambda one: one.key):
            if name.never_negative:
                self._keep(_Line({name: Fraction(-1)}, Fraction(0)), Relation.AT_MOST)

    def _take(self, formula: Formula, *, positive: bool) -> None:
        match formula:
            case Negation():
                self._take(formula.part, positive=not positive)
            case AllOf() | AnyOf():
                if isinstance(formula, AllOf) is positive:
                    for part in formula.parts:
                        self._take(part, positive=positive)
                else:
                    # One part is reason enough.
                    self._take(next(part for part in formula.parts if holds(part, self._car) is positive), positive=positive)
            case Compare():
                self._compare(formula, positive=positive)

    def _compare(self, formula: Compare, *, positive: bool) -> None:
        line = self._line(formula.term)
        if positive:
            self._keep(line, formula.relation)
        elif formula.relation is Relation.EQUAL:
            self._keep(line if line.at(self._car) < 0 else line.times(Fraction(-1)), Relation.UNDER)
        else:
            opposite = Relation.UNDER if formula.relation is Relation.AT_MOST else Relation.AT_MOST
            self._keep(line.times(Fraction(-1)), opposite)

    def _keep(self, line: _Line, relation: Relation) -> None:
        whole = all(name.whole and share.denominator == 1 for name, share in line.factors.items())
        if whole and line.factors and relation is Relation.UNDER and line.plus.denominator == 1:
            line, relation = line.add(_Line({}, Fraction(1))), Relation.AT_MOST  # nothing lies between
        self.atoms.append(_Atom(line, relation))

    def _line(self, term: Term) -> _Line:
        match term:
            case Variable():
                return _Line({term: Fraction(1)}, Fraction(0))
            case Sum():
                total = _Line({}, term.plus)
                for factor, part in term.parts:
                    total = total.add(self._line(part).times(factor))
                return total
            case Either():
                yes = holds(term.test, self._car)
                self._take(term.test, positive=yes)
                return self._line(term.yes if yes else term.no)
            case Rounded():
                return self._rounded(term)

    def _rounded(self, term: Rounded) -> _Line:
        inner = self._line(term.term)
        steps = multiple(inner.at(self._car), term)
        up, down = (inner.add(_Line({}, -(steps + way) * term.step)) for way in (HALF, -HALF))
        if not term.up and 0 in {up.at(self._car), down.at(self._car)}:
            self._keep(up if up.at(self._car) == 0 else down, Relation.EQUAL)
        else:
            self._keep(up, Relation.UNDER)
            self._keep(down.times(Fraction(-1)), Relation.AT_MOST if term.up else Relation.UNDER)
        return _Line({}, steps * term.step)


def around(formulas: Iterable[Formula], car: Car, variable: Variable) -> Interval:
    """A range of a variable, with the car's own value in it, that it can take while the formulas hold."""
    atoms = _Region(formulas, car).atoms
    others = {name for atom in atoms for name in atom.line.factors} - {variable}
    for name in sorted(others, key=lambda one: one.key):
        atoms = _without(name, atoms, car)
    return _interval(atoms, variable)


def _without(name: Variable, atoms: Sequence[_Atom], car: Car) -> list[_Atom]:
    """Comparisons without one variable that imply that some value of it meets those with it."""
    rest = [atom for atom in atoms if name not in atom.line.factors]
    touched = [atom for atom in atoms if name in atom.line.factors]
    equal = next((atom for atom in touched if atom.relation is Relation.EQUAL), None)
    if equal is not None:
        return rest + [_substituted(atom, name, equal.line) for atom in touched if atom is not equal]
    lower = [atom for atom in touched if atom.line.factors[name] < 0]
    upper = [atom for atom in touched if atom.line.factors[name] > 0]
    if not lower or not upper:
        return rest
    # `name` at the greatest of its lower bounds, or just above it.
    bounds = [(_bound(atom, name), atom.relation is Relation.UNDER) for atom in lower]
    best, strict = max(bounds, key=lambda one: (one[0].at(car), one[1]))
    for bound, over in bounds:
        if bound is not best:
            relation = Relation.UNDER if over and not strict else Relation.AT_MOST
            rest.append(_Atom(bound.add(best.times(Fraction(-1))), relation))
    for atom in upper:
        relation = Relation.UNDER if strict or atom.relation is Relation.UNDER else Relation.AT_MOST
        rest.append(_Atom(best.add(_bound(atom, name).times(Fraction(-1))), relation))
    return rest


def _bound(atom: _Atom, name: Variable) -> _Line:
    """What a variable is compared with in a comparison."""
    share = atom.line.factors[name]
    others = {each: factor for each, factor in atom.line.factors.items() if each != name}
    return _Line(others, atom.line.plus).times(-1 / share)


def _substituted(atom: _Atom, name: Variable, equal: _Line) -> _Atom:
    share = atom.line.factors[name] / equal.factors[name]
    return _Atom(atom.line.add(equal.times(-share)), atom.relation)


def _interval(atoms: Iterable[_Atom], variable: Variable) -> Interval:
    low: tuple[Fraction, bool] | None = None
    high: tuple[Fraction, bool] | None = None
    for atom in atoms:
        share = atom.line.factors.get(variable)
        if share is None:
            continue
        end = (-atom.line.plus / share, atom.relation is Relation.UNDER)
        if atom.relation is Relation.EQUAL or share < 0:
            low = end if low is None else max(low, end)
        if atom.relation is Relation.EQUAL or share > 0:
            high = end if high is None else min(high, end, key=lambda one: (one[0], not one[1]))
    return Interval(
        low=low[0] if low else None,
        low_strict=bool(low and low[1]),
        high=high[0] if high else None,
        high_strict=bool(high and high[1]),
    )


def bounds(question: Question, formulas: Sequence[Formula], variable: Variable) -> Interval | Answer:
    """The least and the greatest that a variable can be, exactly; `NONE` where no car meets the formulas of the question."""
    car = question.find()
    if isinstance(car, Answer):
        return car
    first = around(formulas, car, variable)
    low = lowest(question, formulas, variable, first)
    high = _highest(question, formulas, variable, first)
    if isinstance(low, Answer) or isinstance(high, Answer):
        return Answer.UNDECIDED
    return Interval(low=low.low, low_strict=low.low_strict, high=high.high, high_strict=high.high_strict)


def lowest(question: Question, formulas: Sequence[Formula], variable: Variable, found: Interval) -> Interval | Answer:
    """The interval at the lower end of what a variable can be, from one that is known to be possible."""
    for _ in range(MOST_ROUNDS):
        if found.low is None:
            return found
        under = compare(variable, number(found.low), Relation.AT_MOST if found.low_strict else Relation.UNDER)
        car = question.find(under)
        if isinstance(car, Answer):
            return found if car is Answer.NONE else car
        found = around(formulas, car, variable)
    return Answer.UNDECIDED


def _highest(question: Question, formulas: Sequence[Formula], variable: Variable, found: Interval) -> Interval | Answer:
    for _ in range(MOST_ROUNDS):
        if found.high is None:
            return found
        over = compare(number(found.high), variable, Relation.AT_MOST if found.high_strict else Relation.UNDER)
        car = question.find(over)
        if isinstance(car, Answer):
            return found if car is Answer.NONE else car
        found = around(formulas, car, variable)
    return Answer.UNDECIDED
