"""Matters: what the changes ask of a car about one rule and one quantity, and the crew's job that answers it.

A job is found again by its rule, followed through every season, and by its quantity; the minimum weight is one matter for each
body. What a person decided stays decided until the rules ask for something new after it was done.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from rulewatch.assess.elsewhere import Judged, judged_together, tighter_elsewhere
from rulewatch.assess.outcome import decisive
from rulewatch.assess.trails import Rule, Trails, speaks
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.model.change import Comparison
from rulewatch.model.fault import Place
from rulewatch.model.impact import PRECEDENCE, Assessment, Impact, Outcome
from rulewatch.model.job import Cause, Job
from rulewatch.model.site import ImpactReport

LONGEST_ID = 40
ILLEGAL = {Outcome.BREACH, Outcome.STILL_IN_BREACH}


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """One matter of a car, in whichever of its classes, with the impacts that are about it.

    `cause` is the rule as it is now, or was last; `season` the one whose book asks. `outcome` is the most important one,
    and `what` the work that it suggests. `on` is the day from which that holds, the first of them, None for the season's
    beginning; `asked` the last day on which it was published, in the book or a bulletin, None where nobody wrote it down. `broke`
    is when that was published which makes a car illegal that was not.
    """

    car: str
    season: str
    cause: Cause
    rules: frozenset[Rule]
    what: str
    outcome: Outcome
    on: date | None
    asked: date | None
    broke: date | None
    impacts: tuple[Impact, ...]


def matters(reports: Sequence[ImpactReport], trails: Trails) -> tuple[Matter, ...]:
    """Every matter that asks for work, the most important first. What drafts would do asks for none yet."""
    found: dict[tuple[str, str, str], list[list[Matter]]] = {}  # by car, body and quantity, which few have in common
    for report in reports:
        judged = {(one.car.id, id(one.entry)): one for one in report.judged}
        for impact in () if report.draft else (each for told in report.impacts for each in told.each()):
            if impact.outcome is Outcome.NONE or not impact.job:
                continue
            one = _matter(impact, report, judged.get((impact.car, id(impact.entry))), trails)
            others = found.setdefault((one.car, one.cause.body, one.cause.quantity), [])
            group, apart = [one], []
            for other in others:
                if any(_share_a_rule(one, each) for each in other):
                    group[-1:-1] = other
                else:
                    apart.append(other)
            others[:] = [*apart, group]
    together = judged_together(reports)
    every = (_told_together(_joined(group), together) for others in found.values() for group in others)
    return tuple(sorted(every, key=_grave))


def _told_together(matter: Matter, together: Judged) -> Matter:
    """A matter that makes a car illegal, with what another of its entries asks for beyond it."""
    if matter.outcome not in ILLEGAL:
        return matter
    entries = (id(impact.entry) for impact in matter.impacts)
    more = tighter_elsewhere(matter.car, matter.cause.quantity, entries, together)
    return replace(matter, what=f"{matter.what}; {more}") if more else matter


def _grave(matter: Matter) -> tuple[int, bool]:
    """The gravest first; of equal ones, one whose rule stands before one whose rule is gone."""
    return PRECEDENCE.index(matter.outcome), not matter.impacts[0].new


def _matter(impact: Impact, report: ImpactReport, judged: Assessment | None, trails: Trails) -> Matter:
    body, comparison = impact.entry.body, report.comparison
    asked, season = _asked(impact, comparison), comparison.new.header.season
    cause = cause_of(impact, comparison)
    if impact.waits_for is not None:
        rules = {trails.rule(body, cause.clause, comparison.new.point, cause.quantity)}
    else:
        rules = {trails.rule(body, clause, comparison.new.point, cause.quantity) for clause in impact.new}
        rules |= {trails.rule(body, clause, comparison.old.point, cause.quantity) for clause in impact.old}
    if not impact.new and judged is not None and (deciding := decisive(judged.about((impact.subject,)))) is not None:
        # Where a rule is gone, the matter is that of the rule which decides now.
        rules |= {trails.rule(body, clause, comparison.new.point, cause.quantity) for clause in deciding.clauses}
    return Matter(
        car=impact.car,
        season=season,
        cause=trails.settled(cause, (comparison.new if impact.new or impact.waits_for else comparison.old).point),
        rules=frozenset(rules),
        what=impact.job,
        outcome=impact.outcome,
        on=report.on,
        asked=asked,
        broke=asked if impact.outcome is Outcome.BREACH else None,
        impacts=(impact,),
    )


def _asked(impact: Impact, comparison: Comparison) -> date | None:
    """When what asks was published: the bulletins that came with it and amend its clauses, else the book.

    Of bulletins during a season that amend none of them, all count: what they say elsewhere may decide.
    """
    old, new = comparison.old, comparison.new
    in_season = old.header.season == new.header.season
    before = {bulletin.number for bulletin in old.applied} if in_season else set[str]()
    came = [bulletin for bulletin in new.applied if bulletin.number not in before]
    clauses = {*impact.old, *impact.new, *(impact.waits_for or ())[:1]}
    amending = [one for one in came if one.numbers & clauses]
    asking = amending or (came if in_season else [])
    return max((one.published for one in asking), default=new.header.published)


def _share_a_rule(one: Matter, other: Matter) -> bool:
    return one.cause.quantity == WEIGHT or not one.rules.isdisjoint(other.rules)


def _joined(group: Sequence[Matter]) -> Matter:
    """Impacts on one matter: the gravest says what to do and from when, and every one that is equally grave.

    A limit that comes down twice in a season leaves the car illegal at first and still illegal then: both limits are told.
    """
    first, *others = sorted(group, key=_grave)
    equal = [first, *(one for one in others if one.outcome is first.outcome or {one.outcome, first.outcome} == ILLEGAL)]
    what = first.what
    if first.on is not None and any(one.on != first.on for one in others):
        what = f"{what}, from {first.on}"
    for one in equal[1:]:
        if one.what not in what:
            what = f"{what}; {f'from {one.on}: ' if one.on is not None else ''}{one.what}"
    days = [one.on for one in equal if one.on is not None]
    return replace(
        first,
        rules=frozenset().union(*(one.rules for one in group)),
        what=what,
        on=min(days) if len(days) == len(equal) else None,
        asked=max((one.asked for one in equal if one.asked is not None), default=None),
        broke=min((one.broke for one in group if one.broke is not None), default=None),
        impacts=tuple(impact for one in group for impact in one.impacts),
    )


def cause_of(impact: Impact, comparison: Comparison) -> Cause:
    """What a job is kept under: the clause of the new book that speaks of the quantity, else the first, else the old one's.

    Where an option waits for another clause to be read or answered, that clause.
    """
    if impact.waits_for is not None:
        clause, quantity = impact.waits_for
        return Cause(body=impact.entry.body, season=comparison.new.header.season, clause=clause, quantity=quantity)
    edition, clauses = (comparison.new, impact.new) if impact.new else (comparison.old, impact.old)
    speaking = [name for name in clauses if any(speaks(one, impact.subject) for one in edition.readings.get(name, ()))]
    clause = next(iter((*speaking, *clauses)), "")
    season = edition.header.season
    return Cause(body=impact.entry.body, season=season, clause=clause, quantity=impact.subject)


# --- Jobs that answer them --------------------------------------------------------------------------------------------


def answers(matter: Matter, jobs: Sequence[Job], trails: Trails) -> tuple[Job, ...]:
    """The crew's jobs in a matter: first those that leave no work, of the newest season, rather not done than done."""
    found = [job for job in reversed(jobs) if _is_about(job, matter, trails)]

    def rank(job: Job) -> tuple[bool, int, bool]:
        return not is_work_again(job, matter, trails), _rank(job, trails), job.done is None

    return tuple(sorted(found, key=rank, reverse=True))


