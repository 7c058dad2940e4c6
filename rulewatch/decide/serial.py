"""Serial schedules: one activity after the other is put where it can start first. Quick, never optimal by itself, always feasible."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from rulewatch.decide.network import Activity, Mode, Network, times

Key = Callable[[Activity], tuple[int, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When an activity is done, and in which of its modes."""

    start: int
    end: int
    mode: int


class Profile:
    """How much of each resource is in use at every time: a step at each moment where that changes."""

    def __init__(self, capacities: Mapping[str, int]) -> None:
        self._capacities = capacities
        self._taken: dict[str, list[tuple[int, int, int]]] = {name: [] for name in capacities}

    def take(self, mode: Mode, start: int, end: int) -> None:
        """Note what a mode uses from `start` to `end`."""
        for name, amount in mode.uses.items():
            self._taken[name].append((start, end, amount))

    def first_fit(self, mode: Mode, earliest: int) -> int:
        """The first start from `earliest` on at which there is enough of everything, to the end."""
        start = mode.start(earliest)
        while True:
            clash = max((self._clash(name, amount, start, mode.end(start)) for name, amount in mode.uses.items()), default=-1)
            if clash < 0:
                return start
            start = mode.start(clash)

    def _clash(self, name: str, amount: int, start: int, end: int) -> int:
        """When to try again, because there is not enough of one resource between two moments; -1 where there is."""
        within = [one for one in self._taken[name] if one[0] < end and start < one[1]]
        room = self._capacities[name] - amount
        for moment in sorted({start, *(one[0] for one in within if one[0] > start)}, reverse=True):
            at = [one for one in within if one[0] <= moment < one[1]]
            if sum(one[2] for one in at) > room:
                return min(one[1] for one in at)
        return -1


def serial_schedule(network: Network, key: Key) -> Mapping[str, Slot]:
    """Each activity in turn, among those whose turn it can be the least by `key`, in the mode in which it ends first."""
    profile = Profile(network.capacities)
    done: dict[str, Slot] = {}
    waiting = {one.id: len(one.after) for one in network.activities}
    ready = [one for one in network.activities if not one.after]
    while ready:
        chosen = min(ready, key=key)
        ready.remove(chosen)
        earliest = max((chosen.release, *(done[before].end for before in chosen.after)))
        slots = []
        for number, mode in enumerate(chosen.modes):
            start = profile.first_fit(mode, earliest)
            slots.append(Slot(start=start, end=mode.end(start), mode=number))
        slot = min(slots, key=lambda one: (one.end, one.mode))
        done[chosen.id] = slot
        profile.take(chosen.modes[slot.mode], slot.start, slot.end)
        for follower in network.followers[chosen.id]:
            waiting[follower] -= 1
            if not waiting[follower]:
                ready.append(network.by_id[follower])
    return done


def best_serial(network: Network, worth: Callable[[Mapping[str, Slot]], tuple[int, ...]]) -> Mapping[str, Slot]:
    """The best of several serial schedules, by the least `worth`: by the latest start, the latest end, and the day it is due.

    These rules are those of Kolisch (1996), European Journal of Operational Research 90, 320-333.
    """
    late = times(network)
    place = {one.id: number for number, one in enumerate(network.activities)}
    never = network.horizon + 1

    def due(one: Activity) -> int:
        return one.due if one.due is not None else never

    keys: tuple[Key, ...] = (
        lambda one: (one.wish, due(one), late[one.id].late_start, place[one.id]),
        lambda one: (late[one.id].late_start, place[one.id]),
        lambda one: (late[one.id].late_end, place[one.id]),
    )
    return min((serial_schedule(network, key) for key in keys), key=worth)


def makespan(slots: Iterable[Slot]) -> int:
    """When the last one ends."""
    return max((slot.end for slot in slots), default=0)
