"""Reinterpretation: a clause whose text stayed, and which is read otherwise than before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction

from rulewatch.compare.keys import reading_key
from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading

# Who confirmed a reading, what was asked and noted, and where it stands say nothing about a car.
ASIDE = {"clause", "place", "last_line", "confirmed", "ask", "answered", "noted", "numbers", "names", "concerns"}


def reread(old: Sequence[Reading], new: Sequence[Reading], renumbered: Mapping[str, str]) -> tuple[str, ...]:
    """What the readings of a clause say otherwise now, part by part; empty where they say the same about every car.

    `renumbered` gives the new numbers of clauses that the old readings name.
    """
    before = sorted(repr(reading_key(reading, renumbered)) for reading in old)
    after = sorted(repr(reading_key(reading)) for reading in new)
    return () if before == after else tuple(_differences(old, new))


def _differences(old: Sequence[Reading], new: Sequence[Reading]) -> Iterator[str]:
    # Only a clause that is read otherwise pays for the library.
    from deepdiff import DeepDiff

    found = DeepDiff([_plain(reading) for reading in old], [_plain(reading) for reading in new], view="tree")
    for kind in sorted(found):
        for level in found[kind]:
            names = [str(key) for key in level.path(output_format="list") if isinstance(key, str)]
            sides = ("nothing" if type(side).__name__ == "NotPresent" else str(side) for side in (level.t1, level.t2))
            yield f"{'.'.join(names) or 'reading'}: {' → '.join(sides)}"


def _plain(value: object) -> object:
    """A reading as plain data, with only what it says about a car."""
    if isinstance(value, Amount | Fraction | date | Enum):
        return str(value)
    if is_dataclass(value):
        parts = {field.name: getattr(value, field.name) for field in fields(value) if field.name not in ASIDE}
        said = {
            name: _plain(part) for name, part in parts.items() if part not in (None, (), "") and not isinstance(part, Place)
        }
        subject = said.pop("subject", None)
        return {subject: said} if subject is not None else said
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    return value
