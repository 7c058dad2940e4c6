"""Readings: the crew's machine-checkable interpretation of a clause.

A reading is never the rule; the text is. It says for which cars (classes, dates, condition) what must hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount

# A value of a quantity: an amount, a word of a list of choices (or free text), or a date.
Scalar = Amount | str | date


# --- Bounds -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """A bound that is a plain amount or date."""

    value: Amount | date


class Sheet(StrEnum):
    """Where the value of a linear bound's quantity is taken from."""

    CAR = "car"
    HOMOLOGATED = "homologated"
    STANDARD = "standard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Linear:
    """`rate × quantity + plus`, the quantity read from the car or from a reference sheet of its model."""

    of: str
    sheet: Sheet = Sheet.CAR
    rate: Amount | None = None
    plus: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A bound in steps of another quantity: up to and including each edge, its bound.

    Beyond the last edge `above` holds; where that is None, beyond it is illegal.
    """

    by: str
    steps: tuple[tuple[Amount, Bound], ...]
    above: Bound | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Greatest:
    """The greatest of several bounds."""

    bounds: tuple[Bound, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """The least of several bounds."""

    bounds: tuple[Bound, ...]


Bound = Fixed | Linear | Steps | Greatest | Least


# --- Constraints ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class OneOf:
    """Equal to one of the values; a scalar constraint is a list of one."""

    values: tuple[Scalar, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """`low` and `high` bounds, inclusive unless strict (`over`, `under`). At least one is given."""

    low: Bound | None = None
    high: Bound | None = None
    low_strict: bool = False
    high_strict: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """`present` or `absent`."""

    present: bool


Constraint = OneOf | Range | Presence


# --- Conditions -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """A quantity or component meets a constraint."""

    subject: str
    constraint: Constraint
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class All:
    """Every part holds; an empty one holds always."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Any:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Not:
    """The part does not hold."""

    part: Condition


Condition = Test | All | Any | Not


# --- What a reading says ----------------------------------------------------------------------------------------------


class Ties(StrEnum):
    """Where a value halfway between two steps is rounded to."""

    EVEN = "even"
    UP = "up"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounding:
    """Round to multiples of `to`, the total or each adder."""

    to: Amount
    ties: Ties = Ties.EVEN
    each: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MinimumWeight:
    """The least weight of a car: a bound, rounded, with how adders count and who sits in the car when it is weighed."""

    bound: Bound
    rounding: Rounding | None = None
    compounded: bool = False
    with_driver: bool | None = None
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightAdder:
    """What a clause adds to the minimum weight: an amount of mass, or a share of the minimum (2.5 % is 1/40)."""

    amount: Amount | None = None
    share: Fraction | None = None
    printed: str = ""
    place: Place = field(compare=False)


class Counting(StrEnum):
    """When a dated item's life ends: on a day of its last year, at that year's end, or on the day that is printed on it."""

    DAY = "day"
    YEAR_END = "year-end"
    LABEL = "label"


class FirstYear(StrEnum):
    """Whether the year in which a life begins is the first of its years, where it lasts to a year's end.

    Five years from 2022 end with 2026 where it is counted, and with 2027 where it comes on top.
    """

    COUNTED = "counted"
    ON_TOP = "on top"


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """An item with a life: how many years, counted from which date, to the day or to the year's end.

    `since` is what it is counted from, in the rule's word, and `counted` the quantity that has that date. Of an item that is
    good until the day on its label there are no years, and `counted` has that day.
    """

    item: str
    years: int
    since: str
    until: Counting
    counted: str
    first_year: FirstYear = FirstYear.ON_TOP
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmation:
    """Who confirmed a reading, when, and against which text (`Clause.digest`)."""

    by: str
    on: date
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the officials answered, when, and where it is kept."""

    on: date
    by: str
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A number that a reading states, and where it stands there, so that it can be looked up in the clause's text.

    One that is not `sought` may be missing in the text, where words say it ("to the nearest pound").
    """

    value: Amount | date
    place: Place
    sought: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of one clause.

    `classes` is None for every class of the edition. `limits` must hold, `allows` widen a closed scope; each is a test whose
    subject is a quantity or a component. `instead_of` names the clauses whose limits this one replaces where `when` holds.
    `measured` gives the conditions a value must have been taken under (`driver: yes`). `numbers` are the amounts and dates
    of conditions, limits and all the rest, each with its place, and `names` the classes, clauses and persons that it names.
    """

    clause: str
    place: Place = field(compare=False)
    last_line: int = field(compare=False)
    classes: tuple[str, ...] | None = None
    since: date | None = None
    until: date | None = None
    when: Condition | None = None
    limits: tuple[Test, ...] = ()
    allows: tuple[Test, ...] = ()
    instead_of: tuple[str, ...] = ()
    minimum: MinimumWeight | None = None
    adder: WeightAdder | None = None
    dated: tuple[Dated, ...] = ()
    tolerance: Amount | None = None
    measured: tuple[tuple[str, str], ...] = ()
    concerns: str = ""
    ask: str = ""
    answered: Answer | None = None
    noted: tuple[Amount, ...] = ()
    confirmed: Confirmation | None = None
    numbers: tuple[Written, ...] = field(default=(), compare=False)
    names: tuple[tuple[str, Place], ...] = field(default=(), compare=False)

    @property
    def amounts(self) -> tuple[Amount, ...]:
        """The amounts that the reading uses or notes, in order."""
        return tuple(number.value for number in self.numbers if isinstance(number.value, Amount))

    def place_of(self, name: str) -> Place:
        """Where the reading names a class, a clause or a person; its own place where it does not."""
        return next((place for known, place in self.names if known == name), self.place)

    def is_confirmed(self, text_digest: str) -> bool:
        """Whether a person confirmed this reading against the text that the clause has now."""
        return self.confirmed is not None and self.confirmed.text == text_digest

    def is_outdated(self, text_digest: str) -> bool:
        """Whether a person confirmed this reading against another text than the clause has now."""
        return self.confirmed is not None and self.confirmed.text != text_digest

    @property
    def is_open(self) -> bool:
        """Whether a question to the officials is still unanswered."""
        return bool(self.ask) and self.answered is None

    @property
    def leaves_car_open(self) -> bool:
        """Whether an unanswered question is about the car; one about the event, the officials or the driver leaves it as it is."""
        return self.is_open and not self.concerns

    def applies_to(self, class_name: str, day: date) -> bool:
        """Whether class and day are within this reading's scope; the condition is not looked at."""
        return (
            (self.classes is None or class_name in self.classes)
            and (self.since is None or self.since <= day)
            and (self.until is None or day <= self.until)
        )

    def subjects(self) -> Iterator[str]:
        """The quantities and components that this reading limits or allows, each once, in order."""
        yield from dict.fromkeys(test.subject for test in (*self.limits, *self.allows))
