"""`rulewatch amend`: a bulletin checked against the text that it amends, and the clauses as it makes them."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from rulewatch.amending import amend
from rulewatch.cli.change_text import SIGNS, STYLES, title
from rulewatch.cli.output import counted, print_faults, print_json, say, wrapped
from rulewatch.cli.points import PointType
from rulewatch.model.amended import Amended
from rulewatch.model.change import Change, Kind, Mark
from rulewatch.model.edition import BulletinStatus, Point
from rulewatch.publish.amend_data import amend_data
from rulewatch.publish.effect_words import effect_groups, group_words
from rulewatch.publish.reading_words import labelled
from rulewatch.publish.wording import body_lines, marked_words
from rulewatch.publish.words import listed

Piece = tuple[str, dict[str, Any]]


@click.command("amend")
@click.argument("bulletin", type=click.Path(path_type=Path))
@click.option("--of", metavar="BODY/SEASON", type=PointType(), help="The edition, for a file that is not among its bulletins.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, bulletin: Path, of: Point | None, as_json: bool) -> None:
    """Check a bulletin against the text that it amends, and show what it makes of it.

    BULLETIN is a file in the folder of an edition's bulletins, or any other with --of. Each of its instructions is checked
    against the text in force just before the day from which it holds: words that it changes must be there, and numbers that it
    gives must be free. Clauses that it changes are shown whole, with marks on what changed. Nothing is written.

    Ends with status 2 where something cannot be done; the rest is shown all the same.
    """
    result = amend(root, bulletin, of)
    wrong = result.wrong
    if as_json and result.value is not None:
        print_json(amend_data(result.value, wrong))
    elif result.value is not None:
        _print(result.value)
    print_faults(result.faults)
    if wrong or result.value is None:
        click.echo(
            f"{counted(len(wrong), 'fault')} in the bulletin; what stands above is without what they are about", err=True
        )
        raise SystemExit(2)


def _print(amended: Amended) -> None:
    for number, line in enumerate(_head(amended)):
        click.echo(wrapped([(line, {"bold": True} if number == 0 else {})], indent="" if number == 0 else "    "))
    for change in amended.comparison.changed:
        click.echo()
        say(title(change), bold=True)
        click.echo(wrapped([(_kinds(change, amended), {})]))
        for pieces in _text(change):
            click.echo(wrapped(pieces))
    tail = list(_tail(amended))
    if tail:
        click.echo()
    for line in tail:
        click.echo(wrapped([(line, {})], indent=""))


def _head(amended: Amended) -> Iterator[str]:
    bulletin, header = amended.bulletin, amended.before.header
    yield f"Bulletin {bulletin.number} of {header.body}/{header.season}" + (f": {bulletin.title}" if bulletin.title else "")
    events = f" at {listed(list(bulletin.events))} alone" if bulletin.events else ""
    yield f"In force from {bulletin.effective}{events}, published {bulletin.published}"
    others = [each.number for each in amended.before.applied]
    word = "bulletin" if len(others) == 1 else "bulletins"
    yield "Checked against the text as published" + (f" with {word} {listed(others)}" if others else "")
    if bulletin.status is BulletinStatus.DRAFT:
        yield "A draft: it counts for nothing until its status is final"
    elif bulletin.effective < bulletin.published:
        yield f"It reaches back: the text of every day from {bulletin.effective} on has it"


def _kinds(change: Change, amended: Amended) -> str:
    """What kind of change it is, and its effect on the classes."""
    kinds = " and ".join(change.kinds) + (" of the wording only" if change.wording_only else "")
    out = [amended.after.suspended[clause.id] for clause in change.new if clause.id in amended.after.suspended]
    if out and all(clause.id not in amended.before.suspended for clause in change.old):
        kinds = f"suspended until {out[0].until}" if out[0].until else "suspended until further notice"
    effects = [group_words(group, change.effects) for group in effect_groups(change, reasons=False)]
    return ", ".join([kinds, *(labelled(each, amended.vocabulary) for each in effects)])


def _text(change: Change) -> Iterator[Sequence[Piece]]:
    """The clause as a whole, with marks on what changed; where no word did, as it is."""
    runs = marked_words(change)
    if Kind.REPEAL in change.kinds or any(mark is not Mark.KEEP for mark, _ in runs):
        yield from _lines(runs)
    else:
        for clause in change.new:
            yield from ([(line, {})] for line in body_lines(clause))


def _lines(runs: Sequence[tuple[Mark, str]]) -> Iterator[Sequence[Piece]]:
    line: list[Piece] = []
    for mark, text in runs:
        for number, part in enumerate(text.split("\n")):
            if number and line:
                yield line
                line = []
            if part:
                line.append(_piece(mark, part))
    if line:
        yield line


def _piece(mark: Mark, text: str) -> Piece:
    """Words with their mark: a style on a terminal, signs elsewhere; the blanks around them are never marked."""
    if sys.stdout.isatty() or not text.strip():
        return text, STYLES[mark]
    before, after = SIGNS[mark]
    head, tail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    return f"{head}{before}{text.strip()}{after}{tail}", {}


def _tail(amended: Amended) -> Iterator[str]:
    """What else is to be known: what comes back of itself, and what later bulletins do to the same clauses."""
    new = {number: each for number, each in amended.after.suspended.items() if number not in amended.before.suspended}
    for until in sorted({each.until for each in new.values() if each.until}):
        back = [number for number, each in new.items() if each.until == until]
        yield f"{listed(back)} {'comes' if len(back) == 1 else 'come'} back on {until}"
    for later in amended.later:
        day = later.bulletin.effective
        yield f"{listed(list(later.clauses))} {'is' if len(later.clauses) == 1 else 'are'} named again by bulletin {later.bulletin.number} from {day}"
