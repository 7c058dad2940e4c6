"""What one reading says, as formulas: bounds, constraints and conditions on a car that states everything.

They mean what `assess` judges on a car, with one value for each quantity. A bound that is worked out from a part which the car
lacks stays unknown there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil, floor

from rulewatch.compare.formulas import (
    FALSE,
    TRUE,
    Alike,
    Formula,
    Has,
    Is,
    Relation,
    Sort,
    Sum,
    Term,
    Variable,
    all_of,
    any_of,
    compare,
    either,
    minus,
    negation,
    number,
    plus,
    times,
)
from rulewatch.compare.kleene import Kleene, every, opposite, some, sure
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import (
    All,
    Any,
    Bound,
    Condition,
    Constraint,
    Fixed,
    Greatest,
    Least,
    Linear,
    Not,
    OneOf,
    Presence,
    Range,
    Scalar,
    Sheet,
    Steps,
    Test,
)
from rulewatch.model.vocabulary import Quantity, ValueKind, Vocabulary, ancestors, within

SORTS = {
    ValueKind.AMOUNT: Sort.NUMBER,
    ValueKind.DATE: Sort.DAY,
    ValueKind.CHOICE: Sort.WORD,
    ValueKind.TEXT: Sort.WORD,
}


@dataclass(frozen=True, slots=True)
class Level:
    """What a bound comes to: its term, and on which cars nothing is allowed or it cannot be worked out."""

    term: Term
    closed: Formula = FALSE
    missing: Formula = FALSE


@dataclass(frozen=True, kw_only=True)
class Speech:
    """Turns parts of readings into formulas.

    `tested` are the quantities and whole systems of which some reading asks whether they are there; of all others the
    quantities are there when the part is that they belong to, and the systems always.
    """

    vocabulary: Vocabulary
    tested: frozenset[str] = frozenset()

    def variable(self, name: str, sheet: Sheet = Sheet.CAR) -> Variable:
        """The variable of a quantity's value."""
        quantity = self.vocabulary.quantities[name]
        return Variable(
            name=name,
            sheet=sheet,
            sort=SORTS[quantity.kind],
            choices=quantity.choices,
            never_negative=quantity.kind is ValueKind.AMOUNT and not quantity.below_zero,
            whole=quantity.kind is ValueKind.DATE or quantity.whole,
        )

    def there(self, name: str, sheet: Sheet = Sheet.CAR) -> Formula:
        """The quantity or component is there, and so is every part above it."""
        return all_of(self.own(each, sheet) for each in (*reversed(ancestors(name)), name))

    def under_present(self, name: str, scope: str) -> Formula:
        """Every part above it is there, as far as a closed scope reaches; a whole system is no part that could be left off."""
        return all_of(self.own(each) for each in reversed(ancestors(name)) if "." in each and within(each, scope))

    def own(self, name: str, sheet: Sheet = Sheet.CAR) -> Formula:
        """The part itself is not said to be absent, whatever is above it."""
        if name in self.tested or (name in self.vocabulary.components and "." in name):
            return Has(Variable(name=name, sort=Sort.PRESENCE, sheet=sheet))
        return TRUE

    # --- Conditions and requirements ----------------------------------------------------------------------------------

    def condition(self, of: Condition | None) -> Kleene:
        """Whether a condition holds; on what is absent it is false, but `absent`."""
        match of:
            case None:
                return sure(TRUE)
            case Test():
                return self._condition_test(of)
            case Not():
                return opposite(self.condition(of.part))
            case All() | Any():
                return (every if isinstance(of, All) else some)(self.condition(part) for part in of.parts)

    def _condition_test(self, test: Test) -> Kleene:
        there = self.there(test.subject)
        if isinstance(test.constraint, Presence):
            return sure(there if test.constraint.present else negation(there))
        return every((sure(there), self._met(test.subject, test.constraint, Fraction(0))))

    def requirement(self, test: Test, grant: Fraction = Fraction(0)) -> Kleene:
        """Whether a limit holds, widened by what the book grants; on what is absent it does not apply, but `present`."""
        there = self.there(test.subject)
        if isinstance(test.constraint, Presence):
            return sure(there if test.constraint.present else negation(there))
        return some((sure(negation(there)), self._met(test.subject, test.constraint, grant)))

    def permission(self, test: Test, grant: Fraction = Fraction(0)) -> Kleene:
        """Whether what the car has is what a permission names; one to be wide is none to be left off."""
        if isinstance(test.constraint, Presence):
            return self.requirement(test)
        return every((sure(self.there(test.subject)), self._met(test.subject, test.constraint, grant)))

    def _met(self, name: str, constraint: Constraint, grant: Fraction) -> Kleene:
        """Whether the value of a quantity that is there meets a constraint."""
        variable = self.variable(name)
        if isinstance(constraint, OneOf):
            return sure(any_of(self.equals(variable, value, grant) for value in constraint.values))
        if not isinstance(constraint, Range):
            return sure(TRUE)
        if variable.sort is Sort.WORD:
            return self._as_on_sheet(variable, constraint)
        ends: list[Kleene] = []
        if constraint.low is not None:
            ends.append(self._beyond(constraint.low, variable, strict=constraint.low_strict, low=True, grant=grant))
        if constraint.high is not None:
            ends.append(self._beyond(constraint.high, variable, strict=constraint.high_strict, low=False, grant=grant))
        return every(ends)

    def _as_on_sheet(self, variable: Variable, constraint: Range) -> Kleene:
        """Words compare for equality only, with what the quantity that both ends are taken from has."""
        bound = constraint.low
        if not isinstance(bound, Linear) or bound != constraint.high:
            return Kleene(FALSE, FALSE)
        there, alike = self.there(bound.of, bound.sheet), Alike(variable, self.variable(bound.of, bound.sheet))
        if there == TRUE:
            return sure(alike)
        return Kleene(all_of((there, alike)), all_of((there, negation(alike))))

    def _beyond(self, bound: Bound, variable: Variable, *, strict: bool, low: bool, grant: Fraction) -> Kleene:
        """Whether a value is on the right side of one bound."""
        level = self.level(bound)
        relation = Relation.UNDER if strict else Relation.AT_MOST
        edge = plus(level.term, number(-grant if low else grant))
        if variable.whole and not edge.parts:
            # Under 7 is up to 6, and up to 6.5 too.
            relation, edge = Relation.AT_MOST, number(_next_whole(edge.plus, low=low, strict=strict))
        inside = compare(edge, variable, relation) if low else compare(variable, edge, relation)
        return within_level(level, inside)

    def equals(self, variable: Variable, value: Scalar, grant: Fraction = Fraction(0)) -> Formula:
        """A quantity has a value; an amount may miss it by what the book grants."""
        if isinstance(value, str):
            return Is(variable, value)
        if grant and isinstance(value, Amount):
            low, high = number(value.base - grant), number(value.base + grant)
            return all_of((compare(low, variable, Relation.AT_MOST), compare(variable, high, Relation.AT_MOST)))
        if variable.whole and base_of(value).denominator != 1:
            return FALSE
        return compare(variable, number(base_of(value)), Relation.EQUAL)

    def standard(self, name: str) -> Kleene:
        """Whether a part or quantity under parts that are there is as on the standard car."""
        there, on_sheet = self.there(name), self.there(name, Sheet.STANDARD)
        both_absent = all_of((negation(there), negation(on_sheet)))
        same = TRUE if name in self.vocabulary.components else self._same_as_standard(name)
        return sure(any_of((both_absent, all_of((there, on_sheet, same)))))

    def _same_as_standard(self, name: str) -> Formula:
        ours, theirs = self.variable(name), self.variable(name, Sheet.STANDARD)
        return Alike(ours, theirs) if ours.sort is Sort.WORD else compare(ours, theirs, Relation.EQUAL)

    # --- Bounds -------------------------------------------------------------------------------------------------------

    def level(self, bound: Bound) -> Level:
        """What a bound comes to, in base units; a date is the number of its day."""
        match bound:
            case Fixed():
                return Level(number(base_of(bound.value)))
            case Linear():
                return Level(self._linear(bound), missing=negation(self.there(bound.of, bound.sheet)))
            case Steps():
                return self._steps(bound)
            case Greatest():
                return _extreme([self.level(part) for part in bound.bounds], greatest=True)
            case Least():
                return _extreme([self.level(part) for part in bound.bounds], greatest=False)

    def _linear(self, bound: Linear) -> Term:
        variable = self.variable(bound.of, bound.sheet)
        if bound.rate is None:
            return variable if bound.plus is None else plus(variable, number(bound.plus.span))
        product = times(bound.rate.base, variable)
        if bound.plus is not None:
            return plus(product, number(bound.plus.base))
        unit = find_unit(bound.rate.unit.symbol.split("/")[0])
        return plus(product, number(unit.offset if unit is not None else 0))

    def _steps(self, bound: Steps) -> Level:
        by = self.variable(bound.by)
        found = Level(number(0), closed=TRUE) if bound.above is None else self.level(bound.above)
        for edge, part in reversed(bound.steps):
            here, up_to = self.level(part), compare(by, number(edge.base), Relation.AT_MOST)
            found = Level(
                either(up_to, here.term, found.term),
                closed=_if(up_to, here.closed, found.closed),
                missing=_if(up_to, here.missing, found.missing),
            )
        absent = negation(self.there(bound.by))
        return Level(found.term, closed=found.closed, missing=any_of((absent, found.missing)))


