"""The part `pace` of `car.yaml`: what lap times are reckoned from.

Without a power curve, gears or grip nothing is reckoned; a value that is at fault is left out, which is said by its fault.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from rulewatch.model.pace import Pace, Spanned
from rulewatch.model.quantity import Amount, Unit, usual_unit
from rulewatch.parse.fields import Fields, described
from rulewatch.parse.nodes import ListNode, Node, ScalarNode
from rulewatch.parse.values import ReadingContext, read_amount_of

NEEDED = ("power", "gears", "final_drive", "tyre_radius", "grip")
MORE = ("power_scale", "shift_time", "brakes", "efficiency", "driven", "drag", "downforce")
ENDS = ("low", "likely", "high")
FEWEST = 2  # points of a curve


def _unit(measure: str) -> Unit:
    found = usual_unit(measure)
    if found is None:
        raise LookupError(measure)
    return found


NUMBER, SHARE, LENGTH, TIME, FORCE, AREA, POWER, ROTATION = map(
    _unit, ("number", "share", "length", "time", "force", "area", "power", "rotation")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What an amount may be, in base units: more than nothing, or with `nothing` that too, or with `below` anything; at most `most`."""

    nothing: bool = False
    below: bool = False
    most: Fraction | None = None

    def complaint(self, value: Fraction) -> str:
        """What was expected where a value is out of bounds; empty where it is not."""
        if not self.below and (value < 0 or (not value and not self.nothing)):
            return "no less than nothing" if self.nothing else "more than nothing"
        return f"at most {float(self.most):g}" if self.most is not None and value > self.most else ""


POSITIVE, NOT_NEGATIVE, ANY, SHARES = Bounds(), Bounds(nothing=True), Bounds(below=True), Bounds(most=Fraction(1))
SHIFTS, EXPONENTS = Bounds(nothing=True, most=Fraction(5)), Bounds(nothing=True, most=Fraction(9, 10))


def read_pace(fields: Fields, context: ReadingContext) -> Pace | None:
    """What stands under `pace`; None where nothing does, or where something that is needed is missing or at fault."""
    part = fields.fields("pace", required=NEEDED, optional=MORE) if fields.has("pace") else None
    if part is None:
        return None
    grip = (
        part.fields("grip", required=("longitudinal", "lateral"), optional=("load_sensitivity",)) if part.has("grip") else None
    )
    power, gears = _read_curve(part, context), _read_gears(part, context)
    final, radius = _spanned(part, "final_drive", NUMBER, context), _spanned(part, "tyre_radius", LENGTH, context)
    along, lateral = (_spanned(grip, key, NUMBER, context) for key in ("longitudinal", "lateral"))
    sensitivity = _spanned(grip, "load_sensitivity", NUMBER, context, EXPONENTS)
    more = {
        "power_scale": _spanned(part, "power_scale", NUMBER, context),
        "shift_time": _spanned(part, "shift_time", TIME, context, SHIFTS),
        "brakes": _spanned(part, "brakes", FORCE, context),
        "efficiency": _spanned(part, "efficiency", SHARE, context, SHARES),
        "driven": _spanned(part, "driven", SHARE, context, SHARES),
        "drag": _spanned(part, "drag", AREA, context, NOT_NEGATIVE),
        "downforce": _spanned(part, "downforce", AREA, context, ANY),
    }
    if not power or not gears or final is None or radius is None or along is None or lateral is None:
        return None
    return Pace(
        power=power,
        gears=gears,
        final_drive=final,
        tyre_radius=radius,
        grip_longitudinal=along,
        grip_lateral=lateral,
        load_sensitivity=sensitivity,
        place=part.place,
        **more,
    )


def _read_curve(part: Fields, context: ReadingContext) -> tuple[tuple[Amount, Amount], ...]:
    """Rotation and power by rising rotation; empty where any of it is at fault."""
    node = part.get("power")
    if node is None:
        return ()
    pairs = part.mapping("power")
    found = []
    for key, value in pairs:
        turns = read_amount_of(key, ROTATION, "`power`", context, sought=False)
        power = read_amount_of(value, POWER, "`power`", context, sought=False)
        if turns is not None and power is not None:
            if turns.number <= 0 or power.number <= 0:
                context.fault("wrong-value", key, f"`{turns}: {power}` for `power`", expected="more than nothing")
            else:
                found.append((turns, power))
    rising = all(one[0].base < other[0].base for one, other in pairwise(found))
    if len(found) == len(pairs) and (len(found) < FEWEST or not rising):
        context.fault("wrong-value", node, "a curve of power", expected="at least two points, by rising rotation")
        return ()
    return tuple(found) if len(found) == len(pairs) else ()


def _read_gears(part: Fields, context: ReadingContext) -> tuple[Amount, ...]:
    items = part.items("gears")
    found = [one for item in items if (one := _bounded(item, "gears", NUMBER, context, POSITIVE))]
    if found and any(one.base <= other.base for one, other in pairwise(found)):
        context.fault("wrong-value", part.place_of("gears"), "gears out of order", expected="ratios from first gear to last")
        return ()
    return tuple(found) if len(found) == len(items) else ()


def _spanned(part: Fields | None, key: str, unit: Unit, context: ReadingContext, bounds: Bounds = POSITIVE) -> Spanned | None:
    """An amount, or a list of three: the least that it may be, what it most likely is, the most."""
    node = part.get(key) if part is not None else None
    if node is None:
        return None
    items: tuple[Node, ...] = node.items if isinstance(node, ListNode) else (node,)
    if len(items) not in {1, len(ENDS)} or not all(isinstance(item, ScalarNode) for item in items):
        context.fault("wrong-type", node, f"{described(node)} for `{key}`", expected="one amount, or [low, likely, high]")
        return None
    amounts = [one for item in items if (one := _bounded(item, key, unit, context, bounds)) is not None]
    if len(amounts) != len(items):
        return None
    low, likely, high = amounts if len(amounts) == len(ENDS) else amounts * len(ENDS)
    if not low.base <= likely.base <= high.base:
        context.fault("wrong-value", node, f"{low}, {likely}, {high} for `{key}`", expected="[low, likely, high], rising")
        return None
    return Spanned(low=low, likely=likely, high=high)


def _bounded(node: Node, key: str, unit: Unit, context: ReadingContext, bounds: Bounds) -> Amount | None:
    amount = read_amount_of(node, unit, f"`{key}`", context, sought=False)
    complaint = bounds.complaint(amount.base) if amount is not None else ""
    if complaint:
        context.fault("wrong-value", node, f"`{amount}` for `{key}`", expected=complaint)
        return None
    return amount
