"""Networks of activities: what takes how long, what must precede, what each one uses; and their schedules without resources.

Times are whole numbers from 0 on, in a unit of the caller's choice. An activity that starts at 3 and takes 2 ends at 5, and
one after it may start at 5. Forward and backward pass: Kelley and Walker (1959), in the terms of the metra potential method.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

Span = tuple[int, int]  # from and until, the latter not included


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way of doing an activity: how long it takes, and how much it uses of each resource all that time.

    `breaks` are spans in which the work rests, in order and apart from each other. An activity may not start in one; it may
    begin before and go on after it, and then takes that much longer.
    """

    duration: int
    uses: Mapping[str, int] = field(default_factory=dict)
    breaks: tuple[Span, ...] = ()
    name: str = ""

    def start(self, earliest: int) -> int:
        """The first moment from `earliest` on at which it may start."""
        for since, until in self.breaks:
            if since <= earliest < until and self.duration:
                return until
        return earliest

    def end(self, start: int) -> int:
        """When it ends, if it starts then."""
        end = start + self.duration
        for since, until in self.breaks:
            if start < until and since < end:
                end += until - max(since, start)
        return end

    def latest_start(self, end: int) -> int:
        """The last moment at which it may start and end by `end`."""
        start = end - self.duration
        for since, until in reversed(self.breaks):
            if since < end and start < until and self.duration:
                start -= min(until, end) - since
        return start


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One activity: the ways in which it can be done, what must have ended before, and the limits of its time.

    `release` is the earliest start, `due` the time by which it should have ended. A `wish` may be left out where it cannot be
    done in time; what is no wish is done late rather than not.
    """

    id: str
    modes: tuple[Mode, ...]
    after: tuple[str, ...] = ()
    release: int = 0
    due: int | None = None
    wish: bool = False


class CircleError(ValueError):
    """Activities that wait for each other; `ids` are those of one circle, in order."""

    def __init__(self, ids: Sequence[str]) -> None:
        super().__init__(" → ".join(ids))
        self.ids = tuple(ids)


@dataclass(frozen=True, kw_only=True)
class Network:
    """Activities, and how much there is of each renewable resource at any time."""

    activities: tuple[Activity, ...]
    capacities: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def by_id(self) -> Mapping[str, Activity]:
        """Each activity by its id."""
        return {one.id: one for one in self.activities}

    @cached_property
    def order(self) -> tuple[Activity, ...]:
        """The activities so that each stands behind what must precede it. Raises CircleError."""
        return tuple(self.by_id[name] for name in sorted_after({one.id: one.after for one in self.activities}))

    @cached_property
    def followers(self) -> Mapping[str, tuple[str, ...]]:
        """The ids of what waits for each activity."""
        found: dict[str, list[str]] = {one.id: [] for one in self.activities}
        for one in self.activities:
            for before in one.after:
                found[before].append(one.id)
        return {name: tuple(each) for name, each in found.items()}

    @cached_property
    def horizon(self) -> int:
        """A time by which everything can be done, one after the other."""
        latest = max((one.release for one in self.activities), default=0)
        rest = sum(max(mode.duration for mode in one.modes) for one in self.activities)
        breaks = {span for one in self.activities for mode in one.modes for span in mode.breaks}
        return latest + rest + sum(until - since for since, until in breaks)


def sorted_after(after: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """Names so that each stands behind those that it waits for, else in the order given. Raises CircleError."""
    done: dict[str, None] = {}
    open_: list[str] = []
    for first in after:
        stack = [(first, iter(after[first]))] if first not in done else []
        open_ = [first]
        while stack:
            name, rest = stack[-1]
            before = next((one for one in rest if one not in done), None)
            if before is None:
                done[name] = None
                stack.pop()
                open_.pop()
            elif before in open_:
                raise CircleError([*open_[open_.index(before) :], before])
            else:
                stack.append((before, iter(after[before])))
                open_.append(before)
    return tuple(done)


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """When an activity can start and end at the earliest and at the latest, resources apart.

    `total_float` is by how much it can be late without making the whole late; `free_float` without making any other later.
    """

    early_start: int
    early_end: int
    late_start: int
    late_end: int
    free_float: int

    @property
    def total_float(self) -> int:
        """The room between the earliest and the latest start."""
        return self.late_start - self.early_start

    @property
    def critical(self) -> bool:
        """Whether it makes the whole late if it is late itself."""
        return self.total_float <= 0


def times(network: Network, end: int | None = None) -> Mapping[str, Times]:
    """The times of every activity in whichever mode is quickest then, as if there were enough of everything.

    The whole ends at `end`, where that is given, else as soon as it can. Raises CircleError.
    """
    early: dict[str, Span] = {}
    for one in network.order:
        ready = max((one.release, *(early[before][1] for before in one.after)))
        starts = [mode.start(ready) for mode in one.modes]
        early[one.id] = (min(starts), min(mode.end(start) for mode, start in zip(one.modes, starts, strict=True)))
    last = end if end is not None else max((span[1] for span in early.values()), default=0)
    late: dict[str, Span] = {}
    for one in reversed(network.order):
        until = min((late[follower][0] for follower in network.followers[one.id]), default=last)
        late[one.id] = (max(mode.latest_start(until) for mode in one.modes), until)
    free = {
        one.id: min((early[follower][0] for follower in network.followers[one.id]), default=last) - early[one.id][1]
        for one in network.activities
    }
    return {
        one.id: Times(
            early_start=early[one.id][0],
            early_end=early[one.id][1],
            late_start=late[one.id][0],
            late_end=late[one.id][1],
            free_float=free[one.id],
        )
        for one in network.activities
    }


def span_of(network: Network) -> int:
    """How long the whole takes at the least, as if there were enough of everything: the length of its critical path."""
    return max((each.early_end for each in times(network).values()), default=0)
