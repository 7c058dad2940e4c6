"""`rulewatch carry`: the readings of one edition under the clauses of the next."""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch.carriage import carry_into
from rulewatch.cli.carried_text import print_carriage
from rulewatch.cli.output import needed, print_json
from rulewatch.cli.points import PointType
from rulewatch.model.edition import Point, Selector
from rulewatch.model.step import Carriage


@click.command("carry")
@click.argument("new", type=PointType(), metavar="BODY/SEASON")
@click.option(
    "--from", "old", type=PointType(), metavar="BODY/SEASON", help="The edition before, if edition.yaml names none or another."
)
@click.option("--dry-run", "dry", is_flag=True, help="Say what would be carried, and write nothing.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, new: Point, old: Point | None, dry: bool, as_json: bool) -> None:
    """Carry the readings of the season before into a new one.

    Each goes to the clause that its own became. Where the text is the same it stays confirmed; where the text changed it is
    carried as it was and waits to be confirmed (rulewatch confirm). A clause that has a reading keeps it, so that carrying
    again changes nothing. What has no place in the new book is listed.
    """
    for point in (new, old):
        if point is not None and (point.file or point.revision or point.selector is not Selector.ALL):
            raise click.UsageError(f"{point} is a text at some time: name the edition, as {point.body}/{point.season}")
    if old == new:
        raise click.UsageError("an edition is not carried into itself")
    carriage: Carriage = needed(carry_into(root, new, old, write=not dry))
    if as_json:
        from rulewatch.publish.confirm_data import carriage_data

        print_json(carriage_data(carriage))
        return
    print_carriage(carriage, dry=dry)
