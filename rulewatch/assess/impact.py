"""Impacts: what each change between two editions does to an entry of a car.

Both sides are judged with the car's own values. The whole book decides: a change is judged by every finding about the
quantities that it speaks of, whichever clause the finding comes from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import in_a_row
from rulewatch.assess.outcome import decisive, least_room, outcomes, reason, whole
from rulewatch.assess.suggestion import job, reading_job
from rulewatch.assess.topics import Topics, concerns
from rulewatch.assess.unread import reworded, waiting
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.change import Change, Comparison
from rulewatch.model.edition import Edition
from rulewatch.model.impact import PRECEDENCE, Assessment, Finding, Impact, Outcome, Side, Sort, Verdict
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import Vocabulary, within


@dataclass(frozen=True, slots=True, kw_only=True)
class _Context:
    """One entry on both sides of a comparison, and what is known of its car."""

    comparison: Comparison
    before: Assessment
    after: Assessment
    facts: Facts
    topics: Topics

    def weighs(self, change: Change) -> bool:
        """Whether a clause of a change counts in the minimum weight, each on its own side: numbers are used again."""
        sides = ((change.old, self.before), (change.new, self.after))
        return any(clause.id in _weighing(side) for clauses, side in sides for clause in clauses)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Subject:
    """One quantity or component, with every finding about it on both sides."""

    name: str
    before: tuple[Finding, ...]
    after: tuple[Finding, ...]
    own: tuple[Finding, ...] = ()  # those of the change's own clauses, on either side

    @property
    def touched(self) -> bool:
        """Whether the change's own clauses ask anything of this car; what another clause asks is that one's matter."""
        return not self.own or any(finding.applies for finding in self.own)

    def outcomes(self) -> tuple[Outcome, ...]:
        """The outcomes that apply, most important first."""
        return outcomes(
            whole(self.before),
            whole(self.after),
            margin_before=least_room(self.before),
            margin_after=least_room(self.after),
            needs=frozenset(need for finding in self.after for need in finding.needs),
        )


def impacts(comparison: Comparison, before: Assessment, after: Assessment, vocabulary: Vocabulary) -> tuple[Impact, ...]:
    """One impact for each change, and one for the weight that cites every contributing clause; `none` where nothing follows.

    `before` and `after` are the assessments of one entry at the comparison's two points.
    """
    context = _Context(
        comparison=comparison,
        before=before,
        after=after,
        facts=Facts(car=after.car, vocabulary=vocabulary),
        topics=Topics.of(vocabulary),
    )
    weight = _weight_impact(context)
    return (*([weight] if weight is not None else ()), *(_impact(change, context) for change in comparison.changed))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decision:
    """The outcome of a change with its reason and its job, and the subject that decided it, if one did."""

    outcome: Outcome
    why: str
    job: str = ""
    subject: _Subject | None = None


def _impact(change: Change, context: _Context) -> Impact:
    subjects = [_subject(name, context, change) for name in _subjects(change, context)]
    waits = waiting(change, context.comparison) if concerns(_text(change), context.topics, context.facts) else None
    decisions = [
        _decided(outcome, subject, change, context) for subject in subjects if subject.touched for outcome in subject.outcomes()
    ]
    if waits is not None:
        decisions.append(_Decision(outcome=Outcome.READ, why=waits.why, job=reading_job(waits)))
    if not decisions:
        decisions.append(_Decision(outcome=Outcome.NONE, why=_no_effect(change, subjects, context)))
    return _made(change, context, min(decisions, key=_rank), {one.outcome for one in decisions})


def _decided(outcome: Outcome, subject: _Subject, change: Change, context: _Context) -> _Decision:
    """A decision by what a rule asks of one subject; the job names the clause that asks it."""
    deciding = decisive(subject.after)
    asking = [clause.id for clause in change.new if deciding is not None and clause.id in deciding.clauses]
    suggested = job(outcome, subject.name, deciding, (*asking, change.key)[0], context.facts.vocabulary)
    return _Decision(outcome=outcome, why=reason(outcome, subject.before, subject.after), job=suggested, subject=subject)


def _rank(decision: _Decision) -> tuple[int, bool, Fraction]:
    """The first outcome first; of equal ones, last the one that names no value, and of limits that moved the nearest first."""
    subject = decision.subject if decision.outcome in {Outcome.TIGHTER, Outcome.ROOMIER} else None
    margin = least_room(subject.after) if subject is not None else None
    return PRECEDENCE.index(decision.outcome), decision.subject is None, margin.span if margin is not None else Fraction(0)


def _made(change: Change, context: _Context, decision: _Decision, others: Iterable[Outcome] = ()) -> Impact:
    old, new = (tuple(clause.id for clause in clauses) for clauses in (change.old, change.new))
    names = (decision.subject.name,) if decision.subject is not None else _subjects(change, context)
    if not names and context.weighs(change):
        names = (WEIGHT,)
    after = _side(context.after, names, new)
    if decision.outcome is Outcome.READ and decision.subject is None:
        after = replace(after, verdict=Verdict.every((after.verdict, Verdict.UNKNOWN)), alone=Verdict.UNKNOWN)
    on, since = _in_force(change, context.after.edition)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=decision.outcome,
        before=_side(context.before, names, old),
        after=after,
        why=f"{since}: {decision.why}" if since and decision.outcome is not Outcome.NONE else decision.why,
        also=tuple(sorted(set(others) - {decision.outcome}, key=PRECEDENCE.index)),
        subject=decision.subject.name if decision.subject is not None else "",
        on=on,
        job=decision.job,
        change=change,
    )


def _in_force(change: Change, edition: Edition) -> tuple[date | None, str]:
    """The day from which a change holds, where a bulletin brings it after the season's first event; and that in words."""
    effective = {bulletin.number: bulletin.effective for bulletin in edition.applied}
    numbers = [edition.amended_by[clause.id] for clause in (change.new or change.old) if clause.id in edition.amended_by]
    number = max(numbers, key=lambda name: effective.get(name, date.min), default="")
    first = min((event.on for event in edition.header.events), default=edition.header.effective)
    day = effective.get(number)
    if day is None or first is None or day <= first:
        return None, ""
    return day, f"from {day} (bulletin {number})"


