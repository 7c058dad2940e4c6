"""What a car of the crew states, as values of variables, for a witness to stay near to.

Only what is known counts; of several instances the first. The sheets of its model cannot be altered.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction

from rulewatch.compare.formulas import Sort, Value, Variable
from rulewatch.model.car import Car, Stated
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.model.vocabulary import ancestors, within


def known_values(car: Car, wanted: Iterable[Variable]) -> dict[Variable, Value]:
    """The values that a car and its sheets state of some variables."""
    found: dict[Variable, Value] = {}
    for variable in wanted:
        value = _value(car, variable)
        if value is not None:
            found[variable] = value
    return found


def _value(car: Car, variable: Variable) -> Value | None:
    entries = {Sheet.CAR: car.spec, Sheet.STANDARD: car.standard, Sheet.HOMOLOGATED: car.homologated}[variable.sheet]
    stated = _nearest(variable.name, entries)
    if stated is not None and stated.standard:
        in_use = _in_use(variable.name, entries)
        return (
            True
            if in_use and variable.sort is Sort.PRESENCE
            else _of(variable, _nearest(variable.name, car.standard), car.standard)
        )
    return _of(variable, stated, entries)


def _of(variable: Variable, stated: Stated | None, entries: Mapping[str, Stated]) -> Value | None:
    if variable.sort is Sort.PRESENCE:
        if stated is not None and (stated.subject == variable.name or not stated.present):
            return stated.present
        return True if _in_use(variable.name, entries) else None
    if stated is None or stated.subject != variable.name or not stated.values:
        return None
    return value_of(stated.values[0])


def value_of(value: Scalar) -> Value:
    """A value as variables have it: a number in base units, a day as its number, or a word."""
    if isinstance(value, Amount):
        return value.base
    return Fraction(value.toordinal()) if isinstance(value, date) else value


def _nearest(name: str, entries: Mapping[str, Stated]) -> Stated | None:
    """The entry that speaks of a name: an absent part above it, else its own, else a `standard` one above it."""
    above = [entries[each] for each in ancestors(name) if each in entries]
    absent = next((stated for stated in above if not stated.present), None)
    return absent or entries.get(name) or next((stated for stated in above if stated.standard), None)


def _in_use(name: str, entries: Mapping[str, Stated]) -> bool:
    return any(
        within(other, name) and other != name and stated.present and not stated.standard for other, stated in entries.items()
    )
