"""What comes of doing options together: weight, balance, pace, money, hours and days; and what one is worth alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from rulewatch.model.impact import Verdict
from rulewatch.model.timeline import Habit
from rulewatch.model.weighing import AtSpeed


@dataclass(frozen=True, slots=True, kw_only=True)
class InClass:
    """A car with some options in one of its classes: kilograms, seconds by track, kilowatts for a kilogram.

    `against` is what forbids it, `waits` what nobody knows yet and that was not open without the options, `broken` what the car
    breaks anyway, `mended` what it no longer breaks; `verdict` is the whole book's. `minimum` and what follows of it are None where
    they are not known. `front` is the share on the front axle at the scales, without the ballast.
    """

    body: str
    class_name: str
    season: str
    verdict: Verdict
    against: tuple[str, ...] = ()
    waits: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    mended: tuple[str, ...] = ()
    minimum: Fraction | None = None
    race: Fraction | None = None
    ballast: Fraction | None = None
    power: float | None = None
    laps: Mapping[str, float]

    @property
    def power_to_weight(self) -> float | None:
        """Kilowatts at the top of the curve for each kilogram at the scales."""
        return self.power / float(self.race) if self.power is not None and self.race else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """Some options done together; none for the car as it is.

    `money` is what they most likely cost, up to `money_high`; `hours` the mean of the work; `ready` the day on which the last part
    is there. `gain` is the mean of the seconds of a lap won over all classes and tracks, None without pace. `front` is the share of
    the weight on the front axle at rest, without ballast.
    """

    options: tuple[str, ...]
    money: Fraction
    money_high: Fraction
    hours: Fraction
    ready: date
    classes: tuple[InClass, ...]
    gain: float | None = None
    front: Fraction | None = None
    at_speed: tuple[AtSpeed, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def forbidden(self) -> bool:
        """Whether a class does not allow it."""
        return any(one.against for one in self.classes)

    @property
    def allowed(self) -> bool:
        """Whether every class is known to allow it."""
        return not any(one.against or one.waits for one in self.classes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What one option is worth alone, with what it needs.

    `gain` are seconds of a lap, `free` the same if no rule added weight for it, `u` the expanded uncertainty of `gain` (k = 2) from
    the spread of the inputs, `p` the chance that there is a gain at all. `penalty` are the kilograms that the rules add by class;
    `break_even` is the weight at which nothing would be won, None where more than `most` would have to be added or nothing is
    won without any. `inputs` says how far each input alone moves the gain (k = 2). `habits` are how long such freedoms have lasted.
    """

    option: str
    what: str
    alone: Combination
    gain: float | None = None
    free: float | None = None
    u: float | None = None
    p: float | None = None
    break_even: float | None = None
    most: float = 0.0
    penalty: Mapping[str, Fraction]
    inputs: Mapping[str, float]
    habits: tuple[tuple[str, Habit], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tradeoff:
    """The options of a car compared. `allowed` and `waiting` are combinations that no other of their kind beats on every count.

    `whole` tells that none of these was left out. `singles` is every option alone, with what it needs.
    """

    car: str
    name: str
    currency: str
    base: Combination
    singles: tuple[tuple[str, Combination], ...] = ()
    allowed: tuple[Combination, ...] = ()
    waiting: tuple[Combination, ...] = ()
    whole: bool = True
    explained: Worth | None = None
    notes: tuple[str, ...] = ()
