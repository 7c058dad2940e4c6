"""`rulewatch tradeoff`: the options of a car compared."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.output import needed, print_json, say, today, wrapped
from rulewatch.cli.points import PointType
from rulewatch.model.edition import Point
from rulewatch.model.tradeoff import Combination, Tradeoff
from rulewatch.publish.cautions import ALWAYS, cautions_for
from rulewatch.publish.pace_words import PURPOSE
from rulewatch.publish.tradeoff_data import tradeoff_data
from rulewatch.publish.tradeoff_words import anyway_words, combination_words, mended_words, waits_words, worth_words

DAY = click.DateTime(formats=["%Y-%m-%d"])
HUNDREDTHS = 100
NOT_ALL = "More combinations are as good as these in some way: ask for more with --most, or set limits."


@click.command("tradeoff")
@click.argument("car")
@click.option("--money", type=click.FloatRange(min=0), help="At most so much, in the crew's own money.")
@click.option("--hours", type=click.FloatRange(min=0), help="At most so many hours of work.")
@click.option("--by", type=DAY, help="Every part there by this day.")
@click.option("--explain", metavar="OPTION", help="What one option is worth alone, and how sure that is.")
@click.option("--in", "point", type=PointType(), help="One edition, such as saltmarsh/2027; else each body's newest season.")
@click.option("--most", type=click.IntRange(1, 100), default=10, show_default=True, help="Show so many combinations of a kind.")
@click.option("--today", "day", type=DAY, help="The day on which parts would be ordered; else this machine's.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(
    root: Path,
    *,
    car: str,
    money: float | None,
    hours: float | None,
    by: datetime | None,
    explain: str | None,
    point: Point | None,
    most: int,
    day: datetime | None,
    as_json: bool,
) -> None:
    """Compare the options of a car: what is allowed together, what it wins, costs and weighs.

    Combinations that every class allows, and that no other beats on lap time, money, hours, days of waiting and breaches mended at
    once; then, apart, those of which a class is not known to allow something. Ballast and minimum weight are worked out from the rules.
    """
    first = day.date() if day is not None else today()
    limits = _limits(money, hours, by.date() if by is not None else None, first)
    found: Tradeoff = needed(pipeline.tradeoff(root, car, first, limits=limits, point=point, explain=explain, most=most))
    if as_json:
        print_json(tradeoff_data(found))
        return
    if explain is not None:
        _print_worth(found)
    else:
        _print_all(found)
    cautions = cautions_for(("ballast", "car.weight", "car.speed", "safety"))
    _lines([*(f"{one.topic}: {one.text}" for one in cautions), PURPOSE, ALWAYS.replace("This site", "This")], "")


def _limits(money: float | None, hours: float | None, by: date | None, first: date) -> dict[str, int]:
    if by is not None and by < first:
        raise click.BadParameter("the day is past", param_hint="--by")
    found = {"money": money, "hours": hours}
    limits = {name: round(value * HUNDREDTHS) for name, value in found.items() if value is not None}
    return limits | ({"days": (by - first).days} if by is not None else {})


def _print_all(found: Tradeoff) -> None:
    say(f"{found.name}: {len(found.singles)} options", bold=True)
    _lines(found.notes)
    _titled("As it is", combination_words(found.base, found.base, found.currency))
    broken = list(anyway_words(found.base))
    if broken:
        _titled("Broken already, whatever is done but for what is said to mend it", broken)
    _print_kind("Allowed in every class, as far as the readings go", found.allowed, found)
    _print_kind("Not known to be allowed", found.waiting, found)
    refused = [(name, one) for name, one in found.singles if one.forbidden]
    if refused:
        _titled("Not allowed", (f"{name}: {'; '.join(waits_words(one))}" for name, one in refused))
    if not found.whole:
        _lines([NOT_ALL], "")


def _print_kind(title: str, several: Iterable[Combination], found: Tradeoff) -> None:
    say(f"  {title}", bold=True)
    none = True
    for one in several:
        none = False
        say(f"    {' + '.join(one.options)}")
        _lines([*combination_words(one, found.base, found.currency), *mended_words(one), *waits_words(one)], "      ")
    if none:
        _lines(["none"])
    click.echo()


def _print_worth(found: Tradeoff) -> None:
    if found.explained is not None:
        say(f"{found.name}, {found.explained.option}: {found.explained.what}", bold=True)
        _lines(worth_words(found.explained, found))
        click.echo()


def _titled(title: str, lines: Iterable[str]) -> None:
    say(f"  {title}", bold=True)
    _lines(lines)
    click.echo()


def _lines(lines: Iterable[str], indent: str = "    ") -> None:
    for line in lines:
        click.echo(wrapped([(line, {})], indent=indent))
