"""The balance of a car: how it stands in each state, its centre of gravity, axle loads at speed, and each inspection's scales."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import combinations

from rulewatch.assess.air import at_speed
from rulewatch.assess.facts import Facts
from rulewatch.assess.outlook import outlook, without_scales
from rulewatch.assess.spread import COVERAGE, square_root
from rulewatch.assess.states import States
from rulewatch.model.impact import Assessment
from rulewatch.model.weighing import AtSpeed, BalanceSheet, Standing


def balance_sheet(facts: Facts, states: States | str, assessments: Iterable[Assessment], crew_p: Fraction) -> BalanceSheet:
    """All that can be told of a car; where its states are not known, only the minimum of each entry, and why."""
    if isinstance(states, str):
        bare = tuple(without_scales(one) for one in assessments)
        return BalanceSheet(car=facts.car, crew_p=crew_p, outlooks=bare, notes=(states,))
    found, missing = _states(states)
    notes = [f"not reckoned without {lacks}" for lacks in missing]
    if states.frame is None:
        notes.append("no place of the centre of gravity without car.wheelbase, car.track_front and car.track_rear")
    if states.weighed.raised and states.weighed.wheel_radius is None:
        notes.append("no height of the centre of gravity without `wheel_radius`, that of the loaded wheels")
    notes += _of_heights(states)
    return BalanceSheet(
        car=facts.car,
        crew_p=crew_p,
        states=found,
        heights=states.heights,
        at_speed=tuple(_at_speeds(states, found)),
        outlooks=tuple(outlook(one, states, float(crew_p)) for one in assessments),
        notes=tuple(dict.fromkeys(notes)),
    )


def _of_heights(states: States) -> Iterator[str]:
    """Weighings with an axle raised that cannot be, or do not agree."""
    if states.frame is not None:
        for raised in states.weighed.raised:
            if raised.lift.base >= states.frame.wheelbase:
                yield f"an axle is not raised by {raised.lift}, more than the wheelbase: see `raised`"
    for one in states.heights:
        if one.height <= 0:
            yield f"the axle raised by {one.of.lift} would put the centre of gravity under the ground: see what the other one weighed"
    for one, other in combinations(states.heights, 2):
        if abs(one.height - other.height) > COVERAGE * square_root(one.u**2 + other.u**2) and one.u and other.u:
            yield f"the heights by {one.of.lift} and {other.of.lift} differ by more than the scales leave open"


def _states(states: States) -> tuple[tuple[Standing, ...], tuple[str, ...]]:
    """The car as it was weighed, empty, and at the start of a race, as far as they can be reckoned; and what is missing for them."""
    fuel, found, lacks = states.balance.fuel, [states.measured], list[str]()
    none = states.weighed.fuel.times(Fraction(0)) if states.weighed.fuel is not None else None
    for what, driver, volume in (("empty, without driver", False, none), ("at the start", True, fuel.start)):
        if volume is None:
            lacks.append("how much fuel was in the car" if what.startswith("empty") else "how much fuel it starts with")
            continue
        standing, missing = states.state(what, driver=driver, fuel=volume)
        lacks += missing
        found += [] if missing else [standing]
    return tuple(found), tuple(lacks)


def _at_speeds(states: States, found: tuple[Standing, ...]) -> Iterator[AtSpeed]:
    """Axle loads at each speed asked for, of the car as heavy as it is known how it stands: at the start, or as it was weighed."""
    standing = max((one for one in found if one.corners), key=lambda one: one.mass, default=None)
    if states.frame is None or standing is None:
        return
    for speed in states.balance.air.speeds:
        loads = at_speed(standing, states.frame.wheelbase, states.balance.air, speed)
        if loads is not None:
            yield loads
