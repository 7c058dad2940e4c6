"""Which options to do together: the combinations that no other one beats on every count, by constraint programming.

What the rules say is asked only of combinations that would be on the front. An answer comes with the options on which it hangs, and
rules out every combination that agrees on these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations as choose
from typing import Any

FIRST = 10**7  # by what the worth is multiplied, so that it is looked at first
LIMIT = 5.0  # deterministic seconds of one question


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """An option in whole numbers: money and hours in hundredths, days of waiting, worth and breaches mended: the more the better."""

    id: str
    money: int = 0
    hours: int = 0
    days: int = 0
    worth: int = 0
    mends: int = 0
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The most that a combination may take; None where there is no limit."""

    money: int | None = None
    hours: int | None = None
    days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Counts:
    """What a combination comes to; the less the better, on every count."""

    loss: int
    money: int
    hours: int
    days: int
    unmended: int

    def beats(self, other: Counts) -> bool:
        """Whether this is nowhere worse and somewhere better."""
        pairs = [(getattr(self, name), getattr(other, name)) for name in NAMES]
        return self != other and all(one <= two for one, two in pairs)


NAMES = ("loss", "money", "hours", "days", "unmended")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """Whether the rules allow a combination, and on which options that hangs: the same for any that agrees on these."""

    allowed: bool
    about: frozenset[str]


Rule = Callable[[frozenset[str]], Ruled]


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """Combinations that no other beats, the one of most worth first; of several with the same counts one. `whole` tells that none is left out."""

    found: tuple[frozenset[str], ...]
    whole: bool


def counts(choices: Sequence[Choice], chosen: frozenset[str]) -> Counts:
    """What a combination comes to."""
    own = [one for one in choices if one.id in chosen]
    return Counts(
        loss=-sum(one.worth for one in own),
        money=sum(one.money for one in own),
        hours=sum(one.hours for one in own),
        days=max((one.days for one in own), default=0),
        unmended=-sum(one.mends for one in own),
    )


def front(choices: Sequence[Choice], limits: Limits, rule: Rule, *, most: int) -> Front:
    """The front of the combinations that are allowed and within limits, at most so many of it."""
    search = _Search(choices, limits)
    found: list[frozenset[str]] = []
    while (chosen := search.next()) is not None:
        said = rule(chosen)
        if not said.allowed:
            search.forbid(chosen, said.about)
        elif len(found) == most:
            return Front(found=tuple(found), whole=False)
        else:
            found.append(chosen)
            search.beat(counts(choices, chosen))
    return Front(found=tuple(found), whole=search.whole)


def every(choices: Sequence[Choice], limits: Limits, rule: Rule) -> Iterator[frozenset[str]]:
    """Every combination that is allowed and within limits, one by one: for few options."""
    ids = [one.id for one in choices]
    for size in range(len(ids) + 1):
        for picked in choose(ids, size):
            chosen = frozenset(picked)
            if _fits(choices, limits, chosen) and rule(chosen).allowed:
                yield chosen


def _fits(choices: Sequence[Choice], limits: Limits, chosen: frozenset[str]) -> bool:
    own, total = [one for one in choices if one.id in chosen], counts(choices, chosen)
    bounds = ((total.money, limits.money), (total.hours, limits.hours), (total.days, limits.days))
    return all(most is None or value <= most for value, most in bounds) and all(
        chosen.issuperset(one.needs) and chosen.isdisjoint(one.excludes) for one in own
    )


class _Search:
    """The programme: a yes or no for each option, the counts, and what was ruled out so far."""

    def __init__(self, choices: Sequence[Choice], limits: Limits) -> None:
        from ortools.sat.python import cp_model

        self._cp, self._model, self.whole = cp_model, cp_model.CpModel(), True
        self._taken = {one.id: self._model.new_bool_var(one.id) for one in choices}
        for one in choices:
            for other in one.needs:
                self._model.add_implication(self._taken[one.id], self._taken[other])
            for other in one.excludes:
                self._model.add_bool_or([~self._taken[one.id], ~self._taken[other]])
        self._counts = self._told(choices)
        for name in ("money", "hours", "days"):
            most = getattr(limits, name)
            if most is not None:
                self._model.add(self._counts[name] <= most)
        self._model.minimize(FIRST * self._counts["loss"] + sum(self._counts[name] for name in NAMES[1:]))

    def _told(self, choices: Sequence[Choice]) -> dict[str, Any]:
        model = self._model

        def total(name: str) -> Any:
            return sum(getattr(one, name) * self._taken[one.id] for one in choices) + model.new_constant(0)

        days = model.new_int_var(0, max((one.days for one in choices), default=0), "days")
        model.add_max_equality(days, [one.days * self._taken[one.id] for one in choices] or [model.new_constant(0)])
        return {
            "loss": -total("worth"),
            "money": total("money"),
            "hours": total("hours"),
            "days": days,
            "unmended": -total("mends"),
        }

    def next(self) -> frozenset[str] | None:
        """The best combination that is left, by worth first; None where there is none, or where the search had to stop."""
        solver = self._cp.CpSolver()
        solver.parameters.num_workers = 1  # the same result on every machine
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = LIMIT
        status = solver.solve(self._model)
        if status != self._cp.OPTIMAL:
            self.whole = status == self._cp.INFEASIBLE
            return None
        return frozenset(name for name, taken in self._taken.items() if solver.value(taken))

    def forbid(self, chosen: frozenset[str], about: frozenset[str]) -> None:
        """No combination that agrees with this one on some options."""
        self._model.add_bool_or([~self._taken[name] if name in chosen else self._taken[name] for name in sorted(about)])

    def beat(self, found: Counts) -> None:
        """Only combinations that are better than this one on some count."""
        better = []
        for name in NAMES:
            one = self._model.new_bool_var("")
            self._model.add(self._counts[name] <= getattr(found, name) - 1).only_enforce_if(one)
            better.append(one)
        self._model.add_bool_or(better)
