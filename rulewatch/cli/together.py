"""A car's entries side by side, on the terminal."""

from __future__ import annotations

from collections.abc import Iterable

import click

from rulewatch.cli.output import counted, say, wrapped
from rulewatch.model.together import Together
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.together_words import (
    SideRow,
    entry_name,
    option_rows,
    option_title,
    quantity_rows,
    quantity_title,
    together_title,
)


def print_together(one: Together, vocabulary: Vocabulary, *, everything: bool) -> None:
    """What the books leave a car: by default only where they differ, where one is not kept, or where the season brought something."""
    shown = [each for each in one.quantities if everything or each.telling]
    say(together_title(one), bold=True)
    hidden = len(one.quantities) - len(shown)
    if hidden:
        say(f"    {counted(hidden, 'more quantity', 'more quantities')} legal in all of them, and as before")
    click.echo()
    for each in shown:
        _print_rows(quantity_title(each, vocabulary.label(each.subject)), quantity_rows(each, one.entries))
    for option in one.options:
        _print_rows(option_title(option), option_rows(option, one.entries))


def _print_rows(title: str, rows: Iterable[SideRow]) -> None:
    click.echo(wrapped([(title, {"bold": True})], indent="  "))
    for row in rows:
        clauses = f" ({', '.join(row.clauses)})" if row.clauses else ""
        tighter = "; least room" if row.tighter else ""
        words = f", {row.words}" if row.words else ""
        click.echo(wrapped([(f"{entry_name(row.entry)}: {row.verdict}{words}{clauses}{tighter}", {})], indent="      "))
    click.echo()
