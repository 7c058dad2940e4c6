"""Readings checked against the text of their clause (DESIGN 4): both must have the same numbers.

A reading may write an amount in another unit, never with another value. Where a text states a value in two units, the body
says which of them rules, and a reading must have that one. Words count as the numbers that they name: two, per cent.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.model.amounts import find_numbers
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Body, Governs
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.quantity import Amount, Unit, find_unit
from rulewatch.model.reading import Reading
from rulewatch.parse.fields import one_of

ENGLISH = "one two three four five six seven eight nine ten eleven twelve"
GERMAN = "eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf"
WORDS: Mapping[str, int] = {
    **{word: number for words in (ENGLISH, GERMAN) for number, word in enumerate(words.split(), start=1)},
    **dict.fromkeys(("single", "ein", "eine", "einen", "einem", "einer"), 1),
    **dict.fromkeys(("zero", "none", "nil", "no", "null", "kein", "keine"), 0),
}
WORD = re.compile(rf"\b(?:{'|'.join(WORDS)})\b", re.IGNORECASE)
PER_CENT = re.compile(r"\b(?:per ?cent|prozent|v\. ?h\.)(?!\w)", re.IGNORECASE)
PER = re.compile(
    r"\s*(?:per|for each|for every|each|je|pro)\s+(?:(?:full|further|additional|volle|weitere)\s+)?", re.IGNORECASE
)
UNIT_WORD = re.compile(r"[^\s,;:()]+")
BETWEEN_TWO_UNITS = re.compile(r"[^.;:\n]{0,24}[(\[/=≈][^.;:\n]{0,24}")
CUSTOMARY = re.compile(r"in|inch|inches|ft|foot|feet|yd|mi|mph|lbs?|lbf|oz|psi|gal|ci|hp|bhp|[\"'″′]|°F")
FURTHEST_APART = Fraction(3, 100)  # how much the two statements of one value may differ by rounding
MOST_OFFERED = 3
CORRECT = "correct the reading, or look up what the clause says now"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Printed:
    """A number in a clause's text; `parts` tells which of the numbers in digits it is, two for `20 kg per 100 cc`."""

    amount: Amount
    start: int
    end: int
    parts: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """The numbers of a clause's text.

    `digits` are those in digits, `others` those in words and the rates made of two. `twins` maps a number to the other
    statement of the same value that rules over it.
    """

    digits: tuple[_Printed, ...]
    others: tuple[_Printed, ...]
    twins: Mapping[int, int]

    def hits(self, amount: Amount) -> tuple[_Printed, ...]:
        """Where an amount stands; the text may leave out the minus of a negative one ("reduced by 20 kg")."""
        wanted = [amount, amount.times(Fraction(-1))] if amount.number < 0 else [amount]
        return tuple(
            printed for printed in (*self.digits, *self.others) if any(printed.amount.same_value(value) for value in wanted)
        )

    def ruling(self, printed: _Printed) -> _Printed | None:
        """The statement that rules over this one and has another value, if any."""
        for part in printed.parts:
            twin = self.twins.get(part)
            if twin is not None and not self.digits[twin].amount.same_value(self.digits[part].amount):
                return self.digits[twin]
        return None

    def offered(self, amount: Amount) -> str:
        """The amounts of the text that an amount might have meant: those of its dimension."""
        alike = dict.fromkeys(
            f"`{printed.amount}`" for printed in self.digits if printed.amount.unit.dimension == amount.unit.dimension
        )
        return one_of(list(alike)[:MOST_OFFERED]) if alike else ""


def check_against_text(readings: Sequence[Reading], clause: Clause, *, body: Body, source: Source) -> tuple[Fault, ...]:
    """Compare the numbers of all readings of a clause with those of its text, both in `source`.

    A number of a reading that the text does not have is a fault at its place in the reading; a number with a unit that the
    text has, and no reading uses or notes, is one at its place in the text. Without readings there is nothing to check. Leave
    the check out where one of the clause's readings could not be read.
    """
    if not readings:
        return ()
    page = _read_page(clause.text, body)
    unfounded = [fault for reading in readings for fault in _unfounded(reading, page, clause, source)]
    return in_order((*unfounded, *_unused(readings, page, clause, source)))


def _unfounded(reading: Reading, page: _Page, clause: Clause, source: Source) -> Iterator[Fault]:
    """The numbers of a reading that the text does not have, or has only as the statement that does not rule."""
    code = "reading-contradicts-text"
    for number in reading.numbers:
        value, line, column = number.value, number.place.line, number.place.column
        if isinstance(value, date):
            if not any(_has_year(clause.text, year) for year in _years(value)):
                yield source.fault(code, line, column, f"the year of {value} is not in the text of {clause.id}", remedy=CORRECT)
            continue
        hits = page.hits(value)
        overruled = [ruling for hit in hits if (ruling := page.ruling(hit)) is not None]
        if not hits and number.sought:
            expected = page.offered(value)
            yield source.fault(
                code, line, column, f"`{value}` is not in the text of {clause.id}", expected=expected, remedy=CORRECT
            )
        elif hits and len(overruled) == len(hits) and value not in reading.noted:
            found = f"`{value}` is the statement of {clause.id} that does not rule"
            yield source.fault(code, line, column, found, expected=f"`{overruled[0].amount}`, which rules by body.yaml")