def _next_whole(edge: Fraction, *, low: bool, strict: bool) -> int:
    """The first whole number on the right side of an edge."""
    if low:
        return floor(edge) + 1 if strict else ceil(edge)
    return ceil(edge) - 1 if strict else floor(edge)


def within_level(level: Level, inside: Formula) -> Kleene:
    """Whether a comparison with a level holds: never where nothing is allowed, unknown where the level is."""
    if level.missing == FALSE:
        return sure(all_of((negation(level.closed), inside)))
    known = negation(level.missing)
    return Kleene(all_of((known, negation(level.closed), inside)), all_of((known, any_of((level.closed, negation(inside))))))


def base_of(value: Amount | date) -> Fraction:
    """An amount in base units; a date as the number of its day."""
    return value.base if isinstance(value, Amount) else Fraction(value.toordinal())


def grant_for(tolerance: Amount | None, tolerances: Sequence[Amount], test: Test, quantity: Quantity | None) -> Fraction:
    """What the book grants on a limit: the reading's own tolerance, else the edition's for that dimension; never both."""
    if isinstance(test.constraint, Presence) or quantity is None or quantity.unit is None:
        return Fraction(0)
    offered = (tolerance,) if tolerance is not None else tuple(tolerances)
    return next((one.span for one in offered if one.unit.dimension == quantity.unit.dimension), Fraction(0))


