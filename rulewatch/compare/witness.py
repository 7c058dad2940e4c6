"""Witnesses in the crew's words: what a car that a claim rests on has."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from datetime import date

from rulewatch.compare.formulas import Car, Sort, Value, Variable
from rulewatch.compare.nearest import Near
from rulewatch.model.change import Witness
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.model.vocabulary import Vocabulary, ancestors, within

MOST_SAID = 4
MISSING = frozenset[Scalar]({"absent", "no"})


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
    known: Container[Variable],
    vocabulary: Vocabulary,
) -> Witness:
    """A witness; `about` is what the changed clauses speak of, and `known` what is known of the crew's car that it is near to."""
    values = stated(near.car, vocabulary)
    spoken = sorted((one for one in about if one.title in values), key=lambda one: one.key)
    telling = _telling([one for one in near.differs if one.title in values] if near.reference else spoken, values)
    unstated = [one for one in _telling(spoken, values) if one not in known] if near.reference else []
    return Witness(
        gained=gained,
        alone=alone,
        in_book=in_book,
        values=values,
        differs=tuple(dict.fromkeys(one.title for one in telling)),
        supposed=tuple(dict.fromkeys(one.title for one in unstated)),
        car=near.reference,
        says=_says(near, telling, unstated, values, vocabulary),
    )


def _telling(spoken: Sequence[Variable], values: Mapping[str, Scalar]) -> list[Variable]:
    """What need be told: not that a part is there of which something is told too."""
    told = [one for one in spoken if values[one.title] not in MISSING]
    return [
        one
        for one in spoken
        if values[one.title] != "present"
        or not any(other.sheet is one.sheet and other != one and within(other.name, one.name) for other in told)
    ]


def _says(
    near: Near, telling: Iterable[Variable], unstated: Iterable[Variable], values: Mapping[str, Scalar], vocabulary: Vocabulary
) -> str:
    """`a car like heron with rear rim width 10.5 in, supposing offset 20 mm`; `a car just like heron`."""
    row, supposed = (
        list(dict.fromkeys(_part(one, values[one.title], vocabulary) for one in side)) for side in (telling, unstated)
    )
    if len(row) > MOST_SAID + 1:
        row[MOST_SAID:] = [f"{len(row) - MOST_SAID} more"]
    if len(supposed) > MOST_SAID:
        supposed = [f"{len(supposed)} values that it does not state"]
    whose = f"a car {'like' if row or supposed else 'just like'} {near.reference}" if near.reference else "a car"
    return f"{whose}{f' with {_row(row)}' if row else ''}{f', supposing {_row(supposed)},' if supposed else ''}"


def _row(parts: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))


def _part(variable: Variable, value: Scalar, vocabulary: Vocabulary) -> str:
    label = vocabulary.in_sentence(variable.name)
    if variable.sheet is not Sheet.CAR:
        label = f"{variable.sheet} {label}"
    if value in {"present", "yes"}:
        return label
    if value in MISSING:
        return f"no {label}"
    return f"{label} {value.isoformat() if isinstance(value, date) else value}"
