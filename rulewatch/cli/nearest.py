"""`rulewatch impact --nearest`: the fewest alterations that make a car legal wherever it is entered."""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.output import needed, print_json, say, wrapped
from rulewatch.model.edition import Point
from rulewatch.model.legal import NearestLegal
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.cautions import ALWAYS
from rulewatch.publish.legal_words import alteration_words, clash_words, laws_words, left_words, nearest_data, nearest_title


def print_nearest(root: Path, *, point: Point | None, car: str | None, as_json: bool) -> None:
    """The nearest legal car of each car, or of one, in each body's newest season or at a point."""
    found: tuple[tuple[NearestLegal, ...], Vocabulary] = needed(pipeline.nearest_legal(root, point=point, name=car))
    cars, vocabulary = found
    if as_json:
        print_json(nearest_data(cars))
        return
    for one in cars:
        _print(one, vocabulary)
    if not cars:
        say("No car is entered in a class of a book that is known here.")
    click.echo(wrapped([(ALWAYS.replace("This site", "This"), {})], indent=""))


def _print(one: NearestLegal, vocabulary: Vocabulary) -> None:
    click.echo(wrapped([(nearest_title(one, one.car), {"bold": True})], indent=""))
    lines = [alteration_words(each, vocabulary) for each in one.alterations]
    lines += [clash_words(each, vocabulary) for each in one.clashes]
    lines += [f"not decided: {laws_words(one.undecided)}"] if one.undecided else []
    for line in (*lines, *left_words(one)):
        click.echo(wrapped([(line, {})], indent="    "))
    click.echo()
