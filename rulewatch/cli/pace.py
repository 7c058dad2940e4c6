"""`rulewatch pace`: an estimate of lap times, for differences between options on one car."""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.output import needed, print_json, say, wrapped
from rulewatch.model.pace import PaceSheet
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.pace_data import pace_data
from rulewatch.publish.pace_words import PURPOSE, head_words, track_words


@click.command("pace")
@click.argument("car")
@click.option("--track", help="One track, by the name of its file; else those of the calendar.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, car: str, track: str | None, as_json: bool) -> None:
    """Estimate lap times, what they hang on, and how sure they are.

    For each track of the calendar: the lap time with the spread that its inputs give it, the top speed, where the time goes, and what
    a kilogram, a kilowatt, or more downforce, drag or grip would change. It is for differences between options on one car.
    """
    sheet: PaceSheet = needed(pipeline.pace(root, car, track=track))
    if as_json:
        print_json(pace_data(sheet))
        return
    say(head_words(sheet), bold=True)
    for note in sheet.notes:
        _line(note, "    ")
    click.echo()
    for one in sheet.tracks:
        say(f"  {one.track.name}", bold=True)
        for line in track_words(one):
            _line(line, "    ")
        click.echo()
    for caution in cautions_for(("car.speed",)):
        _line(f"{caution.topic}: {caution.text} {PURPOSE}", "")


def _line(text: str, indent: str) -> None:
    click.echo(wrapped([(text, {})], indent=indent))
