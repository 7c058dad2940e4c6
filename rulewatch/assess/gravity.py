"""The statics of a car on four wheels: kilograms and metres, exact but for the sine of a raised axle.

The frame is taken as stiff: a load goes to the axles by the rule of the lever, and at each axle to the wheels by where it is between
them. Springs and stiff bodies shift corner weights against each other, which only a scale shows; the sums of axles and sides,
and the centre of gravity, hold anyway.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

from rulewatch.model.balance import Corner
from rulewatch.model.weighing import Standing

LEFT = {Corner.FRONT_LEFT: 1, Corner.FRONT_RIGHT: -1, Corner.REAR_LEFT: 1, Corner.REAR_RIGHT: -1}
REAR = (Corner.REAR_LEFT, Corner.REAR_RIGHT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Wheelbase and tracks, in metres."""

    wheelbase: Fraction
    track_front: Fraction
    track_rear: Fraction

    def half_track(self, corner: Corner) -> Fraction:
        """How far a wheel is from the middle."""
        return (self.track_rear if corner in REAR else self.track_front) / 2

    def shares(self, behind: Fraction, left: Fraction) -> Mapping[Corner, Fraction]:
        """What part of a load at a place each wheel bears; below zero for a wheel that it lifts."""
        rear = behind / self.wheelbase
        return {
            corner: (rear if corner in REAR else 1 - rear) * (1 + LEFT[corner] * left / self.half_track(corner)) / 2
            for corner in Corner
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Something that comes into the car, or goes out where its mass is below zero; its place is None where that is not known."""

    what: str
    mass: Fraction
    u: Fraction = Fraction(0)
    at: tuple[Fraction, Fraction, Fraction] | None = None


def on_scales(
    what: str, corners: Mapping[Corner, Fraction], u: Fraction, frame: Frame | None, height: Fraction | None
) -> Standing:
    """A car as four scales show it; without a frame only what it weighs, and on which wheels.

    Source of the place of the centre of gravity between the axles: R. N. Jazar, Vehicle Dynamics (Springer 2008), 2.15 to 2.20.
    """
    mass = sum(corners.values(), Fraction(0))
    standing = Standing(what=what, mass=mass, u=u, corners=corners)
    if frame is None:
        return standing
    behind = frame.wheelbase * sum((corners[corner] for corner in REAR), Fraction(0)) / mass
    left = sum((LEFT[corner] * frame.half_track(corner) * load for corner, load in corners.items()), Fraction(0)) / mass
    return replace(standing, behind=behind, left=left, height=height)


def with_load(standing: Standing, load: Load, frame: Frame | None) -> Standing:
    """The car with a load more, or less. Mass and moments add up; where the place is not known, neither are the corners."""
    mass = standing.mass + load.mass
    u = Fraction(sqrt(standing.u**2 + load.u**2)) if load.u else standing.u
    bare = Standing(what=standing.what, mass=mass, u=u)
    if not load.mass:
        return replace(standing, u=u)
    if load.at is None or frame is None or standing.corners is None or standing.behind is None or standing.left is None:
        return bare
    behind, left, above = load.at
    shares = frame.shares(behind, left)
    return replace(
        bare,
        corners={corner: standing.corners[corner] + load.mass * shares[corner] for corner in Corner},
        behind=(standing.behind * standing.mass + behind * load.mass) / mass,
        left=(standing.left * standing.mass + left * load.mass) / mass,
        height=None if standing.height is None else (standing.height * standing.mass + above * load.mass) / mass,
    )


def height(*, wheelbase: Fraction, radius: Fraction, mass: Fraction, lift: Fraction, gained: Fraction) -> Fraction:
    """How high the centre of gravity is, from what the axle on the ground gained while the other one was raised.

    `radius` is that of the loaded wheels, `lift` how far the centres of the other wheels were raised, less than the wheelbase. The
    height is the same whichever axle is raised. ISO 10392:2011, 6.5: r + l · Δm / (m · tan θ), with sin θ = lift / l; Jazar,
    2.32. ValueError for a lift that no car allows.
    """
    if not 0 < lift < wheelbase:
        raise ValueError("an axle is raised by more than nothing and less than the wheelbase")
    tangent = lift / Fraction(sqrt(wheelbase**2 - lift**2))
    return radius + wheelbase * gained / (mass * tangent)


def axle_gain(*, wheelbase: Fraction, radius: Fraction, mass: Fraction, lift: Fraction, height: Fraction) -> Fraction:
    """What the axle on the ground gains while the other is raised, for a centre of gravity of a known height: the reverse of `height`."""
    tangent = lift / Fraction(sqrt(wheelbase**2 - lift**2))
    return mass * tangent * (height - radius) / wheelbase
