"""Consolidation: the text in force, from the published text and the bulletins that count.

Bulletins are applied by effective date, then by number in natural order (`applying.py`). Within one bulletin every number means
the text in force just before it: repeals and substitutions come first, then insertions, each behind its nearest preceding sibling.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Bulletin, BulletinStatus, Edition, EditionHeader, Point, Selector
from rulewatch.model.fault import Fault
from rulewatch.model.instruction import Suspension
from rulewatch.model.reading import Reading
from rulewatch.parse.applying import apply_bulletin
from rulewatch.parse.references import find_references
from rulewatch.parse.text_in_force import TextInForce


@dataclass(frozen=True, slots=True, kw_only=True)
class Consolidated:
    """The text in force. `amended_by` maps the id of each clause that was changed, added or repealed to the last bulletin.

    `suspended` are the clauses that are out of force; they stand in the text as a note that says so. `origins` are the published
    numbers of clauses that have others now. `reread` are the ids of those whose words were changed and whose readings the
    bulletin gave: these are still to be checked against the text.
    """

    clauses: tuple[Clause, ...]
    readings: Mapping[str, tuple[Reading, ...]]
    applied: tuple[Bulletin, ...] = ()
    amended_by: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    suspended: Mapping[str, Suspension] = field(default_factory=dict)
    origins: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    reread: tuple[str, ...] = ()


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
    clauses: Sequence[Clause],
    readings: Mapping[str, Sequence[Reading]],
    bulletins: Iterable[Bulletin],
    *,
    day: date | None = None,
    before: Edition | None = None,
) -> Consolidated:
    """Apply bulletins to a published text, as it is in force on a day: what is suspended until then or earlier is back.

    Without a day no suspension ends. A new text brings its own readings; without any, its clause is unread. What cannot be applied
    is a fault at its place in the bulletin, and is left out. With an edition `before`, its text goes on: what it has suspended and
    renumbered is known.
    """
    text = TextInForce(
        clauses, readings, suspended=before.suspended if before else None, origins=before.origins if before else None
    )
    ordered = in_order_of_force(bulletins)
    numbers: dict[str, Bulletin] = {}
    for bulletin in ordered:
        if bulletin.number in numbers:
            first = numbers[bulletin.number].place.path
            text.fault(
                "wrong-value", bulletin, f"bulletin `{bulletin.number}` again, as in {first}", "give it a number of its own"
            )
        numbers.setdefault(bulletin.number, bulletin)
        apply_bulletin(text, bulletin)
    suspended = text.suspended_on(day)
    shown = _without(text.clauses, suspended) if suspended else text.clauses
    return Consolidated(
        clauses=_with_references(shown) if ordered else tuple(shown),
        readings={number: found for number, found in text.readings.items() if number not in suspended},
        applied=ordered,
        amended_by=text.amended_by,
        faults=tuple(text.faults),
        suspended=suspended,
        origins=text.origins,
        reread=tuple(number for number in dict.fromkeys(text.reread) if number in text.numbers),
    )


def _without(clauses: Iterable[Clause], suspended: Mapping[str, Suspension]) -> list[Clause]:
    """The text with a note, and the heading above it, in the place of each clause that is out of force."""
    return [_noted(clause, suspended[clause.id]) if clause.id in suspended else clause for clause in clauses]


def _noted(clause: Clause, suspension: Suspension) -> Clause:
    until = f" until {suspension.until}" if suspension.until else ""
    above = f"{clause.heading}\n\n" if clause.heading else ""
    return replace(clause, text=f"{above}[Suspended{until}]", marked="", references=())


def text_day(point: Point, header: EditionHeader, bulletins: Iterable[Bulletin]) -> date | None:
    """The day whose text a point has, which says what suspensions have ended: of a whole season, its last."""
    if point.selector is Selector.DATE:
        return point.day
    if point.selector is Selector.EVENT:
        return next((event.on for event in header.events if event.id == point.event), None)
    days = [*(event.until or event.on for event in header.events), *(each.effective for each in bulletins)]
    return max(days, default=None)


def turning_days(bulletins: Iterable[Bulletin], last: date | None = None) -> tuple[date, ...]:
    """The days on which bulletins come into force or their suspensions end, the latter not after `last`."""
    found = set()
    for bulletin in bulletins:
        found.add(bulletin.effective)
        ends = (each.until for each in bulletin.instructions if each.until is not None)
        found.update(day for day in ends if last is None or day <= last)
    return tuple(sorted(found))


def with_drafts(edition: Edition) -> tuple[Edition, tuple[Fault, ...]]:
    """An edition as it would be with its drafts, and what is wrong with these; to check them, and for nothing else."""
    day = text_day(edition.point, edition.header, (*edition.applied, *edition.drafts))
    book = consolidate(edition.clauses, edition.readings, edition.drafts, day=day, before=edition)
    changed = replace(
        edition,
        clauses=book.clauses,
        readings=book.readings,
        suspended=book.suspended,
        origins={**edition.origins, **book.origins},
    )
    return changed, book.faults


def _with_references(clauses: Sequence[Clause]) -> tuple[Clause, ...]:
    """The clauses with their references resolved again: numbers may have come and gone."""
    known = frozenset(clause.id for clause in clauses)

    def references(clause: Clause) -> tuple[str, ...]:
        annex = clause.id.rpartition("/")[0]
        return find_references(clause.text, known, clause=clause.id, annex=annex if annex in known else "")

    found = ((clause, references(clause)) for clause in clauses)
    # A clause that stays is the same value in every text of a season, with what was worked out for it.
    return tuple(clause if clause.references == named else replace(clause, references=named) for clause, named in found)
