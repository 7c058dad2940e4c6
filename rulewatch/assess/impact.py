"""Impacts: what each change between two editions does to an entry of a car, and what no change accounts for.

Both sides are judged with the car's own values. The whole book decides: a change is judged by every finding about the
quantities that it speaks of, whichever clause the finding comes from; and where the two books' verdicts differ in something
that no change speaks of, that stands by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.assess.facts import Facts
from rulewatch.assess.idle import may_concern, no_effect
from rulewatch.assess.options import Tried, tried
from rulewatch.assess.outcome import behind, reason, room
from rulewatch.assess.remainder import beside_change, no_cause, remainder
from rulewatch.assess.subjects import WEIGHT, Context, Subject, side_of, side_weighing, subject, subjects
from rulewatch.assess.suggestion import job, option_job, reading_job
from rulewatch.assess.topics import Topics
from rulewatch.assess.unread import reworded, waiting
from rulewatch.model.change import Change, Comparison
from rulewatch.model.impact import PRECEDENCE, Assessment, Further, Impact, Outcome, Verdict


def impacts(
    comparison: Comparison, before: Assessment, after: Assessment, topics: Topics, crew_p: float = 0.0
) -> tuple[Impact, ...]:
    """What became of one entry between a comparison's two points, `before` and `after` being its assessments there.

    `topics` are those of the vocabulary that both were judged with. A legal value that conforms with less probability than
    `crew_p` is at risk.

    One impact for each change, `none` where nothing follows; one for the weight, which cites every clause that counts; and
    one for whatever no change accounts for, without a change.
    """
    context = Context(
        comparison=comparison,
        before=before,
        after=after,
        facts=Facts(car=after.car, vocabulary=topics.vocabulary),
        topics=topics,
        crew_p=crew_p,
    )
    ideas = tuple(tried(context))
    telling = [change for change in comparison.changed if reworded(change) or change.reinterpreted]
    caused = {id(idea): {id(change) for change in idea.causes(telling, context)} for idea in ideas}
    judged = [
        _Judged(
            change=change,
            subjects=subjects(change, context),
            ideas=tuple(idea for idea in ideas if id(change) in caused[id(idea)]),
        )
        for change in comparison.changed
    ]
    accounted = {name for one in judged for name in one.accounts_for}
    return (
        *_weight_impact(context),
        *remainder(context, accounted),
        *(_option_impact(idea, context) for idea in ideas if not caused[id(idea)]),
        *(_impact(one, context) for one in judged),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """A change with the subjects that it speaks of, and the ideas that it opens or closes."""

    change: Change
    subjects: tuple[Subject, ...]
    ideas: tuple[Tried, ...]

    @property
    def tells(self) -> bool:
        """Whether the change altered what is asked, or what is read."""
        return reworded(self.change) or bool(self.change.reinterpreted)

    @property
    def explains(self) -> tuple[Subject, ...]:
        """The subjects that the change decides; one that altered no rule explains nothing that is other than before."""
        return tuple(one for one in self.subjects if one.touched and (self.tells or not one.moved))

    @property
    def accounts_for(self) -> Iterator[str]:
        """The subjects that need no impact of their own; what the change's own clauses do not ask of this car, too."""
        for one in self.subjects:
            if one in self.explains or (not one.touched and one.decides_itself):
                yield one.name


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decision:
    """The outcome of a change with its reason and its job, and the subject or the idea that decided it, if one did."""

    outcome: Outcome
    why: str
    job: str = ""
    subject: Subject | None = None
    idea: Tried | None = None

    @property
    def about(self) -> str:
        """The quantity or component that it is about; empty where none decided it."""
        return self.idea.subjects[0] if self.idea is not None else self.subject.name if self.subject is not None else ""

    @property
    def matter(self) -> str:
        """What tells it from the other decisions of its change: the quantity, or the option."""
        return f"{self.idea.effect.option}: {self.idea.effect.what}" if self.idea is not None else self.about

    @property
    def waits_for(self) -> tuple[str, str] | None:
        """What must be read or answered before an option is decided."""
        return self.idea.waits_for if self.idea is not None else None

    @property
    def further(self) -> Further:
        """As it stands beside a graver one."""
        return Further(outcome=self.outcome, why=self.why, subject=self.about, job=self.job, waits_for=self.waits_for)


def _impact(judged: _Judged, context: Context) -> Impact:
    change = judged.change
    waits = waiting(change, context.comparison)
    if waits is not None and not may_concern(change, context):
        waits = None
    decisions = [
        _decided(outcome, one, change, context)
        for one in judged.explains
        for outcome in one.outcomes()
        # Of a rule that only got another number there is no news, but that the car breaks it still.
        if judged.tells or outcome is Outcome.STILL_IN_BREACH
    ]
    decisions += [_decided_by(idea, change.key) for idea in judged.ideas]
    if waits is not None:
        decisions.append(_Decision(outcome=Outcome.READ, why=waits.why, job=reading_job(waits)))
    if not decisions:
        decisions.append(_Decision(outcome=Outcome.NONE, why=no_effect(change, judged.subjects, context)))
    # Of each matter its gravest decision; the gravest of all is the outcome, and the others stand beside it.
    gravest: dict[str, _Decision] = {}
    for decision in sorted(decisions, key=_rank):
        # A clause is read, and a question answered, once, whatever waits for it.
        waiting_too = decision.outcome is Outcome.READ and any(decision.job == one.job for one in gravest.values())
        if not waiting_too:
            gravest.setdefault(decision.matter, decision)
    first, *further = gravest.values()
    return replace(
        _made(judged, context, first, {one.outcome for one in decisions}), further=tuple(one.further for one in further)
    )


