"""The lines of a plain text by pages, and the running heads and feet among them.

A form feed begins a page. What stands first or last on several pages in the same words, or in the same words but for a number
that counts with the pages, is no rule text.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

LONGEST_WITH_TABS = 10_000  # characters of a line whose tabs are expanded; beyond, a tab is a space
ZONE = 3  # lines with words at either end of a page that may be its head or foot
REPEATED = 3  # pages on which a head or foot must stand; of two pages, both
NUMBER = re.compile(r"[0-9]{1,6}")


class Row(NamedTuple):
    """A line: its text without white space at its end, its page (0 where there are none), its line on it and in the file."""

    text: str
    page: int
    line: int
    file_line: int

    @property
    def indent(self) -> int:
        """The column at which its words begin, from 0."""
        return len(self.text) - len(self.text.lstrip())


def pages(text: str) -> list[list[Row]]:
    """The lines of a text by pages; one page where there is no form feed."""
    parts = text.split("\f")
    while len(parts) > 1 and not parts[-1].strip():
        parts.pop()
    made, before = [], 0
    for number, part in enumerate(parts, start=1):
        lines = part.split("\n")
        page = number if len(parts) > 1 else 0
        made.append([Row(_expanded(line), page, at, before + at) for at, line in enumerate(lines, start=1)])
        before += len(lines) - 1
    return made


def _expanded(line: str) -> str:
    if "\t" in line:
        line = line.expandtabs() if len(line) <= LONGEST_WITH_TABS else line.replace("\t", " ")
    return line.rstrip()


def furniture(book: Sequence[Sequence[Row]]) -> set[Row]:
    """The running heads and feet of a book."""
    needed = min(REPEATED, max(len(book), 2))
    groups: dict[tuple[object, ...], list[Row]] = defaultdict(list)
    for page in book if len(book) > 1 else ():
        filled = [at for at, row in enumerate(page) if row.text]
        for zone, places in (("head", filled[:ZONE]), ("foot", filled[: -ZONE - 1 : -1])):
            for at in _apart(page, places, 1 if zone == "head" else -1):
                row = page[at]
                words = " ".join(row.text.split())
                groups[zone, words].append(row)
                numbers = NUMBER.findall(words) if len(book) >= REPEATED else []
                for place, number in enumerate(numbers):
                    rest = tuple(each for other, each in enumerate(numbers) if other != place)
                    groups[zone, NUMBER.sub("0", words), rest, place, int(number) - row.page].append(row)
    return {row for rows in groups.values() if len(rows) >= needed for row in rows}


def _apart(page: Sequence[Row], places: Iterable[int], step: int) -> list[int]:
    """Of the outermost lines of a page, those that an empty line parts from its text."""
    places = list(places)
    for count in range(len(places), 0, -1):
        behind = places[count - 1] + step
        if 0 <= behind < len(page) and not page[behind].text:
            return places[:count]
    return []
