"""A car at the scales of an inspection: heavy enough or not, how surely, and how much ballast makes it so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from rulewatch.assess.conformity import conformity
from rulewatch.assess.gravity import Load, with_load
from rulewatch.assess.risk import Interval, Known, risks
from rulewatch.assess.spread import square_root
from rulewatch.assess.states import NOTHING, States, scales_u
from rulewatch.assess.weighing import heavy_enough
from rulewatch.assess.weight import SUBJECT
from rulewatch.model.balance import Balance
from rulewatch.model.impact import Assessment, WeightSheet
from rulewatch.model.measured import Spread
from rulewatch.model.quantity import kilograms
from rulewatch.model.weighing import Outlook, Standing

# The smallest piece of ballast where the crew does not say: what a scale in the pits shows (common practice, no source).
PIECE = Fraction(1, 2)
MOST_PIECES = 10_000


def outlook(assessment: Assessment, states: States, crew_p: float) -> Outlook:
    """What an entry's inspection will find when it weighs the car."""
    sheet = assessment.weight
    balance = states.balance
    if sheet is None or sheet.greatest is None:
        return Outlook(assessment=assessment, sheet=sheet, notes=(_no_minimum(sheet),))
    standing, missing = states.state(
        "at the scales", driver=sheet.with_driver, fuel=balance.fuel.left, fuel_u=balance.fuel.left_u
    )
    notes = [*(f"not reckoned without {one}" for one in missing), *_assumed(states, with_driver=sheet.with_driver)]
    least = sheet.greatest.base - (sheet.granted.span if sheet.granted is not None else 0)
    if missing:
        return Outlook(assessment=assessment, sheet=sheet, minimum=least, notes=tuple(notes))
    u_there = scales_u(standing, balance.inspection)
    u = square_root(standing.u**2 + u_there**2)
    aboard = sum((load.mass for load in ballast_aboard(balance)), NOTHING)
    found = Outlook(
        assessment=assessment,
        sheet=sheet,
        minimum=least,
        standing=replace(standing, u=u),
        under=1 - conformity(standing.mass - least, None, Spread(u=u)) if u else float(standing.mass < least),
        turned_away=_turned_away(standing, u_there, least),
        aboard=aboard,
        needed=max(least - (standing.mass - aboard), NOTHING),
        notes=tuple(notes),
    )
    return _with_suggestion(found, standing.mass - aboard, u, balance, crew_p)


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


def _assumed(states: States, *, with_driver: bool | None) -> Iterator[str]:
    """What the reckoning takes for granted."""
    if with_driver is None:
        yield "the rule does not say whether the driver sits in the car: reckoned as it was weighed"
    if states.balance.fuel.left is None:
        yield "reckoned with the fuel that was in the car when it was weighed: state how much is left at the scales"
    if states.balance.inspection is None:
        yield "the scales of the inspection are taken for true: state what is known of them"


def _with_suggestion(found: Outlook, bare: Fraction, u: Fraction, balance: Balance, crew_p: float) -> Outlook:
    """The least ballast, in pieces, with which the car is taken by the body's rule and heavy enough as surely as the crew asks."""
    piece = balance.block.base if balance.block is not None else PIECE
    least = found.minimum or NOTHING
    decision = found.assessment.edition.body.decision
    sheet = found.sheet
    if sheet is None or sheet.greatest is None:
        return found
    spread = Spread(u=u) if u else None
    for pieces in range(max(0, -int((bare - least) // piece)), MOST_PIECES):
        mass = bare + pieces * piece
        sure = conformity(mass - least, None, spread) >= crew_p if spread is not None else mass >= least
        if sure and heavy_enough(kilograms(mass), sheet.greatest, sheet.granted, spread, decision):
            return replace(found, suggested=pieces * piece, margin=mass - least)
    return found


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
