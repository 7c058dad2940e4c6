"""The readings in force for an entry on a day, and what stands in the stead of what: `instead_of`, and waivers."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from rulewatch.assess.circles import in_circles
from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import Answer, Truth, condition, requirement, some
from rulewatch.assess.papers import papers_for
from rulewatch.model.car import Car, Entry, Waiver
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading, Test
from rulewatch.model.vocabulary import Vocabulary, within


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """Whether something else stands in a clause's stead, and what; `doubt` are the values that would tell."""

    truth: Truth = False
    by: str = ""
    doubt: tuple[str, ...] = ()


STANDS = Replaced()


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """A reading within its classes and dates, with its condition judged on the car."""

    reading: Reading
    confirmed: bool
    holds: Answer
    replaced: Replaced = STANDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """All that one entry is judged by: the book with its readings in force, the car's facts, and the entry's waivers."""

    edition: Edition
    facts: Facts
    entry: Entry
    day: date
    applied: tuple[Applied, ...] = ()
    replaced: Mapping[str, Replaced] = field(default_factory=dict)  # by clause, where it is or may be
    waivers: tuple[Waiver, ...] = ()

    @property
    def last_day(self) -> date:
        """The day until which papers and items must be good: the last of an event that begins on the day."""
        return self.edition.header.last_day(self.day)

    def replacing(self, one: Applied, subject: str) -> Replaced:
        """What stands in the stead of a reading's word on one subject; a waiver does so for the subjects that it names."""
        return self.waived(one.reading.clause, subject) or one.replaced

    def waived(self, clause: str, subject: str) -> Replaced | None:
        """The waiver of a clause that names a subject."""
        waiver = next(
            (one for one in self.waivers if one.clause == clause and any(test.subject == subject for test in one.limits)), None
        )
        return Replaced(truth=True, by=f"waiver {waiver.paper}") if waiver is not None else None

    def waivers_by_subject(self) -> Iterator[tuple[str, str, list[tuple[Waiver, Test]]]]:
        """Each clause and subject that papers speak of, with all that they say of it."""
        found: dict[tuple[str, str], list[tuple[Waiver, Test]]] = {}
        for waiver in self.waivers:
            for test in waiver.limits:
                found.setdefault((waiver.clause, test.subject), []).append((waiver, test))
        return ((clause, subject, papers) for (clause, subject), papers in found.items())


def bench(
    edition: Edition, car: Car, entry: Entry, day: date, vocabulary: Vocabulary, *, names: Collection[str] | None = None
) -> Bench:
    """Collect what an entry is judged by; with `names`, only what limits or permits these, parts of them or what holds them."""
    facts = Facts(car=car, vocabulary=vocabulary)
    applied = [
        Applied(
            reading=reading,
            confirmed=reading.is_confirmed(clause.digest) and not reading.is_open,
            holds=condition(reading.when, facts),
        )
        for clause, reading in every_reading(edition)
        if (names is None or _speaks_of(reading, names)) and reading.applies_to(entry.class_name, day)
    ]
    replaced = _replaced_clauses(applied)
    applied = [
        replace(one, replaced=replaced[one.reading.clause]) if one.reading.clause in replaced else one for one in applied
    ]
    return Bench(
        edition=edition,
        facts=facts,
        entry=entry,
        day=day,
        applied=tuple(applied),
        replaced=replaced,
        waivers=papers_for(entry, edition, edition.header.last_day(day)),
    )


def _speaks_of(reading: Reading, names: Collection[str]) -> bool:
    """Whether a reading limits or permits any of these, or stands in the stead of one that may."""
    tests = (*reading.limits, *reading.allows)
    return bool(reading.instead_of) or any(
        within(test.subject, name) or within(name, test.subject) for test in tests for name in names
    )


def every_reading(edition: Edition) -> Iterator[tuple[Clause, Reading]]:
    """Every reading of a book with its clause, in document order."""
    return ((clause, reading) for clause in edition.clauses for reading in edition.readings.get(clause.id, ()))


def _replaced_clauses(applied: Sequence[Applied]) -> dict[str, Replaced]:
    """What `instead_of` replaces, by clause; by an unconfirmed reading, or in a circle, only perhaps."""
    live = [one for one in applied if one.reading.instead_of and one.holds.truth is not False]
    replaces: dict[str, set[str]] = {}
    for one in live:
        replaces.setdefault(one.reading.clause, set()).update(one.reading.instead_of)
    circles = in_circles(replaces)
    found: dict[str, list[Replaced]] = {}
    for one in live:
        for clause in one.reading.instead_of:
            sure = one.confirmed and (one.reading.clause, clause) not in circles
            truth = one.holds.truth if sure else None
            found.setdefault(clause, []).append(Replaced(truth=truth, by=one.reading.clause, doubt=one.holds.missing))
    return {clause: _joined(by) for clause, by in found.items()}


def _joined(by: Sequence[Replaced]) -> Replaced:
    truth = some(each.truth for each in by)
    deciding = [each for each in by if each.truth is truth]
    doubt = tuple(dict.fromkeys(name for each in deciding for name in each.doubt)) if truth is None else ()
    return Replaced(truth=truth, by=deciding[0].by, doubt=doubt)


def tolerance(reading: Reading, dimension: str, edition: Edition) -> Amount | None:
    """The book's grant on an amount: the reading's own, else the edition's for that dimension; never both."""
    if reading.tolerance is not None:
        return reading.tolerance if reading.tolerance.unit.dimension == dimension else None
    return next((grant for grant in edition.header.tolerances if grant.unit.dimension == dimension), None)


def asked(test: Test, reading: Reading, bench: Bench) -> Answer:
    """Whether a limit of a reading holds on the car, with what the book grants and how it wants an amount taken."""
    quantity = bench.facts.vocabulary.quantities.get(test.subject)
    granted = tolerance(reading, quantity.unit.dimension, bench.edition) if quantity is not None and quantity.unit else None
    return requirement(test, bench.facts, granted, reading.measured, bench.edition.body.decision)
