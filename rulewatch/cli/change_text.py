"""One change on the terminal: what it is, what it does, the words with what changed in them, and the values that moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

import click

from rulewatch.cli.output import say, styled, width, wrapped
from rulewatch.model.change import SURE, Change, Comparison, Effect, Mark, Touch, ValueChange
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.effect_words import effect_groups, group_words, showing_words, showings
from rulewatch.publish.reading_words import reread_words
from rulewatch.publish.room import moved_words
from rulewatch.publish.wording import marked_words
from rulewatch.publish.words import tie_words

MARGIN_WORDS = 12  # unchanged words shown on each side of a change
CELLS = " · "  # between the cells of a table's row

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

UNNAMED = Vocabulary(quantities={}, components={})  # of two files, which have no readings either
Run = tuple[Mark, str]
Piece = tuple[str, dict[str, Any]]


def print_change(change: Change, comparison: Comparison) -> None:
    """Print one change of a comparison in full."""
    say(title(change), bold=bool(change.kinds))
    for line in _about(change, comparison):
        click.echo(wrapped([(line, {})]))
    for pieces in _lines(change):
        click.echo(wrapped(pieces))
    for value in change.values:
        say(f"    {_value(value)}")


def title(change: Change) -> str:
    """The numbers of both sides and the heading, in one line."""
    old, new = (", ".join(clause.id for clause in clauses) for clauses in (change.old, change.new))
    numbers = new if old == new else " → ".join(filter(None, (old, new)))
    line = f"{numbers}  {title_of(change)}".rstrip()
    return line if len(line) <= width() else f"{line[: width() - 1].rstrip()}…"


def title_of(change: Change) -> str:
    """The heading of what changed, the new one where there are two; empty where there is none."""
    return next((clause.heading for clause in (*change.new, *change.old) if clause.heading), "")


def touches(change: Change, vocabulary: Vocabulary) -> Iterator[str]:
    """How each change reaches the clause: `refers to 6.2, which uses the term “rim width” of 1.4, which changed`."""
    for touch in change.touched_by:
        yield ", which ".join((*_steps(touch, vocabulary), "changed"))


def _steps(touch: Touch, vocabulary: Vocabulary) -> Iterator[str]:
    for clause, reason in zip(reversed(touch.path[:-1]), reversed(touch.reasons), strict=True):
        about = vocabulary.in_sentence(reason.about) if vocabulary.knows(reason.about) else ""
        yield f"{tie_words(reason, about)} {clause}"


# --- What it is and does ----------------------------------------------------------------------------------------------


def _about(change: Change, comparison: Comparison) -> Iterator[str]:
    """Kinds and how sure the pair is; the effect on classes, alone and in the whole book; cars that show it."""
    groups = effect_groups(change, reasons=False)
    moved = [group_words(group, change.effects) for group in groups]
    if all(group.effect is Effect.SAME and group.in_book is None for group in groups):
        moved = []
    kinds = list(_kinds(change))
    if len(moved) == 1:
        kinds += moved
        moved = []
    if kinds:
        yield ", ".join(kinds)
    yield from moved
    for showing in showings(change.witness, change.effects):
        yield showing_words(showing, change.effects)
    if change.reinterpreted:
        before, now = reread_words(change, comparison.old, comparison.new, comparison.vocabulary or UNNAMED)
        yield f"read otherwise under the same words: {now}{f' Before: {before}' if before else ''}"
    for way in touches(change, comparison.vocabulary or UNNAMED):
        yield f"touched: {way}"


def _kinds(change: Change) -> Iterator[str]:
    if change.kinds:
        yield " and ".join(change.kinds) + (" of the wording only" if change.wording_only else "")
    if change.settled:
        yield "paired by a person"
    elif change.old and change.new and change.kinds and change.certainty < SURE:
        yield f"{change.certainty:.0%} sure that they belong together"


# --- The words --------------------------------------------------------------------------------------------------------


def _lines(change: Change) -> Iterator[Sequence[Piece]]:
    """The wording: of several lines those that changed, with the head of a table; long unchanged runs only with their ends."""
    if not change.kinds:
        return
    lines = split_lines(marked_words(change))
    telling = [any(mark is not Mark.KEEP for mark, _ in line) for line in lines]
    if not any(telling):
        if title_of(change):  # it says what the rule is about, and no word of it is another
            return
        yield from ([(_shortened("".join(text for _, text in line)), {})] for line in lines[:1])
        return
    head = next((at for at, line in enumerate(lines) if any(CELLS in text for _, text in line)), None)
    for shown, group in groupby(enumerate(lines), key=lambda one: telling[one[0]] or one[0] == head):
        if shown:
            yield from (styled_line(line) if telling[at] else [(line[0][1], {})] for at, line in group)
        else:
            yield [("…", {})]


def split_lines(runs: tuple[Run, ...]) -> list[list[Run]]:
    """Runs as lines, without those that have no words."""
    lines: list[list[Run]] = [[]]
    for mark, text in runs:
        first, *rest = text.split("\n")
        lines[-1].append((mark, first))
        lines += [[(mark, part)] for part in rest]
    return [line for line in lines if any(text.strip() for _, text in line)]


def styled_line(line: list[Run], *, whole: bool = False) -> list[Piece]:
    """One line that changed, with what changed in it marked; long unchanged runs in full only where the `whole` line is wanted."""
    marks = not styled()
    runs = [(mark, text) for mark, text in line if text.strip() or (mark is Mark.KEEP and text)]
    pieces: list[Piece] = []
    for number, (mark, text) in enumerate(runs):
        if mark is Mark.KEEP:
            pieces.append((text if whole else _shortened(text, first=number == 0, last=number == len(runs) - 1), {}))
            continue
        before, after = ("", " → " if mark is Mark.OLD_NUMBER else "") if not marks else SIGNS[mark]
        head, tail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
        pieces.append((f"{head}{before}{text.strip()}{after}{tail}", {} if marks else STYLES[mark]))
    return pieces


def _shortened(text: str, *, first: bool = True, last: bool = True) -> str:
    words = text.split(" ")
    start = [] if first and not last else words[:MARGIN_WORDS]
    end = [] if last and not first else words[-MARGIN_WORDS:]
    if len(words) <= len(start) + len(end) + 1:
        return text
    return " ".join([*start, "…", *end]) if not (first and last) else " ".join([*words[: 2 * MARGIN_WORDS], "…"])


# --- Values -----------------------------------------------------------------------------------------------------------


def _value(value: ValueChange) -> str:
    if value.old is None or value.new is None:
        return f"no longer {value.old}" if value.new is None else f"new: {value.new}"
    moved = "" if value.delta is None else "the same value" if not value.delta.number else moved_words(value.delta)
    return f"{value.old} → {value.new}" + (f" ({moved})" if moved else "")
