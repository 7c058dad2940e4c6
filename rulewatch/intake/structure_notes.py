"""Footnotes: each goes to the clause that calls it, wherever the page or the chapter put it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from rulewatch.intake.structure_parts import Draft, Item

SIGN = re.compile(r"\s*[\[(]?(?P<sign>\d{1,3}|[*†‡§¶]{1,3}|[a-z])[\])]?(?P<end>[.:)]?(?:\s+|\Z))")
CALLED = re.compile(r"\[(?P<sign>\d{1,3}|[*†‡]{1,3})\]")


class Call(NamedTuple):
    """Where a footnote is called: by which sign, and the item that does."""

    sign: str
    item: Item


def place_notes(draft: Draft) -> list[Item]:
    """Put every footnote behind the paragraph that calls it; those that nothing calls are given back.

    A call is a raised sign, or one in square brackets. Of several calls of one sign that stand before the note, that on the
    note's own page is meant, and else the nearest that has none.
    """
    calls = list(_calls(draft))
    behind: dict[int, list[Item]] = {}
    lost: list[Item] = []
    for note in draft.notes:
        sign = sign_of(note)
        found = _caller(note, sign, calls) if sign else None
        if found is None:
            lost.append(note)
            continue
        calls.remove(found)
        found.item.notes.add(sign)
        note.owner = found.item.owner
        if note.passage is not None:
            match = SIGN.match(note.passage.text)
            note.passage = note.passage.behind(match.end() if match else 0)
        note.why = sign
        behind.setdefault(id(found.item), []).append(note)
    draft.items = [one for item in draft.items for one in (item, *behind.get(id(item), ()))]
    return lost


def sign_of(note: Item) -> str:
    """The sign that a footnote begins with; empty where it has none."""
    match = SIGN.match(note.passage.text) if note.passage else None
    return match["sign"] if match else ""


def _calls(draft: Draft) -> Iterator[Call]:
    """Every raised sign and every sign in square brackets, in order."""
    for item in draft.items:
        passages = [one for one in (item.passage, item.title) if one is not None]
        lines = [line for row in item.table.rows for cell in row for line in cell] if item.table is not None else []
        for runs in [one.runs for one in passages] + [line.runs for line in lines]:
            for run in runs:
                if run.raised:
                    yield from (Call(sign, item) for sign in re.split(r"[\s,]+", run.text.strip(" ()[]")) if sign)
                else:
                    yield from (Call(match["sign"], item) for match in CALLED.finditer(run.text))


def _caller(note: Item, sign: str, calls: list[Call]) -> Call | None:
    before = [call for call in calls if call.sign == sign and call.item.at.file == note.at.file]
    on_page = [call for call in before if note.spot.page and call.item.spot.page == note.spot.page]
    earlier = [call for call in before if call.item.at <= note.at]
    return on_page[0] if on_page else earlier[-1] if earlier else None
