"""What an option takes and gives: mass with its place, power, drag, downforce, grip, money, hours, parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from rulewatch.model.balance import Position
from rulewatch.model.pace import Spanned
from rulewatch.model.quantity import Amount
from rulewatch.model.work import Estimate, Part

NOTHING = Estimate.exactly(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """What doing an option means, beside what the car would state then. Each figure is a difference, and may be a range.

    `mass` is what the car weighs more (below zero: less) without any ballast, `at` where; None where nobody says, which is not
    the same as nothing. `power` is what the engine gives more at its top, `drag` and `downforce` coefficient times area, `grip` a
    share of what there is; None is none of it. `downforce_at` is where it presses, behind the front axle. `cost` is without the parts'.
    `hours` are by skill. `needs` and `excludes` name other options.
    """

    mass: Spanned | None = None
    at: Position | None = None
    power: Spanned | None = None
    drag: Spanned | None = None
    downforce: Spanned | None = None
    downforce_at: Amount | None = None
    grip: Spanned | None = None
    cost: Estimate | None = None
    hours: Mapping[str, Estimate] = field(default_factory=dict)
    parts: tuple[Part, ...] = ()
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()

    @property
    def money(self) -> Estimate:
        """What is still to be paid: the cost, and that of each part that is neither on hand nor paid. Parts cost what they cost."""
        own = self.cost or NOTHING
        parts = sum((part.cost or Fraction(0) for part in self.parts if not part.on_hand and part.paid is None), Fraction(0))
        return Estimate(low=own.low + parts, likely=own.likely + parts, high=own.high + parts)

    @property
    def priced(self) -> bool:
        """Whether every price that is still to be paid is known."""
        return (self.cost is not None or bool(self.parts)) and all(
            part.cost is not None or part.on_hand or part.paid is not None for part in self.parts
        )

    @property
    def work(self) -> Fraction:
        """The mean of all hours together."""
        return sum((one.mean for one in self.hours.values()), Fraction(0))
