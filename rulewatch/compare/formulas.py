"""A small language for which cars a rule allows: formulas over what a car has, and their exact value on one car.

Formulas are values of our own, so that a claim found by a solver can be rechecked without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from rulewatch.model.reading import Sheet

# What a variable can be on a car: there or not, a number in base units (a day as its number), or a word.
Value = bool | Fraction | str


class Sort(Enum):
    """What a variable stands for."""

    PRESENCE = "presence"
    NUMBER = "number"
    DAY = "day"
    WORD = "word"


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A property of a car, or of a reference sheet of its model, or whether a part is there.

    `choices` are the words that it may be, empty for any; `never_negative` marks what nature keeps at nought or above, `whole`
    what is counted. A day is whole too.
    """

    name: str
    sort: Sort
    sheet: Sheet = Sheet.CAR
    choices: tuple[str, ...] = ()
    never_negative: bool = False
    whole: bool = False

    def __hash__(self) -> int:
        """Of its name alone: a book asks for it millions of times, and few variables share a name."""
        return hash(self.name)

    @property
    def key(self) -> str:
        """What names it among all: the quantity or component, with its sheet in front, and the sort behind."""
        return f"{self.title} {self.sort.value}"

    @property
    def title(self) -> str:
        """The quantity or component, with its sheet in front: `standard.car.width`."""
        return self.name if self.sheet is Sheet.CAR else f"{self.sheet}.{self.name}"


Car = Mapping[Variable, Value]


# --- Terms: numbers that depend on the car ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sum:
    """`plus` and each part times its factor."""

    parts: tuple[tuple[Fraction, Term], ...]
    plus: Fraction


@dataclass(frozen=True, slots=True)
class Either:
    """One term where a formula holds, and another where it does not."""

    test: Formula
    yes: Term
    no: Term


@dataclass(frozen=True, slots=True)
class Rounded:
    """A term to the nearest multiple of a step; halves up, or to the even multiple."""

    term: Term
    step: Fraction
    up: bool


Term = Variable | Sum | Either | Rounded


def number(value: Fraction | int) -> Sum:
    """A plain number as a term."""
    return Sum((), value if isinstance(value, Fraction) else Fraction(value))


def plus(*terms: Term) -> Sum:
    """The sum of terms."""
    parts: list[tuple[Fraction, Term]] = []
    constant = Fraction(0)
    for term in terms:
        if isinstance(term, Sum):
            parts += term.parts
            if term.plus:
                constant += term.plus
        else:
            parts.append((Fraction(1), term))
    return Sum(tuple(parts), constant)


def times(factor: Fraction, term: Term) -> Sum:
    """A term multiplied by a number."""
    if not isinstance(term, Sum):
        return Sum(((factor, term),), Fraction(0))
    if factor == 1:
        return term
    return Sum(tuple((factor * share, part) for share, part in term.parts), factor * term.plus)


def minus(left: Term, right: Term) -> Sum:
    """The difference of two terms."""
    return plus(left, times(Fraction(-1), right))


def either(test: Formula, yes: Term, no: Term) -> Term:
    """One of two terms; the same term where the test is settled."""
    if isinstance(test, Truth):
        return yes if test.value else no
    return yes if yes == no else Either(test, yes, no)


# --- Formulas ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Truth:
    """What holds for every car, or for none."""

    value: bool


@dataclass(frozen=True, slots=True)
class Has:
    """The part or quantity is there."""

    variable: Variable


@dataclass(frozen=True, slots=True)
class Is:
    """A choice is this word."""

    variable: Variable
    word: str


@dataclass(frozen=True, slots=True)
class Alike:
    """Two choices are the same word."""

    left: Variable
    right: Variable


class Relation(Enum):
    """How a term compares with nought."""

    AT_MOST = "<="
    UNDER = "<"
    EQUAL = "="


@dataclass(frozen=True, slots=True)
class Compare:
    """A term is at most nought, under it, or equal to it."""

    term: Sum
    relation: Relation


@dataclass(frozen=True, slots=True)
class AllOf:
    """Every part holds."""

    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Negation:
    """The part does not hold."""

    part: Formula


Formula = Truth | Has | Is | Alike | Compare | AllOf | AnyOf | Negation

TRUE, FALSE = Truth(value=True), Truth(value=False)


def all_of(parts: Iterable[Formula]) -> Formula:
    """And, without what holds anyway."""
    found: list[Formula] = []
    for part in parts:
        if isinstance(part, AllOf):
            found += part.parts
        elif not isinstance(part, Truth):
            found.append(part)
        elif not part.value:
            return FALSE
    return found[0] if len(found) == 1 else AllOf(tuple(found)) if found else TRUE


