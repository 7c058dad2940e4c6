"""Printing what two classes leave in common, and which clauses of a class contradict each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import click

from rulewatch.cli.output import counted, print_json, say, wrapped
from rulewatch.model.reading import Scalar
from rulewatch.model.room import Contradiction, End, Law, Room, SharedRoom
from rulewatch.publish.data import contradictions_data, room_data

LIMIT = "not decided within the limit of work"


def print_shared(shared: SharedRoom, *, as_json: bool) -> None:
    """Print the room of a car that runs in two classes."""
    if as_json:
        print_json(room_data(shared))
        return
    say(f"{shared.first} and {shared.second}", bold=True)
    if shared.conflict:
        say("No car can run in both:")
        _print_laws(shared.conflict)
    elif shared.undecided:
        say(f"Whether a car can run in both is {LIMIT}.")
    for room in shared.rooms:
        say(f"{room.label}: {_values(room)}")
        because = ", ".join(filter(None, (_because(room.low), _because(room.high), _names(room.laws))))
        click.echo(wrapped([(because, {})]))
    _print_unread(shared.unread)


def print_contradictions(found: Sequence[Contradiction], *, as_json: bool) -> None:
    """Print for each class the clauses that no car can meet together."""
    if as_json:
        print_json(contradictions_data(found))
        return
    for one in found:
        if one.laws:
            say(f"{one.name}: no car can meet all of", bold=True)
            _print_laws(one.laws)
        else:
            say(f"{one.name}: {LIMIT if one.undecided else 'no contradiction'}")
    _print_unread(dict.fromkeys(law for one in found for law in one.unread))


def _values(room: Room) -> str:
    if room.undecided:
        return LIMIT
    if room.values or room.laws:
        return " or ".join(map(_shown, room.values))
    low, high = room.low, room.high
    parts = [f"{'over' if low.strict else 'at least'} {_shown(low.value)}"] if low is not None else []
    parts += [f"{'under' if high.strict else 'at most'} {_shown(high.value)}"] if high is not None else []
    return " and ".join(parts)


def _shown(value: Scalar) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


def _because(end: End | None) -> str:
    return f"{_shown(end.value)} by {_names(end.laws)}" if end is not None else ""


def _names(laws: Iterable[Law]) -> str:
    return ", ".join(map(str, laws))


def _print_laws(laws: Iterable[Law]) -> None:
    for law in laws:
        say(f"    {law}")


def _print_unread(laws: Iterable[Law]) -> None:
    """Say what was left out: a clause that nobody read may leave less."""
    left = tuple(laws)
    if left:
        click.echo()
        click.echo(wrapped([(f"{counted(len(left), 'clause')} not read, which may leave less: {_names(left)}", {})], indent=""))
