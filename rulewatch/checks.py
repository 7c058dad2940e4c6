"""What must hold across files, and what is open: plain lists of functions over values.

Each function takes everything that was read and gives faults: those of `FAULTS` are wrong, those of `OPEN` wait for someone.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass

from rulewatch.model.car import Car, Crew
from rulewatch.model.change import DOUBTFUL, Comparison
from rulewatch.model.edition import Edition, SettledPair
from rulewatch.model.fault import Fault, Place
from rulewatch.model.impact import Assessment, Need
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True, kw_only=True)
class Everything:
    """What the checks look at: every edition with all its bulletins, the newest comparisons, and the cars as judged."""

    vocabulary: Vocabulary
    editions: tuple[Edition, ...]
    comparisons: tuple[Comparison, ...] = ()
    settled: tuple[tuple[Comparison, SettledPair], ...] = ()
    cars: tuple[Car, ...] = ()
    crew: Crew
    assessments: tuple[Assessment, ...] = ()


Check = Callable[[Everything], Iterator[Fault]]


def _readings(everything: Everything) -> Iterator[tuple[Edition, Reading]]:
    for edition in everything.editions:
        for readings in edition.readings.values():
            for reading in readings:
                yield edition, reading


def _near(name: str, known: Collection[str]) -> str:
    near = difflib.get_close_matches(name, list(known), n=1)
    return f"did you mean `{near[0]}`?" if near else ""


# --- Faults -----------------------------------------------------------------------------------------------------------


def check_days(everything: Everything) -> Iterator[Fault]:
    """An edition has a day to be judged on, or no entry of its body would be judged at all."""
    for edition in everything.editions:
        if edition.day is None:
            found = f"{edition.point} has no date"
            yield Fault(code="edition-undated", place=edition.header.place, found=found, remedy="say when it is `effective`")


def check_reading_classes(everything: Everything) -> Iterator[Fault]:
    """A reading names only classes that its edition has."""
    for edition, reading in _readings(everything):
        for name in reading.classes or ():
            if name not in edition.classes:
                found = f"the class `{name}`, which {edition.point} does not have"
                yield Fault(
                    code="unknown-class", place=reading.place_of(name), found=found, remedy=_near(name, edition.classes)
                )


def check_replaced_clauses(everything: Everything) -> Iterator[Fault]:
    """What a reading replaces is there."""
    for edition, reading in _readings(everything):
        known = edition.by_id if reading.instead_of else {}
        for name in reading.instead_of:
            if name not in known:
                found = f"`instead_of` names {name}, which {edition.point} does not have"
                yield Fault(code="unknown-clause", place=reading.place_of(name), found=found, remedy=_near(name, known))


def check_closing_clauses(everything: Everything) -> Iterator[Fault]:
    """The clause that closes a scope is there, in the edition as published or amended."""
    for edition in everything.editions:
        known = edition.by_id
        for scope in edition.header.closed:
            if scope.clause and scope.clause not in known:
                found = f"{scope.scope} is closed by {scope.clause}, which {edition.point} does not have"
                yield Fault(code="unknown-clause", place=scope.place, found=found, remedy=_near(scope.clause, known))


def check_settled_pairs(everything: Everything) -> Iterator[Fault]:
    """A pairing that a person settled names clauses that are there."""
    for comparison, pair in everything.settled:
        for ids, edition in ((pair.old, comparison.old), (pair.new, comparison.new)):
            known = edition.by_id
            for name in ids:
                if name not in known:
                    found = f"{name}, which {edition.point} does not have"
                    yield Fault(code="unknown-clause", place=pair.place, found=found, remedy=_near(name, known))


def check_entries(everything: Everything) -> Iterator[Fault]:
    """Cars are entered in bodies and classes that are there."""
    classes: dict[str, set[str]] = {}
    for edition in everything.editions:
        classes.setdefault(edition.body.id, set()).update(edition.classes)
    for car in everything.cars:
        for entry in car.entries:
            if entry.body not in classes:
                found = f"{car.id} is entered with the body `{entry.body}`, which is not there"
                yield Fault(code="unknown-edition", place=entry.place, found=found, remedy=_near(entry.body, classes))
            elif entry.class_name not in classes[entry.body]:
                found = f"{car.id} is entered in `{entry.class_name}`, a class that {entry.body} does not have"
                yield Fault(
                    code="unknown-class", place=entry.place, found=found, remedy=_near(entry.class_name, classes[entry.body])
                )


def check_waivers(everything: Everything) -> Iterator[Fault]:
    """A waiver is for a clause that its season's edition has, or some edition of its body where it names no season."""
    for car in everything.cars:
        for entry in car.entries:
            for waiver in entry.waivers:
                editions = [edition for edition in everything.editions if edition.body.id == entry.body]
                meant = [edition for edition in editions if waiver.season in {"", edition.header.season}]
                known = {clause.id for edition in meant for clause in edition.clauses}
                if editions and waiver.clause not in known:
                    which = f"{entry.body}/{waiver.season}" if waiver.season else f"no edition of {entry.body}"
                    found = f"a waiver of {waiver.clause}, which {which} {'does not have' if waiver.season else 'has'}"
                    yield Fault(code="unknown-clause", place=waiver.place, found=found, remedy=_near(waiver.clause, known))


