"""Prints the history of a car: alterations and rules by day, and what is stale."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import groupby

import click

from rulewatch.cli.output import say, wrapped
from rulewatch.model.alteration import Alteration, CarHistory, Issued, Kind
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.history_words import altered_words, answer_words, day_of, issued_words

HASH = 10  # digits of a commit's hash
SHOWN = 6  # of many values that are first stated


def print_history(history: CarHistory, vocabulary: Vocabulary, *, names: bool) -> None:
    """Print a history from old to new; who committed only with `names`."""
    say(history.car.name, bold=True)
    if history.unknown:
        click.echo(wrapped([(f"git knows nothing of this car: {history.unknown}. Below is what its job list tells.", {})]))
    elif history.first is not None:
        by = f" by {history.first.by}" if names else ""
        click.echo(wrapped([(f"first recorded on {history.first.on}{by}, commit {history.first.commit[:HASH]}", {})]))
    say()
    for one in _rows(history):
        if isinstance(one, list):
            names_of = [vocabulary.label(name) for each in one for name in each.subjects]
            more = f" and {len(names_of) - SHOWN} more" if len(names_of) > SHOWN else ""
            said = "first stated" if one[0].kind is Kind.STATED else "not stated any more"
            text = f"{day_of(one[0])}  {said}: {', '.join(names_of[:SHOWN])}{more}"
            click.echo(wrapped([(text, {"dim": True})], indent=""))
        elif isinstance(one, Alteration):
            click.echo(wrapped([(f"{day_of(one)}  {altered_words(one, vocabulary)}", {"bold": True})], indent=""))
            for text in _told(one, names=names):
                click.echo(wrapped([(text, {})]))
        else:
            click.echo(wrapped([(f"{one.day}  {issued_words(one)}", {"dim": True})], indent=""))
    if not any(one.kind is Kind.ALTERED for one in history.alterations):
        say("Nothing is known to be altered since.")
    if history.doubts:
        say()
        say("Measured before it was altered", bold=True)
    for doubt in history.doubts:
        mark = "stale" if doubt.counted else "stale?"
        click.echo(wrapped([(f"{mark}  {vocabulary.label(doubt.subject)}: {doubt.why}", {})], indent=""))
        click.echo(wrapped([(doubt.todo, {})]))


def _rows(history: CarHistory) -> Iterator[Alteration | Issued | list[Alteration]]:
    """What there is to print by day; what one commit first states, or withdraws, is one row."""
    rows: list[Alteration | Issued] = [*history.issued, *history.alterations]

    def by(one: Alteration | Issued) -> tuple[date, str, str]:
        kind = one.kind if isinstance(one, Alteration) and one.kind in {Kind.STATED, Kind.WITHDRAWN} else ""
        commit = one.recorded.commit if kind and isinstance(one, Alteration) and one.recorded is not None else ""
        return one.day or date.max, kind, commit

    # Sorting keeps the order of a day's rows otherwise, so the rules of a day come before what was done on it.
    for (_, kind, _), group in groupby(sorted(rows, key=by), key=by):
        if kind:
            yield [one for one in group if isinstance(one, Alteration)]
        else:
            yield from group


def _told(one: Alteration, *, names: bool) -> Iterator[str]:
    """The lines below an alteration: its answers, its job, its commit."""
    yield from map(answer_words, one.answers)
    if one.job is not None:
        done = one.job.done
        people = done.by if done is not None and done.by else one.job.by
        by = f" by {', '.join(people)}" if people else ""
        day = f" on {done.on}" if done is not None and done.on is not None else ""
        what = f"{one.job.id}: {one.job.what}" if one.job.id and one.difference is not None else one.job.name
        yield f"job {what}, done{day}{by}"
    if one.recorded is not None:
        yield f"commit {one.recorded.commit[:HASH]}" + (f" by {one.recorded.by}" if names else "")
