"""Printing what two classes leave in common, and which clauses of a class contradict each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

import click

from rulewatch.cli.output import counted, plain, print_json, say, width, wrapped
from rulewatch.model.reading import Scalar
from rulewatch.model.room import Contradiction, Law, Room, SharedRoom
from rulewatch.publish.data import contradictions_data, room_data
from rulewatch.publish.words import listed

LIMIT = "not decided within the limit of work"


def print_shared(shared: SharedRoom, *, as_json: bool) -> None:
    """Print the room of a car that runs in two classes. Each class has a letter, so that clauses are told apart in one sign."""
    if as_json:
        print_json(room_data(shared))
        return
    letters = _letters(shared)
    for book, letter in reversed(letters.items()):
        say(f"{letter}  {book}", bold=True)
    click.echo()
    if shared.conflict:
        say("No car can run in both, because of:")
        click.echo(wrapped([(_named(shared.conflict, letters), {})]))
    elif shared.undecided:
        say(f"Whether a car can run in both is {LIMIT}.")
    elif not shared.rooms:
        say("No clause that has been read bounds anything in either.")
    widest = max((len(room.label) for room in shared.rooms), default=0)
    for room in shared.rooms:
        for line in _room_lines(room, letters, widest):
            click.echo(line)
    _print_unread(shared.unread, letters)


def print_contradictions(found: Sequence[Contradiction], *, as_json: bool) -> None:
    """Print for each class the clauses that no car can meet together."""
    if as_json:
        print_json(contradictions_data(found))
        return
    for one in found:
        if one.laws:
            say(f"{one.name}: no car can meet all of", bold=True)
            click.echo(wrapped([(", ".join(law.clause for law in one.laws), {})]))
        else:
            say(f"{one.name}: {LIMIT if one.undecided else 'no contradiction'}")
    left = [law for one in found for law in one.unread]
    _print_unread({law.clause: law for law in left}.values(), dict.fromkeys((law.book for law in left), ""))


def _letters(shared: SharedRoom) -> dict[str, str]:
    """A letter for each class; one for both where they are the same."""
    return {shared.second: "B", shared.first: "A"}


def _room_lines(room: Room, letters: Mapping[str, str], widest: int) -> Iterator[str]:
    """What a quantity can be, with the clauses behind each end: in columns where there is space for them, else below its name."""
    says = _says(room, letters)
    columns = widest + 2
    if columns + len(says) <= width():
        yield plain(f"{room.label:<{widest}}  {says}")
    else:
        yield plain(room.label)
        yield wrapped([(says, {})])


def _says(room: Room, letters: Mapping[str, str]) -> str:
    if room.undecided:
        return LIMIT
    if room.values or room.laws:
        return f"{listed([_shown(value) for value in room.values], 'or')} ({_named(room.laws, letters)})"
    parts = [
        f"{words[end.strict]} {_shown(end.value)} ({_named(end.laws, letters)})"
        for end, words in ((room.low, ("at least", "over")), (room.high, ("at most", "under")))
        if end is not None
    ]
    return " and ".join(parts)


def _shown(value: Scalar) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


def _named(laws: Iterable[Law], letters: Mapping[str, str]) -> str:
    """Clauses by the letter of their class: `A 3.1, 3.4; B 3.1`."""
    found: dict[str, list[str]] = {}
    for law in laws:
        found.setdefault(letters.get(law.book, law.book), []).append(law.clause)
    return "; ".join(f"{letter} {', '.join(clauses)}".strip() for letter, clauses in sorted(found.items()))


def _print_unread(laws: Iterable[Law], letters: Mapping[str, str]) -> None:
    """Say what was left out: a clause that nobody read may leave less. Without letters each number is named once."""
    left = tuple(laws)
    if left:
        click.echo()
        text = f"{counted(len(left), 'clause')} without a confirmed reading, which may leave less: {_named(left, letters)}"
        click.echo(wrapped([(text, {})], indent=""))