def _decided(outcome: Outcome, one: Subject, change: Change, context: Context) -> _Decision:
    """A decision by what a rule asks of one subject; the job names the clause that asks it."""
    by = behind(outcome, one.after)
    asking = [clause.id for clause in change.new if by is not None and clause.id in by.clauses]
    others = by.clauses if by is not None and not change.new else ()  # of a repeal, what stands now
    clause, vocabulary = (*asking, *others, change.key)[0], context.facts.vocabulary
    suggested = job(outcome, one.name, by, clause, vocabulary, crew_p=context.crew_p)
    found = reason(outcome, one.before, one.after)
    also = beside_change(one, context) if one.entered else "not entered before"
    why = f"{also}: {found}" if also else found
    return _Decision(outcome=outcome, why=why, job=suggested, subject=one)


def _decided_by(idea: Tried, clause: str) -> _Decision:
    todo = option_job(idea.effect, clause, idea.waits)
    return _Decision(outcome=idea.effect.outcome, why=idea.effect.why, job=todo, idea=idea)


def _rank(decision: _Decision) -> tuple[int, bool, Fraction]:
    """The first outcome first; of equal ones, last the one that names no value, and of limits that moved the nearest first."""
    one = decision.subject if decision.outcome in {Outcome.TIGHTER, Outcome.ROOMIER} else None
    margin = room(one.after).margin if one is not None else None
    nameless = decision.subject is None and decision.idea is None
    return PRECEDENCE.index(decision.outcome), nameless, margin.span if margin is not None else Fraction(0)


def _made(judged: _Judged, context: Context, decision: _Decision, others: Iterable[Outcome] = ()) -> Impact:
    change = judged.change
    old, new = (tuple(clause.id for clause in clauses) for clauses in (change.old, change.new))
    names = (decision.subject.name,) if decision.subject is not None else tuple(one.name for one in judged.subjects)
    if not names and context.weighs(change):
        names = (WEIGHT,)
    before, after = side_of(context.before, names, old), side_of(context.after, names, new)
    if decision.idea is not None:
        before, after = decision.idea.before.side, decision.idea.after.side
    elif decision.outcome is Outcome.READ and decision.subject is None:
        after = replace(after, verdict=Verdict.every((after.verdict, Verdict.UNKNOWN)), alone=Verdict.UNKNOWN)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=decision.outcome,
        before=before,
        after=after,
        why=decision.why,
        also=tuple(sorted(set(others) - {decision.outcome}, key=PRECEDENCE.index)),
        subject=decision.about,
        job=decision.job,
        waits_for=decision.waits_for,
        options=tuple(idea.effect for idea in judged.ideas),
        change=change,
    )


def _option_impact(idea: Tried, context: Context) -> Impact:
    """What became of an idea that no change of a clause accounts for."""
    old, new = idea.old, idea.new
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old,
        new=new,
        outcome=idea.effect.outcome,
        before=idea.before.side,
        after=idea.after.side,
        why=f"{no_cause(new, context)}: {idea.effect.why}",
        subject=idea.subjects[0],
        job=option_job(idea.effect, ", ".join(new or old), idea.waits),
        waits_for=idea.waits_for,
        options=(idea.effect,),
    )


def _weight_impact(context: Context) -> Sequence[Impact]:
    """The weight's one impact, with every clause that counts on either side; none where nothing touches or moves it."""
    one = subject(WEIGHT, context)
    touched = any(reworded(change) and context.weighs(change) for change in context.comparison.changed)
    if not context.is_weighed or not (touched or one.moved):
        return ()
    old, new = side_weighing(context.before), side_weighing(context.after)
    found = one.outcomes()
    outcome = found[0] if found else Outcome.NONE
    why = reason(outcome, one.before, one.after)
    if not touched or not one.entered:
        why = f"{no_cause(new, context)}: {why}"
    elif found and (beside := beside_change(one, context)):
        why = f"{beside}: {why}"
    return (
        Impact(
            car=context.after.car.id,
            entry=context.after.entry,
            old=old,
            new=new,
            outcome=outcome,
            before=side_of(context.before, (WEIGHT,), old),
            after=side_of(context.after, (WEIGHT,), new),
            why=why if found or not one.entered else f"{why}, as before",
            also=found[1:],
            subject=WEIGHT,
            weights=(context.before.weight, context.after.weight),
            job=job(
                outcome,
                WEIGHT,
                behind(outcome, one.after),
                ", ".join(new or old),
                context.facts.vocabulary,
                crew_p=context.crew_p,
                sheet=context.after.weight,
            ),
        ),
    )
