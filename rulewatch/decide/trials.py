"""Trials: a car judged and weighed as if some of its options were done, in each of its classes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from rulewatch.assess.dependence import hangs_on
from rulewatch.assess.rulings import Standing, altered, ruling
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.decide.combinations import Ruled
from rulewatch.model.car import Car, Option, Stated
from rulewatch.model.impact import Assessment, Finding, Sort, Verdict
from rulewatch.model.quantity import Amount, kilograms
from rulewatch.model.vocabulary import within

WEIGHT, BALLAST, BALLAST_WEIGHT = "car.weight", "ballast", "ballast.weight"
ROUNDS = 3  # ballast may itself bring weight: the minimum is asked again with it
Key = tuple[Sort, str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A car with some options in one class: kilograms; what is against it, and what it waits for."""

    side: Assessment
    minimum: Fraction | None
    race: Fraction | None
    ballast: Fraction | None
    against: tuple[Finding, ...]
    waits: tuple[Finding, ...]
    broken: tuple[Finding, ...]
    verdict: Verdict
    mended: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class Trials:
    """A car as each of its classes judged it, and what was tried so far, which is kept."""

    car: Car
    sides: tuple[Assessment, ...]
    topics: Topics
    tried: dict[frozenset[str], tuple[Tried, ...]] = field(default_factory=dict)

    def of(self, chosen: frozenset[str]) -> tuple[Tried, ...]:
        """The car with some options in each class."""
        if chosen not in self.tried:
            self.tried[chosen] = tuple(self._in(side, chosen) for side in self.sides)
        return self.tried[chosen]

    def rule(self, chosen: frozenset[str], *, surely: bool) -> Ruled:
        """Whether every class allows it: known to where `surely`, else not known to forbid it."""
        for one in self.of(chosen):
            for finding in (*one.against, *(one.waits if surely else ())):
                return Ruled(allowed=False, about=self._about(finding, one.side))
        return Ruled(allowed=True, about=frozenset())

    def options(self, chosen: frozenset[str]) -> tuple[Option, ...]:
        """Some options in the order of their file."""
        return tuple(option for option in self.car.options if option.id in chosen)

    def bare(self, chosen: frozenset[str]) -> Fraction | None:
        """What the car weighs with some options and without ballast, in kilograms; None where it is not stated."""
        weight, ballast = self._spec(WEIGHT), self._spec(BALLAST_WEIGHT) or Fraction(0)
        more = (option.build.mass.likely.base for option in self.options(chosen) if option.build.mass is not None)
        return weight - ballast + sum(more, Fraction(0)) if weight is not None else None

    def _spec(self, name: str) -> Fraction | None:
        stated = self.car.spec.get(name)
        values = [value for value in stated.values if isinstance(value, Amount)] if stated is not None else []
        return values[0].base if values else None

    def _about(self, finding: Finding, side: Assessment) -> frozenset[str]:
        """The options on which a finding can hang: all of them where it is about the weight."""
        names = hangs_on(finding, side.edition)
        everything = any(within(name, whole) for name in names for whole in (WEIGHT, BALLAST))
        return frozenset(
            option.id
            for option in self.car.options
            if everything or any(within(own, name) or within(name, own) for own in option.alter for name in names)
        )

    # --- One class ----------------------------------------------------------------------------------------------------

    def _in(self, side: Assessment, chosen: frozenset[str]) -> Tried:
        stated = {name: one for option in self.options(chosen) for name, one in option.alter.items()}
        alter = {name: one for name, one in stated.items() if name != WEIGHT and not within(name, BALLAST)}
        bare = self.bare(chosen)
        guard = side.weight.guard if side.weight is not None else Fraction(0)
        race, least = bare, None
        for _ in range(ROUNDS):
            weights = self._weights(stated, bare, race) if bare is not None and race is not None else {}
            whole = judge(side.edition, altered(side.car, {**alter, **weights}), side.entry, side.day, self.topics.vocabulary)
            least = whole.weight.greatest if whole.weight is not None else None
            if least is None or race is None or least.base + guard <= race:
                break
            race = least.base + guard
        known = whole.weight is None or least is not None
        said = ruling(side, alter, self.topics) if alter else None
        found, was = whole.findings, {_key(one): one.verdict for one in side.findings}
        now = {_key(one): one.verdict for one in found}
        refused = said.deciding if said is not None and said.standing is Standing.FORBIDDEN else ()
        open_ones = said.deciding if said is not None and said.standing is Standing.WAITS else ()
        return Tried(
            side=side,
            minimum=least.base if least is not None else None,
            race=race if known else None,
            ballast=race - bare if known and race is not None and bare is not None else None,
            against=_once((*refused, *_new(found, was, Verdict.ILLEGAL))) if chosen else (),
            waits=_once((*open_ones, *_new(found, was, Verdict.UNKNOWN))) if chosen else (),
            broken=tuple(one for one in found if one.verdict is Verdict.ILLEGAL),
            verdict=Verdict.every(one.verdict for one in found),
            mended=tuple(
                one
                for one in side.findings
                if one.verdict is Verdict.ILLEGAL
                and one.sort is not Sort.WEIGHT
                and now.get(_key(one), Verdict.LEGAL) is Verdict.LEGAL
            ),
        )

    def _weights(self, stated: Mapping[str, Stated], bare: Fraction, race: Fraction) -> dict[str, Stated]:
        """What the car would state of its weight and its ballast; how that is fixed is as its options say, else any of them."""
        found = {WEIGHT: replace(self.car.spec[WEIGHT], values=(kilograms(race),), measurement=None)}
        ballast = race - bare
        if not ballast:
            return found | {BALLAST: Stated(subject=BALLAST, place=self.car.place, present=False)}
        every = {name: one for option in reversed(self.car.options) for name, one in option.alter.items()}
        kept = {**every, **self.car.spec, **stated}
        own = {name: one for name, one in kept.items() if within(name, BALLAST)}
        there = Stated(subject=BALLAST, place=self.car.place)
        return found | {
            **own,
            BALLAST: there,
            BALLAST_WEIGHT: Stated(subject=BALLAST_WEIGHT, place=self.car.place, values=(kilograms(ballast),)),
        }


