"""Numbers of clauses taken apart, to find where a new one belongs among those that are there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from rulewatch.model.clause import INSERTED, TOKEN, roman_number


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberParts:
    """A number taken apart: what stands above its last part, and the signs around that part.

    `4.2.1(a)`: above `4.2.1`, signs `(` and `)`. `36a`: above `36`, no signs, so that the last part is `glued`, as is that of
    `5 bis`. `base` is the number without its last part: `36` of `36a`, and `2(3)` of `2(3a)`; `last` is that part.
    """

    above: str
    signs: tuple[str, str]
    glued: bool
    base: str = field(default="", compare=False)
    last: str = field(default="", compare=False)

    @classmethod
    def of(cls, number: str) -> NumberParts:
        """A number taken apart."""
        parts = list(TOKEN.finditer(number))
        if len(parts) <= 1:
            return cls(above="", signs=("", ""), glued=False, last=parts[0][0] if parts else number)
        start, end = parts[-1].span()
        above = re.sub(r"[^\w)\]]+\Z", "", number[:start])
        glued = len(above) == start or parts[-1][0].casefold() in INSERTED
        base = number[:start].rstrip() + number[end:]
        return cls(above=above, signs=(number[len(above) : start], number[end:]), glued=glued, base=base, last=parts[-1][0])


def form_of(number: str) -> str:
    """A number with its digits and single letters left open: `9.1` and `12.3` are of one form, `A.1` is of another."""
    return re.sub(r"(?<![^\W\d_])[^\W\d_](?![^\W\d_])", "a", re.sub(r"\d+", "0", number))


def counts_in_roman(numbers: Iterable[str]) -> bool:
    """Whether the last parts of numbers are Roman: most letters can be (VIIIa cannot), and one could be nothing else (iv)."""
    parts = [part for number in numbers for part in TOKEN.findall(number)[-1:] if not part.isdigit()]
    roman = [part for part in parts if roman_number(part)]
    return 2 * len(roman) > len(parts) and any(len(part) > 1 for part in roman)
