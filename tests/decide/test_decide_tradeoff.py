"""Trials and the search on the demo's car: the same as every combination judged one by one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial
from itertools import combinations
from pathlib import Path

from rulewatch import pipeline
from rulewatch.assess.topics import Topics
from rulewatch.decide.combinations import Choice, Limits, counts, front
from rulewatch.decide.trials import Trials, conflicts
from rulewatch.library import Library
from rulewatch.model.edition import Point

DEMO = Path(__file__).parents[2]


@cache
def trials() -> Trials:
    """The demo's car of three classes."""
    with Library(DEMO) as library:
        workspace = library.workspace()
        car = workspace.car("dunlin")
        sides = tuple(
            side
            for body in ("saltmarsh", "five-lakes")
            for side in pipeline.assess(workspace.edition(Point(body=body, season="2027")), (car,), workspace)
        )
        return Trials(car=car, sides=sides, topics=Topics(vocabulary=workspace.vocabulary))


def test_an_answer_holds_for_all_that_agree_on_what_it_hangs_on():
    """Whatever is forbidden, or waits, does so whichever of the other options are done: each pair against its cut."""
    ids = [option.id for option in trials().car.options]
    pairs = [frozenset(pair) for size in (1, 2) for pair in combinations(ids, size)]
    for surely in (True, False):
        answers = {chosen: trials().rule(chosen, surely=surely) for chosen in pairs}
        for chosen, said in answers.items():
            for other, answer in answers.items():
                if not said.allowed and chosen & said.about == other & said.about:
                    assert not answer.allowed, (sorted(chosen), sorted(other), sorted(said.about))


def test_the_search_finds_what_judging_every_pair_finds():
    """Of at most two options: the front of those that every class allows."""
    ids = [option.id for option in trials().car.options]
    choices = [Choice(id=name, money=3 + number, worth=10 * number + 7, hours=50) for number, name in enumerate(ids)]
    every = [frozenset(one) for size in range(3) for one in combinations(ids, size)]
    allowed = [one for one in every if trials().rule(one, surely=True).allowed]
    told = {counts(choices, one) for one in allowed}
    best = sorted(one for one in told if not any(other.beats(one) for other in told))
    found = front(choices, Limits(hours=100), partial(trials().rule, surely=True), most=100)
    assert found.whole
    assert sorted(counts(choices, one) for one in found.found) == best


def test_options_that_state_one_thing_otherwise_exclude_each_other():
    """But for weight and ballast, which are worked out."""
    found = conflicts(trials().car.options)
    assert not any(found.values())
    options = trials().car.options
    twice = (*options[:1], *(one for one in options if one.id == "throttles"))
    other = replace(twice[1], id="other")
    assert conflicts((*twice, other))["other"] == {"throttles"}
