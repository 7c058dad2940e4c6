"""Subjects: the quantities and components that a change speaks of, each with what the whole book says on both sides."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rulewatch.assess.facts import Facts
from rulewatch.assess.outcome import NO_RISK, Risk, at_risk, decisive, outcomes, room, whole
from rulewatch.assess.topics import Topics
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.change import Change, Comparison
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Assessment, Finding, Outcome, Side, Sort, Verdict
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import within


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """One entry on both sides of a comparison, and what is known of its car."""

    comparison: Comparison
    before: Assessment
    after: Assessment
    facts: Facts
    topics: Topics
    crew_p: float  # the probability of conformity below which a legal value is at risk

    def sides(self, change: Change) -> tuple[tuple[tuple[Clause, ...], Assessment], ...]:
        """A change's clauses with the assessment of their own side: numbers are used again."""
        return (change.old, self.before), (change.new, self.after)

    def weighs(self, change: Change) -> bool:
        """Whether a clause of a change counts in the minimum weight, or stands in the stead of one that does."""
        return self.is_weighed and any(
            clause.id in side_weighing(side) or any(_says_weight(one) for one in spoken([clause.id], side))
            for clauses, side in self.sides(change)
            for clause in clauses
        )

    @property
    def is_weighed(self) -> bool:
        """Whether a minimum weight holds for the car on either side."""
        return bool(self.before.about((WEIGHT,)) or self.after.about((WEIGHT,)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """One quantity or component, with every finding about it on both sides; `entered` is False where there was no before."""

    name: str
    before: tuple[Finding, ...]
    after: tuple[Finding, ...]
    own: tuple[Finding, ...] = ()  # those of the change's own clauses, on either side
    entered: bool = True
    risk: Risk = NO_RISK

    @property
    def touched(self) -> bool:
        """Whether the change's own clauses ask anything of this car; what another clause asks is that one's matter."""
        return not self.own or any(finding.applies for finding in self.own)

    @property
    def moved(self) -> bool:
        """Whether the verdict or the room is another than before."""
        if not self.entered or whole(self.before) is not whole(self.after):
            return bool(self.outcomes())
        return bool({Outcome.AT_RISK, Outcome.TIGHTER, Outcome.ROOMIER}.intersection(self.outcomes()))

    @property
    def decides_itself(self) -> bool:
        """Whether what decides now is one of the change's own clauses."""
        return decisive(self.after) in self.own

    def outcomes(self) -> tuple[Outcome, ...]:
        """The outcomes that apply, most important first."""
        found = outcomes(
            whole(self.before) if self.entered else Verdict.UNKNOWN,
            whole(self.after),
            had=room(self.before),
            has=room(self.after),
            needs=frozenset(need for finding in self.after for need in finding.needs),
            risk=self.risk,
        )
        # What was not there before is neither cured nor given more room.
        return found if self.entered or whole(self.after) is not Verdict.LEGAL else ()


def subject(name: str, context: Context, own: Sequence[Finding] = ()) -> Subject:
    """A subject between two assessments; `own` are the findings of a change's clauses."""
    before, after = context.before.about((name,)), context.after.about((name,))
    return Subject(
        name=name,
        before=before,
        after=after,
        own=tuple(finding for finding in own if finding.subject == name),
        entered=context.before.entered,
        risk=Risk(before=at_risk(before, context.crew_p), now=at_risk(after, context.crew_p)),
    )


def subjects(change: Change, context: Context) -> tuple[Subject, ...]:
    """The quantities and components that a change speaks of, on either side; weight is judged by itself."""
    own = [finding for clauses, side in context.sides(change) for finding in side.of_clauses([clause.id for clause in clauses])]
    return tuple(subject(name, context, own) for name in _names(change, context))


def _names(change: Change, context: Context) -> tuple[str, ...]:
    names: dict[str, None] = {}
    for clauses, side in context.sides(change):
        ids = [clause.id for clause in clauses]
        for reading in spoken(ids, side):
            names.update(dict.fromkeys(reading.subjects()))
        names.update((finding.subject, None) for finding in side.of_clauses(ids) if _speaks_of(finding, ids, side, context))
    names.pop(WEIGHT, None)
    return tuple(names)


def _speaks_of(finding: Finding, ids: Sequence[str], side: Assessment, context: Context) -> bool:
    """Whether a change of these clauses is about a finding. Weight is judged by itself; an unread clause has no subject.

    A clause that closes a scope contributes to every finding in it, but speaks of them only where the scope opened or closed.
    """
    if finding.sort is not Sort.CLOSED:
        return finding.sort not in {Sort.WEIGHT, Sort.UNREAD}
    closing = {scope.clause for scope in side.edition.header.closed if within(finding.subject, scope.scope)}
    if any(name in finding.clauses for name in ids if name not in closing):
        return True
    return not all(_closed(finding.subject, edition) for edition in (context.comparison.old, context.comparison.new))


def _closed(name: str, edition: Edition) -> bool:
    return any(within(name, scope.scope) for scope in edition.header.closed)


def spoken(ids: Iterable[str], side: Assessment) -> Iterator[Reading]:
    """The readings of these clauses for an entry's class and day, and of those in whose stead they stand."""
    for reading in _readings(ids, side):
        yield reading
        yield from _readings(reading.instead_of, side)


def _readings(ids: Iterable[str], side: Assessment) -> Iterator[Reading]:
    for clause in ids:
        for reading in side.edition.readings.get(clause, ()):
            if reading.applies_to(side.entry.class_name, side.day):
                yield reading


def _says_weight(reading: Reading) -> bool:
    return reading.minimum is not None or reading.adder is not None


def side_weighing(side: Assessment) -> tuple[str, ...]:
    """The clauses that count in the minimum weight on one side."""
    return tuple(dict.fromkeys(clause for finding in side.about((WEIGHT,)) for clause in finding.clauses))


def side_of(side: Assessment, names: Sequence[str], clauses: Sequence[str]) -> Side:
    """One side of an impact: what the whole book says of some subjects, and what some clauses say alone."""
    if not side.entered:
        return Side(verdict=Verdict.UNKNOWN, alone=Verdict.UNKNOWN)
    about = (*side.about(names), *(one for one in side.of_clauses(clauses) if one.sort is Sort.UNREAD))
    alone = Verdict.every(finding.alone[clause] for finding in about for clause in clauses if clause in finding.alone)
    return Side(verdict=whole(about), alone=alone, margin=room(about).margin)


__all__ = ["WEIGHT", "Context", "Subject", "side_of", "side_weighing", "spoken", "subject", "subjects"]
