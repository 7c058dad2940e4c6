"""Laws of schedules, on small networks made by chance."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.decide.network import Activity, Mode, Network, span_of, times
from rulewatch.decide.schedule import shortest
from rulewatch.decide.serial import Slot, best_serial, makespan, serial_schedule

CAPACITIES = {"hoist": 1, "benches": 3}


@st.composite
def networks(draw, most: int = 5, *, breaks: bool = False) -> Network:
    """Up to five activities in one or two modes, each after some of those before it."""
    count = draw(st.integers(1, most))
    rests = ((2, 4), (7, 8)) if breaks else ()
    modes = st.builds(
        Mode,
        duration=st.integers(0, 4),
        uses=st.fixed_dictionaries({"hoist": st.integers(0, 1), "benches": st.integers(0, 3)}),
        breaks=st.sampled_from([(), rests]),
    )
    activities = tuple(
        Activity(
            id=f"a{number}",
            modes=tuple(draw(st.lists(modes, min_size=1, max_size=2))),
            after=tuple(
                sorted(draw(st.sets(st.sampled_from([f"a{one}" for one in range(number)]) if number else st.nothing())))
            ),
            release=draw(st.integers(0, 3)),
        )
        for number in range(count)
    )
    return Network(activities=activities, capacities=CAPACITIES)


def assert_feasible(network: Network, slots: Mapping[str, Slot]) -> None:
    """Nothing begins before it may or in a break, and nothing is used that is not there."""
    for one in network.activities:
        slot = slots[one.id]
        mode = one.modes[slot.mode]
        assert slot.start >= max((one.release, *(slots[before].end for before in one.after)))
        assert mode.start(slot.start) == slot.start
        assert mode.end(slot.start) == slot.end
    for moment in range(makespan(slots.values())):
        for name, most in network.capacities.items():
            at = [one for one in network.activities if slots[one.id].start <= moment < slots[one.id].end]
            assert sum(one.modes[slots[one.id].mode].uses.get(name, 0) for one in at) <= most


@settings(deadline=None, max_examples=60, derandomize=True)
@given(networks(breaks=True))
def test_schedules_keep_every_rule(network):
    """Serial ones and optimal ones alike, breaks and modes included; the optimal one ends no later, and not before its bound."""
    serial = best_serial(network, lambda slots: (makespan(slots.values()),))
    assert_feasible(network, serial)
    best = shortest(network)
    assert_feasible(network, best.slots)
    assert best.proved
    assert best.value == makespan(best.slots.values()) <= makespan(serial.values())
    assert best.value >= span_of(network)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(networks(most=4))
def test_the_optimum_is_that_of_trying_everything(network):
    """Some order of a serial schedule is optimal (Sprecher, Kolisch and Drexl 1995), so that all orders and modes find the optimum."""
    ids = [one.id for one in network.activities]
    choices = [network]
    for one in network.activities:
        choices = [
            Network(
                activities=tuple(
                    Activity(id=each.id, modes=(mode,), after=each.after, release=each.release) if each.id == one.id else each
                    for each in chosen.activities
                ),
                capacities=chosen.capacities,
            )
            for chosen in choices
            for mode in one.modes
        ]
    tried = (
        makespan(serial_schedule(chosen, lambda one, order=order: (order.index(one.id),)).values())
        for chosen in choices
        for order in permutations(ids)
    )
    assert shortest(network).value == min(tried)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(networks())
def test_floats_are_never_below_nothing(network):
    """A free float is at most the total one, and something is critical."""
    found = times(network)
    assert all(0 <= one.free_float <= one.total_float for one in found.values())
    assert any(one.critical for one in found.values())


@settings(deadline=None, max_examples=100, derandomize=True)
@given(st.integers(1, 6), st.integers(0, 20), st.lists(st.integers(0, 20), min_size=2, max_size=6, unique=True).map(sorted))
def test_the_latest_start_is_the_last_that_ends_in_time(duration, end, cuts):
    """Going back from an end over the breaks finds the last start that goes forward to no later."""
    breaks = tuple((since, until) for since, until in zip(cuts[::2], cuts[1::2], strict=False))
    mode = Mode(duration=duration, breaks=breaks)
    fitting = [start for start in range(-40, 21) if mode.start(start) == start and mode.end(start) <= end]
    assert mode.latest_start(end) == max(fitting)
