"""The readings of one edition carried to the paired clauses of the next, as text: nothing of a person's is lost or altered.

A reading is copied as it was written, comments included, with the confirmation that it had: where the text stayed that still
matches, and where the text changed it no longer does, so that the reading is open until a person looks. Only the numbers of
clauses that a reading names follow their clauses. What a person wrote in the new edition is left alone, so that carrying
twice changes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rulewatch.compare.pairing import pair
from rulewatch.compare.wording import difference
from rulewatch.model.carried import Carried, CarriedReading, Fate
from rulewatch.model.change import DOUBTFUL, Pairing
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition, SettledPair
from rulewatch.model.fault import Source
from rulewatch.model.reading import Reading
from rulewatch.model.stated_numbers import StatedNumbers, stated_numbers
from rulewatch.parse.block_edits import followed, without_confirmation
from rulewatch.parse.clauses import Chapter, parse_book
from rulewatch.parse.placing import Placement, place_blocks
from rulewatch.parse.reading_lines import block_lines

WORD = re.compile(r"[^\W\d_]{3,}")
STEM = 5  # letters that two words have in common to count as one: width, widths


def carry(
    old: Edition, sources: Mapping[str, Source], chapters: Sequence[Source], settled: Sequence[SettledPair] = ()
) -> Carried:
    """Put the readings of an edition, bulletins included, under the clauses of the chapters of the next.

    `sources` are the files that the old readings stand in, by path; `chapters` are all of the new edition's, in order;
    `settled` are the pairs that a person settled between the two.
    """
    book = parse_book(chapters)
    crossing = _Crossing(old=old, book=book, pairings=pair(old.clauses, book.clauses, settled), sources=sources)
    found = list(_held_back(crossing.readings(), crossing))
    placed = place_blocks(
        chapters, [Placement(clause=one.new, lines=tuple(one.text.split("\n"))) for one in found if one.fate.carried]
    )
    left = {(one.clause, "\n".join(one.lines)) for one in placed.left}
    return Carried(
        readings=tuple(
            replace(one, fate=Fate.UNPLACED, confirmed=False) if one.fate.carried and (one.new, one.text) in left else one
            for one in found
        ),
        chapters=placed.texts,
        insertions=placed.insertions,
    )


def _held_back(found: Iterable[CarriedReading], crossing: _Crossing) -> Iterator[CarriedReading]:
    """The readings, less those that nobody ever confirmed and that would be wrong under their new text."""
    together: dict[str, list[CarriedReading]] = {}
    row = list(found)
    for one in row:
        if one.fate.carried:
            together.setdefault(one.new, []).append(one)
    for one in row:
        unfounded = one.fate.carried and one.reading.confirmed is None and one.fate is not Fate.SAME
        if unfounded:
            beside = [other.reading for other in together[one.new]]
            excused = any(reading.confirmed is not None for reading in beside)
            unfounded = bool(one.lost) or (
                not excused
                and bool(crossing.stated(one.new).unused(amount for reading in beside for amount in reading.amounts))
            )
        yield replace(one, fate=Fate.UNFOUNDED) if unfounded else one


@dataclass(frozen=True, kw_only=True)
class _Crossing:
    """The way from one edition to the next: where each old clause went."""

    old: Edition
    book: Chapter
    pairings: tuple[Pairing, ...]
    sources: Mapping[str, Source]

    @cached_property
    def clauses(self) -> Mapping[str, Clause]:
        """The new clauses by id."""
        return {clause.id: clause for clause in self.book.clauses}

    @cached_property
    def read(self) -> frozenset[str]:
        """The new clauses that a person has read."""
        return frozenset(block.clause for block in self.book.blocks)

    @cached_property
    def went(self) -> Mapping[str, tuple[Pairing, ...]]:
        """The pairings of each old clause; one that was split and joined has several."""
        found: dict[str, tuple[Pairing, ...]] = {}
        for pairing in self.pairings:
            for clause in pairing.old:
                found[clause] = (*found.get(clause, ()), pairing)
        return found

    @cached_property
    def renumbered(self) -> Mapping[str, str]:
        """The new number of each old clause, the first of several."""
        return {old: new[0] for old in self.went if (new := self.partners(old))}

    def partners(self, old: str) -> tuple[str, ...]:
        """What became of an old clause, in the order of the new book."""
        return tuple(dict.fromkeys(new for pairing in self.went.get(old, ()) for new in pairing.new))

    def certainty(self, old: str) -> float:
        """How sure it is where an old clause went."""
        return min((pairing.certainty for pairing in self.went.get(old, ())), default=0.0)

    def stated(self, new: str) -> StatedNumbers:
        """The numbers of a new clause's text."""
        return stated_numbers(self.clauses[new].plain, self.old.body)

    def readings(self) -> Iterator[CarriedReading]:
        """Every reading of the old edition with what becomes of it."""
        for clause in self.old.clauses:
            for reading in self.old.readings.get(clause.id, ()):
                yield self.carried(clause, reading)

    def carried(self, clause: Clause, reading: Reading) -> CarriedReading:
        """One reading, under the clause that is its own now."""
        lines = block_lines(reading, self.sources[reading.place.path])
        one = CarriedReading(reading=reading, old=clause.id, new="", fate=Fate.GONE, text="\n".join(lines))
        partners = self.partners(clause.id)
        if not partners:
            return one
        new = self.clauses[self.best(reading, lines, partners)]
        if new.id in self.read:
            return replace(one, new=new.id, fate=Fate.READ)
        targets = {name: self.partners(name) for name in reading.instead_of}
        text, moved = followed(lines, targets)
        fate = self.fate(clause, new)
        doubts = tuple(self.doubts(clause, new, reading)) if fate is Fate.SAME else ()
        confirmed = fate is Fate.SAME and not doubts and reading.is_confirmed(clause.digest)
        if doubts and reading.is_confirmed(clause.digest):
            text = without_confirmation(text)
        stated = self.stated(new.id)
        return replace(
            one,
            new=new.id,
            fate=fate,
            text="\n".join(text),
            confirmed=confirmed,
            lost=tuple(dict.fromkeys(str(number.value) for number in reading.numbers if stated.lacks(number))),
            followed=moved,
            notes=(*doubts, *(f"reads in place of {name}, which is gone" for name, new in targets.items() if not new)),
        )

    def best(self, reading: Reading, lines: Sequence[str], partners: Sequence[str]) -> str:
        """Which of the parts of a split a reading belongs to: the one that has its numbers, and then its words."""
        if len(partners) == 1:
            return partners[0]
        words = {word[:STEM] for word in WORD.findall(" ".join(lines).casefold())}

        def speaks_for(new: str) -> tuple[int, int]:
            stated = self.stated(new)
            said = {word[:STEM] for word in WORD.findall(self.clauses[new].plain.casefold())}
            return sum(not stated.lacks(number) for number in reading.numbers), len(words & said)

        return max(partners, key=speaks_for)

    def fate(self, clause: Clause, new: Clause) -> Fate:
        """What became of a clause's text; where that is equal, nothing else counts."""
        if clause.digest == new.digest:
            return Fate.SAME
        pairings = [pairing for pairing in self.went[clause.id] if new.id in pairing.new]
        if len(self.partners(clause.id)) > 1:
            return Fate.SPLIT
        if any(len(pairing.old) > 1 for pairing in pairings):
            return Fate.JOINED
        only = difference(clause.plain, new.plain, self.renumbered).wording_only
        return Fate.WORDING if only else Fate.CHANGED

    def doubts(self, clause: Clause, new: Clause, reading: Reading) -> Iterator[str]:
        """Why a reading does not count as confirmed under the very same text."""
        if self.certainty(clause.id) < DOUBTFUL:
            yield f"it is not sure that {clause.id} became {new.id}"
        for name in reading.instead_of:
            partners = self.partners(name)
            named = name in clause.references and partners != (name,)
            if named or len(partners) != 1 or self.certainty(name) < DOUBTFUL:
                became = f"became {' and '.join(partners)}" if partners else "is gone"
                yield f"it is read in place of {name}, which {became}"
        for day in filter(None, (reading.since, reading.until)):
            if str(day.year) not in clause.text:
                yield f"{day} is a day of the season before"
        if self.changed_above(clause, new):
            yield "the sentence that it is a part of changed"

    def changed_above(self, clause: Clause, new: Clause) -> bool:
        """Whether a clause stands under words of another meaning now; a heading alone is none."""
        above, now = self.old.by_id.get(clause.parent), self.clauses.get(new.parent)
        says = [one for one in (above, now) if one is not None and one.folded != one.heading]
        if not says:
            return False
        if above is None or now is None:
            return True
        return not difference(above.plain, now.plain, self.renumbered).wording_only
