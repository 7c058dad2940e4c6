"""A value over time for the terminal: a row for each value, the greatest first, drawn where it holds; readable without colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rulewatch.model.quantity import Amount
from rulewatch.model.timeline import Line, Value, distinct, value_key
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.scale import places, spaced
from rulewatch.publish.timeline_words import value_words

WIDEST, NARROWEST = 60, 20
LONGEST_LABEL = 24
FROM, ON, END, STILL = "●", "─", "┤", "▸"


def chart(line: Line, labels: Sequence[str], days: Sequence[date | None], vocabulary: Vocabulary, room: int) -> Iterator[str]:
    """The rows of a chart no wider than `room`, then one with the stations' labels; one that has no room is left out.

    `labels` and `days` are those of the stations.
    """
    rows = _rows(line)
    names = [value_words(value, vocabulary) for value in rows.values()]
    margin = min(max(map(len, names)), LONGEST_LABEL)
    wide = max(min(room - margin - 2, WIDEST), NARROWEST)
    columns = [round(place * (wide - 1)) for place in places(days, 2 / wide)]
    keys = [value_key(value) for value in line.values]
    for key, name in zip(rows, names, strict=True):
        short = name if len(name) <= margin else name[: margin - 1] + "…"
        yield f"{short:>{margin}}  {_drawn(key, keys, columns, wide)}".rstrip()
    yield f"{'':>{margin}}  {_axis(labels, columns, wide)}".rstrip()


def _rows(line: Line) -> dict[object, Value]:
    """The different values: amounts from the greatest down, then what is no amount, in the order of time."""
    return dict(sorted(distinct(line.values).items(), key=lambda one: -one[1].base if isinstance(one[1], Amount) else 0))


def _drawn(key: object, keys: Sequence[object], columns: Sequence[int], wide: int) -> str:
    """One row: a point where the value begins, a line while it holds, and how it ends."""
    row = [" "] * wide
    for at, here in enumerate(keys):
        if here != key:
            continue
        last = at + 1 == len(keys)
        stop = wide if last else columns[at + 1]
        row[columns[at] : stop] = ON * (stop - columns[at])
        if at == 0 or keys[at - 1] != key:
            row[columns[at]] = FROM
        if last:
            row[-1] = STILL
        elif keys[at + 1] != key and stop - 1 > columns[at]:
            row[stop - 1] = END
    return "".join(row)


def _axis(labels: Sequence[str], columns: Sequence[int], wide: int) -> str:
    """The labels under their stations; one that would run into another is left out."""
    row = ""
    for at, place in sorted(spaced(columns, [len(label) for label in labels], wide, gap=1), key=lambda one: one[1]):
        row = row.ljust(int(place)) + labels[at]
    return row
