"""Witnesses in the crew's words: what a car that a claim rests on has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from rulewatch.compare.formulas import Car, Sort, Value, Variable
from rulewatch.compare.nearest import Near
from rulewatch.model.change import Witness
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.model.vocabulary import Vocabulary, ancestors

MOST_SAID = 4


def stated(car: Car, vocabulary: Vocabulary) -> dict[str, Scalar]:
    """A car's values by name, as a person would state them; nothing of what is under an absent part."""
    absent = {(one.sheet, one.name) for one, value in car.items() if value is False}
    found: dict[str, Scalar] = {}
    for variable in sorted(car, key=lambda one: one.key):
        if any((variable.sheet, above) in absent for above in ancestors(variable.name)):
            continue
        if variable.sort is Sort.PRESENCE:
            found.setdefault(variable.title, "present" if car[variable] else "absent")
        elif (variable.sheet, variable.name) not in absent:
            found[variable.title] = scalar(variable, car[variable], vocabulary)
    return found


def scalar(variable: Variable, value: Value, vocabulary: Vocabulary) -> Scalar:
    """A value of a variable in the unit that the vocabulary shows."""
    if isinstance(value, bool):
        return "present" if value else "absent"
    if isinstance(value, str):
        return value
    if variable.sort is Sort.DAY:
        return date.fromordinal(max(int(value), 1))
    quantity = vocabulary.quantities.get(variable.name)
    unit = quantity.unit if quantity is not None and quantity.unit is not None else NUMBER
    return Amount(number=(value - unit.offset) / unit.factor, unit=unit)


def witness(
    near: Near,
    *,
    gained: bool,
    alone: bool,
    in_book: bool,
    about: Iterable[Variable],
    vocabulary: Vocabulary,
) -> Witness:
    """A witness; `about` is what the changed clauses speak of."""
    values = stated(near.car, vocabulary)
    telling = near.differs if near.reference else sorted(about, key=lambda one: one.key)
    differs = tuple(dict.fromkeys(variable.title for variable in telling if variable.title in values))
    return Witness(
        gained=gained,
        alone=alone,
        in_book=in_book,
        values=values,
        differs=differs,
        car=near.reference,
        says=_says(near, telling, values, vocabulary),
    )


def _says(near: Near, telling: Iterable[Variable], values: Mapping[str, Scalar], vocabulary: Vocabulary) -> str:
    """`a car like heron with rear rim width 10.5 in`."""
    parts = list(dict.fromkeys(_part(one, values[one.title], vocabulary) for one in telling if one.title in values))
    whose = f"a car like {near.reference}" if near.reference else "a car"
    if len(parts) > MOST_SAID + 1:
        return f"{whose} with {', '.join(parts[:MOST_SAID])} and {len(parts) - MOST_SAID} more"
    row = " and ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))
    return f"{whose} with {row}" if row else whose


def _part(variable: Variable, value: Scalar, vocabulary: Vocabulary) -> str:
    label = vocabulary.in_sentence(variable.name)
    if variable.sheet is not Sheet.CAR:
        label = f"{variable.sheet} {label}"
    if value in {"present", "yes"}:
        return label
    if value in {"absent", "no"}:
        return f"no {label}"
    return f"{label} {value.isoformat() if isinstance(value, date) else value}"
