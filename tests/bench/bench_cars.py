"""How long it takes to judge many cars, and to say what a new season does to them: `python tests/bench/bench_cars.py [CARS …]`.

The cars are made from those of the shipped workspace, every amount of theirs moved by up to a tenth, by a fixed seed; the book is the
newest of its first club, with the season before. Reading the books and comparing them is not counted, each car is judged by itself.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import partial
from pathlib import Path

from rulewatch import courses
from rulewatch.assess.season import Season
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.library import Library
from rulewatch.model.car import Car, Stated
from rulewatch.model.quantity import Amount
from rulewatch.two_points import compared

ROOT = Path(__file__).parents[2]
BODY = "saltmarsh"
MOST = 10  # per cent by which an amount is moved


def cars(models: tuple[Car, ...], count: int) -> Iterator[Car]:
    """So many cars, each like one of the models."""
    chance = random.Random(20261125)  # noqa: S311 -- cars by chance, no secret
    for number in range(count):
        model = models[number % len(models)]
        spec = {name: _moved(stated, chance) for name, stated in model.spec.items()}
        yield replace(model, id=f"car-{number}", spec=spec, options=(), jobs=())


def _moved(stated: Stated, chance: random.Random) -> Stated:
    factor = 1 + Fraction(chance.randint(-MOST, MOST), 100)
    values = (replace(one, number=one.number * factor, printed="") if isinstance(one, Amount) else one for one in stated.values)
    return replace(stated, values=tuple(values))


def main(counts: list[int]) -> None:
    """Print a line for each number of cars."""
    with Library(ROOT) as library:
        workspace = library.workspace()
        assert workspace is not None
        old, new = courses.seasons(workspace, BODY, most=2)
        compare = courses.comparing(partial(compared, library))
        stages = courses.stages(workspace, new)
        season = Season(before=old, stages=stages, compare=compare, topics=Topics(vocabulary=workspace.vocabulary), crew_p=0.95)
        list(season.reports(workspace.cars))  # the books are compared here
        print(f"{len(new.clauses)} clauses, {len(stages)} days of the season")  # noqa: T201 -- a report
        for count in counts:
            entered = tuple(cars(workspace.cars, count))
            started = time.process_time()
            for car in entered:
                for entry in car.entries:
                    if entry.body == BODY:
                        judge(new, car, entry, stages[0].day, workspace.vocabulary)
            judged = time.process_time()
            impacts = sum(len(report.impacts) for report in season.reports(entered))
            told = time.process_time()
            print(  # noqa: T201 -- a report
                f"{count} cars: judged in {judged - started:.1f} s, {impacts} impacts through the season in {told - judged:.1f} s"
            )


if __name__ == "__main__":
    main([int(count) for count in sys.argv[1:]] or [250, 500, 1000])
