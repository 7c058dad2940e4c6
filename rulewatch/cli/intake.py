"""`rulewatch intake`: a published book into chapters of clauses."""

from __future__ import annotations

import shlex
import sys
from datetime import datetime
from pathlib import Path

import click

from rulewatch.cli.output import counted, needed, plain, print_json, say, wrapped
from rulewatch.model.taken_in import TakenIn, Wish

MOST_DOUBTS = 20
DAY = click.DateTime(formats=["%Y-%m-%d"])


@click.command("intake")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--body", required=True, metavar="BODY", help="The short name of the body that published it.")
@click.option("--season", required=True, metavar="SEASON", help="The season that it is for.")
@click.option("--previous", metavar="SEASON", default="", help="The season before; the latest earlier one if not given.")
@click.option("--title", metavar="TEXT", default="", help="The title, if not the one on the first page.")
@click.option("--published", metavar="DAY", type=DAY, help="The day it came out, YYYY-MM-DD.")
@click.option("--effective", metavar="DAY", type=DAY, help="The day from which it holds.")
@click.option(
    "--numbering",
    metavar="LABELS",
    default="",
    help="Labels of every style that begins a clause, as the book prints them: '4.2.1, (a)'. Others are text then.",
)
@click.option(
    "--bulletin", metavar="NUMBER", default="", help="Make a draft bulletin of that number of the season, not an edition."
)
@click.option("--dry-run", "dry", is_flag=True, help="Say what would be written, and write nothing.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(
    root: Path,
    *,
    files: tuple[Path, ...],
    body: str,
    season: str,
    previous: str,
    title: str,
    published: datetime | None,
    effective: datetime | None,
    numbering: str,
    bulletin: str,
    dry: bool,
    as_json: bool,
) -> None:
    """Take in a published book: chapters of clauses, with the readings carried over.

    PDF, DOCX, HTML, Markdown and plain text are read. Several files are one book, in the order given. It becomes a new edition in the workspace, one file for each chapter, and
    the readings of the season before are carried into it. Nothing that is there is ever replaced. Where the book is doubtful
    the place is marked in its chapter and listed; look it up in the book, mend what is wrong, and take the mark away.
    """
    wish = Wish(
        body=body,
        season=season,
        previous=previous,
        title=title,
        published=published.date() if published is not None else None,
        effective=effective.date() if effective is not None else None,
        numbering=numbering,
        bulletin=bulletin,
        dry=dry,
    )
    progress = _Progress() if sys.stderr.isatty() else None
    if bulletin:
        if published is None or effective is None:
            raise click.UsageError("a bulletin has two days: say --published and --effective")
        from rulewatch.draft_bulletin import take_in_bulletin as taking
    else:
        from rulewatch.new_edition import take_in as taking
    result = taking(root, files, wish, progress=progress)
    if progress is not None:
        progress.end()
    taken: TakenIn = needed(result)
    if as_json:
        from rulewatch.publish.intake_data import taken_data

        print_json(taken_data(taken))
        return
    _print(taken, files)


class _Progress:
    """How far a long book is read, on one line of the terminal."""

    def __init__(self) -> None:
        self.width = 0

    def __call__(self, name: str, done: int, pages: int) -> None:
        """Tell of one more page."""
        text = plain(f"reading {name}: page {done} of {pages}")
        click.echo("\r" + text.ljust(self.width), err=True, nl=False)
        self.width = len(text)

    def end(self) -> None:
        """Clear the line."""
        if self.width:
            click.echo("\r" + " " * self.width + "\r", err=True, nl=False)


def _print(taken: TakenIn, files: tuple[Path, ...]) -> None:
    name = f"bulletin {taken.bulletin} of {taken.point}" if taken.bulletin else str(taken.point)
    say(f"{', '.join(file.name for file in files)} → {name}", bold=True)
    if taken.title:
        say(taken.title)
    click.echo(wrapped([(_summary(taken), {})], indent=""))
    if taken.styles:
        styles = ", ".join(f"{style.example} ({style.clauses})" for style in taken.styles)
        click.echo(wrapped([(f"numbered as in {styles}", {})], indent=""))
    _print_doubts(taken)
    if taken.carriage is not None:
        from rulewatch.cli.carried_text import print_carriage

        click.echo()
        print_carriage(taken.carriage, dry=taken.dry)
    click.echo()
    _print_end(taken)


def _summary(taken: TakenIn) -> str:
    chapters = f" in {counted(len(taken.chapters), 'chapter')}" if taken.chapters else ""
    parts = [
        counted(number, word)
        for number, word in ((taken.pages, "page"), (taken.tables, "table"), (taken.notes, "footnote"))
        if number
    ]
    parts += [f"{counted(taken.struck, 'word')} struck"] if taken.struck else []
    parts += [f"{counted(taken.inserted, 'word')} inserted"] if taken.inserted else []
    parts += [f"{counted(taken.contents, 'entry', 'entries')} of contents pages, left out"] if taken.contents else []
    said = f"{counted(taken.clauses, 'clause')}{chapters}"
    if taken.bulletin:
        said = f"{counted(taken.amendments, 'amendment')} recognised"
    return f"{said}, from {', '.join(parts)}" if parts else said


def _print_doubts(taken: TakenIn) -> None:
    if not taken.doubts:
        return
    click.echo()
    where = "would be marked in their chapters" if taken.dry else "are marked in their chapters"
    if len(taken.doubts) == 1:
        where = where.replace("are", "is").replace("their chapters", "its chapter")
    say(f"{counted(len(taken.doubts), 'place')} to look up in the book {where}", bold=True)
    for doubt in taken.doubts[:MOST_DOUBTS]:
        under = f" (under {doubt.clause})" if doubt.clause else ""
        say(f"    {doubt.path}:{doubt.line}: {doubt.where}{under}")
        click.echo(wrapped([(doubt.why, {})], indent=8 * " "))
    if len(taken.doubts) > MOST_DOUBTS:
        say(f"    {len(taken.doubts) - MOST_DOUBTS} more; `rulewatch verify` lists them all")


def _print_end(taken: TakenIn) -> None:
    if taken.dry:
        say(f"Nothing was written; {counted(len(taken.files), 'file')} would be.")
        return
    folder = taken.files[-1].rpartition("/")[0]
    say(f"{counted(len(taken.files) - taken.made_body, 'file')} in {folder}" if not taken.bulletin else taken.files[0])
    if taken.made_body:
        body = taken.files[0]
        click.echo(
            wrapped([(f"{body} is new, and knows neither the body's name nor its classes: write them there.", {})], indent="")
        )
    if taken.bulletin:
        say(f"Next: rulewatch amend {shlex.quote(taken.files[0])}")
    elif taken.doubts:
        say("Next: look up the places above, then rulewatch verify")
    elif taken.carriage is None:
        say("Next: rulewatch verify")
    elif all(one.confirmed for one in taken.carriage.carried.readings if one.fate.carried):
        say(f"Next: rulewatch compare {taken.carriage.old} {taken.point}")
