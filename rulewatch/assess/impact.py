"""Impacts: what each change between two editions does to an entry of a car.

Both sides are judged with the car's own values. The whole book decides: a change is judged by every finding about the
quantities that it speaks of, whichever clause the finding comes from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.logic import in_a_row
from rulewatch.assess.suggestion import job, reading_job
from rulewatch.assess.topics import Topics, concerns
from rulewatch.assess.unread import reworded, waiting
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.change import Change, Comparison
from rulewatch.model.edition import Edition
from rulewatch.model.impact import PRECEDENCE, Assessment, Finding, Impact, Need, Outcome, Side, Sort, Verdict
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import Vocabulary, within


def outcomes(
    before: Verdict,
    after: Verdict,
    *,
    margin_before: Amount | None = None,
    margin_after: Amount | None = None,
    needs: frozenset[Need] = frozenset(),
) -> tuple[Outcome, ...]:
    """The outcomes of a verdict before and after, most important first; none where nothing changed for the car.

    No margin on one side means that nothing bounds the car there.
    """
    if after is Verdict.ILLEGAL:
        return (Outcome.STILL_IN_BREACH if before is Verdict.ILLEGAL else Outcome.BREACH,)
    if after is Verdict.UNKNOWN:
        read = [Outcome.READ] if needs & {Need.READ, Need.ASK} else []
        return tuple([Outcome.MEASURE, *read] if Need.MEASURE in needs or not read else read)
    if before is not Verdict.LEGAL:
        return (Outcome.CURED,)
    return _moved(margin_before, margin_after)


def _moved(before: Amount | None, after: Amount | None) -> tuple[Outcome, ...]:
    if before is None or after is None:
        return () if before is after else (Outcome.TIGHTER if before is None else Outcome.ROOMIER,)
    if before.span == after.span:
        return ()
    return (Outcome.TIGHTER if after.span < before.span else Outcome.ROOMIER,)


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

    def outcomes(self) -> tuple[Outcome, ...]:
        """The outcomes that apply, most important first."""
        return outcomes(
            _verdict(self.before),
            _verdict(self.after),
            margin_before=_margin(self.before),
            margin_after=_margin(self.after),
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
    subjects = [_subject(name, context) for name in _subjects(change, context)]
    waits = waiting(change, context.comparison) if concerns(_text(change), context.topics, context.facts) else None
    decisions = [_decided(outcome, subject, change, context) for subject in subjects for outcome in subject.outcomes()]
    if waits is not None:
        decisions.append(_Decision(outcome=Outcome.READ, why=waits.why, job=reading_job(waits)))
    if not decisions:
        decisions.append(_Decision(outcome=Outcome.NONE, why=_no_effect(change, subjects, context)))
    return _made(change, context, min(decisions, key=_rank), {one.outcome for one in decisions})


def _decided(outcome: Outcome, subject: _Subject, change: Change, context: _Context) -> _Decision:
    """A decision by what a rule asks of one subject; the job names the clause that asks it."""
    decisive = _decisive(subject.after)
    asking = [clause.id for clause in change.new if decisive is not None and clause.id in decisive.clauses]
    suggested = job(outcome, subject.name, decisive, (*asking, change.key)[0], context.facts.vocabulary)
    return _Decision(outcome=outcome, why=_reason(outcome, subject), job=suggested, subject=subject)


def _rank(decision: _Decision) -> tuple[int, bool, Fraction]:
    """The first outcome first; of equal ones, last the one that names no value, and of limits that moved the nearest first."""
    subject = decision.subject if decision.outcome in {Outcome.TIGHTER, Outcome.ROOMIER} else None
    margin = _margin(subject.after) if subject is not None else None
    return PRECEDENCE.index(decision.outcome), decision.subject is None, margin.span if margin is not None else Fraction(0)


def _made(change: Change, context: _Context, decision: _Decision, others: Iterable[Outcome] = ()) -> Impact:
    old, new = (tuple(clause.id for clause in clauses) for clauses in (change.old, change.new))
    names = (decision.subject.name,) if decision.subject is not None else _subjects(change, context)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=decision.outcome,
        before=_side(context.before, names, old),
        after=_side(context.after, names, new),
        why=decision.why,
        also=tuple(sorted(set(others) - {decision.outcome}, key=PRECEDENCE.index)),
        subject=decision.subject.name if decision.subject is not None else "",
        job=decision.job,
        change=change,
    )


def _subject(name: str, context: _Context) -> _Subject:
    return _Subject(name=name, before=context.before.about((name,)), after=context.after.about((name,)))


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


def _verdict(findings: Sequence[Finding]) -> Verdict:
    return Verdict.every(finding.verdict for finding in findings)


def _margin(findings: Sequence[Finding]) -> Amount | None:
    """The smallest room to any bound that applies."""
    margins = [finding.margin for finding in findings if finding.applies and finding.margin is not None]
    return min(margins, key=lambda margin: margin.span, default=None)


def _side(side: Assessment, names: Sequence[str], clauses: Sequence[str]) -> Side:
    about = (*side.about(names), *(one for one in side.of_clauses(clauses) if one.sort is Sort.UNREAD))
    alone = Verdict.every(finding.alone[clause] for finding in about for clause in clauses if clause in finding.alone)
    return Side(verdict=_verdict(about), alone=alone, margin=_margin(about))


def _text(change: Change) -> str:
    return " ".join(clause.text for clause in (*change.old, *change.new))


# --- Reasons in words -------------------------------------------------------------------------------------------------


def _reason(outcome: Outcome, subject: _Subject) -> str:
    """The deciding finding's reason, with both margins where there is room on both sides."""
    decisive = _decisive(subject.after) or _decisive(subject.before)
    text = decisive.why if decisive is not None else "no rule speaks of it any more"
    if outcome in {Outcome.TIGHTER, Outcome.ROOMIER}:
        old, new = (
            "no limit" if margin is None else str(margin) for margin in (_margin(subject.before), _margin(subject.after))
        )
        return f"{text}; margin before: {old}, now: {new}"
    if outcome is Outcome.CURED and (was := _decisive(subject.before)) is not None:
        return f"{text}; before: {was.why}"
    return text


def _decisive(findings: Sequence[Finding]) -> Finding | None:
    """The finding that decides the verdict: the worst, then one that applies, then the one with the least room."""
    order = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)

    def rank(finding: Finding) -> tuple[int, bool, bool, Fraction]:
        margin = finding.margin
        return order.index(finding.verdict), not finding.applies, margin is None, Fraction(0) if margin is None else margin.span

    return min(findings, key=rank, default=None)


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
    decisive = next((finding for subject in subjects if (finding := _decisive(subject.after)) is not None), None)
    if decisive is not None:
        return f"{decisive.why}, as before" if decisive.applies else decisive.why
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
    reason = _reason(outcome, subject)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=outcome,
        before=_side(context.before, (WEIGHT,), old),
        after=_side(context.after, (WEIGHT,), new),
        why=reason if found else f"{reason}, as before",
        also=found[1:],
        subject=WEIGHT,
        job=job(outcome, WEIGHT, _decisive(subject.after), ", ".join(new or old), context.facts.vocabulary),
    )
