"""What work is made of: hours in three points, parts that are waited for, and hours booked."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from rulewatch.model.fault import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A figure in three points: at least, most likely, at most. Hours of work, days of waiting, or money.

    It stands for the triangular distribution between them, of which mean and shares are known in closed form.
    """

    low: Fraction
    likely: Fraction
    high: Fraction

    @classmethod
    def exactly(cls, value: Fraction | int) -> Estimate:
        """One figure, as if it were sure."""
        return cls(low=Fraction(value), likely=Fraction(value), high=Fraction(value))

    @property
    def sure(self) -> bool:
        """Whether all three are one."""
        return self.low == self.high

    @property
    def mean(self) -> Fraction:
        """The mean of the triangular distribution."""
        return (self.low + self.likely + self.high) / 3

    def rest(self, spent: Fraction) -> Fraction:
        """The mean of what is left, once so much of it was spent and it is not over: 0 where more was spent than the high figure."""
        if spent <= self.low:
            return self.mean - spent
        if spent >= self.high:
            return Fraction(0)
        low, likely, high = self.low, self.likely, self.high
        if spent >= likely:  # what is left of the falling side is a triangle itself
            return (high - spent) / 3
        # the mean of all, less the part below, over what remains of the probability
        below = (spent - low) ** 2 / ((high - low) * (likely - low))
        mean_below = low + (spent - low) * Fraction(2, 3)
        return (self.mean - below * mean_below) / (1 - below) - spent


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Something that a job needs and that must be there first.

    `lead` is the wait from order to arrival, in days. `on_hand` says where it is kept, for one that is there. `order` is the day on
    which the crew means to order it, where that is not today; `order_by` the last day on which it can be ordered at all.
    `ordered`, `expected`, `arrived` and `paid` are the days on which it was, or is to come. `cost` is in the crew's own money.
    """

    what: str
    place: Place = field(compare=False)
    lead: Estimate | None = None
    on_hand: str = ""
    order: date | None = None
    order_by: date | None = None
    ordered: date | None = None
    expected: date | None = None
    arrived: date | None = None
    paid: date | None = None
    cost: Fraction | None = None

    @property
    def there(self) -> bool:
        """Whether nobody waits for it."""
        return bool(self.on_hand) or self.arrived is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Booked:
    """Hours that were worked on a job: how many, on which day and by whom, where that is written down."""

    hours: Fraction
    on: date | None = None
    by: tuple[str, ...] = ()
