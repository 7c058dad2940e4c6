"""`rulewatch impact`: what the changes do to each car in each of its classes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from itertools import groupby
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli import output
from rulewatch.cli.job_list import person_names, print_kept, print_list
from rulewatch.cli.nearest import print_nearest
from rulewatch.cli.output import counted, needed, print_json, say, wrapped
from rulewatch.cli.points import PointType
from rulewatch.cli.together import print_together
from rulewatch.model.clause import natural_order
from rulewatch.model.edition import Point
from rulewatch.model.impact import PRECEDENCE, Impact, Outcome
from rulewatch.model.site import ImpactReport, Worklist
from rulewatch.publish.data import impact_data
from rulewatch.publish.job_data import jobs_data, kept_data
from rulewatch.publish.job_words import Grouping, kept_words
from rulewatch.publish.season_words import report_title
from rulewatch.publish.weight_words import WeightSide, weight_sides

OUTCOMES = [outcome.value.replace(" ", "-") for outcome in PRECEDENCE]


@click.command("impact")
@click.option("--from", "old", type=PointType(), help="The point before; else each body's season before the newest.")
@click.option("--to", "new", type=PointType(), help="The point after; else each body's newest season.")
@click.option("--car", default=None, help="One car only, by the name of its folder.")
@click.option("--all", "everything", is_flag=True, help="Changes without an effect too, with the reason.")
@click.option(
    "--fail-on",
    multiple=True,
    type=click.Choice(OUTCOMES),
    help="End with status 1 if an outcome occurs; may be given more than once.",
)
@click.option("--keep", is_flag=True, help="Add the jobs suggested to each car's jobs.yaml; what stands there stays.")
@click.option(
    "--nearest", is_flag=True, help="Instead, the fewest alterations that make each car legal wherever it is entered."
)
@click.option("--side-by-side", is_flag=True, help="The classes of each car that is entered more than once, side by side.")
@click.option("--by-person", "grouping", flag_value=Grouping.PERSON.value, help="The job lists instead, by who does it.")
@click.option("--by-system", "grouping", flag_value=Grouping.SYSTEM.value, help="The job lists instead, by part of the car.")
@click.option("--due", "grouping", flag_value=Grouping.DUE.value, help="The job lists instead, by the day they are due.")
@click.option(
    "--today",
    metavar="YYYY-MM-DD",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day for which the lists say what is overdue; today if not given.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(
    root: Path,
    *,
    old: Point | None,
    new: Point | None,
    car: str | None,
    everything: bool,
    fail_on: Sequence[str],
    keep: bool,
    nearest: bool,
    side_by_side: bool,
    grouping: str | None,
    today: datetime | None,
    as_json: bool,
) -> None:
    """Say what the changes do to each car in each of its classes.

    Without --from and --to, each body's newest season is taken against the one before it. The jobs that the changes suggest are
    written down only with --keep.
    """
    if nearest:
        _check_nearest(old, alone=not (keep or side_by_side or grouping or fail_on or everything))
        print_nearest(root, point=new, car=car, as_json=as_json)
        return
    _check_points(old, new, keep=keep)
    worklist: Worklist = needed(pipeline.worklist(root, old=old, new=new, car=car, keep=keep))
    reports = worklist.reports
    if as_json:
        data = jobs_data(worklist.tasks) if grouping is not None else impact_data(reports, worklist.together)
        print_json({**data, "kept": kept_data(worklist.kept)} if keep else data)
    elif side_by_side:
        for one in worklist.together:
            print_together(one, worklist.vocabulary, everything=everything)
        if not worklist.together:
            say("No car is entered more than once.")
    elif grouping is not None:
        print_list(worklist, Grouping(grouping), today.date() if today is not None else output.today())
    else:
        _print_reports(worklist, everything=everything)
    if keep and not as_json:
        print_kept(worklist.kept)
    final = (impact for report in reports if not report.draft for impact in report.impacts)
    if any(impact.outcome.replace(" ", "-") in fail_on for impact in final):
        raise SystemExit(1)


def _check_nearest(old: Point | None, *, alone: bool) -> None:
    """The nearest legal car is one of a point, or of each body's newest season; it knows no before, and goes with no other list."""
    if old is not None or not alone:
        raise click.UsageError(
            "--nearest goes with --to, --car and --json alone: it looks at the book as it is, not at changes."
        )


def _check_points(old: Point | None, new: Point | None, *, keep: bool) -> None:
    """Two points are of one body; and jobs are kept of what comes, not of what was."""
    if (old is None) != (new is None):
        raise click.UsageError("--from and --to go together.")
    if old is None or new is None:
        return
    if old.body != new.body:
        raise click.UsageError(
            f"{old} and {new} are not of one body. See a car's classes in several bodies with --side-by-side, "
            "or the room that two classes leave with `rulewatch compare --both`."
        )
    if keep and natural_order(new.season) < natural_order(old.season):
        raise click.UsageError(f"--keep takes changes as they came: {new} is older than {old}.")


