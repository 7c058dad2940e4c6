"""Runs of a schedule against exact convolution, and what is drawn against closed forms."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import product
from math import sqrt

import numpy as np
import pytest

from rulewatch.decide.network import Activity, Mode, Network
from rulewatch.decide.serial import serial_schedule
from rulewatch.decide.simulation import Step, draw, run, steps_of
from rulewatch.model.work import Estimate

RUNS = 40_000
# Discrete durations: each with its probability, in sixths.
DICE = {"a": {1: 3, 4: 3}, "b": {2: 2, 3: 4}, "c": {1: 1, 5: 5}, "d": {0: 2, 2: 2, 6: 2}}


def exactly(after: dict[str, tuple[str, ...]]) -> dict[int, Fraction]:
    """The distribution of the end of a network of discrete durations, by going through all that can happen."""
    found: dict[int, Fraction] = defaultdict(Fraction)
    for rolled in product(*(DICE[name].items() for name in after)):
        ends: dict[str, int] = {}
        chance = Fraction(1)
        for name, (duration, weight) in zip(after, rolled, strict=True):
            ends[name] = max((ends[before] for before in after[name]), default=0) + duration
            chance *= Fraction(weight, 6)
        found[max(ends.values())] += chance
    return found


def convolved(*names: str) -> dict[int, Fraction]:
    """The distribution of a sum of durations."""
    found = {0: Fraction(1)}
    for name in names:
        more: dict[int, Fraction] = defaultdict(Fraction)
        for value, chance in found.items():
            for duration, weight in DICE[name].items():
                more[value + duration] += chance * Fraction(weight, 6)
        found = more
    return found


def test_going_through_everything_is_convolution_where_all_is_in_a_row():
    """The exact figures below are themselves held to the convolution of four durations."""
    assert exactly({"a": (), "b": ("a",), "c": ("b",), "d": ("c",)}) == convolved("a", "b", "c", "d")


@pytest.mark.parametrize(
    "after",
    [
        {"a": (), "b": ("a",), "c": ("b",), "d": ("c",)},
        {"a": (), "b": (), "c": (), "d": ()},
        {"a": (), "b": ("a",), "c": ("a",), "d": ("b", "c")},
        {"a": (), "b": (), "c": ("a", "b"), "d": ("b",)},
    ],
)
def test_runs_agree_with_exact_convolution(after):
    """In a row, side by side and mixed: every share of runs within four standard errors of the exact probability."""
    generator = np.random.default_rng(7)
    durations = {
        name: generator.choice(list(dice), size=RUNS, p=[weight / 6 for weight in dice.values()]).astype(float)
        for name, dice in DICE.items()
    }
    steps = tuple(Step(id=name, after=before) for name, before in after.items())
    last = run(steps, durations, dict.fromkeys(after, np.zeros(RUNS))).last(list(after))
    exact = exactly(after)
    assert sum(exact.values()) == 1
    under = Fraction(0)
    for end in sorted(exact):
        under += exact[end]
        error = sqrt(float(under * (1 - under)) / RUNS)
        assert abs(float((last <= end).mean()) - float(under)) <= 4 * error + 1e-12


def test_breaks_hold_every_run_up_as_they_hold_one():
    """The runs agree with the same network walked through one by one."""
    breaks = ((3, 5), (9, 14))
    durations = np.arange(0.5, 20, 0.5)
    begins = np.full(durations.shape, 4.0)
    ends = run([Step(id="a", after=(), breaks=breaks)], {"a": durations}, {"a": begins}).ends["a"]
    assert [int(end) for end in ends[1::2]] == [
        Mode(duration=int(duration), breaks=breaks).end(Mode(duration=1, breaks=breaks).start(4))
        for duration in durations[1::2]
    ]


@pytest.mark.parametrize("spent", [0, 2, 5, 8, 10])
def test_what_is_drawn_has_the_mean_of_the_rest(spent):
    """Of a triangular distribution, given that more than so much was needed, less that: within four standard errors."""
    estimate = Estimate(low=Fraction(4), likely=Fraction(6), high=Fraction(11))
    drawn = draw(estimate, "a", runs=RUNS, seed=3, spent=spent)
    assert abs(drawn.mean() - float(estimate.rest(Fraction(spent)))) <= 4 * drawn.std() / sqrt(RUNS)
    assert drawn.min() >= 0
    assert drawn.max() <= 11 - spent


def test_the_spread_of_what_is_drawn_is_that_of_the_triangle():
    """Variance (a² + m² + b² - am - ab - mb) / 18, a closed form of every textbook of probability."""
    drawn = draw(Estimate(low=Fraction(4), likely=Fraction(6), high=Fraction(11)), "a", runs=RUNS, seed=3)
    assert drawn.var() == pytest.approx((16 + 36 + 121 - 24 - 44 - 66) / 18, rel=0.03)


@pytest.mark.parametrize(("low", "likely", "high"), [(3, 3, 9), (3, 9, 9), (5, 5, 5)])
def test_triangles_that_lean_to_a_side_are_drawn_too(low, likely, high):
    """Where two of the three figures are one."""
    estimate = Estimate(low=Fraction(low), likely=Fraction(likely), high=Fraction(high))
    drawn = draw(estimate, "a", runs=RUNS, seed=3)
    assert drawn.mean() == pytest.approx(float(estimate.mean), abs=4 * drawn.std() / sqrt(RUNS))


def test_the_same_seed_draws_the_same():
    """Whatever else is drawn; another seed and another name draw other figures."""
    estimate = Estimate(low=Fraction(4), likely=Fraction(6), high=Fraction(11))
    first = draw(estimate, "a", runs=5, seed=3)
    assert (draw(estimate, "a", runs=5, seed=3) == first).all()
    assert (draw(estimate, "a", runs=5, seed=4) != first).all()
    assert (draw(estimate, "b", runs=5, seed=3) != first).all()


def test_criticality_is_the_share_of_runs_in_which_the_end_hangs_on_it():
    """Side by side, an activity drives as often as it is the last; both do in a tie."""
    steps = (Step(id="a", after=()), Step(id="b", after=()), Step(id="c", after=("a", "b")))
    durations = {"a": np.array([1.0, 2.0, 3.0, 3.0]), "b": np.array([2.0, 2.0, 1.0, 1.0]), "c": np.ones(4)}
    found = run(steps, durations, {name: np.zeros(4) for name in "abc"})
    assert found.drivers(["c"])[0] == {"a": 0.75, "b": 0.5, "c": 1.0}
    late = run(steps, durations, {"a": np.zeros(4), "b": np.zeros(4), "c": np.array([0.0, 2.0, 5.0, 5.0])})
    assert late.drivers(["c"]) == ({"a": 0.25, "b": 0.5, "c": 1.0}, {"a": 0.0, "b": 0.0, "c": 0.75})


def test_who_had_something_before_is_waited_for():
    """One hoist makes two activities wait for each other in the order of the schedule; a second one lets the third in."""
    activities = tuple(Activity(id=name, modes=(Mode(duration=2, uses={"hoist": 1}),)) for name in "abc")
    for capacity, waits in ((1, [(), ("a",), ("b",)]), (2, [(), (), ("a",)]), (3, [(), (), ()])):
        network = Network(activities=activities, capacities={"hoist": capacity})
        steps = steps_of(network, serial_schedule(network, lambda one: (ord(one.id),)))
        assert [step.after for step in steps] == waits
