"""Papers: what an official waiver names of a clause stands in the stead of the clause's own word, wherever that would bind the car.

A paper replaces the limit and nothing else: where the clause does not apply the paper asks nothing, and an amount must have been
taken as the clause asks. No tolerance is added to what a paper says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.car import Entry, Waiver
from rulewatch.model.edition import Edition
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import All, Not, Range, Reading, Test
from rulewatch.model.vocabulary import within

NO_TOLERANCE = Amount(number=Fraction(0), unit=NUMBER)


def papers_for(entry: Entry, edition: Edition, last_day: date) -> tuple[Waiver, ...]:
    """The waivers of an entry that are for this season's numbers and still hold on a day."""
    return tuple(one for one in entry.waivers if one.season in {"", edition.header.season} and last_day <= one.until)


def waived_readings(edition: Edition, clause: str, subject: str) -> tuple[Reading, ...]:
    """The readings of a clause whose word on a subject a paper replaces, with their classes, dates and conditions.

    One that says nothing and holds always stands for what a clause says without a reading. None of a clause whose readings say
    nothing of the subject: the number is that of another rule, which is not waived. Nobody knows that of a clause that is not
    read, or that waits for an answer.
    """
    if clause not in edition.by_id:
        return ()
    readings = edition.readings.get(clause, ())
    speaking = tuple(one for one in readings if any(within(subject, name) for name in one.subjects()))
    bare = Reading(clause=clause, place=edition.header.place, last_line=0)
    if any(scope.clause == clause and within(subject, scope.scope) for scope in edition.header.closed):
        return tuple(replace(bare, measured=one.measured) for one in speaking) or (bare,)
    if speaking or not readings:
        return speaking or (bare,)
    return tuple(one for one in readings if one.leaves_car_open or one.minimum or one.adder or one.instead_of or one.dated)


def as_papers_say(edition: Edition, papers: Sequence[Waiver]) -> Edition:
    """An edition as papers have it, each limit that they name replaced; to be judged it must be told from the book itself."""
    said: dict[str, dict[str, list[Test]]] = {}
    for paper in papers:
        for test in paper.limits if paper.clause in edition.by_id else ():
            said.setdefault(paper.clause, {}).setdefault(test.subject, []).append(test)
    readings = dict(edition.readings)
    for clause, tests in said.items():
        readings[clause] = tuple(_papered(edition, clause, tests))
    closed = tuple(
        replace(scope, free=tuple(test for tests in said.get(scope.clause, {}).values() for test in tests))
        for scope in edition.header.closed
    )
    return replace(edition, readings=readings, header=replace(edition.header, closed=closed)) if said else edition


def _papered(edition: Edition, clause: str, tests: Mapping[str, Sequence[Test]]) -> Iterator[Reading]:
    """The readings of a clause without what papers replace, and what these say in its stead."""
    own = edition.readings.get(clause, ())
    ranges = [test.constraint for test in tests.get(WEIGHT, ()) if isinstance(test.constraint, Range)]
    lows = [each.low for each in ranges if each.low is not None]
    low = lows[0] if lows and any(one.minimum is not None for one in own) else None
    for reading in own:
        kept = replace(reading, limits=tuple(test for test in reading.limits if test.subject not in tests))
        if kept.minimum is not None and low is not None:
            kept = replace(kept, minimum=replace(kept.minimum, bound=low))
        yield replace(kept, adder=None) if kept.adder is not None and WEIGHT in tests else kept
    for subject, several in tests.items():
        if low is None or subject != WEIGHT:
            for reading in waived_readings(edition, clause, subject):
                yield from _in_stead(reading, subject, several)


def _in_stead(waived: Reading, subject: str, tests: Sequence[Test]) -> Iterator[Reading]:
    """What papers say in a reading's stead: any one of them need be met."""
    bare = replace(waived, limits=(), allows=(), instead_of=(), minimum=None, adder=None, dated=(), tolerance=NO_TOLERANCE)
    *others, last = tests
    when = All(parts=(*([waived.when] if waived.when is not None else ()), *(Not(part=test) for test in others)))
    yield replace(bare, when=when if when.parts else None, limits=(last,))
    if any(within(subject, test.subject) for test in waived.allows):
        yield from (replace(bare, allows=(test,)) for test in tests)
