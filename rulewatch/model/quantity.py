"""Units and amounts, exact.

An `Amount` is a number with a unit. Numbers are fractions, so that 10¼ in is 260.35 mm and not nearly so. Units come from
the table in `units.py`, those made of several too; pint, which never reads a number (see `amounts.py`), is what tests hold it to.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, lru_cache
from types import MappingProxyType

from rulewatch.model.units import MEASURES, UNITS

LONGEST_SYMBOL = 40
LEAST_WORD = 4
MOST_PLACES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberStyle:
    """How a body prints numbers: its decimal sign and what parts thousands.

    Spaces may part thousands too, unless `thousands` is empty: that takes no separator at all.
    """

    decimal: str = "."
    thousands: str = ","


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit as written, its dimension, and how to come to the dimension's base: `number × factor + offset`.

    `dimension` is canonical (`[length]`, `[mass]`, `1` for plain numbers, `dB(A)`, `RON` for scales that convert to nothing
    else); two units convert into each other when their dimensions are equal.
    """

    symbol: str
    dimension: str
    factor: Fraction = Fraction(1)
    offset: Fraction = Fraction(0)


NUMBER = Unit(symbol="", dimension="1")  # plain numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """An exact number with a unit, and the digits it was printed with (for rounding rules; not compared)."""

    number: Fraction
    unit: Unit = NUMBER
    printed: str = field(default="", compare=False)

    @property
    def base(self) -> Fraction:
        """The number in the dimension's base unit."""
        return self.number * self.unit.factor + self.unit.offset

    @property
    def span(self) -> Fraction:
        """The number as a difference, in the dimension's base unit: for margins and tolerances, where no offset counts."""
        return self.number * self.unit.factor

    def to(self, unit: Unit) -> Amount:
        """The same amount in another unit of the same dimension. ValueError where the dimension differs."""
        if unit.dimension != self.unit.dimension:
            raise ValueError(f"{self} does not convert to {unit.symbol or 'a plain number'}")
        return Amount(number=(self.base - unit.offset) / unit.factor, unit=unit)

    def minus(self, other: Amount) -> Amount:
        """The difference in this amount's unit; a difference of temperatures leaves the offset out."""
        return Amount(number=(self.base - other.base) / self.unit.factor, unit=self.unit)

    def plus(self, difference: Amount) -> Amount:
        """This amount moved by a difference, in this amount's unit."""
        return Amount(number=self.number + difference.number * difference.unit.factor / self.unit.factor, unit=self.unit)

    def times(self, factor: Fraction) -> Amount:
        """The number multiplied, in the same unit."""
        return Amount(number=self.number * factor, unit=self.unit)

    def same_value(self, other: Amount) -> bool:
        """Whether both are the same size, whatever their units: 10 in and 254 mm."""
        return self.unit.dimension == other.unit.dimension and self.base == other.base

    @property
    def plain(self) -> str:
        """The exact amount as our own files write it: decimals where they end, else a fraction, and no separators."""
        number, places = abs(self.number), 0
        while number.denominator > 1 and places < MOST_PLACES:
            number, places = number * 10, places + 1
        if number.denominator == 1:
            whole = str(number.numerator).rjust(places + 1, "0")
            text = f"{whole[: len(whole) - places]}.{whole[len(whole) - places :]}" if places else whole
        else:
            text = str(abs(self.number))
        return f"{'-' if self.number < 0 else ''}{text} {self.unit.symbol}".strip()

    def __str__(self) -> str:
        """As printed where the digits are known; else a decimal, or a fraction where no short decimal is exact."""
        return self.printed or f"{digits(self.number)} {self.unit.symbol}".strip()


def kilograms(mass: Fraction) -> Amount:
    """A mass in kilograms, the base unit of masses."""
    return Amount(number=mass, unit=spellings()["kg"])


def litres() -> Unit:
    """The unit of volumes of fuel."""
    return spellings()["L"]


def digits(number: Fraction, places: int = 6) -> str:
    """A number as a decimal without trailing zeros, rounded to `places` (with ≈ in front) only where it is not exact."""
    scaled = number * 10**places
    text = f"{round(scaled) / 10**places:.{places}f}" if abs(scaled) < 10**15 else str(float(number))
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in {"-0", "0"} and number:
        return f"{float(number):.3g}"
    text = text.replace("-", "−")
    return text if scaled.denominator == 1 else f"≈{text}"


