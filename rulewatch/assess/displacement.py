"""What bore and stroke make of an engine's capacity, to hold a stated capacity against."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import pi

from rulewatch.assess.facts import Facts
from rulewatch.assess.spread import COVERAGE
from rulewatch.model.quantity import Amount, find_unit

PARTS = ("engine.internals.bore", "engine.internals.stroke", "engine.cylinders")
CUBIC_CENTIMETRE = Fraction(1, 10**6)  # in cubic metres: rules count whole ones


@dataclass(frozen=True, slots=True, kw_only=True)
class Mismatch:
    """A stated capacity, and what bore, stroke and the number of cylinders come to."""

    stated: Amount
    reckoned: Amount


def displacement(bore: Fraction, stroke: Fraction, cylinders: Fraction) -> Fraction:
    """The volume that pistons sweep: π/4 · bore² · stroke · cylinders, in the cube of the lengths' unit (40 CFR 86.419-2006)."""
    return Fraction(pi) / 4 * bore**2 * stroke * cylinders


def mismatch(facts: Facts) -> Mismatch | None:
    """A capacity that differs from bore and stroke by more than a cubic centimetre and what the measurements leave open."""
    capacity, *parts = (_one(facts, name) for name in ("engine.capacity", *PARTS))
    unit = find_unit("cc")
    if capacity is None or unit is None or any(part is None for part in parts):
        return None
    bore, stroke, cylinders = (part for part in parts if part is not None)
    reckoned = displacement(bore[0], stroke[0], cylinders[0])
    if not reckoned:
        return None
    doubt = capacity[1] + reckoned * (2 * bore[1] / bore[0] + stroke[1] / stroke[0])
    if abs(capacity[0] - reckoned) <= CUBIC_CENTIMETRE + doubt:
        return None
    stated, found = (Amount(number=number / unit.factor, unit=unit) for number in (capacity[0], reckoned))
    return Mismatch(stated=stated, reckoned=Amount(number=Fraction(round(found.number)), unit=unit))


def _one(facts: Facts, name: str) -> tuple[Fraction, Fraction] | None:
    """A quantity and its expanded uncertainty, in base units; None where it is not stated, or several differ."""
    fact = facts.of(name)
    values = {value.base for value in fact.values if isinstance(value, Amount)}
    if len(values) != 1:
        return None
    spread = fact.spreads[0] if fact.spreads else None
    return values.pop(), COVERAGE * spread.u if spread is not None else Fraction(0)
