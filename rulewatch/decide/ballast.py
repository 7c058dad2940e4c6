"""Where ballast goes: the distribution over a car's places that brings its shares nearest to the crew's targets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from rulewatch.assess.gravity import Frame, Load, with_load
from rulewatch.assess.outlook import against, without_ballast
from rulewatch.assess.rulings import Standing as Ruled
from rulewatch.assess.rulings import altered, ruling
from rulewatch.assess.states import States
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.model.balance import BallastPlace, Corner, Targets
from rulewatch.model.car import Stated
from rulewatch.model.impact import Assessment, WeightSheet
from rulewatch.model.quantity import kilograms
from rulewatch.model.reading import Scalar
from rulewatch.model.weighing import Outlook, Placed, Standing

# The wheels whose share each target is about.
SIDES: Mapping[str, frozenset[Corner]] = {
    "front": frozenset({Corner.FRONT_LEFT, Corner.FRONT_RIGHT}),
    "left": frozenset({Corner.FRONT_LEFT, Corner.REAR_LEFT}),
    "cross": frozenset({Corner.FRONT_RIGHT, Corner.REAR_LEFT}),
}
MOST_ROUNDS = 5  # in which a suggestion and the minimum that it makes must come to agree
LARGEST = 2**52  # of the whole numbers that are reckoned with
FINE = 10**9  # parts of a kilogram, where the exact numbers would be larger than that


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """How far one share is from its target, in kilograms on those wheels: `constant` and, for each piece at a place, `rates`."""

    constant: Fraction
    rates: tuple[Fraction, ...]

    def at(self, pieces: Sequence[int]) -> Fraction:
        """The deviation with so many pieces at each place."""
        return self.constant + sum((rate * count for rate, count in zip(self.rates, pieces, strict=True)), Fraction(0))


def with_placement(found: Outlook, states: States, topics: Topics, crew_p: float) -> Outlook:
    """The outlook with its suggested ballast placed; a note says why where it is not.

    Where ballast may itself make the minimum another one, by where it is or how much, the suggestion is for that minimum.
    """
    for _ in range(MOST_ROUNDS):
        placed = _placed(found, states, topics)
        sheet = _sheet_with(placed, states, topics)
        if sheet is None or sheet.greatest is None or found.sheet is None or found.sheet.greatest is None:
            return placed
        if sheet.greatest.same_value(found.sheet.greatest):
            return placed
        found = against(replace(found, suggested=None, margin=None), sheet, states, crew_p)
    note = "no ballast is suggested: how much it is, and where, changes the minimum each time"
    return replace(found, suggested=None, margin=None, placed=None, notes=(*found.notes, note))


def _sheet_with(found: Outlook, states: States, topics: Topics) -> WeightSheet | None:
    """The minimum of the car with the ballast as it is placed; None where none is."""
    if found.placed is None:
        return None
    block = states.balance.block.base if states.balance.block is not None else Fraction(0)
    used = [place for place in states.balance.places if found.placed.loads.get(place.id)]
    total = sum(found.placed.loads.values(), Fraction(0))
    side = found.assessment
    car = altered(side.car, _alterations(used, total, block))
    return judge(side.edition, car, side.entry, side.day, topics.vocabulary).weight


def _placed(found: Outlook, states: States, topics: Topics) -> Outlook:
    balance = states.balance
    if not found.suggested or found.standing is None or balance.block is None or not balance.places:
        return found
    base = without_ballast(found.standing, states)
    if states.frame is None or base.corners is None:
        lacks = "wheelbase and tracks" if states.frame is None else "where the driver, the fuel or the ballast is"
        return replace(found, notes=(*found.notes, f"ballast is not placed: it is not known {lacks}"))
    rulings = [_Ruled(place, found.assessment, found.suggested, balance.block.base, topics) for place in balance.places]
    refused = tuple((one.place.id, one.why) for one in rulings if one.forbidden)
    allowed = [one.place for one in rulings if not one.forbidden]
    pieces = int(found.suggested / balance.block.base)
    counts = distribute(base, allowed, pieces=pieces, piece=balance.block.base, frame=states.frame, targets=balance.targets)
    if counts is None:
        room = sum((place.most.base for place in allowed), Fraction(0))
        told = "; ".join(f"not {name}: {why}" for name, why in refused)
        note = f"the places take {kilograms(room)} at most" + (f" ({told})" if told else "")
        return replace(found, notes=(*found.notes, note))
    loads = {place.id: count * balance.block.base for place, count in zip(allowed, counts, strict=True)}
    standing = replace(base, what="with ballast placed")
    for place in allowed:
        standing = with_load(standing, Load(what=place.id, mass=loads[place.id], at=_at(place)), states.frame)
    doubts = tuple(one.doubt for one in rulings if one.doubt and loads.get(one.place.id))
    return replace(found, placed=Placed(loads=loads, standing=standing, refused=refused), notes=(*found.notes, *doubts))


class _Ruled:
    """What the rules say of ballast at one place; of one without a `position` they are not asked."""

    def __init__(self, place: BallastPlace, side: Assessment, mass: Fraction, piece: Fraction, topics: Topics) -> None:
        self.place = place
        said = ruling(side, _alterations([place], mass, piece), topics) if place.position else None
        self.forbidden = said is not None and said.standing is Ruled.FORBIDDEN
        self.why = said.reasons if said is not None and self.forbidden else ""
        self.doubt = f"the rules were not asked about {place.id}, which has no `position`" if said is None else ""
        if said is not None and said.standing is Ruled.WAITS:
            self.doubt = f"ballast at {place.id} waits for {said.reasons}"


def distribute(
    base: Standing, places: Sequence[BallastPlace], *, pieces: int, piece: Fraction, frame: Frame, targets: Targets
) -> tuple[int, ...] | None:
    """How many pieces go to each place, so that the sum of the shares' distances from their targets is the least there is.

    None where the places do not take so many. Solved as a whole-number programme, to the end.
    """
    most = [int(place.most.base // piece) for place in places]
    if sum(most) < pieces:
        return None
    return _least(deviations(base, places, pieces=pieces, piece=piece, frame=frame, targets=targets), most, pieces)


def deviations(
    base: Standing, places: Sequence[BallastPlace], *, pieces: int, piece: Fraction, frame: Frame, targets: Targets
) -> tuple[Deviation, ...]:
    """What each target makes of a distribution."""
    total = base.mass + pieces * piece
    shares = [frame.shares(place.at.behind.base, place.at.left.base) for place in places]
    found = []
    for name, corners in SIDES.items():
        target = getattr(targets, name)
        if target is not None:
            rates = tuple(piece * sum((share[corner] for corner in corners), Fraction(0)) for share in shares)
            found.append(Deviation(constant=(base.share(*corners) or Fraction(0)) * base.mass - target * total, rates=rates))
    return tuple(found)


def _least(found: Sequence[Deviation], most: Sequence[int], pieces: int) -> tuple[int, ...]:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    counts = [model.new_int_var(0, top, f"n{index}") for index, top in enumerate(most)]
    model.add(sum(counts) == pieces)
    scale = _scale(found, pieces)
    distances = []
    for index, one in enumerate(found):
        rates = [round(rate * scale) for rate in one.rates]
        constant = round(one.constant * scale)
        bound = abs(constant) + sum(abs(rate) * top for rate, top in zip(rates, most, strict=True))
        distance = model.new_int_var(0, bound, f"d{index}")
        model.add_abs_equality(distance, constant + sum(rate * count for rate, count in zip(rates, counts, strict=True)))
        distances.append(distance)
    if distances:
        model.minimize(sum(distances))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # the same result on every machine
    solver.solve(model)
    return tuple(int(solver.value(count)) for count in counts)


def _scale(found: Sequence[Deviation], pieces: int) -> int:
    """By what the deviations are multiplied to be whole numbers: exactly, unless those would be too large."""
    numbers = [number for one in found for number in (one.constant, *one.rates)]
    exact = lcm(*(number.denominator for number in numbers))
    largest = max((abs(number) for number in numbers), default=Fraction(0)) * exact * (pieces + 1)
    return exact if largest < LARGEST else FINE


def _alterations(places: Sequence[BallastPlace], mass: Fraction, piece: Fraction) -> dict[str, Stated]:
    """What the car would state with ballast at some places."""
    here = places[0].place if places else None
    if here is None:
        return {}
    values: dict[str, tuple[Scalar, ...]] = {
        "ballast.weight": (kilograms(mass),),
        "ballast.largest_block": (kilograms(piece),),
        "ballast.position": tuple(dict.fromkeys(place.position for place in places if place.position)),
    }
    found = {"ballast": Stated(subject="ballast", place=here)}
    return found | {name: Stated(subject=name, values=value, place=here) for name, value in values.items() if value}


def _at(place: BallastPlace) -> tuple[Fraction, Fraction, Fraction]:
    return place.at.behind.base, place.at.left.base, place.at.above.base
