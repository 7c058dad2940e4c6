"""The schedule of a crew: what must be late or left out, and then the earliest order of the rest.

Four questions, one after the other, each without giving up what the one before has found: the fewest days by which necessary
work is late; the most wishes that are done in time; the earliest end of all that is necessary; the earliest end of each job.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from rulewatch.decide.network import Network
from rulewatch.decide.schedule import Programme
from rulewatch.decide.serial import Slot, best_serial, makespan

LIMIT = 2.0  # for each question, in the solver's own measure; the last one, which is a nicety, gets a quarter of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """The schedule that was found. `late` is the sum of what necessary work is late by, `kept` how many wishes are done.

    No schedule is less late than `late_bound`, none keeps more wishes than `kept_bound` without being later, and in none does
    the necessary work end before `end_bound`.
    """

    slots: Mapping[str, Slot]
    late: int
    late_bound: int
    kept: int
    kept_bound: int
    end: int
    end_bound: int


def order(network: Network, *, limit: float = LIMIT, tell: Callable[[str], None] = lambda _: None) -> Ordered:
    """The schedule of a network whose activities have days by which they are due. `tell` is told of each question.

    Raises CircleError.
    """
    serial = best_serial(network, lambda slots: _worth(network, slots))
    hint = _in_time(network, serial)
    programme = Programme(network, makespan(serial.values()))
    model, pieces = programme.model, programme.pieces
    needed = [one for one in network.activities if not one.wish]
    wishes = [one for one in network.activities if one.wish]
    for one in wishes:
        if one.due is not None:
            model.add(pieces[one.id].end <= one.due).only_enforce_if(pieces[one.id].done)
    late = model.new_constant(0) + sum(_lateness(programme, one.id, one.due) for one in needed if one.due is not None)
    tell("scheduling: what is late")
    first = programme.least(late, hint, limit)
    model.add(late <= first.value)
    dropped = model.new_constant(len(wishes)) - sum(pieces[one.id].done for one in wishes)
    tell("scheduling: what is left out")
    second = programme.least(dropped, first.slots, limit)
    model.add(dropped <= second.value)
    last = model.new_int_var(0, programme.horizon, "last")
    model.add_max_equality(last, [pieces[one.id].end for one in needed] or [0])
    tell("scheduling: the earliest end")
    third = programme.least(last, second.slots, limit)
    model.add(last <= third.value)
    whole = model.new_constant(0) + sum(piece.end for piece in pieces.values())
    tell("scheduling: every job as early as can be")
    slots = programme.least(whole, third.slots, limit / 4).slots
    return Ordered(
        slots=slots,
        late=first.value,
        late_bound=first.bound,
        kept=len(wishes) - second.value,
        kept_bound=len(wishes) - second.bound,
        end=third.value,
        end_bound=third.bound,
    )


def _lateness(programme: Programme, name: str, due: int) -> Any:
    late = programme.model.new_int_var(0, max(programme.horizon - due, 0), f"{name} late")
    programme.model.add(late >= programme.pieces[name].end - due)
    return late


def _worth(network: Network, slots: Mapping[str, Slot]) -> tuple[int, ...]:
    needed = [one for one in network.activities if not one.wish]
    late = sum(max(slots[one.id].end - one.due, 0) for one in needed if one.due is not None)
    kept = len(_in_time(network, slots))
    return late, -kept, makespan(slots[one.id] for one in needed), sum(slot.end for slot in slots.values())


def _in_time(network: Network, slots: Mapping[str, Slot]) -> Mapping[str, Slot]:
    """A schedule without the wishes that are late in it, and without those that wait for one of these."""
    found: dict[str, Slot] = {}
    for one in network.order:
        late = one.wish and one.due is not None and slots[one.id].end > one.due
        if not late and all(before in found for before in one.after):
            found[one.id] = slots[one.id]
    return found
