"""Changes that nobody has read yet: their wording changed, and no confirmed reading covers it."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.model.change import Change, Comparison, Kind
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Need

REWORDED = frozenset({Kind.SUBSTITUTION, Kind.INSERTION, Kind.REPEAL, Kind.SPLIT, Kind.JOIN})


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A clause that waits for a reading, a confirmation, or an answer of the officials, and why."""

    clause: str
    why: str
    need: Need


def reworded(change: Change) -> bool:
    """Whether a change altered what a text says, beyond the closed list of wording only."""
    return not change.wording_only and bool(REWORDED.intersection(change.kinds))


def waiting(change: Change, comparison: Comparison) -> Waiting | None:
    """The first clause of a change that must still be read; of a repeal, the repealed one."""
    if not reworded(change):
        return None
    clauses, edition = (change.new, comparison.new) if change.new else (change.old, comparison.old)
    return next(filter(None, (_waits(clause, edition) for clause in clauses)), None)


def _waits(clause: Clause, edition: Edition) -> Waiting | None:
    readings = edition.readings.get(clause.id, ())
    name = f"{clause.id} of {edition.header.season}"
    if not readings and edition.only_holds(clause):
        return None
    if not readings:
        return Waiting(clause=clause.id, why=f"{name} has no reading", need=Need.READ)
    if any(reading.leaves_car_open for reading in readings):
        return Waiting(clause=clause.id, why=f"the question on {name} to the officials is open", need=Need.ASK)
    if not all(reading.is_confirmed(clause.digest) for reading in readings):
        return Waiting(clause=clause.id, why=f"the reading of {name} is not confirmed", need=Need.READ)
    return None