# --- Units by their spelling ------------------------------------------------------------------------------------------


@cache
def spellings() -> Mapping[str, Unit]:
    """Every spelling of the table of units, with its unit."""
    found: dict[str, Unit] = {}
    for row in UNITS:
        names = row.spellings.split("|")
        unit = Unit(
            symbol=names[0], dimension=MEASURES[row.measure][0], factor=_fraction(row.factor), offset=_fraction(row.offset)
        )
        found |= dict.fromkeys(names, unit)
    return MappingProxyType(found)


@lru_cache(maxsize=4096)
def find_unit(symbol: str) -> Unit | None:
    """The unit of a spelling (`mm`, `"`, `lb·ft`, `kg/m²`), None where it is not known. Spelling is strict.

    A word of four letters or more may begin with a capital. What the table lacks may be made of units that it has, with
    `/`, `·`, `*` and exponents.
    """
    known = spellings()
    if symbol in known:
        return known[symbol]
    if len(symbol) >= LEAST_WORD and symbol[:1].isupper() and symbol[:1].lower() + symbol[1:] in known:
        return known[symbol[:1].lower() + symbol[1:]]
    return _compound(symbol) if len(symbol) <= LONGEST_SYMBOL and _COMPOUND.fullmatch(symbol) else None


def dimension_of(name: str) -> str | None:
    """The dimension of a name that the vocabulary uses: `length` is `[length]`. None where the name is not known."""
    found = MEASURES.get(name)
    return found[0] if found else None


def usual_unit(name: str) -> Unit | None:
    """The unit that values of such a dimension are shown in: `mm` for `length`. None where the name is not known."""
    found = MEASURES.get(name)
    return find_unit(found[1]) if found else None


def dimension_name(dimension: str) -> str:
    """What a dimension is called in messages: `[length]` is `length`, `RON` is `value in RON`, as is one without a name."""
    named = (name.replace("-", " ") for name, (known, _) in MEASURES.items() if known == dimension)
    in_own_unit = f"value in {dimension}"
    return next(named, in_own_unit) if dimension[:1] in "[1" else in_own_unit


# A compound unit: words or signs with an exponent behind each, and a sign between them.
_PART = re.compile(r"(?P<sign>[/·⋅*]?)(?P<name>[^\W\d_]+|%|°)(?:\^?(?P<power>-?[1-4])|(?P<raised>[²³]))?")
_COMPOUND = re.compile(r"[^\W\d_]+[-^\d²³]*(?:[/·⋅*](?:[^\W\d_]+|%|°)[-^\d²³]*)*")


def _compound(symbol: str) -> Unit | None:
    """A unit made of units of the table; None where a part is not known, or is a scale that does not combine.

    The table alone says what comes out, so that a unit in running text does not make pint start; tests hold it to pint.
    """
    rows = {name: row for row in UNITS for name in row.spellings.split("|")}
    factor, powers, end = Fraction(1), Counter[str](), 0
    for part in _PART.finditer(symbol):
        row = rows.get(part["name"])
        if row is None or not row.pint or row.offset != "0" or part.start() != end:
            return None
        power = int(part["power"] or {"²": "2", "³": "3"}.get(part["raised"], "1")) * (-1 if part["sign"] == "/" else 1)
        factor *= _fraction(row.factor) ** power
        for name, times in _powers(MEASURES[row.measure][0]):
            powers[name] += times * power
        end = part.end()
    if end != len(symbol):
        return None
    words = (name if power == 1 else f"{name}^{power}" for name, power in sorted(powers.items()) if power)
    return Unit(symbol=symbol, dimension=" ".join(words) or NUMBER.dimension, factor=factor)


def _powers(dimension: str) -> Iterator[tuple[str, int]]:
    """The base dimensions of a dimension as `Unit` writes it, each with its power."""
    for word in dimension.split():
        name, _, power = word.partition("^")
        if name != NUMBER.dimension:
            yield name, int(power or 1)


def _fraction(text: str) -> Fraction:
    top, _, bottom = text.partition("/")
    return Fraction(top) / Fraction(bottom or 1)
