"""`rulewatch weigh`: how a car stands on its wheels, and what the scales of its inspections will find."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.output import needed, print_json, say, width, wrapped
from rulewatch.cli.points import PointType
from rulewatch.model.edition import Point
from rulewatch.model.weighing import BalanceSheet, Outlook
from rulewatch.publish.balance_data import balance_data
from rulewatch.publish.balance_words import (
    CORNERS,
    ballast_words,
    gravity_words,
    height_words,
    placed_words,
    scales_words,
    speed_words,
    state_row,
    weighed_words,
)
from rulewatch.publish.cautions import ALWAYS, cautions_for
from rulewatch.publish.weight_words import minimum_words, weight_step

HEADS = (
    "",
    "mass",
    "front",
    "left",
    "cross",
    *(name.replace("front", "f.").replace("rear", "r.") for name in CORNERS.values()),
)


@click.command("weigh")
@click.argument("car")
@click.option("--in", "point", type=PointType(), help="One edition, such as saltmarsh/2027; else each body's newest season.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, car: str, point: Point | None, as_json: bool) -> None:
    """Show how a car stands on its wheels, and what the scales will find.

    Corner weights, with what the driver and the fuel do to them; the centre of gravity; axle loads at speed; and for each class the
    minimum weight, the chance of being under it, the ballast that makes it sure, and where to put it.
    """
    sheet, _ = needed(pipeline.weigh(root, car, point=point))
    if as_json:
        print_json(balance_data(sheet))
        return
    _print_car(sheet)
    for one in sheet.outlooks:
        _print_outlook(one, sheet)
    for caution in cautions_for(("ballast", "car.weight", *(("car.speed",) if sheet.at_speed else ()))):
        _print_lines([f"{caution.topic}: {caution.text}"], indent="")
    _print_lines([ALWAYS.replace("This site", "This")], indent="")


def _print_car(sheet: BalanceSheet) -> None:
    weighed = weighed_words(sheet)
    say(f"{sheet.car.name}{f': {weighed}' if weighed else ''}", bold=True)
    _print_lines(sheet.notes)
    click.echo()
    if sheet.states:
        rows = [(row.what, row.mass, row.front, row.left, row.cross, *row.corners) for row in map(state_row, sheet.states)]
        click.echo("\n".join(_table(rows)))
        click.echo()
    gravity = [*gravity_words(sheet), *map(height_words, sheet.heights)]
    what = next((one.what for one in sheet.at_speed), "")
    for title, lines in (("Centre of gravity", gravity), (f"Axle loads at speed, {what}", [*map(speed_words, sheet.at_speed)])):
        if lines:
            say(f"  {title}", bold=True)
            _print_lines(lines)
            click.echo()


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    """Columns as wide as what stands in them; without the corners where the terminal is narrow."""
    for count in (len(HEADS), len(HEADS) - len(CORNERS)):
        shown = [row[:count] for row in (HEADS, *rows)]
        widths = [max(len(row[column]) for row in shown if column < len(row)) for column in range(count)]
        if sum(widths) + 2 * (count - 1) + 4 <= width():
            break
    for row in shown:
        cells = (
            cell.ljust(size) if column == 0 else cell.rjust(size)
            for column, (cell, size) in enumerate(zip(row, widths, strict=False))
        )
        yield f"    {'  '.join(cells)}".rstrip()


def _print_outlook(one: Outlook, sheet: BalanceSheet) -> None:
    entry, header = one.assessment.entry, one.assessment.edition.header
    say(f"{sheet.car.name} in {entry.class_name} of {entry.body}, {header.season}", bold=True)
    if one.sheet is not None:
        say(f"  minimum {minimum_words(one.sheet)}")
        for line in one.sheet.lines:
            step = weight_step(line)
            adds = f"{step.label}, {step.adds}" if step.label != step.adds else step.adds
            doubt = "" if step.certain else ", not certain"
            _print_lines([f"{step.clause}: {adds} → {step.total} ({step.total_other}){doubt}"], indent="      ")
    lines = [scales_words(one), *ballast_words(one, sheet), *placed_words(one, sheet), *one.notes]
    _print_lines([line for line in lines if line], indent="  ")
    click.echo()


def _print_lines(lines: Iterator[str] | list[str] | tuple[str, ...], indent: str = "    ") -> None:
    for line in lines:
        click.echo(wrapped([(line, {})], indent=indent))