def _subject(name: str, context: _Context, change: Change | None = None) -> _Subject:
    sides = ((change.old, context.before), (change.new, context.after)) if change is not None else ()
    own = [finding for clauses, side in sides for finding in side.of_clauses([clause.id for clause in clauses])]
    return _Subject(
        name=name,
        before=context.before.about((name,)),
        after=context.after.about((name,)),
        own=tuple(finding for finding in own if finding.subject == name),
    )


def impact_of_subject(
    name: str, before: Assessment, after: Assessment, vocabulary: Vocabulary, *, on: date, heading: str
) -> Impact | None:
    """What became of one quantity or component between two days under the same book; None where its verdict did not change."""
    subject = _Subject(name=name, before=before.about((name,)), after=after.about((name,)))
    found = subject.outcomes()
    if not found or whole(subject.before) is whole(subject.after):
        return None
    clauses = tuple(dict.fromkeys(clause for finding in subject.after for clause in finding.clauses if finding.applies))
    return Impact(
        car=after.car.id,
        entry=after.entry,
        old=clauses,
        new=clauses,
        outcome=found[0],
        before=_side(before, (name,), clauses),
        after=_side(after, (name,), clauses),
        why=f"{heading}: {reason(found[0], subject.before, subject.after)}",
        also=found[1:],
        subject=name,
        on=on,
        job=job(found[0], name, decisive(subject.after), ", ".join(clauses), vocabulary),
    )


def _subjects(change: Change, context: _Context) -> tuple[str, ...]:
    """The quantities and components that a change speaks of, on either side; weight is judged by itself."""
    names: dict[str, None] = {}
    for clauses, side in ((change.old, context.before), (change.new, context.after)):
        ids = [clause.id for clause in clauses]
        for reading in _readings(ids, side):
            names.update(dict.fromkeys(reading.subjects()))
        names.update((finding.subject, None) for finding in side.of_clauses(ids) if _speaks_of(finding, ids, side, context))
    names.pop(WEIGHT, None)
    return tuple(names)


