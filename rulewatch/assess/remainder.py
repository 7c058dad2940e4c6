"""The remainder: what the two whole-book verdicts differ in, and no change of a clause accounts for.

A scope that `edition.yaml` closes, a general tolerance that went, a reading that ended or was read otherwise: nothing of this
stands in a clause that changed, and each is as much of a breach.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from rulewatch.assess.outcome import decisive, reason
from rulewatch.assess.subjects import WEIGHT, Context, Subject, side_of, subject
from rulewatch.assess.suggestion import ANSWER, READ, job
from rulewatch.assess.unread import reworded
from rulewatch.model.impact import Finding, Impact, Need, Outcome, Side, Sort, Verdict


def remainder(context: Context, accounted: Collection[str]) -> Iterator[Impact]:
    """One impact for each subject whose verdict or room moved, but for those that some change accounts for.

    Subjects of one closed scope with one outcome go together: they have one cause.
    """
    findings = (*context.before.findings, *context.after.findings)
    names = dict.fromkeys(finding.subject for finding in findings if finding.subject not in {"", WEIGHT, *accounted})
    groups: dict[tuple[Outcome, tuple[str, ...], str], list[Subject]] = {}
    for name in names:
        one = subject(name, context)
        if one.moved:
            deciding = decisive(one.after) or decisive(one.before)
            closed = deciding is not None and deciding.sort is Sort.CLOSED
            clauses = deciding.clauses if closed and deciding is not None else ()
            groups.setdefault((one.outcomes()[0], clauses, "" if closed else name), []).append(one)
    for group in groups.values():
        yield _impact(group, context)
    yield from _waiting(context)


def no_cause(clauses: Sequence[str], context: Context) -> str:
    """What to say of a cause that is no change of a clause."""
    if not context.before.entered:
        return "not entered before"
    was, now = context.before.entry.class_name, context.after.entry.class_name
    if was != now:
        return f"in {now}, no longer in {was}"
    if ended := _by_date(clauses, context):
        return ended
    read = [clause.id for one in context.comparison.changes if one.reinterpreted for clause in one.new if clause.id in clauses]
    if read:
        return f"no clause changed, but {', '.join(read)} is read otherwise"
    return "no change of a clause accounts for this"


def _by_date(clauses: Sequence[str], context: Context) -> str:
    """The paper or reading of these clauses that begins or ends between the two days, in words; empty where none does."""
    before, after = context.before.day, context.after.day
    for waiver in context.after.entry.waivers:
        if waiver.clause in clauses and before <= waiver.until < after:
            return f"waiver {waiver.paper} ended on {waiver.until}"
    for reading in (one for clause in clauses for one in context.after.edition.readings.get(clause, ())):
        if reading.since is not None and before < reading.since <= after:
            return f"{reading.clause} holds from {reading.since}"
        if reading.until is not None and before <= reading.until < after:
            return f"{reading.clause} held until {reading.until}"
    return ""


def _impact(group: Sequence[Subject], context: Context) -> Impact:
    first = group[0]
    found = first.outcomes()
    old, new = (_clauses(findings) for findings in (first.before, first.after))
    others = f", and {len(group) - 1} more of the same" if len(group) > 1 else ""
    names = tuple(one.name for one in group)
    return Impact(
        car=context.after.car.id,
        entry=context.after.entry,
        old=old or new,
        new=new,
        outcome=found[0],
        before=side_of(context.before, names, old),
        after=side_of(context.after, names, new),
        why=f"{no_cause(new, context)}: {reason(found[0], first.before, first.after)}{others}",
        also=found[1:],
        subject=first.name,
        job=job(found[0], first.name, decisive(first.after), ", ".join(new or old), context.facts.vocabulary),
    )


def _clauses(findings: Sequence[Finding]) -> tuple[str, ...]:
    """The clauses that ask something of the car."""
    return tuple(dict.fromkeys(clause for finding in findings for clause in finding.clauses if finding.applies))


def _waiting(context: Context) -> Iterator[Impact]:
    """Clauses that wait to be read, and did not before, though nothing in them changed."""
    partners = {clause.id: change for change in context.comparison.changes for clause in change.new}
    for finding in context.after.findings:
        change = partners.get(finding.clauses[0]) if finding.sort is Sort.UNREAD else None
        if change is None or reworded(change):
            continue
        old = tuple(clause.id for clause in change.old)
        waited = any(one.sort is Sort.UNREAD for one in context.before.of_clauses(old))
        if waited and context.before.entered:
            continue
        todo = ANSWER if Need.ASK in finding.needs else READ
        yield Impact(
            car=context.after.car.id,
            entry=context.after.entry,
            old=old,
            new=finding.clauses,
            outcome=Outcome.READ,
            before=side_of(context.before, (), old),
            after=Side(verdict=Verdict.UNKNOWN, alone=Verdict.UNKNOWN),
            why=f"{no_cause(finding.clauses, context)}: {finding.why}",
            job=f"{todo} ({finding.clauses[0]})",
        )
