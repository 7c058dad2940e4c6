"""`rulewatch timeline`: one clause through every season and bulletin, or what was altered on one car."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.car_history import print_history
from rulewatch.cli.output import needed, print_faults, print_json, say, width, wrapped
from rulewatch.cli.timeline_chart import chart
from rulewatch.model.fault import Fault
from rulewatch.model.timeline import Line, Scope, Station, Timeline
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.clause_names import parse_clause_name
from rulewatch.publish.effect_words import group_words, showing_words, showings
from rulewatch.publish.history_data import history_data
from rulewatch.publish.reading_words import labelled
from rulewatch.publish.timeline_data import timeline_data
from rulewatch.publish.timeline_words import (
    confirmations,
    freedom_words,
    habit_name,
    habit_words,
    line_words,
    state_words,
    station_effects,
    station_words,
    value_words,
)
from rulewatch.publish.wording import body_lines

INDENT = "    "


@click.command("timeline")
@click.argument("clause", nargs=-1)
@click.option("--car", metavar="CAR", help="Instead of a clause: what was altered on this car, and which changes that answers.")
@click.option(
    "--recorded", is_flag=True, help="Also who first recorded each reading and text, or committed each alteration, from git."
)
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, clause: tuple[str, ...], car: str | None, recorded: bool, as_json: bool) -> None:
    """Show one clause through the seasons, or what was altered on a car.

    CLAUSE is a number, with its body and season in front where needed: 6.3, saltmarsh 6.3, saltmarsh/2026 6.2. A number that
    it ever had will do. A season may be a point, with a git revision in front: v1.2:saltmarsh/2027@published 6.3

    It shows the number and the words then, the values over time, the effect on each class, who confirmed the readings, and
    how often the rules of its chapter and of its quantities change.

    With --car it shows what was altered on a car and when, from git and its job list, beside the rules of that time: which
    alterations answered which changes, and what was measured before it was altered.
    """
    if (car is None) == (not clause):
        raise click.UsageError("name a clause, or a car with --car")
    if car is not None:
        history, vocabulary = needed(pipeline.car_history(root, car))
        if as_json:
            print_json(history_data(history, vocabulary, names=recorded))
        else:
            print_history(history, vocabulary, names=recorded)
        return
    name = parse_clause_name(" ".join(clause))
    if isinstance(name, Fault):
        print_faults([name])
        raise SystemExit(2)
    timeline, vocabulary = needed(pipeline.timeline(root, name, recorded=recorded))
    if as_json:
        print_json(timeline_data(timeline, vocabulary))
        return
    _Printer(timeline, vocabulary).all()


class _Printer:
    """Prints one timeline, part by part."""

    def __init__(self, timeline: Timeline, vocabulary: Vocabulary) -> None:
        self.timeline, self.vocabulary = timeline, vocabulary

    def all(self) -> None:
        last, body = self.timeline.last, self.timeline.body
        click.echo(wrapped([(f"{last.id}  {last.heading}", {"bold": True})], indent=""))
        first = self.timeline.lineage
        click.echo(wrapped([(f"{body.name}; first known as {first.clause} in {first.season}", {})]))
        lines = body_lines(last)
        if lines:
            click.echo()
        for text in lines:
            click.echo(wrapped([(text, {})]))
        for line in self.timeline.lines:
            click.echo()
            click.echo(wrapped([(line_words(line, self.vocabulary, body.classes), {})], indent=""))
            self.values(line)
        click.echo()
        for at, station in enumerate(self.timeline.stations):
            self.station(station, first=at == 0)
        click.echo()
        say("How often such rules change", bold=True)
        self.habits()

    def values(self, line: Line) -> None:
        if not line.moves:
            say(f"{INDENT}{value_words(line.values[0], self.vocabulary)} throughout")
            return
        stations = self.timeline.stations
        labels = [station_words(station) for station in stations]
        days = [station.day for station in stations]
        for row in chart(line, labels, days, self.vocabulary, width() - len(INDENT)):
            say(INDENT + row)

    def station(self, station: Station, *, first: bool) -> None:
        number = station.clause.id if station.clause is not None else "–"
        day = f"from {station.day}" if station.day is not None else ""
        head, state = f"{station_words(station):<14} {day:<16} {number:<10}", state_words(station, first=first)
        if len(head) + 1 + len(state) <= width():
            say(f"{head} {state}".rstrip())
        else:
            say(head.rstrip())
            click.echo(wrapped([(state, {})]))
        for text in self.told(station):
            click.echo(wrapped([(text, {})]))

    def told(self, station: Station) -> Iterator[str]:
        """What there is to say of a station beyond its line: effects, confirmations, who recorded it."""
        groups = station_effects(station)
        yield from (labelled(group_words(group, station.effects), self.vocabulary) for group in groups)
        if groups and station.change is not None:
            yield from (showing_words(each, station.effects) for each in showings(station.change.witness, station.effects))
        if not station.changed and station.change is not None and not station.change.reinterpreted:
            return
        for by, on, counts in confirmations(station):
            yield f"confirmed by {by} on {on}" + ("" if counts else ", against other words")
        if station.recorded is not None:
            recorded = station.recorded
            yield f"recorded by {recorded.by} on {recorded.on}, commit {recorded.commit[:10]}"

    def habits(self) -> None:
        for habit in self.timeline.habits:
            about = habit_name(habit, self.timeline, self.vocabulary)
            click.echo(wrapped([(habit_words(habit, about), {})]))
            freedoms = freedom_words(habit)
            if freedoms and habit.scope is not Scope.CLAUSE:
                click.echo(wrapped([(freedoms, {})], indent=2 * INDENT))
