"""What parts cost, by month, against the budget."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from itertools import accumulate

from rulewatch.decide.works import ordered_on
from rulewatch.model.car import Crew
from rulewatch.model.plan import Month
from rulewatch.model.work import Part
from rulewatch.model.worklist import State, Task

ZERO = Fraction(0)


def priced_parts(tasks: Iterable[Task]) -> Iterable[Part]:
    """The parts that cost something, or did: not those on hand, and of jobs that are over or declined only what was ordered."""
    for task in tasks:
        for part in task.job.parts:
            bought = part.paid is not None or part.ordered is not None or part.arrived is not None
            if not part.on_hand and (bought or task.state in {State.TO_DO, State.ASK}):
                yield part


def months(tasks: Iterable[Task], crew: Crew, today: date) -> tuple[Month, ...]:
    """Each month that has a budget or costs, in order: what was paid, what was ordered and not paid, and what is to be ordered."""
    sums: Mapping[str, dict[str, Fraction]] = defaultdict(lambda: dict.fromkeys(("spent", "committed", "to_come"), ZERO))
    for part in priced_parts(tasks):
        if part.cost is not None:
            state, day = _state(part, today)
            sums[f"{day:%Y-%m}"][state] += part.cost
    names = sorted({*sums, *crew.budget})
    budgets = [crew.budget.get(name, ZERO) for name in names]
    left = accumulate(budget - sum(sums[name].values(), ZERO) for name, budget in zip(names, budgets, strict=True))
    return tuple(
        Month(month=name, budget=budget, left=rest, **sums[name])
        for name, budget, rest in zip(names, budgets, left, strict=True)
    )


def _state(part: Part, today: date) -> tuple[str, date]:
    if part.paid is not None:
        return "spent", part.paid
    if part.ordered is not None or part.arrived is not None:
        return "committed", part.ordered or part.arrived or today
    return "to_come", ordered_on(part, today)
