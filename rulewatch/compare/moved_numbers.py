"""Where each number of a text went in the changed text: 60 mm became 75 mm, by the place of both among the words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from rulewatch.compare.wording import difference
from rulewatch.model.change import Mark
from rulewatch.model.quantity import Amount
from rulewatch.model.stated_numbers import StatedNumbers

MONTHS = (
    "january|januar february|februar march|märz april may|mai june|juni july|juli august september october|oktober "
    "november december|dezember"
)
MONTH_NUMBERS = {name: number for number, names in enumerate(MONTHS.split(), start=1) for name in names.split("|")}
DAY = re.compile(
    rf"(?P<iso>\d{{4}}-\d\d-\d\d)(?!\d)|(?<!\d)(?P<day>\d{{1,2}})(?:st|nd|rd|th|\.)?\s(?:of\s)?"
    rf"(?P<month>{'|'.join(MONTH_NUMBERS)}),?\s(?P<year>\d{{4}})(?!\d)",
    re.IGNORECASE,
)
YEAR = re.compile(r"(?<![\d.,])(?:19|20)\d\d(?![\d.,]*\d)")
# Words for numbers that stand in many a sentence without counting anything.
HARDLY_NUMBERS = re.compile(r"(?:no|none|nil|null|kein|keine|ein|eine|einen|einem|einer)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """A number, a day or a year in a text, and where it begins. A word for a number may be read with its unit or without."""

    start: int
    values: tuple[Amount | date | int, ...]

    def alike(self, other: Token, alike: Callable[[Amount, Amount], bool]) -> bool:
        """Whether two tokens are of one kind and alike; two days, and two years, always are."""
        return any(
            alike(one, two) if isinstance(one, Amount) and isinstance(two, Amount) else type(one) is type(two)
            for one in self.values
            for two in other.values
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Both texts of a clause, and for each number of the old one where it went, by where they begin; None where it is gone."""

    old: StatedNumbers
    new: StatedNumbers
    went: Mapping[int, int | None]
    days: tuple[Mapping[int, date], Mapping[int, date]]  # those of the old text and of the new one, by where they begin
    years: tuple[Mapping[int, int], Mapping[int, int]]  # those that are part of no day


def moved_numbers(old: StatedNumbers, new: StatedNumbers, renumbered: Mapping[str, str]) -> Moved:
    """Find where numbers went between two folded texts."""
    days, new_days = dict(_days(old.text)), dict(_days(new.text))
    years, new_years = dict(_years(old.text)), dict(_years(new.text))
    before, after = list(_tokens(old, days, years)), list(_tokens(new, new_days, new_years))
    went = _went(difference(old.text, new.text, renumbered).words, before, after)
    return Moved(old=old, new=new, went=went, days=(days, new_days), years=(years, new_years))


def _tokens(stated: StatedNumbers, days: Mapping[int, date], years: Mapping[int, int]) -> Iterator[Token]:
    """The numbers of a text in its order, each once."""
    found: dict[int, list[Amount | date | int]] = {start: [day] for start, day in days.items()}
    for start, year in years.items():
        found.setdefault(start, []).append(year)
    for said in stated.says:
        is_rate = bool(said.parts) and said.amount is not stated.digits[said.parts[0]].amount
        hardly = not said.parts and HARDLY_NUMBERS.match(stated.text, said.start)
        if not (is_rate or hardly or said.start in years):
            found.setdefault(said.start, []).append(said.amount)
    for start, values in sorted(found.items()):
        yield Token(start=start, values=tuple(values))


def _days(text: str) -> Iterator[tuple[int, date]]:
    for match in DAY.finditer(text):
        try:
            if match["iso"]:
                yield match.start(), date.fromisoformat(match["iso"])
            else:
                month = MONTH_NUMBERS[match["month"].casefold()]
                yield match.start(), date(int(match["year"]), month, int(match["day"]))
        except ValueError:  # no day of the calendar
            continue


def _years(text: str) -> Iterator[tuple[int, int]]:
    inside = [match.span() for match in DAY.finditer(text)]
    for match in YEAR.finditer(text):
        if not any(start <= match.start() < end for start, end in inside):
            yield match.start(), int(match[0])


# --- Alignment --------------------------------------------------------------------------------------------------------


def _went(runs: Iterable[tuple[Mark, str]], before: Sequence[Token], after: Sequence[Token]) -> dict[int, int | None]:
    went: dict[int, int | None] = {}
    came: list[Token] = []
    at_old = at_new = 0
    for keeps, group in groupby(runs, key=lambda run: run[0] is Mark.KEEP):
        row = list(group)
        end_old = at_old + sum(len(text) for mark, text in row if mark.in_old)
        end_new = at_new + sum(len(text) for mark, text in row if mark.in_new)
        ours = [one for one in before if at_old <= one.start < end_old]
        theirs = [one for one in after if at_new <= one.start < end_new]
        if keeps:
            there = {one.start for one in theirs}
            went |= {one.start: one.start - at_old + at_new if one.start - at_old + at_new in there else None for one in ours}
        else:
            came += _matched(ours, theirs, went)
        at_old, at_new = end_old, end_new
    gone = [one for one in before if went.get(one.start) is None]
    _matched_by(gone, came, same_value, went)
    return went


def _matched(ours: list[Token], theirs: list[Token], went: dict[int, int | None]) -> list[Token]:
    """Pair the numbers of replaced words, the likest first, in order; gives those that only the new text has."""
    went |= {one.start: None for one in ours}
    for alike in (same_value, same_unit, same_kind):
        _matched_by(ours, theirs, alike, went)
    return theirs


def _matched_by(
    ours: list[Token], theirs: list[Token], alike: Callable[[Amount, Amount], bool], went: dict[int, int | None]
) -> None:
    for one in tuple(ours):
        other = next((two for two in theirs if one.alike(two, alike)), None)
        if other is not None:
            ours.remove(one)
            theirs.remove(other)
            went[one.start] = other.start


def same_value(one: Amount, other: Amount) -> bool:
    """The same size; a plain number is no share."""
    return same_kind(one, other) and one.same_value(other)


def same_unit(one: Amount, other: Amount) -> bool:
    """Two amounts in one unit."""
    return one.unit == other.unit


def same_kind(one: Amount, other: Amount) -> bool:
    """Two amounts that convert into each other."""
    return one.unit.dimension == other.unit.dimension and bool(one.unit.symbol) == bool(other.unit.symbol)
