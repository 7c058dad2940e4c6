"""A reading in the making, and how it is written: YAML as a person would write it, one key below the other, short ones in line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from rulewatch.model.figures import VULGAR
from rulewatch.model.quantity import Amount, NumberStyle

WIDTH = 110
LEAST_SURE = 0.05
OTHER_END = {"min": "over", "over": "min", "max": "under", "under": "max"}  # two ways to say where a range ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a reading: the path of keys to it, and the stretch of the clause's plain text that it came from."""

    path: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A quantity or component with what is asked of it: a word, a list in brackets, or the inside of a range by its keys."""

    name: str
    value: str = ""
    range: tuple[tuple[str, str], ...] = ()
    parts: tuple[Part, ...] = ()
    sure: float = 1.0

    @property
    def written(self) -> str:
        """What stands behind the name."""
        return self.value or "{" + ", ".join(f"{key}: {bound}" for key, bound in self.range) + "}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A reading in the making. Every field is a key of a reading; `sure` is that of its doubtful parts."""

    classes: tuple[str, ...] = ()
    since: str = ""
    until: str = ""
    when: tuple[Item, ...] = ()
    allow: tuple[Item, ...] = ()
    limit: tuple[Item, ...] = ()
    instead_of: tuple[str, ...] = ()
    weight: tuple[str, ...] = ()
    dated: str = ""
    tolerance: str = ""
    measured: str = ""
    concerns: str = ""
    noted: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    apart: str = ""  # what keeps it from being joined with another of the same scope
    sure: float = 1.0
    doubts: tuple[str, ...] = ()

    @property
    def says_something(self) -> bool:
        """Whether it has anything that asks for something."""
        return bool(self.allow or self.limit or self.weight or self.dated or self.concerns)

    @property
    def certainty(self) -> float:
        """How sure the whole is: as sure as its least sure item, and less by its own doubts."""
        items = (*self.when, *self.allow, *self.limit)
        return round(max(LEAST_SURE, min([1.0, *(item.sure for item in items)]) * self.sure), 2)

    @property
    def all_parts(self) -> tuple[Part, ...]:
        """Where everything came from, in the order of the text."""
        keys = (("when", self.when), ("allow", self.allow), ("limit", self.limit))
        items = (
            Part(path=f"{key} {part.path}", start=part.start, end=part.end)
            for key, group in keys
            for item in group
            for part in item.parts
        )
        return tuple(sorted({*items, *self.parts}, key=lambda part: (part.start, part.end, part.path)))

    def write(self) -> str:
        """The YAML of the reading."""
        lines: list[str] = []
        if self.classes:
            lines.append(f"classes: [{', '.join(self.classes)}]")
        lines += [f"{key}: {day}" for key, day in (("from", self.since), ("until", self.until)) if day]
        lines += _items("when", merged(self.when))
        lines += _items("allow", merged(self.allow))
        lines += _items("limit", merged(self.limit))
        if self.instead_of:
            lines.append(f"instead_of: [{', '.join(quoted(each) for each in self.instead_of)}]")
        lines += self.weight
        for key in ("dated", "tolerance", "measured", "concerns"):
            if value := getattr(self, key):
                lines.append(f"{key}: {value}")
        if self.noted:
            lines.append(f"noted: [{', '.join(self.noted)}]")
        return "\n".join(lines)


def merged(items: Iterable[Item]) -> tuple[Item, ...]:
    """The items with the two ends of one quantity's range put together; of two values for one end the first stays."""
    found: dict[str, Item] = {}
    for item in items:
        one = found.get(item.name)
        if one is None:
            found[item.name] = item
        elif one.range and item.range:
            ends: dict[str, str] = dict(one.range)
            for key, bound in item.range:
                if key not in ends and OTHER_END.get(key, key) not in ends:
                    ends[key] = bound
            order = sorted(ends, key=("min", "over", "max", "under").index)
            found[item.name] = Item(
                name=item.name,
                range=tuple((key, ends[key]) for key in order),
                parts=(*one.parts, *item.parts),
                sure=min(one.sure, item.sure),
            )
    return tuple(found.values())


def _items(key: str, items: tuple[Item, ...]) -> list[str]:
    """A mapping in one line where it is short, else one line for each."""
    if not items:
        return []
    written = [f"{item.name}: {item.written}" for item in items]
    one_line = f"{key}: {{{', '.join(written)}}}"
    if len(items) == 1 and len(one_line) <= WIDTH:
        return [one_line]
    return [f"{key}:", *(f"  {line}" for line in written)]


_PLAIN = re.compile(r"[A-Za-z0-9][\w./ ()-]*")


def quoted(text: str) -> str:
    """A text as YAML takes it inside brackets."""
    return text if _PLAIN.fullmatch(text) else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def write_amount(amount: Amount, style: NumberStyle) -> str:
    """An amount as our files write it, with as many places as it was printed with: `3500 cc`, `1.0 mm`, `10¼ in`."""
    digits = re.match(rf"[-−]?[\d.,{VULGAR}\s]*[\d{VULGAR}]", amount.printed)
    plain = amount.plain
    if digits is None or (amount.number.denominator != 1 and any(sign in digits[0] for sign in VULGAR)):
        return plain
    places = digits[0].rpartition(style.decimal)[2] if style.decimal in digits[0] else ""
    if not places.isdigit():
        return plain
    number, _, unit = plain.partition(" ")
    whole, _, exact = number.partition(".")
    if len(exact) > len(places) or (places[: len(exact)] != exact) or places[len(exact) :].strip("0"):
        return plain
    return f"{whole}.{places} {unit}".strip()