def within_band(grant: Fraction, test: Test, bands: Mapping[str, Fraction]) -> Fraction:
    """What a limit grants on a value that must keep inside it by a guard band; no amount is measured to be exactly so much."""
    return grant - bands.get(test.subject, Fraction(0)) if grant or isinstance(test.constraint, Range) else grant


def _if(test: Formula, yes: Formula, no: Formula) -> Formula:
    if yes == no:
        return yes
    return any_of((all_of((test, yes)), all_of((negation(test), no))))


def _extreme(levels: Sequence[Level], *, greatest: bool) -> Level:
    """The greatest or least of several levels; unknown where one is, closed where one is."""
    term: Term = levels[0].term
    for level in levels[1:]:
        first, second = (level.term, term) if greatest else (term, level.term)
        term = either(compare(first, second, Relation.AT_MOST), term, level.term)
    return Level(term, closed=any_of(level.closed for level in levels), missing=any_of(level.missing for level in levels))


def in_total(term: Term) -> Sum:
    """A term as a sum, to add to."""
    return minus(term, number(0))


def step_of(variable: Variable, speech: Speech) -> Fraction:
    """The size of a typical alteration in base units; one unit where the vocabulary does not say."""
    quantity = speech.vocabulary.quantities.get(variable.name)
    if quantity is None or quantity.unit is None:
        return Fraction(1)
    return abs(quantity.step.span) if quantity.step is not None and quantity.step.span else quantity.unit.factor
