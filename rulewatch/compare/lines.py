"""Lines: the values of a rule through its stations, each value by what it is about, for the classes it holds for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.compare.keys import condition_key
from rulewatch.compare.steps import Course, plain, taken_apart
from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount, NumberStyle, Unit
from rulewatch.model.reading import Condition, OneOf, Presence, Range, Reading, Test
from rulewatch.model.running_text import find_amounts
from rulewatch.model.timeline import Fitting, Line, Sense, Station, Value, value_key

WEIGHT = "car.weight"
PERCENT = Unit(symbol="%", dimension="1", factor=Fraction(1, 100))
# What a limit and an allowance say of a part that is there, or not.
FITTINGS = {
    (False, True): Fitting.REQUIRED,
    (False, False): Fitting.FORBIDDEN,
    (True, True): Fitting.PERMITTED,
    (True, False): Fitting.OPTIONAL,
}
# Of two values of one kind at once, a car must keep the tighter.
LOWER_IS_TIGHTER = frozenset({Sense.MOST, Sense.UNDER})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """One value of one reading, or of a text (then `subject` is empty, and `nth` tells amounts of one dimension apart)."""

    subject: str
    sense: Sense
    value: Value
    classes: tuple[str, ...]
    permitted: bool = False
    when: Condition | None = None
    place: Place
    nth: int = 0

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for the same value at other times."""
        kind = self.value.unit.dimension if isinstance(self.value, Amount) else ""
        return (self.subject, self.sense, self.permitted, condition_key(self.when), self.nth, kind if self.nth else "")


def lines(stations: Sequence[Station], style: NumberStyle) -> tuple[Line, ...]:
    """The values of a rule through its stations, in the order in which they first come; classes with the same course together."""
    found: dict[tuple[object, ...], tuple[_Said, dict[str, list[Value | None]]]] = {}
    before: object = None
    all_said: tuple[_Said, ...] = ()
    for at, station in enumerate(stations):
        state = (station.clause and station.clause.text, station.readings, station.classes)
        if state != before:  # most stations leave a rule as it was
            before, all_said = state, tuple(_all_said(station, style))
        for said in all_said:
            _, by_class = found.setdefault(said.key, (said, {}))
            for name in said.classes:
                values = by_class.setdefault(name, [None] * len(stations))
                values[at] = _tighter(values[at], said)
    return tuple(
        Line(
            subject=said.subject,
            sense=said.sense,
            classes=tuple(names),
            values=values,
            permitted=said.permitted,
            when=when,
        )
        for said, by_class in found.values()
        for values, when, names in _together(said, by_class)
    )


def _together(said: _Said, by_class: dict[str, list[Value | None]]) -> Iterator[tuple[Course, Condition | None, list[str]]]:
    """Each course with its condition, and the classes that have it; values that go by steps are taken apart."""
    groups: dict[tuple[object, ...], tuple[Course, Condition | None, list[str]]] = {}
    for name, values in by_class.items():
        for course, when in taken_apart(tuple(values), said.when, said.place):
            key = (condition_key(when), *map(value_key, course))
            groups.setdefault(key, (course, when, []))[2].append(name)
    yield from groups.values()


def _tighter(before: Value | None, said: _Said) -> Value:
    if not isinstance(before, Amount) or not isinstance(said.value, Amount):
        return said.value if before is None else before
    if before.unit.dimension != said.value.unit.dimension:
        return before
    lower = before if before.base <= said.value.base else said.value
    higher = said.value if lower is before else before
    return lower if said.sense in LOWER_IS_TIGHTER else higher


def _all_said(station: Station, style: NumberStyle) -> Iterator[_Said]:
    if station.clause is None:
        return
    if not station.readings:
        yield from _in_text(station.clause.folded, station.clause.place, station.classes, style)
    for reading in station.readings:
        names = station.classes if reading.classes is None else reading.classes
        classes = tuple(name for name in station.classes if name in names)
        for test in reading.limits:
            yield from _of_test(test, reading, classes, permitted=False)
        for test in reading.allows:
            yield from _of_test(test, reading, classes, permitted=True)
        yield from _of_weight(reading, classes)


def _in_text(text: str, place: Place, classes: tuple[str, ...], style: NumberStyle) -> Iterator[_Said]:
    """The amounts of a text that nobody has read; one that only repeats another in a second unit is left out."""
    seen: list[Amount] = []
    for found in find_amounts(text, style):
        if not any(one.same_value(found.amount) for one in seen):
            seen.append(found.amount)
            alike = sum(one.unit.dimension == found.amount.unit.dimension for one in seen)
            yield _Said(subject="", sense=Sense.STATED, value=found.amount, classes=classes, place=place, nth=alike)


def _of_test(test: Test, reading: Reading, classes: tuple[str, ...], *, permitted: bool) -> Iterator[_Said]:
    if isinstance(test.constraint, Presence):
        fitting = FITTINGS[permitted, test.constraint.present]
        yield _Said(
            subject=test.subject, sense=Sense.EXACTLY, value=fitting, classes=classes, when=reading.when, place=test.place
        )
        return
    for sense, value in _ends(test.constraint):
        yield _Said(
            subject=test.subject,
            sense=sense,
            value=value,
            classes=classes,
            permitted=permitted,
            when=reading.when,
            place=test.place,
        )


def _ends(constraint: OneOf | Range) -> Iterator[tuple[Sense, Value]]:
    if isinstance(constraint, OneOf):
        first = constraint.values[0]
        yield Sense.EXACTLY, first if len(constraint.values) == 1 and isinstance(first, Amount) else constraint
        return
    if constraint.low is not None:
        yield Sense.OVER if constraint.low_strict else Sense.LEAST, plain(constraint.low)
    if constraint.high is not None:
        yield Sense.UNDER if constraint.high_strict else Sense.MOST, plain(constraint.high)


def _of_weight(reading: Reading, classes: tuple[str, ...]) -> Iterator[_Said]:
    found: list[tuple[Sense, Value]] = []
    if reading.minimum is not None:
        found.append((Sense.LEAST, plain(reading.minimum.bound)))
    if reading.adder is not None:
        share = reading.adder.share or Fraction(0)
        added = reading.adder.amount or Amount(number=share * 100, unit=PERCENT, printed=reading.adder.printed)
        found.append((Sense.ADDS, added))
    for sense, value in found:
        yield _Said(subject=WEIGHT, sense=sense, value=value, classes=classes, when=reading.when, place=reading.place)
