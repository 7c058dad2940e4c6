"""What becomes of a schedule when the hours and waits are drawn again and again, in the order of work that it has.

The order is kept: whoever does one job after another in the schedule does so in every run, however long each takes, and
begins the next one as soon as it can be begun. So a run is a longest way through the network of "this before that".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zlib import crc32

from rulewatch.decide.network import Network, Span, sorted_after
from rulewatch.decide.serial import Slot
from rulewatch.model.work import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One activity of a schedule, with all that it waits for: what must precede, and whoever had its people and equipment before."""

    id: str
    after: tuple[str, ...]
    breaks: tuple[Span, ...] = ()


def steps_of(network: Network, slots: Mapping[str, Slot]) -> tuple[Step, ...]:
    """The steps of a schedule, each behind those that it waits for; what was left out of it is not there."""
    after = {
        one.id: dict.fromkeys(before for before in one.after if before in slots)
        for one in network.activities
        if one.id in slots
    }
    queue = sorted(after, key=lambda name: (slots[name].start, slots[name].end, name))
    for resource, capacity in network.capacities.items():
        free: list[str] = [""] * capacity  # who had each unit last
        for name in queue:
            amount = network.by_id[name].modes[slots[name].mode].uses.get(resource, 0)
            # The units that are free for the longest time: of those that are free, none is taken that another could have had.
            units = sorted(range(capacity), key=lambda unit: slots[free[unit]].end if free[unit] else -1)[:amount]
            for unit in units:
                if free[unit]:
                    after[name][free[unit]] = None
                free[unit] = name
    return tuple(
        Step(id=name, after=tuple(after[name]), breaks=network.by_id[name].modes[slots[name].mode].breaks)
        for name in sorted_after({name: after[name] for name in queue})
    )


def draw(estimate: Estimate, name: str, *, runs: int, seed: int, spent: float = 0.0) -> Numbers:
    """So many figures of a triangular distribution, less what was spent, given that it is more than that.

    What is drawn depends on seed and name alone, so that two plans differ by their decisions and not by chance.
    """
    import numpy as np

    generator = np.random.default_rng([seed, crc32(name.encode())])
    chance = generator.random(runs)
    low, likely, high = float(estimate.low), float(estimate.likely), float(estimate.high)
    if low == high:
        sure: Numbers = np.full(runs, max(low - spent, 0.0))
        return sure
    turn = (likely - low) / (high - low)
    under = _share_under(min(max(spent, low), high), low, likely, high)
    chance = under + (1 - under) * chance
    rising = low + np.sqrt(np.maximum(chance, 0) * (high - low) * (likely - low))
    falling = high - np.sqrt(np.maximum(1 - chance, 0) * (high - low) * (high - likely))
    drawn: Numbers = np.maximum(np.where(chance < turn, rising, falling) - spent, 0.0)
    return drawn


def _share_under(value: float, low: float, likely: float, high: float) -> float:
    if value < likely:
        return (value - low) ** 2 / ((high - low) * (likely - low))
    return 1 - (high - value) ** 2 / ((high - low) * (high - likely)) if high > likely else float(value >= high)


@dataclass(frozen=True, kw_only=True)
class Runs:
    """What came of every run: when each step could begin by what it waited for, and when it ended; one figure for each run."""

    steps: tuple[Step, ...]
    released: Mapping[str, Numbers]
    ready: Mapping[str, Numbers]
    ends: Mapping[str, Numbers]

    def by(self, deadlines: Mapping[str, float]) -> Numbers:
        """Whether all of some steps end by their times, as 1 or 0 for each run."""
        import numpy as np

        met = [self.ends[name] <= until + 1e-9 for name, until in deadlines.items()]
        return np.all(met, axis=0).astype(float) if met else np.ones(1)

    def last(self, names: Iterable[str]) -> Numbers:
        """When the last of some steps ends."""
        import numpy as np

        latest: Numbers = np.max([self.ends[name] for name in names], axis=0)
        return latest

    def drivers(self, names: Sequence[str]) -> tuple[Mapping[str, float], Mapping[str, float]]:
        """On what the last moment of some steps hangs: in which share of the runs on each step, and on each one's release.

        The criticality index of van Slyke (1963), Operations Research 11, 839-860, for what is on a longest way to that moment.
        """
        import numpy as np

        last = self.last(names)
        hangs = {step.id: np.zeros(last.shape, dtype=bool) for step in self.steps}
        waits: dict[str, float] = {}
        for name in names:
            hangs[name] |= self.ends[name] >= last - 1e-9
        for step in reversed(self.steps):
            released = hangs[step.id] & (self.released[step.id] >= self.ready[step.id] - 1e-9) & (self.ready[step.id] > 0)
            waits[step.id] = float(released.mean())
            for before in step.after:
                hangs[before] |= hangs[step.id] & (self.ends[before] >= self.ready[step.id] - 1e-9)
        return {name: float(each.mean()) for name, each in hangs.items()}, waits


def run(steps: Sequence[Step], durations: Mapping[str, Numbers], released: Mapping[str, Numbers]) -> Runs:
    """Every run through the steps, each of which stands behind those that it waits for.

    `durations` and `released` (before which a step does not begin) have one figure for each run and step.
    """
    import numpy as np

    ready: dict[str, Numbers] = {}
    ends: dict[str, Numbers] = {}
    for step in steps:
        begin = np.max([released[step.id], *(ends[before] for before in step.after)], axis=0)
        ready[step.id] = begin
        ends[step.id] = _end(begin, durations[step.id], step.breaks)
    return Runs(steps=tuple(steps), released=released, ready=ready, ends=ends)


def _end(begin: Numbers, duration: Numbers, breaks: Iterable[Span]) -> Numbers:
    """When work ends that rests in the breaks."""
    import numpy as np

    for since, until in breaks:
        begin = np.where((since <= begin) & (begin < until), until, begin)
    end = begin + duration
    for since, until in breaks:
        end = np.where((begin < until) & (since < end), end + (until - since), end)
    return end
