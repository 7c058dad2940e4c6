"""A car at the scales of an inspection: heavy enough or not, how surely, and how much ballast makes it so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.assess.conformity import conformity
from rulewatch.assess.gravity import Load, with_load
from rulewatch.assess.logic import UNSURE
from rulewatch.assess.risk import Interval, Known, risks
from rulewatch.assess.spread import square_root
from rulewatch.assess.states import NOTHING, States, scales_u
from rulewatch.assess.weighing import heavy_enough
from rulewatch.assess.weight import SUBJECT
from rulewatch.model.amounts import YAML_NUMBERS, read_amount
from rulewatch.model.balance import Balance
from rulewatch.model.impact import Assessment, Need, WeightSheet
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import Amount, kilograms, litres
from rulewatch.model.weighing import Outlook, Standing

# The smallest piece of ballast where the crew does not say: what a scale in the pits shows (common practice, no source).
PIECE = Fraction(1, 2)
MOST_PIECES = 10_000
# How books say how much fuel is in a car that is weighed, beside an amount (common practice, no source).
EMPTY = frozenset({"empty", "none", "no", "without", "drained", "dry"})
AS_FINISHED = frozenset({"as finished", "as it finished", "as it comes off the track", "yes"})


def outlook(assessment: Assessment, states: States, crew_p: float) -> Outlook:
    """What an entry's inspection will find when it weighs the car."""
    sheet, balance = assessment.weight, states.balance
    if sheet is None or sheet.greatest is None:
        return Outlook(assessment=assessment, sheet=sheet, notes=(_no_minimum(sheet),))
    asked = _asked(sheet, balance)
    standing, missing = states.state("at the scales", driver=asked.driver, fuel=asked.fuel, fuel_u=asked.fuel_u)
    missing = (*asked.unknown, *missing)
    notes = (*(f"not reckoned without {one}" for one in missing), *_unsure(assessment), *_assumed(states, asked))
    found = Outlook(assessment=assessment, sheet=sheet, minimum=_least(sheet), notes=notes)
    if missing:
        return found
    aboard = sum((load.mass for load in ballast_aboard(balance)), NOTHING)
    found = replace(found, standing=standing, aboard=aboard)
    return against(found, sheet, states, crew_p)


def against(found: Outlook, sheet: WeightSheet, states: States, crew_p: float) -> Outlook:
    """The outlook for a car that stands at the scales, against a minimum: its own, or the one that its ballast makes of it."""
    standing, least = found.standing, _least(sheet)
    if standing is None or least is None:
        return replace(found, sheet=sheet, minimum=least)
    u_there = scales_u(standing, states.balance.inspection)
    u = square_root(found.own_u**2 + u_there**2) if found.own_u is not None else square_root(standing.u**2 + u_there**2)
    own_u = found.own_u if found.own_u is not None else standing.u
    return _with_suggestion(
        replace(
            found,
            sheet=sheet,
            minimum=least,
            own_u=own_u,
            standing=replace(standing, u=u),
            under=1 - conformity(standing.mass - least, None, Spread(u=u)) if u else float(standing.mass < least),
            turned_away=_turned_away(replace(standing, u=own_u), u_there, least),
            needed=max(least - (standing.mass - found.aboard), NOTHING),
        ),
        states.balance,
        crew_p,
    )


