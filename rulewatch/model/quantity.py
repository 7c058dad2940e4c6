"""Units and amounts, exact.

An `Amount` is a number with a unit. Numbers are fractions, so that 10¼ in is 260.35 mm and not nearly so. pint knows the
units and their dimensions; it is asked once for each unit, and never reads a number (see `amounts.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberStyle:
    """How a body prints numbers: its decimal sign and what parts thousands."""

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


NUMBER = Unit(symbol="", dimension="1")


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

    def __str__(self) -> str:
        """As printed where the digits are known; else a decimal, or a fraction where no short decimal is exact."""
        return self.printed or f"{digits(self.number)} {self.unit.symbol}".strip()


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


@cache
def registry() -> Any:
    """pint's registry with exact fractions; made on first use, because it takes a fifth of a second."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction, autoconvert_offset_to_baseunit=True)
