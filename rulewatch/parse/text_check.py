"""Readings checked against the text of their clause: both must have the same numbers.

A reading may write an amount in another unit, never with another value. Where a text states a value in two units, the body
says which of them rules, and a reading must have that one. Words count as the numbers that they name: two, per cent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rulewatch.model.clause import Clause, written_at
from rulewatch.model.edition import Body
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.marks import marked_at
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading
from rulewatch.model.stated_numbers import StatedNumbers, stated_numbers
from rulewatch.parse.fields import one_of

MOST_OFFERED = 3
CORRECT = "correct the reading, or look up what the clause says now"


def check_against_text(readings: Sequence[Reading], clause: Clause, *, body: Body, source: Source) -> tuple[Fault, ...]:
    """Compare the numbers of all readings of a clause with those of its text, both in `source`.

    A number of a reading that the text does not have is a fault at its place in the reading; a number with a unit that the
    text has, and no reading uses or notes, is one at its place in the text. Without readings there is nothing to check. Leave
    the check out where one of the clause's readings could not be read.

    A reading that was confirmed against another text is no slip but behind the times: its numbers wait for a person, as does
    all of it, and so do those of the text that it may be meant to use.
    """
    if not readings:
        return ()
    stated = stated_numbers(clause.plain, body)
    current = [reading for reading in readings if not reading.is_outdated(clause.digest)]
    unfounded = [fault for reading in current for fault in _unfounded(reading, stated, clause, source)]
    unused = _unused(readings, stated, clause, source) if len(current) == len(readings) else ()
    return in_order((*unfounded, *unused))


def _unfounded(reading: Reading, stated: StatedNumbers, clause: Clause, source: Source) -> Iterator[Fault]:
    """The numbers of a reading that the text does not have, or has only as the statement that does not rule."""
    code = "reading-contradicts-text"
    for number in reading.numbers:
        value, line, column = number.value, number.place.line, number.place.column
        if stated.lacks(number):
            is_day = isinstance(value, date)
            found = f"{f'the year of {value}' if is_day else f'`{value}`'} is not in the text of {clause.id}"
            expected = "" if isinstance(value, date) else _offered(value, stated)
            yield source.fault(code, line, column, found, expected=expected, remedy=CORRECT)
        elif isinstance(value, Amount) and value not in reading.noted:
            hits = stated.find(value)
            overruled = [ruling for hit in hits if (ruling := stated.ruling(hit)) is not None]
            if hits and len(overruled) == len(hits):
                found = f"`{value}` is the statement of {clause.id} that does not rule"
                yield source.fault(code, line, column, found, expected=f"`{overruled[0].plain}`, which rules by body.yaml")


def _offered(amount: Amount, stated: StatedNumbers) -> str:
    """The amounts of the text that an amount might have meant: those of its dimension."""
    alike = (number.amount for number in stated.digits if number.amount.unit.dimension == amount.unit.dimension)
    texts = list(dict.fromkeys(f"`{found.plain}`" for found in alike))
    return one_of(texts[:MOST_OFFERED]) if texts else ""


def _unused(readings: Sequence[Reading], stated: StatedNumbers, clause: Clause, source: Source) -> Iterator[Fault]:
    """The numbers with a unit in the text that no reading uses or notes."""
    for number in stated.unused(amount for reading in readings for amount in reading.amounts):
        place = place_in_text(clause, written_at(clause.text, number.start), source)
        yield source.fault(
            "number-not-used",
            place.line,
            place.column,
            f"`{number.amount}` in the text of {clause.id}",
            expected="a reading that uses it",
            remedy=f"if there is nothing to check, write `noted: [{number.amount.plain}]`",
        )


def place_in_text(clause: Clause, offset: int, source: Source) -> Place:
    """Where a character of a clause's text stands in its source; the clause's own place where that cannot be told."""
    shown = clause.shown
    above = shown[: marked_at(shown, offset)].split("\n")
    number, last = clause.place.line, min(clause.last_line, len(source.lines))
    column = -1
    for text in shown.split("\n")[: len(above)]:
        # Between two lines of the text there may be lines of a reading; before a line, its label or indent.
        while number <= last and (column := source.lines[number - 1].rfind(text)) < 0:
            number += 1
        number += 1
    found = number - 1 <= last and column >= 0
    return source.place(number - 1, column + len(above[-1]) + 1) if found else clause.place
