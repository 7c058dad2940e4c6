"""What became of carried readings, on the terminal: how many, and each that a person must look at or would miss."""

from __future__ import annotations

from collections.abc import Iterator

import click

from rulewatch.cli.confirm_screen import shown_lines
from rulewatch.cli.output import counted, say, wrapped
from rulewatch.model.carried import CarriedReading, Fate
from rulewatch.model.clause import fold
from rulewatch.model.step import Carriage

TITLES = {
    Fate.WORDING: "Carried, to be confirmed: the text says the same in other signs",
    Fate.CHANGED: "Carried, to be confirmed: the text changed",
    Fate.SPLIT: "Carried, to be confirmed: the clause was split",
    Fate.JOINED: "Carried, to be confirmed: clauses were joined",
    Fate.GONE: "Left behind: the clause has no partner in the new book",
    Fate.UNFOUNDED: "Left behind: nobody had confirmed it, and the new text does not have its numbers",
    Fate.UNPLACED: "Left behind: it could not be put under its clause without touching the text",
}
OPEN = "Carried, to be confirmed under the same text"


def print_carriage(carriage: Carriage, *, dry: bool = False) -> None:
    """Print what became of the readings of one edition in the next."""
    found = carriage.carried.readings
    say(f"{carriage.old} → {carriage.new}", bold=True)
    carried = [one for one in found if one.fate.carried]
    confirmed = sum(one.confirmed for one in carried)
    there = sum(one.fate is Fate.READ for one in found)
    parts = [f"{counted(len(carried), 'reading')} {'would be ' if dry else ''}carried, {confirmed} of them confirmed"]
    parts += [f"{there} stay out, where the new clause has a reading already"] if there else []
    left = sum(not one.fate.carried for one in found) - there
    parts += [f"{left} left behind"] if left else []
    click.echo(wrapped([("; ".join(parts), {})], indent=""))
    for title, some in _groups(found):
        click.echo()
        say(title, bold=True)
        told = [(one, _said(one)) for one in some]
        for one, said in told:
            if said:
                click.echo(wrapped([(f"{_number(one)}: {'; '.join(said)}", {})]))
        rest = [_number(one) for one, said in told if not said]
        if rest:
            click.echo(wrapped([(", ".join(rest), {})]))
    if any(not one.confirmed for one in carried) and not dry:
        click.echo()
        click.echo(wrapped([(f"Go through what is to be confirmed with `rulewatch confirm {carriage.new}`.", {})], indent=""))


def _groups(found: tuple[CarriedReading, ...]) -> Iterator[tuple[str, list[CarriedReading]]]:
    doubted = [one for one in found if one.fate is Fate.SAME and one.notes]
    if doubted:
        yield OPEN, doubted
    for fate, title in TITLES.items():
        some = [one for one in found if one.fate is fate]
        if some:
            yield title, some


def _said(one: CarriedReading) -> list[str]:
    """What there is to say of a reading: the numbers that are gone, the clauses that it follows; of one left behind, what it says."""
    if not one.fate.carried:
        return [fold(" ".join(shown_lines(tuple(one.text.split("\n")))))]
    said = [f"the text no longer says {', '.join(one.lost)}"] if one.lost else []
    said += [f"{old} became {new} in it" for old, new in one.followed]
    return [*said, *one.notes]


def _number(one: CarriedReading) -> str:
    return one.old if one.new in ("", one.old) else f"{one.old} → {one.new}"
