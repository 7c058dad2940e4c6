"""What there is to say of a job: what was decided, whether it is done, what it is due for, and how lists of jobs are ordered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from enum import StrEnum

from rulewatch.model.impact import Impact
from rulewatch.model.job import Choice, Job
from rulewatch.model.worklist import State, Task
from rulewatch.publish.words import OUTCOMES, count_words, day_words, listed

Name = Callable[[str], str]  # what to call a person by the id

DECIDED = {
    Choice.DO: "to be done",
    Choice.NOT_NOW: "put off",
    Choice.ASK: "somebody to be asked first",
    Choice.NEVER: "declined",
}
NOBODY, NO_SYSTEM, NO_DAY = "Nobody yet", "No part of the car", "Without a day"


class Grouping(StrEnum):
    """What a list of jobs is grouped by."""

    PERSON = "person"
    SYSTEM = "system"
    DUE = "due"


def decision_words(job: Job, name: Name) -> str:
    """`declined in 2026 by Mara because …`; empty where nothing was decided. The season of the cause stands for a lost day."""
    decision = job.decision
    if decision is None:
        return ""
    said = decision.by or job.declined
    season = job.cause.season if job.cause is not None and said else ""
    year = str(decision.on.year) if decision.on is not None else season
    word = DECIDED[decision.choice]
    if not job.declined and (decision.on or decision.by):
        word = f"{word}, decided"
    parts = (
        word,
        f"in {year}" if year else "",
        f"by {name(decision.by)}" if decision.by else "",
        f"because {decision.why.rstrip('.')}" if decision.why else "",
    )
    return " ".join(filter(None, parts))


def done_words(job: Job, name: Name) -> str:
    """`done on 20 February 2027 by Tobin`; empty where it is not."""
    if job.done is None:
        return ""
    day = f"on {day_words(job.done.on)}" if job.done.on is not None else ""
    by = f"by {listed([name(one) for one in job.done.by])}" if job.done.by else ""
    return " ".join(filter(None, ("done", day, by)))


def kept_words(impact: Impact, name: Name) -> str:
    """What the crew has said already in the matter of an impact, what it decided first; empty where it has said nothing.

    Of several jobs each is named.
    """
    job = impact.kept
    if job is None:
        return ""
    words = _kept_words(job, name, again=impact.again)
    if not impact.others:
        return words
    said = [(job, words), *((one, _kept_words(one, name)) for one in impact.others)]
    return "; ".join(f"{one.name}: {text}" for one, text in sorted(said, key=lambda each: each[0].decision is None))


def _kept_words(job: Job, name: Name, *, again: bool = False) -> str:
    if job.done is not None:
        return done_words(job, name) + (", and work again: the rule asks for something since" if again else "")
    said = _undone_words(job, name)
    return f"{said}, but that was before the rule made the car illegal" if again else said


def _undone_words(job: Job, name: Name) -> str:
    if job.decision is not None and job.decision.choice is not Choice.DO:
        return decision_words(job, name)
    by = f" for {listed([name(one) for one in job.by])}" if job.by else ""
    return ", ".join(filter(None, (f"on the list{by}", decision_words(job, name))))


def due_words(task: Task) -> str:
    """The day by which a job should be done, with its event."""
    if task.due is None:
        return ""
    return f"{day_words(task.due)}, {task.event}" if task.event else day_words(task.due)


def outcome_words(task: Task) -> str:
    """What the newest changes come to in the matter of a job."""
    return OUTCOMES[task.outcome].word if task.outcome is not None else ""


def asks_words(task: Task) -> str:
    """What the newest changes ask for in the matter of a job that says something else."""
    return f"the rules now: {task.asks}" if task.asks else ""


def clause_words(task: Task) -> str:
    """The rule that a job came from, by its number now, and the one it had where that is another."""
    cause, trail = task.job.cause, task.trail
    if cause is None:
        return ""
    first = f"{cause.body} {cause.season}, {cause.clause}"
    if trail is None:
        return f"{first}, which is not found"
    if trail.gone:
        return f"{first}, gone since" if trail.season == cause.season else f"{first}, gone after {trail.season}"
    return first if trail.clause == cause.clause else f"{first}, now {trail.clause}"


def counts_words(tasks: Iterable[Task]) -> str:
    """`12 jobs to do, 2 of them only suggested, 1 to ask about first; 3 done, 1 declined`."""
    found = list(tasks)
    number = {state: sum(task.state is state for task in found) for state in State}
    open_jobs = count_words(sum(number[state] for state in State if state.waits), "job") + " to do"
    parts = [open_jobs]
    parts += [f"{number[State.SUGGESTED]} of them only suggested"] if number[State.SUGGESTED] else []
    parts += [f"{number[State.ASK]} to ask about first"] if number[State.ASK] else []
    over = [f"{number[state]} {state.value}" for state in (State.DONE, State.DECLINED) if number[state]]
    return "; ".join(filter(None, (", ".join(parts), ", ".join(over))))


def grouped(tasks: Sequence[Task], grouping: Grouping, people: Sequence[str], name: Name) -> Mapping[str, tuple[Task, ...]]:
    """The jobs that wait for somebody, under headings; within one by the day they are due. `people` are the crew's ids in order.

    A job for two people stands under each.
    """
    waiting = sorted((task for task in tasks if task.state.waits), key=lambda task: task.due or date.max)
    found: dict[str, list[Task]] = {}
    if grouping is Grouping.PERSON:
        ids = dict.fromkeys((*people, *(one for task in waiting for one in task.job.by)))
        found = {name(one): [task for task in waiting if one in task.job.by] for one in ids}
        found[NOBODY] = [task for task in waiting if not task.job.by]
    elif grouping is Grouping.SYSTEM:
        for task in sorted(waiting, key=lambda task: (not task.system, task.system)):
            found.setdefault(task.system or NO_SYSTEM, []).append(task)
    else:
        for task in waiting:
            found.setdefault(due_words(task) or NO_DAY, []).append(task)
    return {heading: tuple(each) for heading, each in found.items() if each}
