"""The remainder: what the two whole-book verdicts differ in, and no change of a clause accounts for.

A scope that `edition.yaml` closes, a general tolerance that went, a reading that ended or was read otherwise: nothing of this
stands in a clause that changed, and each is as much of a breach.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from rulewatch.assess.outcome import behind, decisive, reason, whole
from rulewatch.assess.subjects import WEIGHT, Context, Subject, side_of, subject
from rulewatch.assess.suggestion import ANSWER, READ, job
from rulewatch.assess.unread import reworded
from rulewatch.assess.words import in_a_row
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


def no_cause(clauses: Sequence[str], context: Context, names: Collection[str] = ()) -> str:
    """What to say of a cause that is no change of a clause; of papers, only those on these quantities, where any are named."""
    if not context.before.entered:
        return "not entered before"
    if _by_age(clauses, names, context):
        return "nothing changed but its age"
    known = _in_another_class(context) or _by_paper(clauses, names, context) or _by_date(clauses, context)
    return known or _read_otherwise(clauses, context) or "no change of a clause accounts for this"


def _read_otherwise(clauses: Sequence[str], context: Context) -> str:
    read = [clause.id for one in context.comparison.changes if one.reinterpreted for clause in one.new if clause.id in clauses]
    return f"no clause changed, but {', '.join(read)} is read otherwise" if read else ""


def beside_change(one: Subject, context: Context) -> str:
    """What else is other of a subject than the clause that changed, in words: the class, a paper or a reading that ended.

    A change that gives more room does not make a breach; the paper that ended with it does.
    """
    deciding = [found for found in (decisive(one.before), decisive(one.after)) if found is not None]
    clauses = tuple(clause for found in deciding[-1:] for clause in found.clauses)
    if not one.entered or whole(one.before) is Verdict.ILLEGAL is whole(one.after):
        return ""
    other_class = _in_another_class(context)
    if other_class and _only_in_one_class(deciding, context):
        return other_class
    return _by_paper(clauses, (one.name,), context) or _reading_ended(clauses, context)


def _in_another_class(context: Context) -> str:
    was, now = context.before.entry.class_name, context.after.entry.class_name
    return f"in {now}, no longer in {was}" if was != now else ""


def _only_in_one_class(deciding: Sequence[Finding], context: Context) -> bool:
    """Whether any of these findings comes from a reading that is not for both classes."""
    both = {context.before.entry.class_name, context.after.entry.class_name}
    clauses = {clause for found in deciding for clause in found.clauses}
    books = (context.before.edition.readings, context.after.edition.readings)
    readings = (reading for readings in books for clause in clauses for reading in readings.get(clause, ()))
    return any(reading.classes is not None and not both.issubset(reading.classes) for reading in readings)


def _by_paper(clauses: Sequence[str], names: Collection[str], context: Context) -> str:
    """The waiver of these rules that held before and does no longer, and why, in words; empty where none is.

    A waiver names a clause by its number; where the rule has another number now, it does not go with it.
    """
    before, after = context.before, context.after
    for waiver in after.entry.waivers:
        now = _became(waiver.clause, context)
        known = not names or any(test.subject in names for test in waiver.limits)
        if not known or not {waiver.clause, *now}.intersection(clauses) or before.last_day > waiver.until:
            continue
        if waiver.until < after.last_day:
            return f"waiver {waiver.paper} ended on {waiver.until}"
        if now and waiver.clause not in now and waiver.season in {"", before.edition.header.season}:
            return f"waiver {waiver.paper} names {waiver.clause}, which is {in_a_row(now)} now"
    return ""


def _became(clause: str, context: Context) -> tuple[str, ...]:
    """The numbers that the rule under an old number has now."""
    rule = next((one for one in context.comparison.changes if any(old.id == clause for old in one.old)), None)
    return tuple(new.id for new in rule.new) if rule is not None else ()


def _reading_ended(clauses: Sequence[str], context: Context) -> str:
    for reading in (one for clause in clauses for one in context.after.edition.readings.get(clause, ())):
        if reading.until is not None and context.before.day <= reading.until < context.after.day:
            return f"{reading.clause} held until {reading.until}"
    return ""


def _by_date(clauses: Sequence[str], context: Context) -> str:
    """The reading of these clauses that begins or ends between the two days, in words; empty where none does."""
    before, after = context.before.day, context.after.day
    for reading in (one for clause in clauses for one in context.after.edition.readings.get(clause, ())):
        if reading.since is not None and before < reading.since <= after:
            return f"{reading.clause} holds from {reading.since}"
        if reading.until is not None and before <= reading.until < after:
            return f"{reading.clause} held until {reading.until}"
    return ""


def _by_age(clauses: Sequence[str], names: Collection[str], context: Context) -> bool:
    """Whether an item with a life by these clauses was good on the day before, and is not any more."""
    before, after = context.before.last_day, context.after.last_day
    lives = (
        one for one in context.after.findings if one.sort is Sort.DATED and one.ends is not None and before <= one.ends < after
    )
    return any(set(one.clauses).intersection(clauses) and (not names or one.subject in names) for one in lives)


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
        why=f"{no_cause(new, context, names)}: {reason(found[0], first.before, first.after)}{others}",
        also=found[1:],
        subject=first.name,
        job=job(
            found[0],
            first.name,
            behind(found[0], first.after),
            ", ".join(new or old),
            context.facts.vocabulary,
            crew_p=context.crew_p,
        ),
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
