"""A car's entries side by side, in words: the same for the terminal, the site and the data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from rulewatch.model.car import Entry
from rulewatch.model.together import Mark, OptionMark, SharedOption, SharedQuantity, Together
from rulewatch.publish.reading_words import capital
from rulewatch.publish.room import margin_words
from rulewatch.publish.words import day_words, listed


@dataclass(frozen=True, slots=True, kw_only=True)
class SideRow:
    """What one book says in a row: the verdict or answer, the rest in words, its clauses, and whether it is the tighter one."""

    entry: Entry
    verdict: str
    words: str
    clauses: tuple[str, ...] = ()
    tighter: bool = False


def quantity_rows(shared: SharedQuantity, entries: tuple[Entry, ...]) -> Iterator[SideRow]:
    """One row for each entry whose book limits the quantity."""
    for number, (entry, mark) in enumerate(zip(entries, shared.marks, strict=True)):
        if mark is not None:
            yield SideRow(
                entry=entry,
                verdict=mark.verdict.value,
                words=_mark(mark),
                clauses=mark.clauses,
                tighter=number == shared.tighter,
            )


def _mark(mark: Mark) -> str:
    return ", ".join(filter(None, (mark.bound, margin_words(mark.margin), mark.outcome.value if mark.outcome else "")))


def option_rows(shared: SharedOption, entries: tuple[Entry, ...]) -> Iterator[SideRow]:
    """One row for each entry."""
    for entry, mark in zip(entries, shared.marks, strict=True):
        yield SideRow(entry=entry, verdict=mark.says, words=_option(mark))


def _option(mark: OptionMark) -> str:
    why = f"for {mark.why}" if mark.says == "waits" else mark.why
    return ", ".join(filter(None, (mark.outcome.value if mark.outcome else "", why)))


def quantity_title(shared: SharedQuantity, label: str) -> str:
    """The quantity with the car's value."""
    return f"{capital(label)}: {shared.value}" if shared.value else capital(label)


def option_title(shared: SharedOption) -> str:
    """The option, with what holds for all books."""
    return f"{shared.what} ({shared.option})" + ("; allowed in every one" if shared.pays_everywhere else "")


def entry_name(entry: Entry) -> str:
    """An entry in short: `silhouette-b of saltmarsh`."""
    return f"{entry.class_name} of {entry.body}"


def together_title(one: Together) -> str:
    """Which entries stand side by side, and on which day each."""
    named = [f"{entry_name(entry)} ({day_words(day)})" for entry, day in zip(one.entries, one.days, strict=True)]
    return f"{one.car} in {listed(named)}, side by side"


def together_data(one: Together) -> dict[str, Any]:
    """A car's entries side by side as data; a side is null where its book says nothing."""
    return {
        "car": one.car,
        "entries": [
            {"body": entry.body, "class": entry.class_name, "on": day.isoformat()}
            for entry, day in zip(one.entries, one.days, strict=True)
        ],
        "quantities": [
            {"subject": each.subject, "value": each.value, "tighter": each.tighter, "sides": list(map(_mark_data, each.marks))}
            for each in one.quantities
        ],
        "options": [
            {
                "option": each.option,
                "what": each.what,
                "everywhere": each.pays_everywhere,
                "sides": [
                    {"says": mark.says, "why": mark.why, "outcome": mark.outcome.value if mark.outcome else None}
                    for mark in each.marks
                ],
            }
            for each in one.options
        ],
    }


def _mark_data(mark: Mark | None) -> dict[str, Any] | None:
    if mark is None:
        return None
    return {
        "verdict": mark.verdict.value,
        "bound": mark.bound,
        "margin": str(mark.margin) if mark.margin is not None else None,
        "clauses": list(mark.clauses),
        "outcome": mark.outcome.value if mark.outcome else None,
    }
