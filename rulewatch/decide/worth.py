"""What one option is worth alone: with and without the weight that the rules add for it, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import sqrt
from statistics import NormalDist

from rulewatch.decide.pace_sheet import COVERAGE, INPUTS
from rulewatch.decide.tradeoff import Compared
from rulewatch.model.pace import Spanned
from rulewatch.model.quantity import Amount
from rulewatch.model.timeline import Habit
from rulewatch.model.tradeoff import Worth

FIGURES = ("mass", "power", "drag", "downforce", "grip")
MOST = 200.0  # kilograms, up to which a break-even is looked for
STEP = 5.0  # between these the lap time is taken as straight


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A way to reckon the gain.

    `free` is as if no rule added weight; `more` is mass of the option over the likely one, `added` weight beyond what the rules
    add; `ends` has other figures of options, `car` other inputs of the car's pace.
    """

    free: bool = False
    more: Fraction = Fraction(0)
    added: float = 0.0
    ends: Mapping[str, Spanned] = field(default_factory=dict)
    car: Mapping[str, Amount] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Alone:
    """An option with what it needs, against the car as it is, in every class and on every track."""

    compared: Compared
    option: str

    @property
    def chosen(self) -> frozenset[str]:
        """The option and what it needs."""
        return self.compared.with_needs(self.option)

    def worth(self, habits: Sequence[tuple[str, Habit]] = ()) -> Worth:
        """All that is told of it."""
        trials = self.compared.trials
        option = next(one for one in trials.car.options if one.id == self.option)
        spans = dict(self._spans())
        steps = [Case(free=True, added=STEP * number) for number in range(int(MOST / STEP) + 1)]
        ends = [case for pair in spans.values() for case in pair]
        gain, free, *others = self._gains([Case(), Case(free=True), *ends, *steps])
        moved = iter(others[: len(ends)])
        inputs = {name: _moved(gain, next(moved), next(moved)) for name in spans} if gain is not None else {}
        u1 = sqrt(sum((one / COVERAGE) ** 2 for one in inputs.values()))
        return Worth(
            option=option.id,
            what=option.what,
            alone=self.compared.combination(self.chosen),
            gain=gain,
            free=free,
            u=COVERAGE * u1 if gain is not None else None,
            p=_chance(gain, u1) if gain is not None else None,
            break_even=_break_even(others[len(ends) :]),
            most=MOST,
            penalty=self._penalties(),
            inputs=inputs,
            habits=tuple(habits),
        )

    def _penalties(self) -> dict[str, Fraction]:
        """What the minimum of each class is raised by, where both are known."""
        trials = self.compared.trials
        pairs = zip(trials.of(frozenset()), trials.of(self.chosen), strict=True)
        return {
            f"{was.side.entry.class_name} of {was.side.entry.body}": now.minimum - was.minimum
            for was, now in pairs
            if was.minimum is not None and now.minimum is not None
        }

    def _masses(self, case: Case) -> Iterator[tuple[float, float] | None]:
        """In each class the car's mass without the option and with it."""
        trials = self.compared.trials
        bare = trials.bare(self.chosen)
        for was, now in zip(trials.of(frozenset()), trials.of(self.chosen), strict=True):
            if was.race is None or now.race is None or bare is None:
                yield None
                continue
            # At the scales it is as heavy as it must be, or as it is.
            held = was if case.free else now
            floor = (held.race if held.ballast else None) or Fraction(0)
            yield float(was.race), float(max(bare + case.more, floor)) + case.added

    def _gains(self, cases: Sequence[Case]) -> list[float | None]:
        """The mean of what is won on a lap in each case, in seconds: all laps of a track are reckoned in one go."""
        compared, options = self.compared, self.compared.trials.options(self.chosen)
        won: list[list[float]] = [[] for _ in cases]
        masses = [list(self._masses(case)) for case in cases]
        for at, grounds in enumerate(compared.grounds):
            known = [(n, case, pair) for n, case in enumerate(cases) if (pair := masses[n][at]) is not None]
            machines = [
                machine
                for _, case, (was, now) in known
                for machine in (
                    compared.machine((), was, car=case.car),
                    compared.machine(options, now, case.ends, case.car),
                )
            ]
            for ground in grounds if machines and None not in machines else ():
                laps = iter(compared.laps(ground, machines))
                for n, _, _ in known:
                    won[n].append(next(laps) - next(laps))
        return [sum(one) / len(one) if one else None for one in won]

    def _spans(self) -> Iterator[tuple[str, tuple[Case, Case]]]:
        """The two ends of each input that has a spread: those of the options, and those of the car's pace."""
        for option in self.compared.trials.options(self.chosen):
            for name in FIGURES:
                span: Spanned | None = getattr(option.build, name)
                if span is not None and not span.sure:
                    yield (
                        f"{name} of {option.id}",
                        (_at(option.id, name, span, span.low), _at(option.id, name, span, span.high)),
                    )
        pace = self.compared.trials.car.pace
        for name in INPUTS if pace is not None else ():
            span = getattr(pace, name)
            if span is not None and not span.sure:
                yield name, (Case(car={name: span.low}), Case(car={name: span.high}))


def _at(option: str, name: str, span: Spanned, end: Amount) -> Case:
    if name == "mass":
        return Case(more=end.base - span.likely.base)
    return Case(ends={f"{option}.{name}": Spanned(low=end, likely=end, high=end)})


def _break_even(gains: Sequence[float | None]) -> float | None:
    """The weight, over that of the car as it is with the option on it, at which nothing is won any more; straight between steps."""
    for number, (gain, after) in enumerate(pairwise(gains)):
        if gain is not None and after is not None and gain > 0 >= after:
            return STEP * (number + gain / (gain - after))
    return None


def _chance(gain: float, u: float) -> float:
    """The chance that there is a gain, its error taken as normal."""
    return 1 - NormalDist(gain, u).cdf(0) if u else float(gain > 0)


def _moved(likely: float, low: float | None, high: float | None) -> float:
    """The expanded uncertainty (k = 2) that an input gives: the variance of a triangle between its ends (textbooks, from memory)."""
    if low is None or high is None:
        return 0.0
    first, last = min(low, high, likely), max(low, high, likely)
    squares = first**2 + last**2 + likely**2 - first * last - first * likely - last * likely
    return COVERAGE * sqrt(max(squares, 0.0) / 18)
