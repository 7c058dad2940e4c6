"""What a changed text suggests for the readings that were confirmed against the old one: the numbers that moved, moved in them.

Nothing is guessed: a number that went two ways, or whose sentence may mean the reverse by now, is left to a person, and that is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TypeVar

from rulewatch.compare.moved_numbers import Moved, moved_numbers
from rulewatch.compare.sense import only_in, sentence_at, turned
from rulewatch.model.change import Change, Comparison
from rulewatch.model.clause import Clause, fold
from rulewatch.model.edition import Body, Edition
from rulewatch.model.fault import Place
from rulewatch.model.proposal import Proposal, Replacement
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading, Written
from rulewatch.model.stated_numbers import Statement, stated_numbers

Found = TypeVar("Found", date, int)

LONGEST_SHOWN = 120


def made_for(reading: Reading, change: Change | None, old: Edition | None) -> Clause | None:
    """The clause of the book before, as it was, that a reading was confirmed against; None where that cannot be told."""
    if reading.confirmed is None:
        return None
    paired = change.old if change is not None else ()
    others = old.clauses if old is not None else ()
    return next((clause for clause in (*paired, *others) if clause.digest == reading.confirmed.text), None)


def for_clause(clause: Clause, edition: Edition, comparison: Comparison | None) -> dict[Place, Proposal]:
    """The proposals for the readings of a clause that were confirmed against a text of the book before, by their places."""
    changes = comparison.changes if comparison is not None else ()
    change = next((one for one in changes if any(new.id == clause.id for new in one.new)), None)
    old = comparison.old if comparison is not None else None
    known = [(reading, made_for(reading, change, old)) for reading in edition.readings.get(clause.id, ())]
    pairs = [(reading, before) for reading, before in known if before is not None]
    if all(before.digest == clause.digest for _, before in pairs):
        return {}
    beside = [reading for reading, before in known if before is None]
    renumbered = comparison.renumbered if comparison is not None else {}
    found = propose(pairs, clause, edition.body, renumbered, beside=beside)
    return {one.reading.place: one for one in found}


def propose(
    readings: Sequence[tuple[Reading, Clause]],
    clause: Clause,
    body: Body,
    renumbered: Mapping[str, str] | None = None,
    *,
    beside: Sequence[Reading] = (),
) -> tuple[Proposal, ...]:
    """One proposal for each reading of a clause, each given with the clause, as it was, that the reading was made for.

    `renumbered` gives the new number of each old clause, `beside` are the clause's other readings. Where the text is the same
    nothing is proposed.
    """
    new = stated_numbers(fold(clause.plain), body)
    found = []
    for reading, before in readings:
        old = stated_numbers(fold(before.plain), body)
        found.append(_Reader(reading=reading, moved=moved_numbers(old, new, renumbered or {})).proposal())
    used = (*_amounts(found), *(amount for reading in beside for amount in reading.amounts))
    told = tuple(f"the text says `{number.amount}`, which no reading has" for number in new.unused(used))
    return tuple(replace(one, doubts=(*one.doubts, *told)) for one in found)


def _amounts(proposals: Sequence[Proposal]) -> Iterator[Amount]:
    """The amounts that the readings would have."""
    for proposal in proposals:
        now = {one.number.place: one.now for one in proposal.replacements}
        values = (now.get(number.place, number.value) for number in proposal.reading.numbers)
        yield from (value for value in values if isinstance(value, Amount))


@dataclass(frozen=True, kw_only=True)
class _Reader:
    """One reading held against the old and the new text of its clause."""

    reading: Reading
    moved: Moved

    def proposal(self) -> Proposal:
        """Every number with where it went; nothing where the sense may have turned."""
        if self.moved.old.text == self.moved.new.text:
            return Proposal(reading=self.reading)
        reverse = self.reverse()
        if reverse:
            return Proposal(reading=self.reading, turned=reverse)
        replacements: list[Replacement] = []
        doubts: list[str] = []
        for number in sorted(self.reading.numbers, key=lambda one: one.place):
            found = self.now(number)
            if isinstance(found, str):
                doubts.append(found)
            elif found is not None:
                replacements.append(Replacement(number=number, now=found))
        doubts += self.sentences()
        return Proposal(reading=self.reading, replacements=tuple(replacements), doubts=tuple(dict.fromkeys(doubts)))

    def sentences(self) -> Iterator[str]:
        """Where one text has all that the other has and more: what it has more."""
        old, new = self.moved.old.text, self.moved.new.text
        went, came = only_in(old, new), only_in(new, old)
        if not (went and came):
            yield from (f"the text says more by now: “{shown(one)}”" for one in came)
            yield from (f"the text does not say any more: “{shown(one)}”" for one in went)

    def reverse(self) -> str:
        """What speaks for another sense of the sentences that the reading's numbers stand in, or of all where it has none."""
        old, new = self.moved.old, self.moved.new
        starts = [said.start for amount in self.reading.amounts for said in old.find(amount)]
        pairs = [(start, there) for start in starts if (there := self.moved.went.get(start)) is not None]
        if not pairs:
            went, came = only_in(old.text, new.text), only_in(new.text, old.text)
            return turned(" ".join(went), " ".join(came)) if went else ""
        told = (turned(sentence_at(old.text, start), sentence_at(new.text, there)) for start, there in pairs)
        return next(filter(None, told), "")

    def now(self, number: Written) -> Amount | date | str | None:
        """What a number should be now, None where it stays, or in words why that cannot be told."""
        if isinstance(number.value, date):
            return self.day(number.value, sought=number.sought)
        return self.amount(number.value, sought=number.sought)

    # --- Amounts ----------------------------------------------------------------------------------------------------------

    def amount(self, amount: Amount, *, sought: bool) -> Amount | str | None:
        hits = self.moved.old.find(amount)
        found = [target for hit in hits if (target := self.target(hit)) is not None]
        values = _distinct([self.written(target, amount) for target in found])
        if len(values) == 1:
            return None if values[0].same_value(amount) else values[0]
        if values:
            choice = " and ".join(f"`{value.plain}`" for value in values)
            return f"`{amount}` stands in the old text more than once, and became {choice}: look which is meant"
        if not sought or self.moved.new.find(amount):
            return None
        return (
            f"`{amount}` is gone from the text, and nothing came in its place"
            if hits
            else f"`{amount}` was not in the old text"
        )

    def target(self, hit: Statement) -> Statement | None:
        """The statement of the new text that one of the old text became."""
        old, new = self.moved.old, self.moved.new
        if len(hit.parts) > 1 or (hit.parts and hit.amount is not old.digits[hit.parts[0]].amount):
            starts = [self.moved.went.get(old.digits[part].start) for part in hit.parts]
            parts = tuple(at for at, number in enumerate(new.digits) if number.start in starts)
            return next((said for said in new.says if said.parts == parts and _alike(said.amount, hit.amount)), None)
        start = self.moved.went.get(hit.start)
        if start is None:
            return None
        there = [said for said in new.says if said.start == start]
        return next((said for said in there if _alike(said.amount, hit.amount)), None)

    def written(self, target: Statement, was: Amount) -> Amount:
        """The amount of a statement as the reading should have it: as the body says which of two units rules, in the reading's own."""
        new = self.moved.new
        amount = new.ruling(target) or target.amount
        same = (said.amount for said in new.says if said.amount.same_value(amount) and said.amount.unit == was.unit)
        amount = next(same, amount)
        if (amount.unit.factor, amount.unit.offset) == (was.unit.factor, was.unit.offset):
            amount = amount.to(was.unit)  # cm³ and cc are one unit
        return amount.times(Fraction(-1)) if was.number < 0 < amount.number else amount

    # --- Days -------------------------------------------------------------------------------------------------------------

    def day(self, day: date, *, sought: bool) -> date | str | None:
        """A day moved as the day or the year that the text named for it."""
        (days, new_days), (years, new_years) = self.moved.days, self.moved.years
        found: set[date | str | None] = set()
        for start, old in days.items():
            if abs((old - day).days) <= 1:
                new = self.there(new_days, start)
                found.add(day + (new - old) if new is not None else None)
        for start, year in years.items():
            if abs(year - day.year) <= 1 and year in {day.year, _next(day, 1).year, _next(day, -1).year}:
                new_year = self.there(new_years, start)
                found.add(_in_year(day, day.year + new_year - year) if new_year is not None else None)
        if not found or found == {day}:
            return None
        if len(found) == 1 and None not in found:
            return found.pop()
        return f"{day} is not in the text by now" if sought or None not in found else None

    def there(self, found: Mapping[int, Found], start: int) -> Found | None:
        """What of the new text one of the old, by where it begins, became."""
        place = self.moved.went.get(start)
        return found.get(place) if place is not None else None


def shown(sentence: str) -> str:
    """A sentence as it is told, cut where it is long."""
    return sentence if len(sentence) <= LONGEST_SHOWN else f"{sentence[: LONGEST_SHOWN - 1]}…"


def _next(day: date, days: int) -> date:
    return date.fromordinal(day.toordinal() + days)


def _in_year(day: date, year: int) -> date | str:
    try:
        return day.replace(year=year)
    except ValueError:
        return f"{day} has no like in {year}"


def _alike(one: Amount, other: Amount) -> bool:
    return one.unit.dimension == other.unit.dimension and bool(one.unit.symbol) == bool(other.unit.symbol)


def _distinct(amounts: Sequence[Amount]) -> list[Amount]:
    """Amounts of different size, the first of each."""
    found: list[Amount] = []
    for amount in amounts:
        if not any(amount.same_value(other) for other in found):
            found.append(amount)
    return found
