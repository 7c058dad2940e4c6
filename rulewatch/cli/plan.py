"""`rulewatch plan`: who does what when, what to order by when, and how likely it is to be ready."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Self

import click

from rulewatch import pipeline
from rulewatch.cli import output
from rulewatch.cli.output import fail, needed, plain, print_faults, print_json, say, width, wrapped
from rulewatch.model.plan import Plan
from rulewatch.publish.calendar import plan_calendar
from rulewatch.publish.cautions import ALWAYS
from rulewatch.publish.plan_data import plan_data
from rulewatch.publish.plan_words import (
    TRUST,
    chance_words,
    chart_rows,
    chart_weeks,
    driver_words,
    due_words,
    for_words,
    money_words,
    month_heads,
    outcome_lines,
    purchase_words,
    ready_words,
    share_words,
    short_day,
)
from rulewatch.publish.words import day_words
from rulewatch.store.writing import write_file

LABEL = 44  # signs of a label in the chart


@click.command("plan")
@click.argument("cars", metavar="[CAR]...", nargs=-1)
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="The day from which there is time; today if not given.",
)
@click.option("--ics", "file", type=click.Path(path_type=Path, dir_okay=False), help="Write a calendar file too.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, cars: tuple[str, ...], today: datetime | None, file: Path | None, as_json: bool) -> None:
    """Plan the work: who does what when, what to order by when, and how likely it is to be ready.

    Takes the jobs of the cars' jobs.yaml, necessary ones before wishes, with the hours, days off and equipment of crew.yaml. All
    cars of the crew are planned together where none is named.
    """
    day = today.date() if today is not None else output.today()
    with _Progress() as progress:
        result = pipeline.plan(root, cars, day, tell=progress.tell)
    plan: Plan = needed(result)
    if file is not None and not (plan.jobs or plan.unplanned):
        click.echo("nothing to do, so there is no calendar to write", err=True)
    elif file is not None:
        fault = write_file(file, plan_calendar(plan))
        if fault is not None:
            print_faults([fault])
            fail(1)
        click.echo(f"calendar written to {plain(str(file))}", err=True)
    if as_json:
        print_json(plan_data(plan))
        return
    _print_plan(plan)


class _Progress:
    """One line on a terminal's stderr that says what is being done, and goes away."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()

    def tell(self, what: str) -> None:
        """Say what is being done now."""
        if self._shown:
            click.echo(f"\r\x1b[K{what} …", nl=False, err=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._shown:
            click.echo("\r\x1b[K", nl=False, err=True)


def _print_plan(plan: Plan) -> None:
    say(f"Work on {', '.join(plan.cars)}, from {day_words(plan.today, weekday=True)}", bold=True)
    _print_lines(outcome_lines(plan), indent="  ")
    click.echo()
    _print_jobs(plan)
    _print_chart(plan)
    _print_unplanned(plan)
    if plan.purchases:
        say("To order, by the last day on which even the longest wait is in time", bold=True)
        rows = [purchase_words(one, plan) for one in plan.purchases]
        _print_table(("last day", "in this plan", "comes", "cost", "part", "for"), rows, right={3})
    _print_money(plan)
    _print_readiness(plan)
    _print_lines([TRUST, ALWAYS.replace("This site", "This")], indent="")


def _print_jobs(plan: Plan) -> None:
    """The list of each person."""
    for name, person in plan.crew.people.items():
        mine = [one for one in plan.jobs if name in one.people]
        if mine:
            say(person.name, bold=True)
            rows = [
                (
                    short_day(one.start),
                    short_day(one.end),
                    f"{float(one.hours):.3g} h",
                    f"late {one.missing} d" if one.missing else short_day(one.latest),
                    f"{one.task.car}: {one.task.job.what}{'' if one.necessary else ' (wish)'}",
                )
                for one in mine
            ]
            _print_table(("from", "to", "left", "at the latest", "job"), rows, right={2})


def _print_chart(plan: Plan) -> None:
    weeks = chart_weeks(plan)
    label = max(20, min(LABEL, width() - 2 - len(weeks) - 2))
    wide = 2 if label + 2 + 2 * len(weeks) + 2 <= width() else 1
    rows = list(chart_rows(plan))
    if not rows:
        return
    say("By week", bold=True)
    heads = ""
    for number, month in enumerate(month_heads(weeks)):
        if month and len(heads) <= number * wide:
            heads = heads.ljust(number * wide) + month + " "
    click.echo(f"  {'':{label}}  {heads.rstrip()}")
    for row in rows:
        text = plain(row.label if row.head else f"  {row.label}")
        text = text if len(text) <= label else f"{text[: label - 1]}…"
        cells = "".join(cell.ljust(wide) if not cell.startswith("█") else cell * wide for cell in row.cells)
        click.echo(f"  {text:{label}}  {cells}".rstrip())
    click.echo()


def _print_unplanned(plan: Plan) -> None:
    """What has no place in the plan, by why."""
    reasons = dict.fromkeys(one.why for one in plan.unplanned)
    for why in reasons:
        say("Not planned", bold=True, nl=False)
        _print_lines([f": {why}"], indent="")
        for one in plan.unplanned:
            if one.why == why:
                need = "necessary" if one.necessary else ""
                due = f"due {due_words(one)}" if one.task.due is not None else ""
                told = ", ".join(filter(None, (need, due)))
                _print_lines([f"{one.task.car}: {one.task.job.what}{f'; {told}' if told else ''}"], indent="  ")
        click.echo()


def _print_money(plan: Plan) -> None:
    if not plan.months:
        return
    say(f"Money for parts by month{f', in {plan.crew.currency}' if plan.crew.currency else ''}", bold=True)
    rows = [
        (one.month, *(money_words(value, "") for value in (one.budget, one.spent, one.committed, one.to_come, one.left)))
        for one in plan.months
    ]
    _print_table(
        ("month", "budget", "spent", "committed", "to come", "left"), rows, right={1, 2, 3, 4, 5}, after=not plan.unpriced
    )
    if plan.unpriced:
        _print_lines([f"without what has no price yet: {plan.unpriced}"], indent="  ")
        click.echo()


def _print_readiness(plan: Plan) -> None:
    if not plan.readiness:
        return
    say(f"Chance to be ready, in {plan.runs} runs with hours and waits drawn anew", bold=True)
    for number, one in enumerate(plan.readiness, 1):
        _print_lines([f"{number}  {for_words(one)}: {chance_words(one)}"], indent="  ")
        _print_lines(filter(None, (ready_words(one), driver_words(one))), indent="     ")
    for other in plan.what_ifs:
        if any(share_words(was.chance) != share_words(now) for was, now in zip(plan.readiness, other.chances, strict=True)):
            shares = enumerate(zip(plan.readiness, other.chances, strict=True), 1)
            told = ", ".join(f"{number}: {share_words(now)}" for number, (was, now) in shares if not was.open)
            _print_lines([f"with {other.what}: {told}"] if told else [], indent="  ")
    click.echo()


def _print_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: frozenset[int] | set[int] = frozenset(), after: bool = True
) -> None:
    """Columns as wide as what stands in them; the last one is cut where the terminal ends."""
    widths = [max(len(row[column]) for row in (heads, *rows)) for column in range(len(heads))]
    for row in (heads, *rows):
        cells = [
            cell.rjust(size) if number in right else cell.ljust(size)
            for number, (cell, size) in enumerate(zip(row, widths, strict=True))
        ]
        line = plain("  " + "  ".join(cells)).rstrip()
        click.echo(line if len(line) <= width() else f"{line[: width() - 1]}…")
    if after:
        click.echo()


def _print_lines(lines: Iterable[str], indent: str) -> None:
    for line in lines:
        click.echo(wrapped([(line, {})], indent=indent))
