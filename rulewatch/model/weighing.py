"""How a car stands on its wheels, and what the scales of its inspection will find: what comes of `Balance`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from rulewatch.model.balance import Corner, Raised
from rulewatch.model.car import Car
from rulewatch.model.impact import Assessment, WeightSheet
from rulewatch.model.quantity import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A car on level ground in one state: kilograms and metres.

    `u` is the standard uncertainty of the mass. `corners` is None where it is not known where some load is; `height` is that of the
    centre of gravity, None where it is not known.
    """

    what: str
    mass: Fraction
    u: Fraction
    corners: Mapping[Corner, Fraction] | None = None
    behind: Fraction | None = None
    left: Fraction | None = None
    height: Fraction | None = None

    def share(self, *corners: Corner) -> Fraction | None:
        """What part of the mass stands on some of the wheels."""
        return sum((self.corners[corner] for corner in corners), Fraction(0)) / self.mass if self.corners else None

    @property
    def front(self) -> Fraction | None:
        """The share on the front axle."""
        return self.share(Corner.FRONT_LEFT, Corner.FRONT_RIGHT)

    @property
    def left_share(self) -> Fraction | None:
        """The share on the left wheels."""
        return self.share(Corner.FRONT_LEFT, Corner.REAR_LEFT)

    @property
    def cross(self) -> Fraction | None:
        """The share on the front right and rear left wheels together: the cross weight."""
        return self.share(Corner.FRONT_RIGHT, Corner.REAR_LEFT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """The height of the centre of gravity by one axle lifted: metres, with its standard uncertainty; `of` is the weighing."""

    height: Fraction
    u: Fraction
    of: Raised


@dataclass(frozen=True, slots=True, kw_only=True)
class AtSpeed:
    """What presses on each axle of the car in a state at a speed, as the mass that would do the same at rest, in kilograms."""

    what: str
    speed: Amount
    front: Fraction
    rear: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Ballast, by place, in kilograms, and how the car stands with it; `refused` are places that the rules do not allow, with the reason."""

    loads: Mapping[str, Fraction]
    standing: Standing
    refused: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """A car at the scales of one entry's inspection: kilograms.

    `minimum` is what is asked of it, None where that is not known; `standing` the car as it comes there, with what all scales leave open, and `own_u` what the crew's
    own do; `under` the probability that
    the scales show less than the minimum, and `turned_away` that they do although it is heavy enough. `aboard` is the ballast in it, `suggested` the ballast with which it is heavy enough as surely
    as the crew wants to be, by the body's own rule too; None where that is not known or `block` is not stated. `margin` is the room
    over the minimum that takes. `notes` say what is missing.
    """

    assessment: Assessment
    sheet: WeightSheet | None
    minimum: Fraction | None = None
    standing: Standing | None = None
    own_u: Fraction | None = None
    under: float | None = None
    turned_away: float | None = None
    aboard: Fraction = Fraction(0)
    needed: Fraction | None = None
    suggested: Fraction | None = None
    margin: Fraction | None = None
    placed: Placed | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceSheet:
    """All that `weigh` tells of a car; `crew_p` is how sure the crew wants to be, from 0 to 1."""

    car: Car
    crew_p: Fraction
    states: tuple[Standing, ...] = ()
    heights: tuple[Height, ...] = ()
    at_speed: tuple[AtSpeed, ...] = ()
    outlooks: tuple[Outlook, ...] = ()
    notes: tuple[str, ...] = ()
