"""The minimum weight's build-up, line by line, in the rule book's unit and in the other one that crews reckon in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from rulewatch.model.impact import Impact, WeightLine, WeightSheet
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.publish.room import amount_words

KILOGRAM, POUND = (find_unit(symbol) for symbol in ("kg", "lb"))
WHOLE_FROM = 10  # in the other unit: whole numbers from here on, tenths below


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightStep:
    """One line of the build-up: its clause, what it is, what it adds and the total after it, each in both units."""

    clause: str
    label: str
    adds: str
    adds_other: str
    total: str
    total_other: str
    certain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightSide:
    """The build-up on one side of a change: `when` it counts, its steps, and the minimum that comes of it."""

    when: str
    steps: tuple[WeightStep, ...]
    minimum: str


def weight_sides(impact: Impact) -> Iterator[WeightSide]:
    """The build-up before and now, of an impact on the weight; none of any other impact."""
    for when, sheet in zip(("before", "now"), impact.weights, strict=True):
        if sheet is not None:
            yield WeightSide(when=when, steps=tuple(map(weight_step, sheet.lines)), minimum=minimum_words(sheet))


def weight_step(line: WeightLine) -> WeightStep:
    """A line of the build-up in words."""
    return WeightStep(
        clause=line.clause,
        label=line.label,
        adds=amount_words(line.amount),
        adds_other=other_unit(line.amount),
        total=amount_words(line.total),
        total_other=other_unit(line.total),
        certain=line.certain,
    )


def other_unit(mass: Amount) -> str:
    """A mass in pounds where it is in kilograms, else in kilograms: to whole numbers, to tenths below ten."""
    unit = KILOGRAM if mass.unit == POUND else POUND
    if unit is None:
        raise ValueError("the packaged units have neither kilogram nor pound")
    number = mass.to(unit).number
    places = 0 if abs(number) >= WHOLE_FROM else 1
    return f"{_half_up(number, places)} {unit.symbol}"


def in_both(mass: Amount) -> str:
    """A mass with the other unit beside it: `20 kg (44 lb)`."""
    return f"{amount_words(mass)} ({other_unit(mass)})"


def _half_up(number: Fraction, places: int) -> str:
    """A decimal of some places, halves away from zero, as people round."""
    whole = floor(abs(number) * 10**places + Fraction(1, 2))
    text = f"{whole // 10**places}.{whole % 10**places:0{places}d}" if places else str(whole)
    return f"−{text}" if number < 0 else text


def minimum_words(sheet: WeightSheet) -> str:
    """The minimum that comes of a build-up, in both units; a range where it is not certain."""
    if sheet.least is None or sheet.greatest is None:
        return "not known"
    if sheet.least.same_value(sheet.greatest):
        return in_both(sheet.greatest)
    return f"{in_both(sheet.least)} to {in_both(sheet.greatest)}"