def _least(sheet: WeightSheet) -> Fraction | None:
    """The most that may be asked, less what the book grants, in kilograms."""
    if sheet.greatest is None:
        return None
    return sheet.greatest.base - (sheet.granted.span if sheet.granted is not None else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """How a car comes to the scales by the book: its driver, its fuel, and what of it is not understood."""

    driver: bool | None = None
    fuel: Amount | None = None
    fuel_u: Amount | None = None
    unknown: tuple[str, ...] = ()


def _asked(sheet: WeightSheet, balance: Balance) -> _Asked:
    """What the book asks; of fuel an amount, none, or as much as is left after a race."""
    words = dict(sheet.measured)
    driver = {"yes": True, "no": False}.get(words.pop("driver", ""))
    fuel, fuel_u, said = balance.fuel.left, balance.fuel.left_u, words.pop("fuel", "")
    unknown = [f"a way to reckon what the book asks: {name} {wanted}" for name, wanted in words.items()]
    if said.casefold() in EMPTY:
        fuel, fuel_u = Amount(number=NOTHING, unit=litres()), None
    elif said and said.casefold() not in AS_FINISHED:
        read = read_amount(said, YAML_NUMBERS)
        if isinstance(read, Amount) and read.unit.dimension == litres().dimension:
            fuel, fuel_u = read, None
        else:
            unknown.append(f"a way to reckon what the book asks: fuel {said}")
    return _Asked(driver=driver, fuel=fuel, fuel_u=fuel_u, unknown=tuple(unknown))


def _unsure(assessment: Assessment) -> Iterator[str]:
    """Why the minimum itself is not to be relied on."""
    for finding in assessment.about((SUBJECT,)):
        if finding.needs & {Need.READ, Need.ASK}:
            yield f"the minimum is not sure: {finding.why}"


def _turned_away(standing: Standing, u_there: Fraction, least: Fraction) -> float | None:
    """The chance that a car is heavy enough and the scales of the inspection say otherwise; None where that cannot be told."""
    if not standing.u or not u_there:
        return None
    minimum = Interval(low=float(least))
    return risks(Known(mean=float(standing.mass), u=float(standing.u)), float(u_there), minimum, minimum).turned_away


def without_scales(assessment: Assessment) -> Outlook:
    """What is known of a car that was not weighed on four scales: its minimum, and its weight as the spec states it."""
    sheet = assessment.weight
    if sheet is None or sheet.greatest is None:
        return Outlook(assessment=assessment, sheet=sheet, notes=(_no_minimum(sheet),))
    least = sheet.greatest.base - (sheet.granted.span if sheet.granted is not None else 0)
    known = Outlook(assessment=assessment, sheet=sheet, minimum=least)
    finding = next(iter(assessment.about((SUBJECT,))), None)
    if sheet.car is None or finding is None or finding.margin is None:
        return replace(known, notes=(finding.why,) if finding is not None else ())
    doubt, mass = finding.doubt, sheet.car.base
    standing = Standing(what="as the spec states it", mass=mass, u=doubt.spread.u if doubt is not None else NOTHING)
    return replace(known, standing=standing, under=1 - doubt.p if doubt is not None else float(mass < least))


def _no_minimum(sheet: WeightSheet | None) -> str:
    return "no minimum weight is asked" if sheet is None else "the minimum is not certain: see its impact"


def _assumed(states: States, asked: _Asked) -> Iterator[str]:
    """What the reckoning takes for granted."""
    if asked.driver is None:
        yield "the rule does not say whether the driver sits in the car: reckoned as it was weighed"
    if asked.fuel is None:
        yield "reckoned with the fuel that was in the car when it was weighed: state how much is left at the scales"
    if states.balance.inspection is None:
        yield "the scales of the inspection are taken for true: state what is known of them"


def _with_suggestion(found: Outlook, balance: Balance, crew_p: float) -> Outlook:
    """The least ballast, in pieces, with which the car is taken by the body's rule and heavy enough as surely as the crew asks."""
    sheet, standing, least = found.sheet, found.standing, found.minimum
    if sheet is None or sheet.greatest is None or standing is None or least is None:
        return found
    piece = balance.block.base if balance.block is not None else PIECE
    decision, bare = found.assessment.edition.body.decision, standing.mass - found.aboard
    spread = Spread(u=standing.u) if standing.u else None
    first = max(0, -int((bare - least) // piece))
    for pieces in range(first, first + MOST_PIECES):
        mass = bare + pieces * piece
        taken = heavy_enough(kilograms(mass), sheet.greatest, sheet.granted, spread, decision)
        if taken is None:
            return replace(found, notes=(*found.notes, f"no ballast is suggested: {UNSURE}"))
        if taken and (conformity(mass - least, None, spread) >= crew_p if spread is not None else mass >= least):
            return replace(found, suggested=pieces * piece, margin=mass - least)
    return replace(found, notes=(*found.notes, "no ballast is suggested: no number of blocks that is reckoned with would do"))


def ballast_aboard(balance: Balance) -> Iterator[Load]:
    """The ballast that was in the car when it was weighed."""
    for place in balance.places:
        if place.has is not None:
            at = (place.at.behind.base, place.at.left.base, place.at.above.base)
            yield Load(what=place.id, mass=place.has.base, at=at)


def without_ballast(standing: Standing, states: States) -> Standing:
    """The car with its ballast taken out."""
    for load in ballast_aboard(states.balance):
        standing = with_load(standing, replace(load, mass=-load.mass), states.frame)
    return standing
