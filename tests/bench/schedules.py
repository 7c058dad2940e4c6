"""How many instances the solver proves, by hand: `python tests/bench/schedules.py [ACTIVITIES] [LIMIT]`.

PSPLIB's own sets j30 and j60 are not at hand but for twelve files, so these are made anew, one for each of its 48 combinations of
network complexity, resource factor and resource strength (Kolisch, Sprecher and Drexl 1995, Management Science 41, 1693-1703,
from memory): four resources, durations of 1 to 10, demands of 1 to 10.
"""

from __future__ import annotations

import random
import sys
import time
from itertools import product

from rulewatch.decide.network import Activity, Mode, Network, span_of, times
from rulewatch.decide.schedule import shortest
from rulewatch.decide.serial import best_serial, makespan

COMPLEXITIES, FACTORS, STRENGTHS = (1.5, 1.8, 2.1), (0.25, 0.5, 0.75, 1.0), (0.2, 0.5, 0.7, 1.0)
RESOURCES = 4
LIMIT = 30.0


def instance(count: int, complexity: float, factor: float, strength: float, seed: int) -> Network:
    """A network of so many activities, with arcs to complexity, each using a share of the resources, which are so scarce."""
    chance = random.Random(f"{count} {complexity} {factor} {strength} {seed}")  # noqa: S311 - nothing is secret here
    after: list[set[int]] = [set() for _ in range(count)]
    for number in range(3, count):
        after[number].add(chance.randrange(number))
    while sum(map(len, after)) < complexity * count:
        late = chance.randrange(1, count)
        early = chance.randrange(late)
        if len(after[late]) < 3:
            after[late].add(early)
    uses = [{f"R{one}": chance.randint(1, 10) for one in range(RESOURCES) if chance.random() < factor} for _ in range(count)]
    activities = tuple(
        Activity(
            id=str(number),
            modes=(Mode(duration=chance.randint(1, 10), uses=uses[number]),),
            after=tuple(map(str, sorted(after[number]))),
        )
        for number in range(count)
    )
    early = times(Network(activities=activities))
    capacities = {}
    for name in (f"R{one}" for one in range(RESOURCES)):
        least = max((one.modes[0].uses.get(name, 0) for one in activities), default=0)
        peak = max(
            sum(
                one.modes[0].uses.get(name, 0)
                for one in activities
                if early[one.id].early_start <= moment < early[one.id].early_end
            )
            for moment in range(span_of(Network(activities=activities)))
        )
        capacities[name] = max(least + round(strength * (peak - least)), least, 1)
    return Network(activities=activities, capacities=capacities)


def main() -> None:
    """Print how many were proved, the time, the gaps that are left, and how far the serial schedules were off."""
    count, limit = int((*sys.argv[1:], "30")[0]), float((*sys.argv[2:], LIMIT)[0])
    proved, spent, gaps, serial = 0, [], [], []
    for complexity, factor, strength in product(COMPLEXITIES, FACTORS, STRENGTHS):
        network = instance(count, complexity, factor, strength, 1)
        begun = time.perf_counter()
        found = shortest(network, limit=limit)
        spent.append(time.perf_counter() - begun)
        proved += found.proved
        first = makespan(best_serial(network, lambda slots: (makespan(slots.values()),)).values())
        serial.append(first / found.value - 1)
        if not found.proved:
            gaps.append(f"RF {factor} RS {strength}: {found.value}, bound {found.bound}")
    spent.sort()
    print(f"{count}: {proved} of {len(spent)} proved; median {spent[len(spent) // 2]:.2f} s, longest {spent[-1]:.1f} s")  # noqa: T201 - a report
    print(f"  serial schedules {100 * sum(serial) / len(serial):.1f} % longer on average")  # noqa: T201 - a report
    print("\n".join(f"  {gap}" for gap in gaps), flush=True)  # noqa: T201 - a report


if __name__ == "__main__":
    main()
