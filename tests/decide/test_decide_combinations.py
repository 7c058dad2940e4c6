"""The front of combinations: against every combination one by one, on small cases that are drawn; and how long many options take."""

from __future__ import annotations

import random
from time import perf_counter

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.decide.combinations import Choice, Limits, Ruled, counts, every, front

NAMES = "abcdefg"


@st.composite
def cases(draw):
    """Up to seven options with needs and exclusions, limits, and rules that hang on a few of them each."""
    names = NAMES[: draw(st.integers(0, len(NAMES)))]
    small, names_of = st.integers(0, 6), st.lists(st.sampled_from(names), max_size=1) if names else st.just([])

    def others(name):
        return tuple(one for one in draw(names_of) if one != name)

    choices = [
        Choice(
            id=name,
            money=draw(small),
            hours=draw(small),
            days=draw(small),
            worth=draw(st.integers(-3, 6)),
            mends=draw(st.integers(0, 1)),
            needs=others(name),
            excludes=others(name),
        )
        for name in names
    ]
    limits = Limits(money=draw(st.none() | st.integers(0, 15)), days=draw(st.none() | small))
    patterns = st.dictionaries(st.sampled_from(names), st.booleans(), min_size=1, max_size=3) if names else st.just({})
    forbidden = draw(st.lists(patterns, max_size=4)) if names else []
    return choices, limits, forbidden


def ruled_by(forbidden):
    """A rule that forbids whatever agrees with one of some patterns."""

    def rule(chosen):
        for pattern in forbidden:
            if all((name in chosen) is wanted for name, wanted in pattern.items()):
                return Ruled(allowed=False, about=frozenset(pattern))
        return Ruled(allowed=True, about=frozenset())

    return rule


@settings(deadline=None, max_examples=100, derandomize=True)
@given(cases())
def test_the_front_is_that_of_all_combinations_one_by_one(case):
    """The same counts as of every allowed combination that no other beats, each of them allowed, and none twice."""
    choices, limits, forbidden = case
    rule = ruled_by(forbidden)
    everything = list(every(choices, limits, rule))
    told = {counts(choices, one) for one in everything}
    best = {one for one in told if not any(other.beats(one) for other in told)}
    found = front(choices, limits, rule, most=200)
    assert found.whole
    assert set(found.found) <= set(everything)
    assert sorted(counts(choices, one) for one in found.found) == sorted(best)


def many(seed: int, size: int = 30):
    """Options with needs and exclusions, drawn."""
    draw = random.Random(seed)  # noqa: S311 - cases for a test
    names = [f"o{number}" for number in range(size)]
    return [
        Choice(
            id=name,
            money=draw.randrange(2000, 90000),
            hours=draw.randrange(100, 4000),
            days=draw.randrange(60),
            worth=draw.randrange(-500, 4000),
            needs=tuple(names[draw.randrange(number)] for _ in range(number % 4 == 3)),
            excludes=tuple(names[draw.randrange(number)] for _ in range(number % 5 == 4)),
        )
        for number, name in enumerate(names)
    ]


def test_thirty_options_take_seconds():
    """Twenty combinations of the front, with needs, exclusions and rules that hang on pairs, in at most 10 s."""
    choices = many(7)
    began = perf_counter()
    found = front(
        choices, Limits(money=200_000, hours=20_000), ruled_by([{"o1": True, "o2": True}, {"o3": True, "o9": False}]), most=20
    )
    assert perf_counter() - began < 10
    told = [counts(choices, one) for one in found.found]
    assert len(told) == 20
    assert not any(one.beats(other) for one in told for other in told)


def test_the_same_front_on_every_run():
    """One worker, a fixed seed, a deterministic limit."""
    choices, limits = many(3, 16), Limits(money=100_000)
    runs = [front(choices, limits, ruled_by([{"o1": True}]), most=8).found for _ in range(2)]
    assert runs[0] == runs[1]
