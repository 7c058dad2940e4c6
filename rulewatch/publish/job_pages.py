"""A page for the jobs of each car, to print: by person and by part of the car, with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rulewatch.model.car import Car
from rulewatch.model.worklist import State, Task
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.job_parts import TaskGroup, TaskSection, TaskView
from rulewatch.publish.job_words import (
    Grouping,
    asks_words,
    clause_words,
    counts_words,
    decision_words,
    done_words,
    due_words,
    grouped,
)
from rulewatch.publish.page_model import JobPage
from rulewatch.publish.page_parts import Cell, ClauseLink
from rulewatch.publish.reading_words import capital
from rulewatch.publish.words import OUTCOMES, count_words, day_words

SECTIONS = {
    Grouping.PERSON: ("By person", "people"),
    Grouping.SYSTEM: ("By part of the car", "parts"),
}


def job_page(atlas: Atlas, car: Car) -> JobPage:
    """The page of one car's jobs."""
    path = links.job_page(car.id)
    tasks = tasks_of(atlas, car.id)
    subjects = [task.job.cause.quantity for task in tasks if task.job.cause is not None]
    subjects += [name for task in tasks for name in task.job.alters]
    name = car.name or car.id
    return JobPage(
        frame=atlas.frame(
            path,
            f"Jobs on {name}",
            crumbs=((atlas.site.title, links.FRONT), (name, links.car_page(car.id))),
            cells=tuple(_cells(tasks)),
            cautions=cautions_for(subjects, [task.job.what for task in tasks]),
        ),
        sections=tuple(_section(atlas, path, tasks, grouping) for grouping in SECTIONS),
        declined=tuple(_views(atlas, path, sorted(_in(tasks, State.DECLINED), key=lambda task: not task.unresolved))),
        done=tuple(_views(atlas, path, sorted(_in(tasks, State.DONE), key=lambda task: not task.unresolved))),
        suggested=bool(_in(tasks, State.SUGGESTED)),
    )


def tasks_of(atlas: Atlas, car: str) -> tuple[Task, ...]:
    """The jobs of one car."""
    return tuple(task for task in atlas.site.tasks if task.car == car)


def jobs_cell(atlas: Atlas, path: str, car: str) -> Cell:
    """How many jobs a car has, with the way to them."""
    return Cell(label="Jobs", value=counts_words(tasks_of(atlas, car)), href=links.relative(path, links.job_page(car)))


def _in(tasks: Iterable[Task], state: State) -> list[Task]:
    return [task for task in tasks if task.state is state]


def _cells(tasks: Sequence[Task]) -> Iterator[Cell]:
    waiting = [task for task in tasks if task.state.waits]
    days = [task.due for task in waiting if task.due is not None]
    yield Cell(label="To do", value=count_words(len(waiting), "job"))
    if days:
        yield Cell(label="First due", value=day_words(min(days)))
    for state, label in ((State.DONE, "Done"), (State.DECLINED, "Decided against")):
        if found := _in(tasks, state):
            yield Cell(label=label, value=count_words(len(found), "job"))


def _section(atlas: Atlas, path: str, tasks: Sequence[Task], grouping: Grouping) -> TaskSection:
    title, anchor = SECTIONS[grouping]
    groups = grouped(tasks, grouping, tuple(atlas.site.crew.people), atlas.person_name)
    taken = links.Anchors()
    return TaskSection(
        title=title,
        anchor=anchor,
        groups=tuple(
            TaskGroup(
                title=heading,
                anchor=taken.take(f"{anchor}-{links.slug(heading)}"),
                tasks=tuple(_views(atlas, path, found, people=grouping is not Grouping.PERSON)),
            )
            for heading, found in groups.items()
        ),
    )


def _views(atlas: Atlas, path: str, tasks: Iterable[Task], *, people: bool = True) -> Iterator[TaskView]:
    for task in tasks:
        job = task.job
        by = ", ".join(atlas.person_name(one) for one in job.by) if people else ""
        hours = f"{float(job.hours.likely):g} h" if job.hours is not None else ""
        yield TaskView(
            what=atlas.in_words(job.what),
            term=OUTCOMES[task.outcome] if task.outcome is not None else None,
            suggested=task.state is State.SUGGESTED,
            ask=task.state is State.ASK,
            late=task.state.waits and task.due is not None and task.due < atlas.site.day,
            due=due_words(task),
            details=tuple(filter(None, (by, hours))),
            clause=clause_of(atlas, path, task),
            cause=clause_words(task) if task.trail is None or task.trail.gone else "",
            said=tuple(
                capital(text)
                for text in (
                    decision_words(job, atlas.person_name),
                    done_words(job, atlas.person_name),
                    job.note,
                    atlas.in_words(asks_words(task)),
                )
                if text
            ),
        )


def clause_of(atlas: Atlas, path: str, task: Task) -> ClauseLink | None:
    """The rule that a job came from, as it is now, with the name of its book; None where it stands no longer."""
    trail = task.trail
    if trail is None or trail.gone:
        return None
    book = atlas.by_season.get((trail.body, trail.season))
    number = f"{atlas.body_name(trail.body)} {trail.season}, {trail.clause}"
    if book is None:
        return ClauseLink(number=number)
    link = book.link(path, trail.clause)
    return ClauseLink(number=number, words=link.words, href=link.href)