def _speaks_of(finding: Finding, ids: Sequence[str], side: Assessment, context: _Context) -> bool:
    """Whether a change of these clauses is about a finding. Weight is judged by itself; an unread clause has no subject.

    A clause that closes a scope contributes to every finding in it, but speaks of them only where the scope opened or closed.
    """
    if finding.sort is not Sort.CLOSED:
        return finding.sort not in {Sort.WEIGHT, Sort.UNREAD}
    closing = {scope.clause for scope in side.edition.header.closed if within(finding.subject, scope.scope)}
    if any(name in finding.clauses for name in ids if name not in closing):
        return True
    return not all(_closed(finding.subject, edition) for edition in (context.comparison.old, context.comparison.new))


def _closed(subject: str, edition: Edition) -> bool:
    return any(within(subject, scope.scope) for scope in edition.header.closed)


def _readings(ids: Iterable[str], side: Assessment) -> Iterator[Reading]:
    """The readings of these clauses that concern this entry's class and day."""
    for clause in ids:
        for reading in side.edition.readings.get(clause, ()):
            if reading.applies_to(side.entry.class_name, side.day):
                yield reading


def _side(side: Assessment, names: Sequence[str], clauses: Sequence[str]) -> Side:
    about = (*side.about(names), *(one for one in side.of_clauses(clauses) if one.sort is Sort.UNREAD))
    alone = Verdict.every(finding.alone[clause] for finding in about for clause in clauses if clause in finding.alone)
    return Side(verdict=whole(about), alone=alone, margin=least_room(about))


def _text(change: Change) -> str:
    return " ".join(clause.text for clause in (*change.old, *change.new))


# --- Reasons in words -------------------------------------------------------------------------------------------------


def _no_effect(change: Change, subjects: Sequence[_Subject], context: _Context) -> str:
    """Why a change does nothing to this entry."""
    if change.wording_only:
        return "only the wording changed"
    if not reworded(change):
        return "only its number or place changed"
    return _reading_says(change, context) or _car_says(change, subjects, context)


def _reading_says(change: Change, context: _Context) -> str:
    """Why its readings do nothing to this entry, or nothing."""
    after = context.after
    readings = [reading for clause in change.new for reading in after.edition.readings.get(clause.id, ())]
    about = sorted({reading.concerns for reading in readings if reading.concerns})
    if about:
        return f"concerns the {', '.join(about)}, not the car"
    if readings and not any(reading.applies_to(after.entry.class_name, after.day) for reading in readings):
        return f"does not apply to {after.entry.class_name} on {after.day}"
    if context.weighs(change):
        return "counts in the minimum weight, which has an entry of its own"
    return ""


def _car_says(change: Change, subjects: Sequence[_Subject], context: _Context) -> str:
    """Why nothing follows from what the car is."""
    idle = next((finding for subject in subjects if not subject.touched for finding in subject.own), None)
    if idle is not None:
        return idle.why
    deciding = next((finding for subject in subjects if (finding := decisive(subject.after)) is not None), None)
    if deciding is not None:
        return f"{deciding.why}, as before" if deciding.applies else deciding.why
    if subjects and not change.new:
        return "asked nothing of this car that it did not meet"
    if concerns(_text(change), context.topics, context.facts):
        return "says nothing that is judged on a car"
    named = context.topics.components(_text(change))[:3]
    return f"speaks of what the car does not have: {in_a_row(tuple(map(context.facts.vocabulary.in_sentence, named)))}"


# --- Weight -----------------------------------------------------------------------------------------------------------


def _weighing(side: Assessment) -> tuple[str, ...]:
    """The clauses that count in the minimum weight on one side."""
    return tuple(dict.fromkeys(clause for finding in side.about((WEIGHT,)) for clause in finding.clauses))


def _weight_impact(context: _Context) -> Impact | None:
    """The weight's one impact, with every clause that counts on either side; None where no change touches any of them."""
    touched = next(
        (change for change in context.comparison.changed if reworded(change) and context.weighs(change)),
        None,
    )
    if touched is None:
        return None
    old, new = _weighing(context.before), _weighing(context.after)
    subject = _subject(WEIGHT, context)
    found = subject.outcomes()
    outcome = found[0] if found else Outcome.NONE
    why = reason(outcome, subject.before, subject.after)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=outcome,
        before=_side(context.before, (WEIGHT,), old),
        after=_side(context.after, (WEIGHT,), new),
        why=why if found else f"{why}, as before",
        also=found[1:],
        subject=WEIGHT,
        job=job(outcome, WEIGHT, decisive(subject.after), ", ".join(new or old), context.facts.vocabulary),
    )
