"""Schedules by constraint programming: proved, or with a bound on how much better one could be.

The same network gives the same schedule on every run: one worker, a fixed seed, and a limit that counts steps and not seconds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rulewatch.decide.network import Activity, Mode, Network, times
from rulewatch.decide.serial import Slot, best_serial, makespan

LIMIT = 60.0  # the solver's own measure of work, of the order of a second each


class LimitError(RuntimeError):
    """The solver's limit was over before any schedule was found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """When each activity is done; what is not there was left out.

    `bound`: no schedule's value is less; it is `proved` optimal where that is its own.
    """

    slots: Mapping[str, Slot]
    value: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether no schedule is better."""
        return self.value == self.bound


def shortest(network: Network, *, limit: float = LIMIT) -> Schedule:
    """A schedule whose end is as early as can be: the resource-constrained project scheduling problem. Raises CircleError."""
    hint = best_serial(network, lambda slots: (makespan(slots.values()),))
    programme = Programme(network, makespan(hint.values()))
    whole = programme.model.new_int_var(0, programme.horizon, "whole")
    programme.model.add_max_equality(whole, [each.end for each in programme.pieces.values()] or [0])
    return programme.least(whole, hint, limit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The variables of one activity: its start and end, whether it is done at all, and by which mode."""

    start: Any
    end: Any
    done: Any
    modes: tuple[Any, ...]


class Programme:
    """The constraint programme of a network: every activity with its start, its end and its mode, up to a horizon."""

    def __init__(self, network: Network, horizon: int) -> None:
        from ortools.sat.python import cp_model

        self.network, self.horizon = network, horizon
        self.model = cp_model.CpModel()
        self._solver = cp_model.CpSolver
        self._users: dict[str, list[tuple[Any, int]]] = {name: [] for name in network.capacities}
        early = times(network)
        self.pieces = {one.id: self._piece(one, early[one.id].early_start, early[one.id].early_end) for one in network.order}
        for one in network.activities:
            for before in one.after:
                self._precede(self.pieces[before], self.pieces[one.id])
        for name, users in self._users.items():
            self._share(users, network.capacities[name])

    def _piece(self, one: Activity, start: int, end: int) -> Piece:
        model = self.model
        begins = model.new_int_var(min(start, self.horizon), self.horizon, f"{one.id} start")
        ends = model.new_int_var(min(end, self.horizon), self.horizon, f"{one.id} end")
        done = model.new_bool_var(f"{one.id} done") if one.wish else model.new_constant(1)
        alone = len(one.modes) == 1
        modes = (done,) if alone else tuple(model.new_bool_var(f"{one.id} {number}") for number in range(len(one.modes)))
        if not alone:
            model.add(sum(modes) == done)
        for mode, chosen in zip(one.modes, modes, strict=True):
            self._interval(mode, begins, ends, chosen, sure=alone and not one.wish)
        return Piece(start=begins, end=ends, done=done, modes=modes)

    def _interval(self, mode: Mode, start: Any, end: Any, chosen: Any, *, sure: bool) -> None:
        model = self.model
        pauses = sum(self._pause(since, until, start, end, chosen) for since, until in mode.breaks if mode.duration)
        size = mode.duration + pauses
        if mode.breaks and mode.duration:
            longest = mode.duration + sum(until - since for since, until in mode.breaks)
            length = model.new_int_var(mode.duration, longest, "length")
            model.add(length == size).only_enforce_if(chosen)
            size = length
        if sure:
            interval = model.new_interval_var(start, size, end, "interval")
        else:
            interval = model.new_optional_interval_var(start, size, end, chosen, "interval")
        for name, amount in mode.uses.items():
            if amount and mode.duration:
                self._users[name].append((interval, amount))

    def _pause(self, since: int, until: int, start: Any, end: Any, chosen: Any) -> Any:
        """How long a break holds the work up: all of it where the work begins before and goes on after it, else nothing."""
        model = self.model
        over, later = model.new_bool_var("over"), model.new_bool_var("later")
        model.add(start < since).only_enforce_if([over, chosen])
        model.add(end > until).only_enforce_if([over, chosen])
        model.add(start >= until).only_enforce_if([later, chosen])
        model.add(end <= since).only_enforce_if([~over, ~later, chosen])
        model.add_at_most_one(over, later)
        model.add_implication(over, chosen)
        return over * (until - since)

    def _precede(self, before: Piece, after: Piece) -> None:
        self.model.add(after.start >= before.end).only_enforce_if([before.done, after.done])
        self.model.add_implication(after.done, before.done)

    def _share(self, users: Sequence[tuple[Any, int]], capacity: int) -> None:
        if all(2 * amount > capacity for _, amount in users):
            self.model.add_no_overlap([interval for interval, _ in users])
        else:
            self.model.add_cumulative([interval for interval, _ in users], [amount for _, amount in users], capacity)

    def least(self, value: Any, hint: Mapping[str, Slot], limit: float) -> Schedule:
        """The schedule that makes a value the least, from a hint on. The hint must be a schedule within the horizon.

        Raises LimitError where the limit is over before any schedule was found.
        """
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for name, piece in self.pieces.items():
            slot = hint.get(name)
            if slot is not None:
                self.model.add_hint(piece.start, slot.start)
                self.model.add_hint(piece.end, slot.end)
            if len(piece.modes) > 1 or self.network.by_id[name].wish:
                for number, chosen in enumerate(piece.modes):
                    self.model.add_hint(chosen, slot is not None and slot.mode == number)
        self.model.minimize(value)
        solver = self._solver()
        parameters = solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = 1
        parameters.max_deterministic_time = limit
        status = solver.status_name(solver.solve(self.model))
        if status not in {"OPTIMAL", "FEASIBLE"}:
            raise LimitError(status)
        found = {}
        for name, piece in self.pieces.items():
            if solver.boolean_value(piece.done):
                mode = next(number for number, chosen in enumerate(piece.modes) if solver.boolean_value(chosen))
                found[name] = Slot(start=solver.value(piece.start), end=solver.value(piece.end), mode=mode)
        return Schedule(slots=found, value=round(solver.objective_value), bound=round(solver.best_objective_bound))