def answer(matter: Matter, jobs: Sequence[Job], trails: Trails) -> Job | None:
    """The crew's job that answers a matter best."""
    return next(iter(answers(matter, jobs, trails)), None)


def _is_about(job: Job, matter: Matter, trails: Trails) -> bool:
    cause = job.cause
    if cause is None or (cause.body, cause.quantity) != (matter.cause.body, matter.cause.quantity):
        return False
    return cause.quantity == WEIGHT or trails.rule_of(cause) in matter.rules


def _rank(job: Job, trails: Trails) -> int:
    return trails.rank(job.cause.body, job.cause.season) if job.cause is not None else -1


def is_work_again(job: Job, matter: Matter, trails: Trails) -> bool:
    """Whether there is work in a matter beyond a crew's job in it.

    The job was done before what the rules ask for now was published, or it is no answer to a car that has become illegal.
    Where a day is not known, the seasons of the books decide.
    """
    older = trails.rank(matter.cause.body, matter.cause.season) > _rank(job, trails)
    if job.done is None:
        return matter.outcome is Outcome.BREACH and not _answers_breach(job, matter, older=older)
    if job.done.on is not None and matter.asked is not None:
        return job.done.on < matter.asked
    return older


def _answers_breach(job: Job, matter: Matter, *, older: bool) -> bool:
    """Whether a job may speak of a car's becoming illegal: one of this book, or decided since, or one that says the same.

    A no from before was to something else.
    """
    decided = job.decision.on if job.decision is not None else None
    if decided is not None and matter.broke is not None and (job.declined or decided >= matter.broke):
        return decided >= matter.broke
    return not older or (not job.declined and says(job, matter))


def says(job: Job, matter: Matter) -> bool:
    """Whether a job says what its matter asks for now."""
    return job.what.split() == matter.what.split()


def new_jobs(found: Iterable[Matter], jobs: Sequence[Job], trails: Trails, path: str) -> tuple[Job, ...]:
    """The jobs that matters suggest and a car's `jobs.yaml`, which is at `path`, does not have."""
    taken = {job.id for job in jobs}
    new: list[Job] = []
    for matter in found:
        kept = answer(matter, jobs, trails)
        if kept is None or is_work_again(kept, matter, trails):
            name = next(name for name in _names(matter.cause) if name not in taken)
            taken.add(name)
            new.append(Job(id=name, what=" ".join(matter.what.split()), cause=matter.cause, place=Place(path=path)))
    return tuple(new)


def _names(cause: Cause) -> Iterator[str]:
    """Short names for a job, the shortest first, that people can type."""
    parts = cause.quantity.split(".")
    about = "-".join(parts[1:] if len(parts) > 2 else parts) if cause.quantity else f"read-{cause.clause}"  # noqa: PLR2004
    name = re.sub(r"[^a-z0-9.]+", "-", about.lower()).strip("-.")[:LONGEST_ID].rstrip("-.") or "job"
    yield name
    yield f"{name}-{cause.season}"
    yield f"{name}-{cause.body}-{cause.season}"
    number = 1
    while True:
        number += 1
        yield f"{name}-{cause.body}-{cause.season}-{number}"


def answered(found: Iterable[Matter], jobs: Sequence[Job], trails: Trails) -> Iterator[tuple[Impact, Impact]]:
    """The impacts of one car's matters, each as it was and with its cause and the jobs of `jobs` that answer it."""
    for matter in found:
        kept, *others = answers(matter, jobs, trails) or (None,)
        again = kept is not None and is_work_again(kept, matter, trails)
        for one in matter.impacts:
            yield one, replace(one, cause=matter.cause, kept=kept, again=again, others=tuple(filter(None, others)))
