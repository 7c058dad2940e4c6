"""What nobody can judge yet: clauses without a reading, and readings that only wait.

Each leaves the book unknown, and none is dropped for its words: a clause on a part that the car lacks may ask for that part.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from rulewatch.assess.applied import Bench, every_reading
from rulewatch.assess.lives import asked_of
from rulewatch.model.impact import Finding, Need, Sort, Verdict
from rulewatch.model.reading import Reading


def unjudged_findings(bench: Bench, judged: Collection[Finding]) -> Iterator[Finding]:
    """One unknown finding for each clause or reading that gives no other finding."""
    for clause in bench.edition.unread:
        yield _waiting(clause.id, f"{clause.id} has no reading", Need.READ)
    contributing = {name for finding in judged if finding.sort in {Sort.CLOSED, Sort.WEIGHT} for name in finding.clauses}
    speaking = {id(one.reading) for one in bench.applied if one.reading.limits or any(asked_of(one, bench))}
    for clause, reading in every_reading(bench.edition):
        counts = clause.id in contributing and (reading.allows or reading.minimum or reading.adder)
        in_scope = reading.applies_to(bench.entry.class_name, bench.day)
        if id(reading) in speaking or (in_scope and counts):
            continue
        if in_scope and reading.leaves_car_open:
            yield _waiting(clause.id, f"{clause.id}: the officials were asked: {reading.ask}", Need.ASK)
        elif not reading.is_confirmed(clause.digest):
            yield _waiting(clause.id, f"{clause.id}: {_unconfirmed(reading, in_scope=in_scope)}", Need.READ)


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
