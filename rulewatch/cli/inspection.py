"""`rulewatch inspection`: the sheet that a crew brings to an inspection, for each class that a car is entered in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli import output
from rulewatch.cli.output import counted, needed, print_json, say, wrapped
from rulewatch.cli.points import PointType
from rulewatch.model.edition import Point
from rulewatch.model.impact import Verdict
from rulewatch.model.inspection import InspectionLine, InspectionSheet
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.cautions import ALWAYS, cautions_for
from rulewatch.publish.inspection_data import inspection_data
from rulewatch.publish.inspection_words import (
    closing_words,
    line_words,
    paper_words,
    question_words,
    title_words,
    verdict_words,
)
from rulewatch.publish.words import day_words

BLANK = "_" * 16


@click.command("inspection")
@click.argument("car")
@click.option(
    "--in",
    "point",
    type=PointType(),
    help="One point, such as saltmarsh/2027@event:spring; else the next event of each entry.",
)
@click.option("--open", "only_open", is_flag=True, help="Only what is illegal, unknown or at risk.")
@click.option(
    "--today",
    metavar="YYYY-MM-DD",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day of printing, from which the next event is looked for; today if not given.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, car: str, point: Point | None, only_open: bool, today: datetime | None, as_json: bool) -> None:
    """Print the sheet that a crew brings to an inspection.

    One for each class of the car. Every requirement that applies, with the value and how it is known, the room, the verdict and the evidence; items with a life
    and paper; waivers; questions for the officials; what is still to be measured, with room to write; and a place to sign.
    """
    day = today.date() if today is not None else output.today()
    found: tuple[tuple[InspectionSheet, ...], Vocabulary] = needed(pipeline.inspection(root, car, day, point=point))
    sheets, vocabulary = found
    if as_json:
        print_json(inspection_data(sheets))
        return
    for sheet in sheets:
        _print(_Printed(sheet, vocabulary, only_open=only_open), day)
    if not sheets:
        say(f"{car} is entered in no class of a body that is known here.")


class _Printed:
    """One sheet, and which of its lines are shown."""

    def __init__(self, sheet: InspectionSheet, vocabulary: Vocabulary, *, only_open: bool) -> None:
        self.sheet, self.vocabulary, self.only_open = sheet, vocabulary, only_open

    def shown(self, lines: Iterable[InspectionLine]) -> Iterator[InspectionLine]:
        for line in lines:
            settled = line.finding.verdict is Verdict.LEGAL and not self.sheet.at_risk(line.finding) and not line.missed
            if not (self.only_open and settled):
                yield line


def _print(printed: _Printed, day: date) -> None:
    sheet = printed.sheet
    click.echo(wrapped([(title_words(sheet), {"bold": True})], indent=""))
    _lines([f"printed {day_words(day)}; {verdict_words(sheet)}", *closing_words(sheet, day)], "  ")
    click.echo()
    groups = [(one.system, one.lines) for one in sheet.systems]
    for title, lines in (*groups, ("Items with a life, and paper", sheet.lives)):
        shown = list(printed.shown(lines))
        if shown:
            say(f"  {title}", bold=True)
        for line in shown:
            _print_line(line, printed)
    click.echo()
    _print_list("Waivers", [paper_words(one) for one in sheet.waivers])
    _print_list("Questions for the officials", [question_words(one) for one in sheet.questions])
    _print_list("Clauses that nobody has read or confirmed: look them up", [one.why for one in sheet.unread])
    measure = [f"{one.label} ({', '.join(one.clauses)}): {BLANK}  {one.how}" for one in sheet.to_measure]
    _print_list("Still to be measured or stated", measure)
    if sheet.idle and not printed.only_open:
        _lines(
            [
                f"{counted(len(sheet.idle), 'requirement')} that {'does' if len(sheet.idle) == 1 else 'do'} not apply to this car"
            ],
            "  ",
        )
        click.echo()
    _lines([f"Checked for the crew by {BLANK} on {BLANK}", f"Seen by {BLANK} on {BLANK}"], "  ")
    click.echo()
    subjects = [line.finding.subject for one in sheet.systems for line in one.lines]
    _lines([*(f"{one.topic}: {one.text}" for one in cautions_for(subjects)), ALWAYS.replace("This site", "This sheet")], "")
    click.echo()


def _print_line(line: InspectionLine, printed: _Printed) -> None:
    words = line_words(line, printed.sheet, printed.vocabulary)
    bad = line.finding.verdict is not Verdict.LEGAL
    head = f"{words.what}: {words.asked}" if words.asked else words.what
    said = "; ".join(filter(None, (words.found, words.known, words.room)))
    first = f" {words.clauses} {head} – {said}" if said and not bad else f" {words.clauses} {head}"
    click.echo(wrapped([(f"[ ] {words.verdict}", {"bold": bad}), (first, {})], indent="    "))
    below = (said if bad else "", words.remark, f"evidence: {words.evidence}" if words.evidence else "")
    _lines([one for one in below if one], "          ")


def _print_list(title: str, lines: Iterable[str]) -> None:
    found = list(lines)
    if found:
        say(f"  {title}", bold=True)
        _lines(found, "    ")
        click.echo()


def _lines(lines: Iterable[str], indent: str) -> None:
    for line in lines:
        click.echo(wrapped([(line, {})], indent=indent))
