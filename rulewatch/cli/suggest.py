"""`rulewatch suggest`: readings that the words of unread clauses suggest."""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch.cli.output import counted, needed, print_json, say, wrapped
from rulewatch.cli.points import PointType
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Point
from rulewatch.model.suggestion import SuggestedBook, SuggestedReading, Suggestion
from rulewatch.publish.suggestion_data import suggestion_data
from rulewatch.publish.wording import body_lines
from rulewatch.suggesting import suggestions

INDENT = "    "
NOTE = "These are offers, not readings: they decide nothing until a person has looked at each and written it down."


@click.command("suggest")
@click.argument("point", metavar="BODY/SEASON", type=PointType())
@click.argument("clauses", metavar="[CLAUSE]...", nargs=-1)
@click.option("--all", "every", is_flag=True, help="Also for the clauses that have a reading.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, point: Point, clauses: tuple[str, ...], every: bool, as_json: bool) -> None:
    """Suggest readings for unread clauses, with the words they come from.

    Sentences of the usual forms, English and German, are read with the words of the vocabulary. Nothing is written, and
    nothing that is suggested counts for any verdict: it is for a person to look at. With CLAUSE only those are looked at,
    read or not. A file of a downloaded book will do as well.
    """
    book: SuggestedBook = needed(suggestions(root, point, clauses, every=every))
    if as_json:
        print_json(suggestion_data(book))
        return
    for clause, suggestion in book.clauses:
        _print(clause, suggestion)
    spoken = sum(bool(suggestion.readings) for _, suggestion in book.clauses)
    say(f"{counted(len(book.clauses), 'clause')}, something suggested for {spoken}")
    if spoken:
        say(NOTE)


def _print(clause: Clause, suggestion: Suggestion) -> None:
    say(f"{clause.id}  {clause.heading}".rstrip(), bold=True)
    for line in body_lines(clause):
        click.echo(wrapped([(line, {})], indent=INDENT))
    for one in suggestion.readings:
        _print_reading(one)
    if not suggestion.readings:
        near = f" Nearest: {', '.join(suggestion.nearest)}." if suggestion.nearest else ""
        click.echo(wrapped([(f"nothing suggested: {suggestion.why_not}.{near}", {})], indent=INDENT))
    click.echo()


def _print_reading(one: SuggestedReading) -> None:
    say(f"{INDENT}suggested, certainty {one.certainty:.2f}:")
    for line in one.yaml.splitlines():
        say(f"{2 * INDENT}{line}")
    words: dict[str, list[str]] = {}
    for origin in one.origins:
        words.setdefault(origin.part, []).append(" ".join(origin.words.split()))
    for part, found in words.items():
        quoted = ", ".join(f"“{each}”" for each in dict.fromkeys(found))
        click.echo(wrapped([(f"{part} from {quoted}", {})], indent=2 * INDENT))
    for doubt in one.doubts:
        click.echo(wrapped([(f"look: {doubt}", {})], indent=2 * INDENT))
