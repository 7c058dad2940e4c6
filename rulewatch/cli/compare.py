"""`rulewatch compare`: what changed between two points."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from rulewatch import classes, pipeline
from rulewatch.classes import ClassPoint
from rulewatch.cli.output import counted, needed, print_json, say, width, wrapped
from rulewatch.cli.points import ClassPointType, PointType
from rulewatch.cli.rooms import print_contradictions, print_shared
from rulewatch.model.change import SURE, Change, Comparison, Effect, Mark, Touch, ValueChange
from rulewatch.model.edition import Point
from rulewatch.model.quantity import Amount
from rulewatch.publish.data import comparison_data
from rulewatch.publish.words import tie_words

UNCHANGED = "unchanged"  # the one count that is no kind of change
MARGIN_WORDS = 12  # unchanged words shown on each side of a change

# As printed bulletins do: what goes is struck through, what comes is underlined. Without a terminal signs stand for both.
STYLES: dict[Mark, dict[str, Any]] = {
    Mark.KEEP: {},
    Mark.DROP: {"strikethrough": True, "fg": "yellow"},
    Mark.ADD: {"underline": True, "fg": "blue"},
    Mark.LEFT: {"strikethrough": True, "dim": True},
    Mark.CAME: {"underline": True, "dim": True},
    Mark.OLD_NUMBER: {"dim": True},
    Mark.NEW_NUMBER: {"dim": True},
}
SIGNS = {
    Mark.KEEP: ("", ""),
    Mark.DROP: ("~~", "~~"),
    Mark.ADD: ("__", "__"),
    Mark.LEFT: ("[moved: ", "]"),
    Mark.CAME: ("[now here: ", "]"),
    Mark.OLD_NUMBER: ("[", " → "),
    Mark.NEW_NUMBER: ("", "]"),
}


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
    if both is not None:
        print_shared(needed(classes.both(root, *both)), as_json=as_json)
        return
    if contradictions is not None:
        print_contradictions(needed(classes.contradictions(root, contradictions)), as_json=as_json)
        return
    if old is None or new is None:
        return
    comparison: Comparison = needed(pipeline.compare(root, old, new))
    if as_json:
        print_json(comparison_data(comparison, unchanged=everything))
        return
    say(f"{comparison.old.point} → {comparison.new.point}", bold=True)
    say(_summary(comparison))
    for line in _classes(comparison):
        click.echo(wrapped([(line, {})], indent=""))
    for change in comparison.changes if everything else comparison.changed:
        click.echo()
        _print_change(change)
    untold = [change for change in comparison.touched if not change.kinds and not everything]
    if untold:
        click.echo()
        say("Touched, not changed", bold=True)
        for change in untold:
            say(_title(change))
            click.echo(wrapped([(", ".join(_touches(change)), {})]))


def _summary(comparison: Comparison) -> str:
    counts = comparison.counts()
    parts = [f"{number} {kind}" if kind == UNCHANGED else counted(number, kind) for kind, number in counts.items() if number]
    return ", ".join(parts) if parts else "no clauses"


def _classes(comparison: Comparison) -> Iterator[str]:
    """What all changes together do to each class: `silhouette-b: tightened as a whole`."""
    for name, whole in comparison.classes.items():
        left = f", {', '.join(whole.unread)} left out as not read" if whole.unread else ""
        yield f"{name}: {whole.effect} as a whole{left}"


def _print_change(change: Change) -> None:
    say(_title(change), bold=bool(change.kinds))
    about = ", ".join(_about(change))
    if about:
        click.echo(wrapped([(about, {})]))
    for line in (*_inside(change), *_witnesses(change)):
        click.echo(wrapped([(line, {})]))
    words = wrapped(_words(change))
    if words:
        click.echo(words)
    for value in change.values:
        say(f"    {_value(value)}")


def _title(change: Change) -> str:
    old, new = (", ".join(clause.id for clause in clauses) for clauses in (change.old, change.new))
    numbers = new if old == new else " → ".join(filter(None, (old, new)))
    heading = next((clause.heading for clause in (*change.new, *change.old) if clause.heading), "")
    return f"{numbers}  {heading}"[: width()].rstrip()


def _about(change: Change) -> Iterator[str]:
    """Kinds, effects by class, and how sure the pair is."""
    if change.kinds:
        yield " and ".join(change.kinds) + (" of the wording only" if change.wording_only else "")
    if change.reinterpreted:
        yield f"read otherwise than before, under unchanged text: {'; '.join(change.reinterpreted)}"
    yield from _touches(change)
    by_effect: dict[Effect, list[str]] = {}
    for name, effect in change.effects.items():
        by_effect.setdefault(effect, []).append(name)
    if set(by_effect) != {Effect.SAME}:
        for effect, names in by_effect.items():
            yield f"{effect} for {', '.join(names) if len(by_effect) > 1 else 'every class'}"
    if change.settled:
        yield "paired by a person"
    elif change.old and change.new and change.kinds and change.certainty < SURE:
        yield f"{change.certainty:.0%} sure"


def _inside(change: Change) -> Iterator[str]:
    """The effect inside the whole book, where it is not that of the clause alone, and what masks it."""
    together: dict[tuple[Effect, tuple[str, ...]], list[str]] = {}
    for name, effect in change.in_book.items():
        if effect is not change.effects[name]:
            together.setdefault((effect, change.masked_by.get(name, ())), []).append(name)
    for (effect, clauses), names in together.items():
        because = f", because of {', '.join(clauses)}" if clauses else ""
        yield f"in the whole book {effect} for {', '.join(names)}{because}"


def _witnesses(change: Change) -> Iterator[str]:
    """A car for each way in which the allowed cars moved: of the whole book where there is one, near one of the crew's."""
    for gained in (False, True):
        found = [
            (not one.in_book, not one.car, name, str(one))
            for name, witnesses in change.witness.items()
            for one in witnesses
            if one.gained is gained
        ]
        if found:
            *_, name, says = min(found, key=lambda one: one[:2])
            yield f"{says} ({name})"


