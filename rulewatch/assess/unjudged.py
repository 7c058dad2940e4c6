"""What nobody can judge yet: clauses without a reading, readings that only wait, items whose age is not reckoned.

Each leaves the book unknown, and none is dropped for its words: a clause on a part that the car lacks may ask for that part.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from rulewatch.assess.applied import Applied, Bench, every_reading
from rulewatch.assess.words import show
from rulewatch.model.impact import Finding, Need, Sort, Verdict
from rulewatch.model.reading import Counting, Dated, Reading


def unjudged_findings(bench: Bench, judged: Collection[Finding]) -> Iterator[Finding]:
    """One unknown finding for each clause or reading that gives no other finding, and for each item with a life."""
    for one in bench.applied:
        yield from (_dated_finding(one, item, bench) for item in _asked_of(one, bench))
    for clause in bench.edition.unread:
        yield _waiting(clause.id, f"{clause.id} has no reading", Need.READ)
    contributing = {name for finding in judged if finding.sort in {Sort.CLOSED, Sort.WEIGHT} for name in finding.clauses}
    speaking = {id(one.reading) for one in bench.applied if one.reading.limits or any(_asked_of(one, bench))}
    for clause, reading in every_reading(bench.edition):
        counts = clause.id in contributing and (reading.allows or reading.minimum or reading.adder)
        in_scope = reading.applies_to(bench.entry.class_name, bench.day)
        if id(reading) in speaking or (in_scope and counts):
            continue
        if in_scope and reading.leaves_car_open:
            yield _waiting(clause.id, f"{clause.id}: the officials were asked: {reading.ask}", Need.ASK)
        elif not reading.is_confirmed(clause.digest):
            yield _waiting(clause.id, f"{clause.id}: {_unconfirmed(reading, in_scope=in_scope)}", Need.READ)


def _asked_of(one: Applied, bench: Bench) -> Iterator[Dated]:
    """The items with a life that a reading asks of this car; of what it does not have, none is asked."""
    if one.holds.truth is not False and one.replaced.truth is not True:
        yield from (item for item in one.reading.dated if bench.facts.of(item.item).present is not False)


def _unconfirmed(reading: Reading, *, in_scope: bool) -> str:
    """Why a reading cannot be relied on; for whom and what it is was read by nobody else either."""
    if not in_scope:
        return "a reading for others, or for other days, is not confirmed"
    about = f" that it concerns the {reading.concerns}" if reading.concerns else ""
    return f"the reading{about} is not confirmed"


def _waiting(clause: str, why: str, need: Need) -> Finding:
    return Finding(
        sort=Sort.UNREAD,
        subject="",
        clauses=(clause,),
        verdict=Verdict.UNKNOWN,
        alone={clause: Verdict.UNKNOWN},
        why=why,
        needs=frozenset({need}),
    )


def _dated_finding(one: Applied, item: Dated, bench: Bench) -> Finding:
    """An item's age is not reckoned yet, so it is for someone to see."""
    years = f"{item.years} year{'s' if item.years > 1 else ''}"
    end = "the end of the last year" if item.until is Counting.YEAR_END else "the day"
    asked = f"no older than {years} from {item.since}, to {end}"
    clause, fact = one.reading.clause, bench.facts.of(item.item)
    needs = () if one.confirmed else (Need.ASK if one.reading.is_open else Need.READ,)
    return Finding(
        sort=Sort.DATED,
        subject=item.item,
        clauses=(clause,),
        verdict=Verdict.UNKNOWN,
        alone={clause: Verdict.UNKNOWN},
        why=f"{bench.facts.vocabulary.label(item.item)}: {asked}; its age is not judged here yet",
        value=fact.stale or " / ".join(show(value) for value in fact.values),
        bound=asked,
        needs=frozenset(needs),
    )