def any_of(parts: Iterable[Formula]) -> Formula:
    """Or, without what never holds."""
    found: list[Formula] = []
    for part in parts:
        if isinstance(part, AnyOf):
            found += part.parts
        elif not isinstance(part, Truth):
            found.append(part)
        elif part.value:
            return TRUE
    return found[0] if len(found) == 1 else AnyOf(tuple(found)) if found else FALSE


def negation(part: Formula) -> Formula:
    """Not."""
    if isinstance(part, Truth):
        return Truth(value=not part.value)
    return part.part if isinstance(part, Negation) else Negation(part)


def compare(left: Term, right: Term, relation: Relation) -> Formula:
    """`left` is at most, under, or equal to `right`; settled at once between plain numbers."""
    return against_nought(minus(left, right), relation)


def against_nought(term: Sum, relation: Relation) -> Formula:
    """A term is at most nought, under it, or equal to it; settled at once for a plain number."""
    return Compare(term, relation) if term.parts else Truth(value=_compared(term.plus.numerator, relation))


# --- The exact value on one car ---------------------------------------------------------------------------------------


def holds(formula: Formula, car: Car) -> bool:  # noqa: PLR0911 - one for each form
    """Whether a formula holds on a car that states every variable of it. KeyError where one is missing."""
    match formula:  # the most frequent first
        case Compare():
            return _compared(_sign(formula.term, car), formula.relation)
        case Negation():
            return not holds(formula.part, car)
        case AnyOf():
            return any(holds(part, car) for part in formula.parts)
        case AllOf():
            return all(holds(part, car) for part in formula.parts)
        case Has():
            return car[formula.variable] is True
        case Is():
            return car[formula.variable] == formula.word
        case Alike():
            return car[formula.left] == car[formula.right]
        case Truth():
            return formula.value


def size(term: Term, car: Car) -> Fraction:
    """What a term comes to on a car, in base units."""
    match term:
        case Variable():
            value = car[term]
            return value if isinstance(value, Fraction) else Fraction(0)
        case Sum():
            total = term.plus
            for factor, part in term.parts:
                value = size(part, car)
                if factor == 1:
                    total = total + value if total else value
                else:
                    total -= value if factor == -1 else -factor * value
            return total
        case Either():
            return size(term.yes if holds(term.test, car) else term.no, car)
        case Rounded():
            return multiple(size(term.term, car), term) * term.step


def multiple(value: Fraction, rounding: Rounded) -> int:
    """How many steps a value is, rounded."""
    steps = value / rounding.step
    return (2 * steps.numerator + steps.denominator) // (2 * steps.denominator) if rounding.up else round(steps)


def _sign(term: Sum, car: Car) -> int:
    """Nought, more, or less, as a term is on a car. Of one quantity, as most are, it is told without working the term out."""
    factor, part = term.parts[0]
    if len(term.parts) > 1 or not isinstance(part, Variable):
        return size(term, car).numerator
    value = car[part]
    (up, down), (more, below) = factor.as_integer_ratio(), term.plus.as_integer_ratio()
    count, under = value.as_integer_ratio() if isinstance(value, Fraction) else (0, 1)
    return up * count * below + more * down * under


def _compared(sign: int, relation: Relation) -> bool:
    return sign < 0 if relation is Relation.UNDER else sign == 0 if relation is Relation.EQUAL else sign <= 0


def variables(*of: Formula | Term) -> frozenset[Variable]:
    """Every variable of formulas and terms. What they share is looked at once, however often it occurs."""
    found: set[Variable] = set()
    seen: set[int] = set()
    waiting: list[Formula | Term] = list(of)
    while waiting:
        one = waiting.pop()
        if isinstance(one, Variable):
            found.add(one)
        elif id(one) not in seen:
            seen.add(id(one))
            waiting += _parts(one)
    return frozenset(found)


def _parts(of: Formula | Term) -> Sequence[Formula | Term]:  # noqa: PLR0911 - one for each form
    match of:  # the most frequent first
        case Sum():
            return [term for _, term in of.parts]
        case Compare() | Rounded():
            return (of.term,)
        case Negation():
            return (of.part,)
        case AllOf() | AnyOf():
            return of.parts
        case Has() | Is():
            return (of.variable,)
        case Either():
            return (of.test, of.yes, of.no)
        case Alike():
            return (of.left, of.right)
        case Variable() | Truth():
            return ()
