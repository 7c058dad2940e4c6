"""What numbers a text of a rule book states, in digits and in words, so that a reading's can be looked up in it.

Where a text states a value in two units, the body says which of them rules. Words count as the numbers that they name: two,
per cent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.model.amounts import FoundNumber, find_numbers
from rulewatch.model.edition import Body, Governs
from rulewatch.model.quantity import Amount, Unit, find_unit
from rulewatch.model.reading import Written

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """An amount that a text states, and the numbers in digits that it is made of: two for `20 kg per 100 cc`, none for words.

    `start` is where it begins in the text.
    """

    amount: Amount
    start: int
    parts: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedNumbers:
    """The numbers of a text: those in digits, in order, and all that these and words say.

    `twins` maps a number in digits to the other statement of the same value, which rules over it.
    """

    text: str
    digits: tuple[FoundNumber, ...]
    says: tuple[Statement, ...]
    twins: Mapping[int, int]

    def find(self, amount: Amount) -> tuple[Statement, ...]:
        """Where an amount stands; the text may leave out the minus of a negative one ("reduced by 20 kg")."""
        wanted = [amount, amount.times(Fraction(-1))] if amount.number < 0 else [amount]
        return tuple(said for said in self.says if any(said.amount.same_value(value) for value in wanted))

    def ruling(self, said: Statement) -> Amount | None:
        """The statement that rules over one and has another value, if any."""
        for part in said.parts:
            twin = self.twins.get(part)
            if twin is not None and not self.digits[twin].amount.same_value(self.digits[part].amount):
                return self.digits[twin].amount
        return None

    def lacks(self, number: Written) -> bool:
        """Whether the text does not have a number that a reading states and should have from there."""
        if not number.sought:
            return False
        if isinstance(number.value, date):
            return not any(_has_year(self.text, year) for year in years_of(number.value))
        return not self.find(number.value)

    def unused(self, amounts: Iterable[Amount]) -> tuple[FoundNumber, ...]:
        """The numbers in digits with a unit that are none of these amounts, nor another statement of one."""
        used = {part for amount in amounts for said in self.find(amount) for part in said.parts}
        used.update(*({part, twin} for part, twin in self.twins.items() if part in used or twin in used))
        return tuple(number for index, number in enumerate(self.digits) if number.amount.unit.symbol and index not in used)


def stated_numbers(text: str, body: Body) -> StatedNumbers:
    """The numbers of a text as a body prints them; `text` is plain, without Markdown's own signs."""
    digits = find_numbers(text, body.numbers)
    plain = (Statement(amount=number.amount, start=number.start, parts=(index,)) for index, number in enumerate(digits))
    says = (*plain, *_words(text), *_rates(digits, text))
    return StatedNumbers(text=text, digits=digits, says=says, twins=_twins(digits, text, body.governs))


def years_of(day: date) -> set[int]:
    """The years that a text may name for a day: the first of January is "after 2025", and the last of December "before 2026"."""
    return {(day + timedelta(days=shift)).year for shift in (-1, 0, 1)}


def _has_year(text: str, year: int) -> bool:
    return re.search(rf"(?<!\d){year}(?!\d)", text) is not None


def _words(text: str) -> Iterator[Statement]:
    """`two`, and `two inches` both as a plain number and as an amount."""
    for found in WORD.finditer(text):
        number = Fraction(WORDS[found[0].lower()])
        yield Statement(amount=Amount(number=number), start=found.start())
        word = UNIT_WORD.match(text, found.end() + 1)
        unit = find_unit(word[0].rstrip(".")) if word else None
        if unit is not None:
            yield Statement(amount=Amount(number=number, unit=unit), start=found.start())


def _rates(digits: Sequence[FoundNumber], text: str) -> Iterator[Statement]:
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
            amount = Amount(number=above.amount.number / count, unit=rate)
            yield Statement(amount=amount, start=above.start, parts=parts)


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
