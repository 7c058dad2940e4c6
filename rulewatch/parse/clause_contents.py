"""Tables of contents: what looks like a run of clauses, but only announces those that follow.

Most published books and long annexes begin with one. Its entries would take the numbers of the clauses themselves.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Sequence
from itertools import groupby
from typing import Protocol, TypeVar

from rulewatch.model.clause import fold
from rulewatch.parse.clause_numbering import Node
from rulewatch.parse.labels import AS_RELATIVE

FEWEST = 3  # entries that make a table of contents
LONGEST_ENTRY = 300
LONGEST_LEADER = 120
PAGE = re.compile(r"(?:\.{2,}|…|\s{2,}|\t)[\s.…]*\d{1,4}\Z")
EMPHASIS = re.compile(r"[*_]+")
SENTENCE = (".", ";", ",", ":", "!", "?")


class Draft(Protocol):
    """A clause in the making; `pieces` are the lines of its text so far, and `beginning` the first of them."""

    node: Node
    pieces: list[str]

    @property
    def text(self) -> str:
        """The clause's own text."""
        ...

    @property
    def beginning(self) -> str:
        """The text's first lines, enough to hold a title."""
        ...


D = TypeVar("D", bound=Draft)


def without_contents(drafts: Sequence[D]) -> list[D]:
    """The clauses of one source without the entries of its tables of contents, whose text falls to the clause before.

    An entry is a number with a short title whose number comes again later. A run of them is a table of contents where at
    least half of the clauses that come later begin with the very title.
    """
    announced = _announced(drafts)
    kept: list[D] = []
    for run in _runs(drafts, announced):
        hits = sum(announced.get(draft, False) for draft in run)
        if len(run) < FEWEST or 2 * hits < len(run):
            kept += run
        elif kept:
            kept[-1].pieces += [f"{draft.node.label.printed} {draft.text}" for draft in run]
    return kept


def _announced(drafts: Sequence[D]) -> dict[D, bool]:
    """The clauses that could be entries, none of which holds one that could not, and whether the later one has its title."""
    for draft in drafts:
        draft.node.id = draft.node.make_id()
    later: dict[str, list[D]] = {}
    found: dict[D, bool] = {}
    holds: set[Node | None] = set()
    for draft in reversed(drafts):
        bodies = later.get(draft.node.id)
        title = _title(draft) if bodies is not None and draft.node not in holds else ""
        if bodies is not None and title:
            found[draft] = any(fold(EMPHASIS.sub("", body.beginning)).startswith(title) for body in bodies)
        else:
            holds.add(draft.node.parent)
            later.setdefault(draft.node.id, []).append(draft)
    return found


def _title(draft: Draft) -> str:
    """What an entry says, without its page; empty where the clause says more than an entry does."""
    node = draft.node
    if node.label.form is AS_RELATIVE and node.parent is not node.annex:
        return ""
    text = draft.text
    if len(text) > LONGEST_ENTRY:
        return ""
    title = fold(EMPHASIS.sub("", text[:-LONGEST_LEADER] + PAGE.sub("", text[-LONGEST_LEADER:]).rstrip(" .…")))
    return "" if title.endswith(SENTENCE) else title


def _runs(drafts: Sequence[D], entries: Container[D]) -> Iterator[list[D]]:
    """The clauses in runs of entries, none of which comes twice in its run, and of others."""
    for announces, run in groupby(drafts, key=lambda draft: draft in entries):
        if not announces:
            yield list(run)
            continue
        part: dict[str, D] = {}
        for draft in run:
            if draft.node.id in part:
                yield list(part.values())
                part = {}
            part[draft.node.id] = draft
        yield list(part.values())
