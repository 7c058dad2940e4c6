"""Whether one formula follows from another as they stand: part by part, and of comparisons by what their terms differ in.

A book and itself after one change share most of their parts, so that this tells at next to no cost which way a limit, a step or an
adder moved. A yes is certain; a no means that it was not seen, and asks for more.
"""

from __future__ import annotations

from fractions import Fraction

from rulewatch.compare.formulas import (
    AllOf,
    AnyOf,
    Compare,
    Either,
    Formula,
    Negation,
    Relation,
    Rounded,
    Sum,
    Term,
    Truth,
    Variable,
    negation,
    times,
)


def follows(then: Formula, given: Formula) -> bool:  # noqa: PLR0911 - one for each form
    """Whether `then` surely holds on every car on which `given` does."""
    if then is given or (isinstance(then, Truth) and then.value) or (isinstance(given, Truth) and not given.value):
        return True
    if isinstance(given, AnyOf):
        known = set(map(id, then.parts)) if isinstance(then, AnyOf) else set()
        return all(id(part) in known or follows(then, part) for part in given.parts)
    if isinstance(then, AllOf):
        known = set(map(id, given.parts)) if isinstance(given, AllOf) else set()
        return all(id(part) in known or follows(part, given) for part in then.parts)
    if isinstance(then, AnyOf):
        return any(follows(part, given) for part in then.parts) or (
            isinstance(given, AllOf) and any(follows(then, part) for part in given.parts)
        )
    if isinstance(given, AllOf):
        return any(follows(then, part) for part in given.parts)
    if _is_several(then) or _is_several(given):
        return follows(negation(given), negation(then))
    return _one_follows(then, given)


def _is_several(formula: Formula) -> bool:
    """Whether a formula denies several parts together."""
    return isinstance(formula, Negation) and isinstance(formula.part, AllOf | AnyOf)


def _one_follows(then: Formula, given: Formula) -> bool:
    one, other = _comparison(then), _comparison(given)
    if one is None or other is None or Relation.EQUAL in {one.relation, other.relation}:
        return then == given
    grown = growth(one.term, other.term)
    strict = one.relation is Relation.UNDER and other.relation is Relation.AT_MOST
    return grown is not None and (grown > 0 or (grown == 0 and not strict))


def _comparison(formula: Formula) -> Compare | None:
    """A formula as a comparison, what is not at most nought as what is over it."""
    if isinstance(formula, Compare):
        return formula
    inner = formula.part if isinstance(formula, Negation) else None
    if not isinstance(inner, Compare) or inner.relation is Relation.EQUAL:
        return None
    relation = Relation.UNDER if inner.relation is Relation.AT_MOST else Relation.AT_MOST
    return Compare(times(Fraction(-1), inner.term), relation)


# --- Terms ------------------------------------------------------------------------------------------------------------


def growth(before: Term, after: Term) -> Fraction | None:  # noqa: PLR0911 - one for each form
    """What `after` is surely greater by than `before`, on every car (less than nought: smaller by); None where that is not seen."""
    if before is after or before == after:
        return Fraction(0)
    match before, after:
        case (Either(), Either()) if before.test == after.test:
            return _least((growth(before.yes, after.yes), growth(before.no, after.no)))
        case (Rounded(), Rounded()) if (before.step, before.up) == (after.step, after.up):
            return _in_steps(growth(before.term, after.term), before)
        case (Either(), _):
            return _least((growth(before.yes, after), growth(before.no, after)))
        case (_, Either()):
            return _least((growth(before, after.yes), growth(before, after.no)))
    if not isinstance(before, Sum) and not isinstance(after, Sum):
        return None
    return _sum_growth(_as_sum(before), _as_sum(after))


def _sum_growth(before: Sum, after: Sum) -> Fraction | None:
    if _is_plain(before) and _is_plain(after) and before.parts[0][1] != after.parts[0][1]:
        return None  # of two quantities, as most that are compared are
    left = list(before.parts)
    right: list[tuple[Fraction, Term]] = []
    for part in after.parts:
        if part in left:
            left.remove(part)
        else:
            right.append(part)
    grown = after.plus - before.plus
    for factor, term in right:
        like = next((each for each in left if _alike(each, (factor, term))), None)
        if like is not None:
            left.remove(like)
        found = least(factor, term) if like is None else _part_growth(like, (factor, term))
        if found is None:
            return None
        grown += found
    gone = [least(-factor, term) for factor, term in left]
    return None if None in gone else grown + sum(each for each in gone if each is not None)


def _is_plain(of: Sum) -> bool:
    """Whether a sum has one quantity in it and nothing else."""
    return len(of.parts) == 1 and isinstance(of.parts[0][1], Variable)


def _alike(one: tuple[Fraction, Term], other: tuple[Fraction, Term]) -> bool:
    """Whether two parts of sums may compare with each other."""
    if one[1] == other[1]:
        return True
    same_choice = isinstance(one[1], Either) and isinstance(other[1], Either) and one[1].test == other[1].test
    return one[0] == other[0] and (same_choice or (isinstance(one[1], Rounded) and isinstance(other[1], Rounded)))


def _part_growth(before: tuple[Fraction, Term], after: tuple[Fraction, Term]) -> Fraction | None:
    if before[1] == after[1]:
        return least(after[0] - before[0], after[1])
    factor = after[0]
    grown = growth(before[1], after[1]) if factor > 0 else growth(after[1], before[1])
    return None if grown is None else abs(factor) * grown


def least(factor: Fraction, term: Term) -> Fraction | None:
    """What a term times a factor surely is at least; None where it has no such end."""
    if not factor:
        return Fraction(0)
    match term:
        case Variable():
            return Fraction(0) if factor > 0 and term.never_negative else None
        case Either():
            return _least((least(factor, term.yes), least(factor, term.no)))
        case Rounded():
            # No further off than half a step.
            inner = least(factor, term.term)
            return None if inner is None else inner - abs(factor) * term.step / 2
        case Sum():
            parts = [least(factor * share, part) for share, part in term.parts]
            return None if None in parts else factor * term.plus + sum(each for each in parts if each is not None)


def _in_steps(grown: Fraction | None, rounding: Rounded) -> Fraction | None:
    """What growth surely remains after rounding; ties to the even multiple may swallow an odd step."""
    if grown is None:
        return None
    steps = grown // rounding.step
    return (steps if rounding.up or steps % 2 == 0 else steps - 1) * rounding.step


def _least(of: tuple[Fraction | None, Fraction | None]) -> Fraction | None:
    one, other = of
    return None if one is None or other is None else min(one, other)


def _as_sum(term: Term) -> Sum:
    return term if isinstance(term, Sum) else Sum(((Fraction(1), term),), Fraction(0))
