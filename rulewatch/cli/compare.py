"""`rulewatch compare`: what changed between two points."""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch.cli.change_text import UNNAMED, print_change, title, touches
from rulewatch.cli.output import counted, needed, print_json, say, wrapped
from rulewatch.cli.points import ClassPointType, PointType
from rulewatch.model.change import Comparison
from rulewatch.model.edition import ClassPoint, Point
from rulewatch.publish.effect_words import showing_words, showings, whole_groups, whole_witnesses, whole_words
from rulewatch.two_points import compare

UNCHANGED = "unchanged"  # the one count that is no kind of change


@click.command("compare")
@click.argument("old", type=PointType(), required=False)
@click.argument("new", type=PointType(), required=False)
@click.option(
    "--both",
    nargs=2,
    type=ClassPointType(),
    metavar="POINT:CLASS POINT:CLASS",
    help="The room of a car that runs in both classes, instead of changes.",
)
@click.option(
    "--contradictions",
    type=ClassPointType(),
    metavar="POINT[:CLASS]",
    help="The fewest clauses that no car of a class can meet together, instead of changes.",
)
@click.option("--all", "everything", is_flag=True, help="Unchanged clauses too.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(
    root: Path,
    *,
    old: Point | None,
    new: Point | None,
    both: tuple[ClassPoint, ClassPoint] | None,
    contradictions: ClassPoint | None,
    everything: bool,
    as_json: bool,
) -> None:
    """Show what changed between two points.

    Or, with an option of its own, what room two classes leave in common, or whether a class contradicts itself.

    A point is BODY/SEASON, with @published, @YYYY-MM-DD or @event:ID behind and a git revision and a colon in front, or a
    Markdown file: saltmarsh/2026, saltmarsh/2027@published, v1.2:saltmarsh/2027@2027-05-01, old-book.md

    A class is named behind a point and a colon: saltmarsh/2027:silhouette-b
    """
    asked = [each for each in (old, both, contradictions) if each is not None]
    if len(asked) != 1 or (old is None) != (new is None):
        raise click.UsageError("name two points, or --both with two classes, or --contradictions with a point")
    if old is None or new is None:
        _print_classes(root, both, contradictions, as_json=as_json)
        return
    comparison: Comparison = needed(compare(root, old, new))
    if as_json:
        from rulewatch.publish.data import comparison_data

        print_json(comparison_data(comparison, unchanged=everything))
        return
    _print(comparison, everything=everything)


def _print_classes(
    root: Path, both: tuple[ClassPoint, ClassPoint] | None, contradictions: ClassPoint | None, *, as_json: bool
) -> None:
    """What concerns classes by themselves, which two files have none of."""
    from rulewatch import classes
    from rulewatch.cli.rooms import print_contradictions, print_shared

    if both is not None:
        print_shared(needed(classes.both(root, *both)), as_json=as_json)
    elif contradictions is not None:
        print_contradictions(needed(classes.contradictions(root, contradictions)), as_json=as_json)


def _print(comparison: Comparison, *, everything: bool) -> None:
    say(f"{comparison.old.point} → {comparison.new.point}", bold=True)
    click.echo(wrapped([(_summary(comparison), {})], indent=""))
    _print_whole(comparison)
    for change in comparison.changes if everything else comparison.changed:
        click.echo()
        print_change(change, comparison)
    untold = [change for change in comparison.touched if not change.kinds and not everything]
    if untold:
        click.echo()
        say("Touched, not changed", bold=True)
        for change in untold:
            say(title(change))
            for way in touches(change, comparison.vocabulary or UNNAMED):
                click.echo(wrapped([(way, {})]))


def _summary(comparison: Comparison) -> str:
    counts = comparison.counts()
    parts = [f"{number} {kind}" if kind == UNCHANGED else counted(number, kind) for kind, number in counts.items() if number]
    return ", ".join(parts) if parts else "no clauses"


def _print_whole(comparison: Comparison) -> None:
    """What all changes together do to each class, with cars that show it, and what is left out for want of a reading."""
    groups, witnesses = whole_groups(comparison), whole_witnesses(comparison.classes)
    if groups:
        click.echo()
        say("As a whole", bold=True)
    for group in groups:
        click.echo(wrapped([(whole_words(group, comparison.classes), {})]))
        for showing in showings(witnesses, group.classes):
            click.echo(wrapped([(showing_words(showing, comparison.classes), {})], indent=8 * " "))
