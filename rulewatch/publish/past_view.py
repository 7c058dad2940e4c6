"""The history of a car on its page: the work that is done and what it altered, as its job list tells.

What git knows beyond that is for the terminal alone, so that the same workspace gives the same pages from every clone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rulewatch.model.worklist import State, Task
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.car_parts import PastRow
from rulewatch.publish.job_pages import clause_of, tasks_of
from rulewatch.publish.page_parts import Cell
from rulewatch.publish.words import count_words, day_words, listed

ANCHOR = "history"


def past_rows(atlas: Atlas, path: str, car: str) -> tuple[PastRow, ...]:
    """The jobs that are done, the newest first; those without a day last."""
    done = [task for task in tasks_of(atlas, car) if task.state is State.DONE]
    done.sort(key=lambda task: _day(task) or date.min, reverse=True)
    return tuple(_row(atlas, path, task) for task in done)


def past_cell(path: str, rows: Sequence[PastRow]) -> Iterator[Cell]:
    """How much was done, with the way to it; none where nothing was."""
    if rows:
        yield Cell(label="History", value=count_words(len(rows), "job") + " done", href=links.relative(path, path, ANCHOR))


def _day(task: Task) -> date | None:
    return task.job.done.on if task.job.done is not None else None


def _row(atlas: Atlas, path: str, task: Task) -> PastRow:
    job, day = task.job, _day(task)
    people = job.done.by if job.done is not None and job.done.by else job.by
    return PastRow(
        day=day_words(day) if day is not None else "",
        what=atlas.in_words(job.what),
        by=listed([atlas.person_name(one) for one in people]),
        altered=tuple(atlas.label(name) for name in job.alters),
        clause=clause_of(atlas, path, task),
    )