def _print_reports(worklist: Worklist, *, everything: bool) -> None:
    name = person_names(worklist)
    for entry, found in _by_entry(worklist.reports).items():
        _print_entry(entry, found, name, everything=everything)
    told = {report.comparison.new.body.id for report in worklist.reports}
    for body in dict.fromkeys(entry.body for one in worklist.together for entry in one.entries if entry.body not in told):
        click.echo(
            wrapped([(f"{body} has no season before its newest one: there is nothing to compare that with", {})], indent="")
        )
    for one in worklist.together:
        more = f"{one.car} is entered {counted(len(one.entries), 'time')}: see its classes side by side with --side-by-side"
        click.echo(wrapped([(more, {})], indent=""))
    if not any(report.impacts for report in worklist.reports):
        say(_nothing(worklist.reports))
    for task in worklist.tasks:
        if task.lost and task.job.cause is not None and task.state.waits:
            say(f"{task.car}: the cause of the job {task.job.name} is not found: {task.job.cause}")


def _nothing(reports: Sequence[ImpactReport]) -> str:
    """Why there is nothing to show."""
    unchanged = [report.comparison for report in reports if not report.comparison.changed]
    if not reports or len(unchanged) < len(reports):
        return "No entry, or nothing to compare: a car needs an entry in a body with two seasons."
    points = ", ".join(f"{one.old.point} → {one.new.point}" for one in unchanged)
    return f"No clause changed, and no car's standing did: {points}."


def _by_entry(reports: Iterable[ImpactReport]) -> dict[tuple[str, str, str], list[tuple[ImpactReport, list[Impact]]]]:
    """The reports that speak of an entry, by car, body and class, each with what it says of it; its body's first one always."""
    found: dict[tuple[str, str, str], list[tuple[ImpactReport, list[Impact]]]] = {}
    first: dict[str, ImpactReport] = {}
    for report in reports:
        first.setdefault(report.comparison.new.body.id, report)
        for key, impacts in groupby(report.impacts, key=lambda one: (one.car, one.entry.body, one.entry.class_name)):
            told = found.setdefault(key, [] if report is first[key[1]] else [(first[key[1]], [])])
            told.append((report, sorted(impacts, key=lambda one: PRECEDENCE.index(one.outcome))))
    return found


def _print_entry(
    entry: tuple[str, str, str],
    found: Sequence[tuple[ImpactReport, list[Impact]]],
    name: Callable[[str], str],
    *,
    everything: bool,
) -> None:
    """What the season does to one entry: the new book first, then day by day, then what drafts would do."""
    car, body, class_name = entry
    first = found[0][0].comparison
    points = f"{first.old.point} → {first.new.point}"
    say(f"{car} in {class_name} of {body}: {points}", bold=True)
    say(f"    {_counts([impact for report, impacts in found if not report.draft for impact in impacts])}")
    click.echo()
    for report, impacts in found:
        shown = [impact for impact in impacts if everything or impact.outcome is not Outcome.NONE]
        if shown and (report.stage is not None or report.draft):
            say(f"  {report_title(report)}", bold=True)
            click.echo()
        for impact in shown:
            _print_impact(impact, name)


def _counts(impacts: Sequence[Impact]) -> str:
    counts = [(outcome, sum(impact.outcome is outcome for impact in impacts)) for outcome in PRECEDENCE]
    said = [f"{number} {outcome.value}" for outcome, number in counts if number and outcome is not Outcome.NONE]
    none = counted(counts[-1][1], "change") + " without effect"
    return ", ".join((*said, none))


def _print_impact(impact: Impact, name: Callable[[str], str]) -> None:
    bad = impact.outcome in {Outcome.BREACH, Outcome.STILL_IN_BREACH}
    outcome = click.style(impact.outcome.upper() if bad else impact.outcome.value, bold=bad)
    also = f" (also {', '.join(impact.also)})" if impact.also else ""
    click.echo(f"  {outcome}{also}  {_numbers(impact)}".rstrip())
    click.echo(wrapped([(impact.why, {})], indent="      "))
    for side in weight_sides(impact) if impact.outcome is not Outcome.NONE else ():
        _print_weight(side)
    for line in _sides(impact):
        say(f"      {line}")
    if impact.job:
        click.echo(wrapped([(f"→ {impact.job}", {})], indent="      "))
    if said := kept_words(impact, name):
        click.echo(wrapped([(f"= {said}", {})], indent="      "))
    for further in impact.further:
        click.echo(wrapped([(f"also {further.outcome}: {further.why}", {})], indent="      "))
        if further.job:
            click.echo(wrapped([(f"→ {further.job}", {})], indent="      "))
    click.echo()


def _print_weight(side: WeightSide) -> None:
    """The minimum weight on one side, line by line."""
    say(f"      {side.when}: {side.minimum}")
    rows = [(step.clause, step.label, step.adds, step.adds_other) for step in side.steps]
    number, label, adds, other = (max(map(len, column)) for column in zip(*rows, strict=True))
    for step, row in zip(side.steps, rows, strict=True):
        doubt = "" if step.certain else "  may apply"
        say(f"        {row[0]:<{number}}  {row[1]:<{label}}  {row[2]:>{adds}}  {row[3]:>{other}}{doubt}")


def _numbers(impact: Impact) -> str:
    old, new = ", ".join(impact.old), ", ".join(impact.new)
    if not (old or new):  # about no clause
        return ""
    return new if old == new else f"{old or 'new'} → {new or 'gone'}"


def _sides(impact: Impact) -> Iterator[str]:
    """Both verdicts where the clause alone says otherwise than the whole book."""
    by_option = any(effect.why in impact.why for effect in impact.options)
    for name, side in (("before", impact.before), ("now", impact.after)):
        if side.alone is not side.verdict and impact.outcome is not Outcome.NONE and not by_option:
            yield f"{name}: the clause alone {side.alone}, the whole book {side.verdict}"
