"""How a car stands on its wheels: what was weighed, where its loads are, and what comes of it.

A position is behind the front axle, left of the middle of the car and above the ground, each as an amount of length; what lies in
front of the front axle or right of the middle is below zero.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount


class Corner(StrEnum):
    """A wheel, as a driver sees it."""

    FRONT_LEFT = "front_left"
    FRONT_RIGHT = "front_right"
    REAR_LEFT = "rear_left"
    REAR_RIGHT = "rear_right"


class Axle(StrEnum):
    """One of the two axles."""

    FRONT = "front"
    REAR = "rear"


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """Where something is: behind the front axle, left of the middle, above the ground."""

    behind: Amount
    left: Amount
    above: Amount


class ScaleClass(StrEnum):
    """An accuracy class of OIML R 76-1."""

    ONE = "I"
    TWO = "II"
    THREE = "III"
    FOUR = "IIII"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """How sure a scale is.

    Either `u`, its expanded uncertainty (k = 2), or its accuracy class with the verification interval `e`, of which
    its greatest permissible error follows; twice as much for one `in_service`. `shared` is the correlation, 0 to 1, of the errors of
    several scales that stand side by side: 1 for pads that were adjusted with one and the same weight.
    """

    u: Amount | None = None
    accuracy: ScaleClass | None = None
    interval: Amount | None = None
    in_service: bool = True
    shared: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """A weighing with one axle lifted: how far its wheels' centres were raised, and what the other axle then weighed."""

    axle: Axle
    lift: Amount
    other: Amount
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerWeighing:
    """A car on four scales: what each showed, one reading or several, and what was in the car.

    `driver` is None where it is not said whether one sat in it, `fuel` where it is not said how much there was.
    `wheel_radius` is that of the loaded wheels, which the height of the centre of gravity is reckoned from.
    """

    on: date
    corners: Mapping[Corner, tuple[Amount, ...]]
    scales: Scales
    place: Place = field(compare=False)
    by: str = ""
    evidence: tuple[str, ...] = ()
    driver: bool | None = None
    fuel: Amount | None = None
    raised: tuple[Raised, ...] = ()
    wheel_radius: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelLoad:
    """The fuel of a race: where it is, how much at the start, and how much is left at the scales, with `left_u` (k = 2)."""

    at: Position | None = None
    start: Amount | None = None
    left: Amount | None = None
    left_u: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BallastPlace:
    """Where ballast may be fixed, how much at most, and what a car with ballast there would state of `ballast.position`.

    `has` is what was fixed there when the car was weighed.
    """

    id: str
    at: Position
    most: Amount
    place: Place = field(compare=False)
    has: Amount | None = None
    position: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """The shares of the weight that a crew would like: at the front, at the left, and on front right with rear left together."""

    front: Fraction | None = None
    left: Fraction | None = None
    cross: Fraction | None = None

    def __bool__(self) -> bool:
        """Whether there is any."""
        return (self.front, self.left, self.cross) != (None, None, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What the air presses the car down with: coefficient times area, and where it acts, behind the front axle."""

    id: str
    area: Amount
    at: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Drag, coefficient times area, at a height; the surfaces that press down or lift (an area below zero); the speeds to look at."""

    drag: Amount | None = None
    height: Amount | None = None
    surfaces: tuple[Surface, ...] = ()
    speeds: tuple[Amount, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """What `car.yaml` says under `balance`; `inspection` are the scales that the car is weighed on at an event, if known."""

    weighed: CornerWeighing | None = None
    inspection: Scales | None = None
    driver: Position | None = None
    fuel: FuelLoad = field(default_factory=FuelLoad)
    block: Amount | None = None
    places: tuple[BallastPlace, ...] = ()
    targets: Targets = field(default_factory=Targets)
    air: Air = field(default_factory=Air)
    place: Place = field(compare=False)