def conflicts(options: Iterable[Option]) -> dict[str, set[str]]:
    """By option, the others that alter the same otherwise: weight and ballast are worked out, and count for none."""
    found: dict[str, set[str]] = {}
    options = tuple(options)
    for one in options:
        found[one.id] = {other.id for other in options if other is not one and _clash(one, other)}
    return found


def _clash(one: Option, other: Option) -> bool:
    return any(
        name == named
        or (within(named, name) and not stated.present and other.alter[named].present)
        or (within(name, named) and not other.alter[named].present and stated.present)
        for name, stated in one.alter.items()
        for named in other.alter
        if name != WEIGHT
        and not within(name, BALLAST)
        and not (name == named and not stated.values and stated.present is other.alter[named].present)
    )


def _key(one: Finding) -> Key:
    return one.sort, one.subject, one.clauses


def _new(found: Iterable[Finding], was: Mapping[Key, Verdict], verdict: Verdict) -> tuple[Finding, ...]:
    """The findings of a verdict that were another before: of an unknown one, those only that apply."""
    return tuple(
        one
        for one in found
        if one.verdict is verdict and (verdict is Verdict.ILLEGAL or one.applies) and _was(one, was) is not verdict
    )


def _was(one: Finding, was: Mapping[Key, Verdict]) -> Verdict | None:
    # What waits for an answer about ballast that the car has not yet is news once it has.
    return None if within(one.subject, BALLAST) and one.verdict is Verdict.UNKNOWN else was.get(_key(one))


def _once(found: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple({_key(one): one for one in found}.values())


def ready_on(options: Iterable[Option], today: date) -> date:
    """The day on which the last part of some options is there."""
    from rulewatch.decide.works import arrival

    return max((arrival(part, today) for option in options for part in option.build.parts), default=today)