def _touches(change: Change) -> Iterator[str]:
    """How each change reaches the clause: `refers to 6.2, which uses the term “rim width” of 1.4, which changed`."""
    for touch in change.touched_by:
        yield ", which ".join((*_steps(touch), "changed"))


def _steps(touch: Touch) -> Iterator[str]:
    for clause, reason in zip(reversed(touch.path[:-1]), reversed(touch.reasons), strict=True):
        yield f"{tie_words(reason)} {clause}"


def _words(change: Change) -> Iterator[tuple[str, dict[str, Any]]]:
    """The wording, with long unchanged runs shortened to their ends."""
    if not change.kinds:
        return
    styled = sys.stdout.isatty()
    runs = [(mark, text) for mark, text in _without_heading(change) if text.strip() or mark is Mark.KEEP]
    changed = any(mark is not Mark.KEEP for mark, _ in runs)
    for number, (mark, text) in enumerate(runs):
        if mark is Mark.KEEP:
            yield _shortened(text, first=number == 0, last=number == len(runs) - 1) if changed else _shortened(text), {}
        else:
            before, after = ("", " → " if mark is Mark.OLD_NUMBER else "") if styled else SIGNS[mark]
            head = text[: len(text) - len(text.lstrip())]
            tail = text[len(text.rstrip()) :]
            yield f"{head}{before}{text.strip()}{after}{tail}", STYLES[mark]


def _without_heading(change: Change) -> tuple[tuple[Mark, str], ...]:
    """The runs of words, less a heading at their start that the title shows already."""
    heading = next((clause.heading for clause in (*change.new, *change.old) if clause.heading), "")
    if heading and change.words and change.words[0][1].startswith(heading):
        (mark, text), *rest = change.words
        return ((mark, text.removeprefix(heading).lstrip()), *rest)
    return change.words


def _shortened(text: str, *, first: bool = True, last: bool = True) -> str:
    words = text.split(" ")
    start = [] if first and not last else words[:MARGIN_WORDS]
    end = [] if last and not first else words[-MARGIN_WORDS:]
    if len(words) <= len(start) + len(end) + 1:
        return text
    return " ".join([*start, "…", *end]) if not (first and last) else " ".join([*words[: 2 * MARGIN_WORDS], "…"])


def _value(value: ValueChange) -> str:
    if value.old is None or value.new is None:
        return f"no longer {value.old}" if value.new is None else f"new: {value.new}"
    moved = "" if value.delta is None else "the same value" if not value.delta.number else _signed(value.delta)
    return f"{value.old} → {value.new}" + (f" ({moved})" if moved else "")


def _signed(amount: Amount) -> str:
    return f"{'+' if amount.number > 0 else ''}{amount}"
