"""Job lists in the terminal: by person, by system, or by the day they are due."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date

import click

from rulewatch.cli.output import counted, say, wrapped
from rulewatch.model.site import Worklist
from rulewatch.model.worklist import Kept, State, Task
from rulewatch.publish.job_words import (
    Grouping,
    asks_words,
    clause_words,
    counts_words,
    decision_words,
    done_words,
    due_words,
    grouped,
    outcome_words,
)

BOXES = {State.SUGGESTED: "[+]", State.ASK: "[?]"}


def person_names(worklist: Worklist) -> Callable[[str], str]:
    """What to call a person: the name in crew.yaml, else the id."""
    people = worklist.crew.people
    return lambda person: people[person].name if person in people else person


def print_list(worklist: Worklist, grouping: Grouping, today: date) -> None:
    """Print what is to be done under its headings, then what is over and yet leaves the car illegal, then how many there are of each."""
    name, tasks = person_names(worklist), worklist.tasks
    for heading, found in grouped(tasks, grouping, tuple(worklist.crew.people), name).items():
        late = grouping is Grouping.DUE and found[0].due is not None and found[0].due < today
        say(f"{heading}: overdue" if late else heading, bold=True)
        for task in found:
            _print_task(task, grouping, name, today)
        click.echo()
    back = [task for task in tasks if task.unresolved]
    if back:
        say("Decided against or done, and by its values the car is illegal all the same", bold=True)
        for task in back:
            _print_task(task, grouping, name, today)
        click.echo()
    say(counts_words(tasks))
    if any(task.state is State.SUGGESTED for task in tasks):
        say("[+] is suggested by a change and not in jobs.yaml: `rulewatch impact --keep` adds it.")


def _print_task(task: Task, grouping: Grouping, name: Callable[[str], str], today: date) -> None:
    box = "   " if not task.state.waits else BOXES.get(task.state, "[ ]")
    click.echo(f"  {box} " + wrapped([(f"{task.car}: {task.job.what}", {})], indent="      ").lstrip())
    for line in filter(None, _details(task, grouping, name, today)):
        click.echo(wrapped([(line, {})], indent="        "))


def _details(task: Task, grouping: Grouping, name: Callable[[str], str], today: date) -> Iterable[str]:
    due = due_words(task)
    late = "overdue since" if task.due is not None and task.due < today else "due"
    parts = [
        outcome_words(task).lower(),
        f"{late} {due}" if due and (grouping is not Grouping.DUE or not task.state.waits) else "",
        ", ".join(name(one) for one in task.job.by) if grouping is not Grouping.PERSON else "",
        f"{float(task.job.hours.likely):g} h" if task.job.hours is not None else "",
        task.job.id if task.state is not State.SUGGESTED else "",
    ]
    yield "; ".join(filter(None, (*parts, "" if task.job.cause is not None else "the crew's own")))
    if task.job.cause is not None:
        yield clause_words(task)
    yield decision_words(task.job, name)
    yield done_words(task.job, name)
    yield asks_words(task)


def print_kept(kept: Sequence[Kept]) -> None:
    """Say what was added to which file."""
    for one in kept:
        say(f"{one.path}: {counted(len(one.added), 'job')} added: {', '.join(job.id for job in one.added)}")
    if not kept:
        say("Nothing to add: every job that the changes suggest is on its list, or was decided.")