def check_people(everything: Everything) -> Iterator[Fault]:
    """Whoever confirmed a reading or measured a value is one of the crew, where there is a crew."""
    people = everything.crew.people
    for _, reading in _readings(everything) if people else ():
        by = reading.confirmed.by if reading.confirmed is not None else ""
        if by and by not in people:
            yield Fault(
                code="unknown-person", place=reading.place_of(by), found=f"confirmed by `{by}`", remedy=_near(by, people)
            )
    for car in everything.cars if people else ():
        for stated in car.spec.values():
            by = stated.measurement.by if stated.measurement is not None else ""
            if by and by not in people:
                yield Fault(code="unknown-person", place=stated.place, found=f"measured by `{by}`", remedy=_near(by, people))


# --- Open points ------------------------------------------------------------------------------------------------------


def _open(code: str, place: Place, found: str, remedy: str) -> Fault:
    return Fault(code=code, place=place, found=found, remedy=remedy, warning=True)


def open_unread(everything: Everything) -> Iterator[Fault]:
    """Clauses without a reading."""
    for edition in everything.editions:
        for clause in edition.unread:
            found = f"{clause.id} of {edition.point} has no reading"
            yield _open("unread", clause.place, found, "write one, or say what it `concerns` if not the car")


def open_unconfirmed(everything: Everything) -> Iterator[Fault]:
    """Readings that nobody confirmed against the text as it stands."""
    for edition in everything.editions:
        for clause in edition.clauses:
            for reading in edition.readings.get(clause.id, ()):
                if not reading.is_confirmed(clause.digest):
                    was = "was confirmed against another text" if reading.confirmed is not None else "is not confirmed"
                    remedy = f"check it, then write `confirmed: {{by: …, on: …, text: {clause.digest}}}`"
                    yield _open("unconfirmed", reading.place, f"the reading of {clause.id} of {edition.point} {was}", remedy)


def open_unanswered(everything: Everything) -> Iterator[Fault]:
    """Questions to the officials without an answer."""
    for edition, reading in _readings(everything):
        if reading.is_open:
            found = f"asked on {reading.clause} of {edition.point}: {reading.ask}"
            yield _open("unanswered", reading.place, found, "write `answered: {on: …, by: …, ref: …}` when the answer is there")


def open_unmeasured(everything: Everything) -> Iterator[Fault]:
    """Values that a verdict waits for, by car."""
    for car in everything.cars:
        missing: dict[str, list[str]] = {}
        for assessment in everything.assessments:
            for finding in assessment.findings if assessment.car.id == car.id else ():
                for name in finding.missing if Need.MEASURE in finding.needs else ():
                    missing.setdefault(name, []).extend(finding.clauses)
        for name, clauses in missing.items():
            asked = ", ".join(dict.fromkeys(clauses)) or "a closed scope"
            stated = car.spec.get(name)
            place = stated.place if stated is not None else car.place
            quantity = everything.vocabulary.quantities.get(name)
            how = quantity.how[:1].lower() + quantity.how[1:].rstrip(".") if quantity is not None else ""
            what = "is not stated" if stated is None else "was measured under other conditions"
            found = f"{name} of {car.id} {what} (asked by {asked})"
            yield _open("unmeasured", place, found, how or "state it in car.yaml")


def open_unpaired(everything: Everything) -> Iterator[Fault]:
    """Pairs of clauses that are not sure enough to rely on."""
    for comparison in everything.comparisons:
        for change in comparison.changes:
            if change.old and change.new and not change.settled and change.certainty < DOUBTFUL:
                old, new = (", ".join(clause.id for clause in side) for side in (change.old, change.new))
                found = f"{old} of {comparison.old.point} became {new} of {comparison.new.point}, {change.certainty:.0%} sure"
                yield _open("unpaired", change.new[0].place, found, "settle it in pairs.yaml")


FAULTS: tuple[Check, ...] = (
    check_days,
    check_reading_classes,
    check_replaced_clauses,
    check_closing_clauses,
    check_settled_pairs,
    check_entries,
    check_waivers,
    check_people,
)

OPEN: tuple[Check, ...] = (
    open_unread,
    open_unconfirmed,
    open_unanswered,
    open_unmeasured,
    open_unpaired,
)


def run(checks: tuple[Check, ...], everything: Everything) -> tuple[Fault, ...]:
    """What a list of checks finds, in the order of the list."""
    return tuple(fault for check in checks for fault in check(everything))
