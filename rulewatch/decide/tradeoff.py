"""The options of a car compared: every count of a combination, and the combinations that no other beats.

The search adds up what each option wins alone; what is told of a combination is worked out for it as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import cached_property, partial
from math import ceil
from types import MappingProxyType

from rulewatch.assess.air import at_speed
from rulewatch.assess.gravity import Load, with_load
from rulewatch.assess.outlook import without_ballast
from rulewatch.assess.states import States
from rulewatch.decide.combinations import Choice, Limits, front
from rulewatch.decide.pace import Machine
from rulewatch.decide.pace_sheet import Ground, lap_times, machine_of
from rulewatch.decide.trials import Trials, Tried, conflicts, ready_on
from rulewatch.model.balance import Air, Surface
from rulewatch.model.car import Option
from rulewatch.model.impact import Finding
from rulewatch.model.pace import Spanned
from rulewatch.model.quantity import Amount
from rulewatch.model.tradeoff import Combination, InClass, Tradeoff
from rulewatch.model.weighing import AtSpeed

HUNDREDTHS = 100
FINE = 10_000  # of a second, as worth is counted in the search
NO_PACE = "no lap times: car.yaml has no `pace`, or no event a track; a lighter car counts as the better one"


@dataclass(frozen=True, kw_only=True)
class Compared:
    """What options are compared with: the trials, the tracks of each class in their order, how the car stands, the day."""

    trials: Trials
    grounds: tuple[tuple[Ground, ...], ...]
    states: States | None
    day: date
    currency: str = ""
    times: dict[tuple[int, Machine], float] = field(default_factory=dict)

    # --- Pace ---------------------------------------------------------------------------------------------------------

    def machine(
        self,
        options: Iterable[Option],
        mass: float,
        ends: Mapping[str, Spanned] = MappingProxyType({}),
        car: Mapping[str, Amount] = MappingProxyType({}),
    ) -> Machine | None:
        """The car as a point with what some options give it; `ends` has other figures of theirs, by `option.figure`, `car` other inputs of the car."""
        pace = self.trials.car.pace
        if pace is None:
            return None
        found = machine_of(self.trials.car, pace, mass, **car)
        # The load at which grip was stated stays that of the car as it is.
        bare = self.trials.bare(frozenset())
        found = replace(found, load=found.load * float(bare) / mass) if bare is not None else found
        top = max(float(power.base) for _, power in pace.power)
        for option in options:
            drag, down, power, grip = (_figure(option, name, ends) for name in ("drag", "downforce", "power", "grip"))
            found = replace(
                found,
                drag=max(found.drag + drag, 0.0),
                downforce=found.downforce + down,
                power=found.power + power / top,
                lateral=found.lateral * (1 + grip),
                longitudinal=found.longitudinal * (1 + grip),
            )
        return found

    def laps(self, ground: Ground, machines: Sequence[Machine | None]) -> list[float]:
        """Lap times on one track, each reckoned once."""
        wanted = [one for one in dict.fromkeys(machines) if one is not None and (id(ground), one) not in self.times]
        if wanted:
            self.times.update(zip(((id(ground), one) for one in wanted), lap_times(ground, wanted), strict=True))
        return [self.times[id(ground), one] for one in machines if one is not None]

    def gain(self, chosen: frozenset[str]) -> float | None:
        """The mean of what is won on a lap over all classes and tracks, in seconds; None where nothing can be reckoned."""
        was, now = (self._all_laps(one) for one in (frozenset(), chosen))
        won = [was[key] - now[key] for key in was if key in now]
        return sum(won) / len(won) if won else None

    def _all_laps(self, chosen: frozenset[str]) -> dict[tuple[int, int], float]:
        options, found = self.trials.options(chosen), {}
        for number, (one, grounds) in enumerate(zip(self.trials.of(chosen), self.grounds, strict=True)):
            machine = self.machine(options, float(one.race)) if one.race else None
            for at, ground in enumerate(grounds if machine is not None else ()):
                found[number, at] = self.laps(ground, [machine])[0]
        return found

    def prepare(self, several: Iterable[frozenset[str]]) -> None:
        """Reckon the laps of several combinations, all of a track in one go."""
        wanted: dict[int, list[Machine | None]] = {}
        for chosen in several:
            for at, one in enumerate(self.trials.of(chosen)):
                if one.race:
                    wanted.setdefault(at, []).append(self.machine(self.trials.options(chosen), float(one.race)))
        for at, machines in wanted.items():
            for ground in self.grounds[at]:
                self.laps(ground, machines)

    # --- Combinations -------------------------------------------------------------------------------------------------

    def combination(self, chosen: frozenset[str]) -> Combination:
        """All that is told of some options done together."""
        options = self.trials.options(chosen)
        laps, fronts = self._all_laps(chosen), self._standing(options)
        return Combination(
            options=tuple(option.id for option in options),
            money=sum((option.build.money.likely for option in options), Fraction(0)),
            money_high=sum((option.build.money.high for option in options), Fraction(0)),
            hours=sum((option.build.work for option in options), Fraction(0)),
            ready=ready_on(options, self.day),
            classes=tuple(
                self._in_class(one, options, {g.track.name: laps[n, at] for at, g in enumerate(grounds) if (n, at) in laps})
                for n, (one, grounds) in enumerate(zip(self.trials.of(chosen), self.grounds, strict=True))
            ),
            gain=self.gain(chosen),
            front=fronts[0],
            at_speed=fronts[1],
            notes=tuple(note for option in options for note in _notes(option)),
        )

    def _in_class(self, one: Tried, options: Sequence[Option], laps: Mapping[str, float]) -> InClass:
        machine = self.machine(options, float(one.race)) if one.race else None
        pace = self.trials.car.pace
        top = max(float(power.base) for _, power in pace.power) if pace is not None else 0.0
        return InClass(
            body=one.side.entry.body,
            class_name=one.side.entry.class_name,
            season=one.side.edition.header.season,
            verdict=one.verdict,
            against=_told(one.against),
            waits=_told(one.waits),
            broken=_told(one.broken),
            mended=_told(one.mended),
            minimum=one.minimum,
            race=one.race,
            ballast=one.ballast,
            power=machine.power * top / 1000 if machine is not None else None,
            laps=laps,
        )

    def _standing(self, options: Sequence[Option]) -> tuple[Fraction | None, tuple[AtSpeed, ...]]:
        """The share on the front axle, and axle loads at speed, without ballast; nothing where a place is not known."""
        if self.states is None or self.states.frame is None:
            return None, ()
        standing = without_ballast(self.states.measured, self.states)
        air = self.states.balance.air
        for option in options:
            build = option.build
            if build.mass is not None:
                at = build.at
                place = (at.behind.base, at.left.base, at.above.base) if at is not None else None
                load = Load(what=option.id, mass=build.mass.likely.base, at=place)
                standing = with_load(standing, load, self.states.frame)
            air = _with_air(air, option)
        speeds = (at_speed(standing, self.states.frame.wheelbase, air, speed) for speed in air.speeds)
        return standing.front, tuple(one for one in speeds if one is not None)

    # --- The search ---------------------------------------------------------------------------------------------------

    @cached_property
    def choices(self) -> tuple[Choice, ...]:
        """The options as the search counts them."""
        options = self.trials.car.options
        clashes = conflicts(options)
        self.prepare([frozenset(), *(frozenset({option.id}) for option in options)])
        return tuple(
            Choice(
                id=option.id,
                money=ceil(option.build.money.likely * HUNDREDTHS),
                hours=ceil(option.build.work * HUNDREDTHS),
                days=(ready_on((option,), self.day) - self.day).days,
                worth=self._worth(option),
                mends=sum(len(one.mended) for one in self.trials.of(frozenset({option.id}))),
                needs=option.build.needs,
                excludes=tuple(sorted({*option.build.excludes, *clashes[option.id]})),
            )
            for option in options
        )

    def _worth(self, option: Option) -> int:
        """What an option wins alone, in whole numbers: of a lap, or of weight where there is no pace."""
        chosen = frozenset({option.id})
        gain = self.gain(chosen)
        if gain is not None:
            return round(gain * FINE)
        pairs = zip(self.trials.of(frozenset()), self.trials.of(chosen), strict=True)
        return round(sum((was.race - now.race for was, now in pairs if was.race and now.race), Fraction(0)) * HUNDREDTHS)

    def with_needs(self, option: str) -> frozenset[str]:
        """An option with all that it needs, and what that needs."""
        needs = {one.id: one.build.needs for one in self.trials.car.options}
        found, todo = set[str](), [option]
        while todo:
            one = todo.pop()
            if one not in found:
                found.add(one)
                todo += needs.get(one, ())
        return frozenset(found)

    def bare(self) -> Tradeoff:
        """The car as it is, with nothing compared yet."""
        car = self.trials.car
        notes = () if self.gain(frozenset()) is not None else (NO_PACE,)
        base = self.combination(frozenset())
        return Tradeoff(car=car.id, name=car.name, currency=self.currency, base=base, notes=notes)

    def tradeoff(self, limits: Limits, *, most: int) -> Tradeoff:
        """The fronts: of what every class is known to allow, and of what waits for an answer, a reading or a value."""
        car = self.trials.car
        sure, perhaps = (
            front(self.choices, limits, partial(self.trials.rule, surely=surely), most=most) for surely in (True, False)
        )
        singles = [self.with_needs(option.id) for option in car.options]
        self.prepare([*sure.found, *perhaps.found, *singles])
        allowed = [self.combination(one) for one in sure.found if one]
        waiting = [self.combination(one) for one in perhaps.found if one not in sure.found]
        return replace(
            self.bare(),
            singles=tuple((option.id, self.combination(chosen)) for option, chosen in zip(car.options, singles, strict=True)),
            allowed=tuple(allowed),
            waiting=tuple(one for one in waiting if not one.allowed),
            whole=sure.whole and perhaps.whole,
        )


def _figure(option: Option, name: str, ends: Mapping[str, Spanned]) -> float:
    span: Spanned | None = ends.get(f"{option.id}.{name}", getattr(option.build, name))
    return float(span.likely.base) if span is not None else 0.0


def _with_air(air: Air, option: Option) -> Air:
    """The air with the drag and the downforce of an option: without a place of that, what is pressed where is not known."""
    build = option.build
    if build.drag is not None and air.drag is not None:
        air = replace(air, drag=air.drag.plus(build.drag.likely))
    if build.downforce is None:
        return air
    if build.downforce_at is None:
        return replace(air, speeds=())
    own = Surface(id=option.id, area=build.downforce.likely, at=build.downforce_at)
    return replace(air, surfaces=(*air.surfaces, own))


def _told(found: Iterable[Finding]) -> tuple[str, ...]:
    """Findings in words, each with its clauses."""
    return tuple(f"{one.why} ({', '.join(one.clauses)})" if one.clauses else one.why for one in found)


def _notes(option: Option) -> Iterable[str]:
    if option.build.mass is None:
        yield f"{option.id}: its mass is not stated, and counts as none"
    if not option.build.priced:
        yield f"{option.id}: its cost is not stated, and counts as none"
    if not option.build.hours:
        yield f"{option.id}: its hours are not stated, and count as none"
