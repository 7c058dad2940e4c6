"""How a car stands on its wheels, in words and figures for a terminal and a page: kilograms, millimetres, shares."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from rulewatch.model.balance import Axle, Corner, Targets
from rulewatch.model.quantity import Amount, Unit, digits, kilograms
from rulewatch.model.weighing import AtSpeed, BalanceSheet, Height, Outlook, Standing
from rulewatch.publish.weight_words import in_both
from rulewatch.publish.words import day_words

COVERAGE = 2  # uncertainties are shown expanded, k = 2
CORNERS = {
    Corner.FRONT_LEFT: "front left",
    Corner.FRONT_RIGHT: "front right",
    Corner.REAR_LEFT: "rear left",
    Corner.REAR_RIGHT: "rear right",
}
FEW = Fraction(1, 1000)  # a probability below which a figure would say more than is known


@dataclass(frozen=True, slots=True, kw_only=True)
class StateRow:
    """One state of the car, in words: what it weighs, its shares, its corners; empty where not known."""

    what: str
    mass: str
    front: str
    left: str
    cross: str
    corners: tuple[str, ...]


def weighed_words(sheet: BalanceSheet) -> str:
    """When, by whom and in what state the car was weighed; empty where it was not."""
    weighed = sheet.car.balance.weighed if sheet.car.balance is not None else None
    if weighed is None:
        return ""
    driver = {True: "with driver", False: "without driver", None: "not said whether with driver"}[weighed.driver]
    fuel = f"fuel {weighed.fuel}" if weighed.fuel is not None else "fuel not stated"
    by = f" by {weighed.by}" if weighed.by else ""
    return f"weighed on {day_words(weighed.on)}{by}, {driver}, {fuel}"


def state_row(standing: Standing) -> StateRow:
    """A state for a table."""
    return StateRow(
        what=standing.what,
        mass=mass_words(standing.mass, standing.u),
        front=share_words(standing.front),
        left=share_words(standing.left_share),
        cross=share_words(standing.cross),
        corners=tuple(tenths(load) for load in standing.corners.values()) if standing.corners else (),
    )


def mass_words(mass: Fraction, u: Fraction = Fraction(0)) -> str:
    """Kilograms to a tenth, with the expanded uncertainty rounded up."""
    spread = f" ± {digits(Fraction(ceil(COVERAGE * u * 10), 10))}" if u else ""
    return f"{tenths(mass)}{spread} kg"


def tenths(number: Fraction) -> str:
    """A number to one decimal, always shown."""
    return f"{float(number):.1f}".replace("-", "−")


def share_words(share: Fraction | None) -> str:
    """A share in per cent, to one decimal."""
    return f"{tenths(share * 100)} %" if share is not None else ""


def gravity_words(sheet: BalanceSheet) -> Iterator[str]:
    """The centre of gravity of each state, and the height by each weighing with an axle raised."""
    for standing in sheet.states:
        if standing.behind is not None and standing.left is not None:
            side = "left" if standing.left >= 0 else "right"
            above = f", {_millimetres(standing.height)} above the ground" if standing.height is not None else ""
            yield (
                f"{standing.what}: {_millimetres(standing.behind)} behind the front axle, "
                f"{_millimetres(abs(standing.left))} {side} of the middle{above}"
            )


def height_words(found: Height) -> str:
    """One height with its uncertainty."""
    axle = "front" if found.of.axle is Axle.FRONT else "rear"
    u = f" ± {ceil(COVERAGE * found.u * 1000)}" if found.u else ""
    return f"{axle} axle raised by {found.of.lift}: {round(found.height * 1000)}{u} mm"


def speed_words(found: AtSpeed) -> str:
    """Axle loads at a speed."""
    share = share_words(found.front / (found.front + found.rear)) if found.front + found.rear else ""
    lifted = next((f"; the {axle} axle lifts" for axle, load in (("front", found.front), ("rear", found.rear)) if load < 0), "")
    return f"{found.speed}: front {tenths(found.front)} kg, rear {tenths(found.rear)} kg, {share} at the front{lifted}"


def scales_words(one: Outlook) -> str:
    """What the scales of an inspection will find; empty where that is not known."""
    if one.standing is None or one.minimum is None or one.under is None:
        return ""
    room = one.standing.mass - one.minimum
    told = "at the minimum" if not room else f"{tenths(abs(room))} kg {'over' if room > 0 else 'under'} the minimum"
    return f"{mass_words(one.standing.mass, one.standing.u)} {one.standing.what}: {told}; {under_words(one.under)}{_turned_away_words(one)}"


def _turned_away_words(one: Outlook) -> str:
    """The part of that chance which is the scales' alone, where it is worth saying."""
    if one.turned_away is None or one.turned_away < FEW:
        return ""
    return f", {100 * one.turned_away:.1f} % of being turned away though heavy enough"


def under_words(under: float) -> str:
    """The chance of being too light."""
    if under < FEW:
        return "less than 0.1 % chance of being under"
    if under > 1 - FEW:
        return "more than 99.9 % chance of being under"
    return f"{100 * under:.1f} % chance of being under"


def ballast_words(one: Outlook, sheet: BalanceSheet) -> Iterator[str]:
    """How much ballast is aboard, how much is needed, and how much is enough to be sure."""
    if one.standing is None or one.needed is None:
        return
    unit = _block_unit(sheet)
    aboard = f"{_ballast(one.aboard, unit)} aboard" if one.aboard else "no ballast aboard"
    yield f"{aboard}; by the figures alone {_ballast(_up(one.needed), unit) if one.needed else 'none'} would do"
    if one.suggested is not None and one.margin is not None:
        what = _ballast(one.suggested, unit) if one.suggested else "no ballast"
        sure = f"to be {digits(sheet.crew_p * 100)} % sure at the scales, and taken by the body's own rule"
        yield f"suggested: {what}, {sure}; that leaves {tenths(one.margin)} kg over the minimum"


def placed_words(one: Outlook, sheet: BalanceSheet) -> Iterator[str]:
    """Where the ballast goes, how the car then stands, and which places the rules refuse."""
    if one.placed is None:
        return
    targets = sheet.car.balance.targets if sheet.car.balance is not None else Targets()
    loads = ", ".join(f"{_ballast(load, _block_unit(sheet))} at {name}" for name, load in one.placed.loads.items() if load)
    yield f"placed: {loads or 'nowhere'}"
    stands = one.placed.standing
    shares = (
        ("front", stands.front, targets.front),
        ("left", stands.left_share, targets.left),
        ("cross", stands.cross, targets.cross),
    )
    told = [
        f"{name} {share_words(share)}" + (f" (target {share_words(aim)})" if aim is not None else "")
        for name, share, aim in shares
    ]
    yield f"then {', '.join(told)}"
    for name, why in one.placed.refused:
        yield f"not at {name}: {why}"


def _block_unit(sheet: BalanceSheet) -> Unit:
    """The unit that the crew's blocks of ballast are stated in."""
    block = sheet.car.balance.block if sheet.car.balance is not None else None
    return block.unit if block is not None else kilograms(Fraction(0)).unit


def _ballast(mass: Fraction, unit: Unit) -> str:
    """A mass of ballast in the unit of its blocks, to a tenth rounded up, with the other unit beside it."""
    amount = kilograms(mass).to(unit)
    return in_both(Amount(number=_up(amount.number), unit=unit))


def _up(mass: Fraction) -> Fraction:
    """Rounded up to a tenth."""
    return Fraction(ceil(mass * 10), 10)


def _millimetres(length: Fraction) -> str:
    return f"{round(length * 1000)} mm"
