"""How well suggested readings say what a careful reader says: counts of what was found, missed and made up.

A statement is a quantity with one bound and its value (a range is two), a part that is there or not, the words of a list, or
what is added to the least weight. Conditions, classes and what a clause concerns are not counted here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.intake.suggest import Suggestion
from rulewatch.model.clause import Clause
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Bound, Fixed, Greatest, Least, Linear, OneOf, Presence, Range, Reading, Steps, Test
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.clauses import ReadingBlock
from rulewatch.parse.readings import parse_reading

Statement = tuple[str, str, object]  # the quantity or key, the bound, the value in base units


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """Statements that are right, those that were suggested, and those that a reader lists."""

    right: int
    suggested: int
    listed: int

    @property
    def precision(self) -> Fraction:
        """How many of the suggested are right."""
        return Fraction(self.right, self.suggested or 1)

    @property
    def recall(self) -> Fraction:
        """How many of the listed are suggested."""
        return Fraction(self.right, self.listed or 1)

    def __str__(self) -> str:
        return (
            f"precision {float(self.precision):.3f} ({self.right}/{self.suggested}), "
            f"recall {float(self.recall):.3f} ({self.right}/{self.listed})"
        )


def score(found: Iterable[set[Statement]], listed: Iterable[set[Statement]]) -> Score:
    """The counts of many clauses, the two sides in the same order."""
    pairs = list(zip(found, listed, strict=True))
    return Score(
        right=sum(len(ours & theirs) for ours, theirs in pairs),
        suggested=sum(len(ours) for ours, _ in pairs),
        listed=sum(len(theirs) for _, theirs in pairs),
    )


def read(suggestion: Suggestion, clause: Clause, vocabulary: Vocabulary) -> tuple[list[Reading], list[Fault], Source]:
    """The readings of a suggestion as the program reads them under the clause, and what is wrong with them."""
    source = Source(path="suggested.md", text=clause.text + "".join(f"\n\n{one.block}" for one in suggestion.readings))
    readings: list[Reading] = []
    faults: list[Fault] = []
    position = len(clause.text)
    for one in suggestion.readings:
        position = source.text.index(one.block, position)
        first = source.text.count("\n", 0, position) + 2
        place = Place(path=source.path, line=first - 1, column=1)
        block = ReadingBlock(clause=clause.id, text=one.yaml + "\n", place=place, first_line=first, indent=0)
        reading, found = parse_reading(block, source, vocabulary=vocabulary)
        readings += [reading] if reading else []
        faults += found
    return readings, faults, source


def statements(readings: Sequence[Reading]) -> set[Statement]:
    """What readings say of quantities and weights."""
    found: set[Statement] = set()
    for reading in readings:
        for test in reading.limits:
            found.update(_of_test(test))
        for test in reading.allows:
            found.update((f"allow {name}", bound, value) for name, bound, value in _of_test(test))
        if reading.minimum is not None:
            found.add(("weight", "minimum", _value(reading.minimum.bound)))
        if reading.adder is not None:
            found.add(("weight", "add", reading.adder.amount.base if reading.adder.amount else reading.adder.share))
        found.update(("dated", item.item, (item.years, item.since, item.until)) for item in reading.dated)
    return found


def _of_test(test: Test) -> Iterator[Statement]:
    match test.constraint:
        case Presence(present=present):
            yield test.subject, "present" if present else "absent", None
        case OneOf(values=(Amount() as amount,)):
            yield test.subject, "equals", amount.base
        case OneOf(values=values):
            yield test.subject, "one of", frozenset(one.base if isinstance(one, Amount) else one for one in values)
        case Range(low=low, high=high) as span:
            if low is not None:
                yield test.subject, "over" if span.low_strict else "min", _value(low)
            if high is not None:
                yield test.subject, "under" if span.high_strict else "max", _value(high)


def _value(bound: Bound) -> object:
    match bound:
        case Fixed(value=Amount() as amount):
            return amount.base
        case Fixed(value=day):
            return day
        case Linear():
            return bound.of, bound.sheet, bound.rate and bound.rate.base, bound.plus and bound.plus.base
        case Steps():
            steps = tuple((edge.base, _value(value)) for edge, value in bound.steps)
            return bound.by, steps, bound.above and _value(bound.above)
        case Greatest() | Least():
            return type(bound), frozenset(_value(one) for one in bound.bounds)
