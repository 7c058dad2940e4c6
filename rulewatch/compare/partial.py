"""Formulas on cars of which some values are settled: what is left of them."""

from __future__ import annotations

from fractions import Fraction

from rulewatch.compare.formulas import (
    FALSE,
    TRUE,
    Alike,
    AllOf,
    AnyOf,
    Car,
    Compare,
    Either,
    Formula,
    Has,
    Is,
    Negation,
    Relation,
    Rounded,
    Sum,
    Term,
    Truth,
    Variable,
    against_nought,
    all_of,
    any_of,
    either,
    holds,
    multiple,
    negation,
    number,
    plus,
    size,
    times,
)


class Settled:
    """Values that are settled. What formulas share is worked out once."""

    def __init__(self, values: Car) -> None:
        """Take the values as they are on every car asked about."""
        self._values = values
        # By identity, with what it belongs to kept alive.
        self._done: dict[int, tuple[object, Formula | Term]] = {}

    def formula(self, of: Formula) -> Formula:
        """What a formula comes to."""
        match of:
            case Truth():
                return of
            case Has() | Is():
                return _truth(holds(of, self._values)) if of.variable in self._values else of
            case Alike():
                return self._alike(of)
            case Negation():
                return negation(self.formula(of.part))
        known = self._done.get(id(of))
        if known is None:
            known = self._done[id(of)] = (of, self._several(of))
        return known[1]  # type: ignore[return-value]

    def _several(self, of: Compare | AllOf | AnyOf) -> Formula:
        match of:
            case Compare():
                return against_nought(self._sum(of.term), of.relation)
            case AllOf():
                return all_of(map(self.formula, of.parts))
            case AnyOf():
                return any_of(map(self.formula, of.parts))

    def _alike(self, of: Alike) -> Formula:
        left, right = (self._values.get(one) for one in (of.left, of.right))
        if isinstance(left, str) and isinstance(right, str):
            return _truth(left == right)
        if isinstance(left, str):
            return Is(of.right, left)
        return Is(of.left, right) if isinstance(right, str) else of

    def term(self, of: Term) -> Term:
        """What a term comes to."""
        if isinstance(of, Variable):
            return number(size(of, self._values)) if of in self._values else of
        known = self._done.get(id(of))
        if known is None:
            known = self._done[id(of)] = (of, self._term(of))
        return known[1]  # type: ignore[return-value]

    def _term(self, of: Sum | Either | Rounded) -> Term:
        match of:
            case Sum():
                return self._sum(of)
            case Either():
                return either(self.formula(of.test), self.term(of.yes), self.term(of.no))
            case Rounded():
                return _rounded(self.term(of.term), of)

    def _sum(self, of: Sum) -> Sum:
        parts: list[tuple[Fraction, Term]] = []
        constant = of.plus
        for factor, part in of.parts:
            if isinstance(part, Variable) and part not in self._values:
                parts.append((factor, part))
            else:
                inner = times(factor, self.term(part))
                parts += inner.parts
                constant += inner.plus
        return Sum(tuple(parts), constant)


def choices(formula: Formula) -> Formula:
    """A formula in which each comparison of one quantity with a choice of plain numbers is told case by case."""
    match formula:
        case Negation():
            return negation(choices(formula.part))
        case AllOf():
            return all_of(map(choices, formula.parts))
        case AnyOf():
            return any_of(map(choices, formula.parts))
        case Compare():
            return _cases(formula.term, formula.relation)
    return formula


def _cases(term: Sum, relation: Relation) -> Formula:
    for place, (factor, part) in enumerate(term.parts):
        choice = _choice(part)
        if choice is not None:
            rest = Sum((*term.parts[:place], *term.parts[place + 1 :]), term.plus)
            test = choices(choice.test)
            yes, no = (_cases(plus(rest, times(factor, each)), relation) for each in (choice.yes, choice.no))
            return yes if yes == no else any_of((all_of((test, yes)), all_of((negation(test), no))))
    return against_nought(term, relation)


def _choice(term: Term) -> Either | None:
    """A term as a choice, where there is one in it: a choice that is rounded is a choice of what is rounded."""
    match term:
        case Either():
            return term
        case Rounded():
            inner = _choice(term.term)
            return None if inner is None else Either(inner.test, _rounded(inner.yes, term), _rounded(inner.no, term))
        case Sum():
            for place, (factor, part) in enumerate(term.parts):
                inner = _choice(part)
                if inner is not None:
                    rest = Sum((*term.parts[:place], *term.parts[place + 1 :]), term.plus)
                    return Either(inner.test, plus(rest, times(factor, inner.yes)), plus(rest, times(factor, inner.no)))
    return None


def _rounded(term: Term, rounding: Rounded) -> Term:
    if isinstance(term, Sum) and not term.parts:
        return number(multiple(term.plus, rounding) * rounding.step)
    return Rounded(term, rounding.step, rounding.up)


def _truth(value: bool) -> Truth:  # noqa: FBT001 - it is what the truth is made of
    return TRUE if value else FALSE