def _unused(readings: Sequence[Reading], page: _Page, clause: Clause, source: Source) -> Iterator[Fault]:
    """The numbers with a unit in the text that no reading uses or notes."""
    used = {
        part
        for reading in readings
        for number in reading.numbers
        if isinstance(number.value, Amount)
        for hit in page.hits(number.value)
        for part in hit.parts
    }
    used.update(*({part, twin} for part, twin in page.twins.items() if part in used or twin in used))
    for index, printed in enumerate(page.digits):
        if printed.amount.unit.symbol and index not in used:
            place = place_in_text(clause, printed.start, source)
            yield source.fault(
                "number-not-used",
                place.line,
                place.column,
                f"`{printed.amount}` in the text of {clause.id}",
                expected="a reading that uses it",
                remedy=f"if there is nothing to check, write `noted: [{printed.amount}]`",
            )


def place_in_text(clause: Clause, offset: int, source: Source) -> Place:
    """Where a character of a clause's text stands in its source; the clause's own place where that cannot be told."""
    wanted = clause.text[:offset].split("\n")
    lines = clause.text.split("\n")
    number, start = clause.place.line, 0
    for text in lines[: len(wanted)]:
        while number <= clause.last_line and (start := source.lines[number - 1].rfind(text)) < 0:
            number += 1
        if number > clause.last_line:
            return clause.place
        number += 1
    return source.place(number - 1, start + len(wanted[-1]) + 1)


def _years(day: date) -> set[int]:
    """The years that a text may name for a day: the first of January is "after 2025", and the last of December "before 2026"."""
    return {(day + timedelta(days=shift)).year for shift in (-1, 0, 1)}


def _has_year(text: str, year: int) -> bool:
    return re.search(rf"(?<!\d){year}(?!\d)", text) is not None


# --- The numbers of a text --------------------------------------------------------------------------------------------


def _read_page(text: str, body: Body) -> _Page:
    """The numbers of a text; replacements keep the length, so that offsets stay those of the text."""
    text = PER_CENT.sub(lambda found: "%".ljust(len(found[0])), text)
    found = find_numbers(text, body.numbers)
    digits = tuple(
        _Printed(amount=number.amount, start=number.start, end=number.end, parts=(index,)) for index, number in enumerate(found)
    )
    others = (*_words(text), *_rates(digits, text))
    return _Page(digits=digits, others=others, twins=_twins(digits, text, body.governs))


def _words(text: str) -> Iterator[_Printed]:
    """`two`, and `two inches` both as a plain number and as an amount."""
    for found in WORD.finditer(text):
        number = Fraction(WORDS[found[0].lower()])
        yield _Printed(amount=Amount(number=number), start=found.start(), end=found.end())
        word = UNIT_WORD.match(text, found.end() + 1)
        unit = find_unit(word[0].rstrip(".")) if word else None
        if unit is not None:
            yield _Printed(amount=Amount(number=number, unit=unit), start=found.start(), end=found.end())


def _rates(digits: Sequence[_Printed], text: str) -> Iterator[_Printed]:
    """`20 kg per 100 cc` and `0.4 kg for each cc`, as amounts of kg/cc."""
    for index, above in enumerate(digits):
        per = PER.match(text, above.end)
        if not above.amount.unit.symbol or per is None:
            continue
        below = next((printed for printed in digits[index + 1 :] if printed.start == per.end()), None)
        word = UNIT_WORD.match(text, per.end())
        unit = below.amount.unit if below else find_unit(word[0].rstrip(".")) if word else None
        rate = find_unit(f"{above.amount.unit.symbol}/{unit.symbol}") if unit and unit.symbol else None
        count = below.amount.number if below else Fraction(1)
        if rate is not None and count:
            amount = Amount(number=above.amount.number / count, unit=rate)
            parts = (index, index + 1) if below else (index,)
            yield _Printed(amount=amount, start=above.start, end=per.end(), parts=parts)


def _twins(digits: Sequence[_Printed], text: str, governs: Governs) -> dict[int, int]:
    """Pairs of statements of one value, `10 in (254 mm)`: from the one that does not rule to the one that does."""
    twins: dict[int, int] = {}
    amounts = [(index, printed) for index, printed in enumerate(digits) if printed.amount.unit.symbol]
    for (one, first), *later in (amounts[start : start + 4] for start in range(len(amounts))):
        for other, second in later:
            if other in twins or one in twins or not _is_same_statement(first, second, text):
                continue
            metric_second = (
                governs is Governs.METRIC and _is_customary(first.amount.unit) and not _is_customary(second.amount.unit)
            )
            twins.update({one: other} if metric_second else {other: one})
    return twins


def _is_same_statement(first: _Printed, second: _Printed, text: str) -> bool:
    a, b = first.amount, second.amount
    if a.unit.dimension != b.unit.dimension or a.unit == b.unit or not a.base:
        return False
    if not BETWEEN_TWO_UNITS.fullmatch(text, first.end, second.start):
        return False
    return abs(a.base - b.base) <= abs(a.base) * FURTHEST_APART


def _is_customary(unit: Unit) -> bool:
    """Whether a unit is one of feet, pounds and the like."""
    return any(CUSTOMARY.fullmatch(part) for part in re.split(r"[/·*\s²³\d^]+", unit.symbol))
