"""Consolidation: the text in force, from the published text and the bulletins that count.

Bulletins are applied by effective date, then by number in natural order. Within one bulletin every number means the text in
force just before it: repeals and substitutions come first, then insertions, each behind its nearest preceding sibling.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from rulewatch.model.clause import INSERTED, TOKEN, Clause, natural_order, roman_number
from rulewatch.model.edition import Amendment, Bulletin, BulletinStatus, Edition, EditionHeader, Point, Selector
from rulewatch.model.fault import Fault
from rulewatch.model.reading import Reading
from rulewatch.parse.references import find_references


@dataclass(frozen=True, slots=True, kw_only=True)
class Consolidated:
    """The text in force. `amended_by` maps the id of each clause that was changed, added or repealed to the last bulletin."""

    clauses: tuple[Clause, ...]
    readings: Mapping[str, tuple[Reading, ...]]
    applied: tuple[Bulletin, ...] = ()
    amended_by: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()


def select_bulletins(
    bulletins: Iterable[Bulletin], header: EditionHeader, point: Point
) -> tuple[tuple[Bulletin, ...], tuple[Bulletin, ...]]:
    """The final bulletins that count at a point, in the order of application, and the drafts that would, kept apart.

    A bulletin that was issued for certain events counts at those alone, whatever its date. An event that the edition does
    not have selects nothing; that it is unknown is for the caller to say.
    """
    counting = [bulletin for bulletin in in_order_of_force(bulletins) if _counts(bulletin, header, point)]
    final = tuple(bulletin for bulletin in counting if bulletin.status is BulletinStatus.FINAL)
    drafts = tuple(bulletin for bulletin in counting if bulletin.status is BulletinStatus.DRAFT)
    return final, drafts


def in_order_of_force(bulletins: Iterable[Bulletin]) -> tuple[Bulletin, ...]:
    """Bulletins by effective date, then by number as a reader counts."""
    return tuple(sorted(bulletins, key=lambda each: (each.effective, natural_order(each.number), each.number, each.place)))


def _counts(bulletin: Bulletin, header: EditionHeader, point: Point) -> bool:
    match point.selector:
        case Selector.ALL:
            return not bulletin.events
        case Selector.PUBLISHED:
            return False
        case Selector.DATE:
            return not bulletin.events and point.day is not None and bulletin.effective <= point.day
        case Selector.EVENT:
            if bulletin.events:
                return point.event in bulletin.events
            return any(event.id == point.event and bulletin.effective <= event.on for event in header.events)


def consolidate(
    clauses: Sequence[Clause], readings: Mapping[str, Sequence[Reading]], bulletins: Iterable[Bulletin]
) -> Consolidated:
    """Apply bulletins to a published text.

    A new text brings its own readings; without any, its clause is unread. An amendment that cannot be applied is a fault at
    its place in the bulletin, and is left out.
    """
    text = _Text(clauses, readings)
    ordered = in_order_of_force(bulletins)
    numbers: dict[str, Bulletin] = {}
    for bulletin in ordered:
        if bulletin.number in numbers:
            first = numbers[bulletin.number].place.path
            text.fault(
                "wrong-value", bulletin, f"bulletin `{bulletin.number}` again, as in {first}", "give it a number of its own"
            )
        numbers.setdefault(bulletin.number, bulletin)
        text.apply(bulletin)
    return Consolidated(
        clauses=_with_references(text.clauses) if ordered else tuple(text.clauses),
        readings=text.readings,
        applied=ordered,
        amended_by=text.amended_by,
        faults=tuple(text.faults),
    )


def with_drafts(edition: Edition) -> tuple[Edition, tuple[Fault, ...]]:
    """An edition as it would be with its drafts, and what is wrong with these; to check them, and for nothing else."""
    book = consolidate(edition.clauses, edition.readings, edition.drafts)
    return replace(edition, clauses=book.clauses, readings=book.readings), book.faults


def _with_references(clauses: Sequence[Clause]) -> tuple[Clause, ...]:
    """The clauses with their references resolved again: numbers may have come and gone."""
    known = frozenset(clause.id for clause in clauses)

    def references(clause: Clause) -> tuple[str, ...]:
        annex = clause.id.rpartition("/")[0]
        return find_references(clause.text, known, clause=clause.id, annex=annex if annex in known else "")

    return tuple(replace(clause, references=references(clause)) for clause in clauses)


class _Text:
    """The text as it changes from bulletin to bulletin, in document order."""

    def __init__(self, clauses: Sequence[Clause], readings: Mapping[str, Sequence[Reading]]) -> None:
        self.clauses = list(clauses)
        self.readings = {clause: tuple(found) for clause, found in readings.items() if found}
        self.amended_by: dict[str, str] = {}
        self.faults: list[Fault] = []

    def fault(self, code: str, at: Amendment | Bulletin, found: str, remedy: str) -> None:
        self.faults.append(Fault(code=code, place=at.place, found=found, remedy=remedy))

    def apply(self, bulletin: Bulletin) -> None:
        """Every amendment of a bulletin: those that touch what is there, then what is new, parents before children."""
        before = {clause.id for clause in self.clauses}
        applied = [each for each in bulletin.amendments if each.number in before and self.change(each, bulletin)]
        new = [each for each in bulletin.amendments if each.number not in before]
        new.sort(key=lambda each: natural_order(each.number))
        applied.extend(each for each in new if self.insert(each))
        self.amended_by.update((each.number, bulletin.number) for each in applied)

    def change(self, amendment: Amendment, bulletin: Bulletin) -> bool:
        """Replace or repeal a clause that is there, unless that would leave open what becomes of the clauses under it."""
        number = amendment.number
        index = self.index(number)
        if left := self.left(amendment, bulletin, [clause.id for clause in self.clauses[index + 1 : self.end_of(number)]]):
            does = "repeals" if amendment.clause is None else "gives a new text with parts of"
            found = f"{does} {number}, and does not say what becomes of {', '.join(left)} under it"
            self.fault("bulletin-clause-left", amendment, found, "give each of them its text or `repeal`")
            return False
        if amendment.clause is None:
            del self.clauses[index]
        else:
            old = self.clauses[index]
            self.clauses[index] = replace(amendment.clause, label=old.label, parent=old.parent, chapter=old.chapter)
        self.read(amendment)
        return True

    def left(self, amendment: Amendment, bulletin: Bulletin, under: Sequence[str]) -> list[str]:
        """Which clauses under an amended one the bulletin leaves open: a new text alone keeps them, one with parts does not."""
        if amendment.clause is None:
            repealed = {each.number for each in bulletin.amendments if each.clause is None}
            return [each for each in under if each not in repealed]
        with_parts = any(each.block == amendment.number != each.number for each in bulletin.amendments)
        named = {each.number for each in bulletin.amendments}
        return [each for each in under if each not in named] if with_parts else []

    def insert(self, amendment: Amendment) -> bool:
        """Add a clause where its number belongs."""
        if amendment.clause is None:
            self.fault(
                "bulletin-clause-missing",
                amendment,
                f"repeals {amendment.number}, which is not in force",
                self.offer(amendment),
            )
            return False
        spot = self.spot(amendment.number)
        if spot is None:
            found = f"{amendment.number} is not in force, and nothing that it could stand under or beside"
            self.fault("bulletin-clause-missing", amendment, found, self.offer(amendment))
            return False
        index, parent, chapter = spot
        self.clauses.insert(index, replace(amendment.clause, parent=parent, chapter=chapter))
        self.read(amendment)
        return True

    def read(self, amendment: Amendment) -> None:
        self.readings.pop(amendment.number, None)
        if amendment.readings:
            self.readings[amendment.number] = amendment.readings

    def offer(self, amendment: Amendment) -> str:
        """The clause whose number differs in its last part only, or just in brackets and dots, as a remedy."""
        key = natural_order(amendment.number)
        same = next((clause.id for clause in self.clauses if natural_order(clause.id) == key), "")
        return f"did you mean {same}?" if same else "correct the number, or check the order of the bulletins"

    # --- Where a number belongs ---------------------------------------------------------------------------------------

    def index(self, number: str) -> int:
        return next(n for n, clause in enumerate(self.clauses) if clause.id == number)

    def spot(self, number: str) -> tuple[int, str, str] | None:
        """Index, parent and chapter of a new number; None where the text has neither a parent nor a sibling of it.

        Where a book begins its clauses with numbers of one form (5.1, 6.1 under chapters without a number), one of that form
        (9.1) stands among them, as the first of its chapter.
        """
        kin = self.kin(number)
        if kin is not None:
            return self.among(number, kin.parent)
        above = _Label.of(number).above
        parent = next((clause for clause in self.clauses if clause.id == above), None)
        if parent is not None:
            return self.end_of(parent.id), parent.id, parent.chapter
        form = _form(number)
        return self.among(number, "") if any(not one.parent and _form(one.id) == form for one in self.clauses) else None

    def kin(self, number: str) -> Clause | None:
        """A clause whose number differs in its last part only. 36a is beside 36, unless such letters stand under numbers."""
        label = _Label.of(number)
        labels = [(clause, _Label.of(clause.id)) for clause in self.clauses]
        kin = next((clause for clause, other in labels if other == label), None)
        if kin or not label.glued or any(other.glued and clause.parent == other.above for clause, other in labels):
            return kin
        beside = _Label.of(label.base)
        return next((clause for clause, other in labels if other == beside), None)

    def among(self, number: str, parent: str) -> tuple[int, str, str]:
        """The place behind the nearest preceding child of a parent, and all that stands under it.

        Where chapters have no number of their own, a new first clause of one (9.1 before 9.2) stands in it, not at the end of
        the one before.
        """
        children = [clause for clause in self.clauses if clause.parent == parent]
        label = _Label.of(number)
        siblings = [clause for clause in children if _Label.of(clause.id) == label]
        roman = _counts_in_roman([clause.id for clause in siblings])
        key = natural_order(number, roman=roman)
        if not parent and label.above and siblings and key < natural_order(siblings[0].id, roman=roman):
            return self.index(siblings[0].id), parent, siblings[0].chapter
        earlier = [clause for clause in children if natural_order(clause.id, roman=roman) <= key]
        if not earlier:
            return self.index(children[0].id), parent, children[0].chapter
        nearest = max(earlier, key=lambda clause: natural_order(clause.id, roman=roman))
        return self.end_of(nearest.id), parent, nearest.chapter

    def end_of(self, number: str) -> int:
        """The index behind a clause and all that stands under it."""
        first = self.index(number)
        inside = {number}
        for index in range(first + 1, len(self.clauses)):
            if self.clauses[index].parent not in inside:
                return index
            inside.add(self.clauses[index].id)
        return len(self.clauses)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Label:
    """A number taken apart: what stands above its last part, and the signs around that part.

    `4.2.1(a)`: above `4.2.1`, signs `(` and `)`. `36a`: above `36`, no signs, so that the last part is `glued`, as is that of
    `5 bis`. `base` is the number without its last part: `36` of `36a`, and `2(3)` of `2(3a)`.
    """

    above: str
    signs: tuple[str, str]
    glued: bool
    base: str = field(default="", compare=False)

    @classmethod
    def of(cls, number: str) -> _Label:
        parts = list(TOKEN.finditer(number))
        if len(parts) <= 1:
            return cls(above="", signs=("", ""), glued=False)
        start, end = parts[-1].span()
        above = re.sub(r"[^\w)\]]+\Z", "", number[:start])
        glued = len(above) == start or parts[-1][0].casefold() in INSERTED
        base = number[:start].rstrip() + number[end:]
        return cls(above=above, signs=(number[len(above) : start], number[end:]), glued=glued, base=base)


def _form(number: str) -> str:
    """A number with its digits and single letters left open: `9.1` and `12.3` are of one form, `A.1` is of another."""
    return re.sub(r"(?<![^\W\d_])[^\W\d_](?![^\W\d_])", "a", re.sub(r"\d+", "0", number))


def _counts_in_roman(numbers: Iterable[str]) -> bool:
    """Whether the last parts of numbers are Roman: most letters can be (VIIIa cannot), and one could be nothing else (iv)."""
    parts = [part for number in numbers for part in TOKEN.findall(number)[-1:] if not part.isdigit()]
    roman = [part for part in parts if roman_number(part)]
    return 2 * len(roman) > len(parts) and any(len(part) > 1 for part in roman)
