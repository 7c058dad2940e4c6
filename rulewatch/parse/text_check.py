"""Readings checked against the text of their clause: both must have the same numbers.

A reading may write an amount in another unit, never with another value. Where a text states a value in two units, the body
says which of them rules, and a reading must have that one. Words count as the numbers that they name: two, per cent.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.model.amounts import FoundNumber, find_numbers
from rulewatch.model.clause import Clause, written_at
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
PER = re.compile(
    r"\s*(?:per|for each|for every|each|je|pro)\s+(?:(?:full|further|additional|volle|weitere)\s+)?", re.IGNORECASE
)
UNIT_WORD = re.compile(r"[^\s,;:()]+")
BETWEEN_TWO_UNITS = re.compile(r"(?:(?![.;:]\s).){0,24}[(\[/=≈](?:(?![.;:]\s).){0,24}", re.DOTALL)
CUSTOMARY = re.compile(r"in|inch|inches|ft|foot|feet|yd|mi|mph|lbs?|lbf|oz|psi|gal|ci|hp|bhp|[\"'″′]|°F")
FURTHEST_APART = Fraction(3, 100)  # how much the two statements of one value may differ by rounding
NEIGHBOURS = 3  # how many amounts further on the other statement may be: `10 to 12 in (254 to 305 mm)`
MOST_OFFERED = 3
CORRECT = "correct the reading, or look up what the clause says now"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hit:
    """An amount that a text states, and the numbers in digits that it is made of: two for `20 kg per 100 cc`, none for words."""

    amount: Amount
    parts: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """The numbers of a clause's text: those in digits, and all that these and words say.

    `twins` maps a number to the other statement of the same value, which rules over it.
    """

    digits: tuple[FoundNumber, ...]
    says: tuple[_Hit, ...]
    twins: Mapping[int, int]

    def hits(self, amount: Amount) -> tuple[_Hit, ...]:
        """Where an amount stands; the text may leave out the minus of a negative one ("reduced by 20 kg")."""
        wanted = [amount, amount.times(Fraction(-1))] if amount.number < 0 else [amount]
        return tuple(hit for hit in self.says if any(hit.amount.same_value(value) for value in wanted))

    def ruling(self, hit: _Hit) -> Amount | None:
        """The statement that rules over a hit and has another value, if any."""
        for part in hit.parts:
            twin = self.twins.get(part)
            if twin is not None and not self.digits[twin].amount.same_value(self.digits[part].amount):
                return self.digits[twin].amount
        return None

    def offered(self, amount: Amount) -> str:
        """The amounts of the text that an amount might have meant: those of its dimension."""
        alike = (number.amount for number in self.digits if number.amount.unit.dimension == amount.unit.dimension)
        texts = list(dict.fromkeys(f"`{found.plain}`" for found in alike))
        return one_of(texts[:MOST_OFFERED]) if texts else ""


def check_against_text(readings: Sequence[Reading], clause: Clause, *, body: Body, source: Source) -> tuple[Fault, ...]:
    """Compare the numbers of all readings of a clause with those of its text, both in `source`.

    A number of a reading that the text does not have is a fault at its place in the reading; a number with a unit that the
    text has, and no reading uses or notes, is one at its place in the text. Without readings there is nothing to check. Leave
    the check out where one of the clause's readings could not be read.
    """
    if not readings:
        return ()
    page = _read_page(clause.plain, body)
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
            yield source.fault(code, line, column, found, expected=f"`{overruled[0].plain}`, which rules by body.yaml")


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
    for index, number in enumerate(page.digits):
        if number.amount.unit.symbol and index not in used:
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
    above = clause.text[:offset].split("\n")
    number, last = clause.place.line, min(clause.last_line, len(source.lines))
    column = -1
    for text in clause.text.split("\n")[: len(above)]:
        # Between two lines of the text there may be lines of a reading; before a line, its label or indent.
        while number <= last and (column := source.lines[number - 1].rfind(text)) < 0:
            number += 1
        number += 1
    found = number - 1 <= last and column >= 0
    return source.place(number - 1, column + len(above[-1]) + 1) if found else clause.place


def _years(day: date) -> set[int]:
    """The years that a text may name for a day: the first of January is "after 2025", and the last of December "before 2026"."""
    return {(day + timedelta(days=shift)).year for shift in (-1, 0, 1)}


def _has_year(text: str, year: int) -> bool:
    return re.search(rf"(?<!\d){year}(?!\d)", text) is not None


# --- The numbers of a text --------------------------------------------------------------------------------------------


def _read_page(text: str, body: Body) -> _Page:
    digits = find_numbers(text, body.numbers)
    plain = (_Hit(amount=number.amount, parts=(index,)) for index, number in enumerate(digits))
    says = (*plain, *_words(text), *_rates(digits, text))
    return _Page(digits=digits, says=says, twins=_twins(digits, text, body.governs))


def _words(text: str) -> Iterator[_Hit]:
    """`two`, and `two inches` both as a plain number and as an amount."""
    for found in WORD.finditer(text):
        number = Fraction(WORDS[found[0].lower()])
        yield _Hit(amount=Amount(number=number))
        word = UNIT_WORD.match(text, found.end() + 1)
        unit = find_unit(word[0].rstrip(".")) if word else None
        if unit is not None:
            yield _Hit(amount=Amount(number=number, unit=unit))


def _rates(digits: Sequence[FoundNumber], text: str) -> Iterator[_Hit]:
    """`20 kg per 100 cc` and `0.4 kg for each cc`, as amounts of kg/cc."""
    for index, above in enumerate(digits):
        per = PER.match(text, above.end)
        if not above.amount.unit.symbol or per is None:
            continue
        below = digits[index + 1] if digits[index + 1 :] and digits[index + 1].start == per.end() else None
        word = UNIT_WORD.match(text, per.end())
        unit = below.amount.unit if below else find_unit(word[0].rstrip(".")) if word else None
        rate = find_unit(f"{above.amount.unit.symbol}/{unit.symbol}") if unit and unit.symbol else None
        count = below.amount.number if below else Fraction(1)
        if rate is not None and count:
            parts = (index, index + 1) if below else (index,)
            yield _Hit(amount=Amount(number=above.amount.number / count, unit=rate), parts=parts)


def _twins(digits: Sequence[FoundNumber], text: str, governs: Governs) -> dict[int, int]:
    """Pairs of statements of one value, `10 in (254 mm)`: from the one that does not rule to the one that does."""
    twins: dict[int, int] = {}
    amounts = [(index, number) for index, number in enumerate(digits) if number.amount.unit.symbol]
    for start, (one, first) in enumerate(amounts):
        for other, second in amounts[start + 1 : start + 1 + NEIGHBOURS]:
            if not {one, other} & {*twins, *twins.values()} and _is_same_statement(first, second, text):
                is_second = governs is Governs.METRIC and _is_customary(first.amount.unit)
                twins.update({one: other} if is_second else {other: one})
    return twins


def _is_same_statement(first: FoundNumber, second: FoundNumber, text: str) -> bool:
    """Whether two amounts are of different systems of units, side by side, and equal but for rounding."""
    a, b = first.amount, second.amount
    if a.unit.dimension != b.unit.dimension or _is_customary(a.unit) == _is_customary(b.unit) or not a.base:
        return False
    between = BETWEEN_TWO_UNITS.fullmatch(text, first.end, second.start)
    return between is not None and abs(a.base - b.base) <= abs(a.base) * FURTHEST_APART


def _is_customary(unit: Unit) -> bool:
    """Whether a unit is one of feet, pounds and the like."""
    return any(CUSTOMARY.fullmatch(part) for part in re.split(r"[/·*\s²³\d^]+", unit.symbol))
