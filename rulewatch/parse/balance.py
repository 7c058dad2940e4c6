"""The part `balance` of `car.yaml`: corner weights, loads and where they are, places for ballast, targets, the air.

A value that is at fault is left out, so that what hangs on it is not reckoned.
"""

from __future__ import annotations

from fractions import Fraction

from rulewatch.model.balance import (
    Air,
    Axle,
    Balance,
    BallastPlace,
    Corner,
    CornerWeighing,
    FuelLoad,
    Position,
    Raised,
    ScaleClass,
    Scales,
    Surface,
    Targets,
)
from rulewatch.model.quantity import Amount, Unit, find_unit
from rulewatch.parse.fields import Fields, described, open_fields, read_items
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode
from rulewatch.parse.values import ReadingContext, read_amount_of

PARTS = ("weighed", "inspection", "driver", "fuel", "ballast", "targets", "air")
WEIGHED = ("by", "evidence", "with", "raised", "wheel_radius")
AXES = ("behind the front axle", "left of the middle", "above the ground")


def _unit(symbol: str) -> Unit:
    found = find_unit(symbol)
    if found is None:
        raise LookupError(symbol)
    return found


MASS, LENGTH, VOLUME, AREA, SPEED = map(_unit, ("kg", "mm", "L", "m²", "km/h"))


def read_balance(fields: Fields, context: ReadingContext) -> Balance | None:
    """What stands under `balance`; None where nothing does."""
    part = fields.fields("balance", optional=PARTS) if fields.has("balance") else None
    if part is None:
        return None
    ballast = part.fields("ballast", required=("block", "places")) if part.has("ballast") else None
    return Balance(
        weighed=_read_weighing(part, context),
        inspection=_read_scales(part, "inspection", context),
        driver=read_position(part, "driver", context),
        fuel=_read_fuel(part, context),
        block=_positive(ballast, "block", MASS, context),
        places=_read_places(ballast, context) if ballast is not None else (),
        targets=_read_targets(part),
        air=_read_air(part, context),
        place=part.place,
    )


# --- What was weighed ---------------------------------------------------------------------------------------------------


def _read_weighing(fields: Fields, context: ReadingContext) -> CornerWeighing | None:
    part = fields.fields("weighed", required=("on", "scales", "corners"), optional=WEIGHED) if fields.has("weighed") else None
    if part is None:
        return None
    on = part.day("on")
    scales = _read_scales(part, "scales", context)
    corners = part.fields("corners", required=[corner.value for corner in Corner])
    loads = {corner: _read_loads(corners, corner.value, context) for corner in Corner} if corners is not None else {}
    raised = tuple(one for node in part.items("raised") if (one := _read_raised(node, context)) is not None)
    radius = _positive(part, "wheel_radius", LENGTH, context)
    state = part.fields("with", optional=("driver", "fuel")) if part.has("with") else None
    fuel = _not_negative(state, "fuel", VOLUME, context)
    if on is None or scales is None or not loads or not all(loads.values()):
        return None
    return CornerWeighing(
        on=on,
        corners=loads,
        scales=scales,
        by=part.text("by"),
        evidence=part.texts("evidence"),
        driver=state.yes_no("driver") if state is not None else None,
        fuel=fuel,
        raised=raised,
        wheel_radius=radius,
        place=part.place,
    )


def _read_loads(fields: Fields, key: str, context: ReadingContext) -> tuple[Amount, ...]:
    """What a scale showed, once or several times; empty where any of it is at fault."""
    node = fields.get(key)
    items = read_items(node, context, key) if node is not None else ()
    loads = [load for item in items if (load := _sized(item, key, MASS, context)) is not None]
    return tuple(loads) if len(loads) == len(items) else ()


def _read_scales(fields: Fields, key: str, context: ReadingContext) -> Scales | None:
    """How sure scales are: by their expanded uncertainty, or by their accuracy class with its interval."""
    node = fields.get(key)
    if node is None:
        return None
    if isinstance(node, MapNode) and not any(node.get(one) is not None for one in ("u", "class", "e")):
        remedy = "write `u:`, the expanded uncertainty (k = 2) of one scale, or `class:` and `e:` as they stand on its plate"
        context.fault("wrong-value", node, "scales of which nothing is said", remedy=remedy)
        return None
    by_u = isinstance(node, MapNode) and node.get("u") is not None
    required, more = (("u",), ()) if by_u else (("class", "e"), ("in_service",))
    part = open_fields(node, context, key, required=required, optional=("shared", *more))
    if part is None:
        return None
    u, interval = _not_negative(part, "u", MASS, context), _positive(part, "e", MASS, context)
    accuracy, shared, in_service = part.word("class", ScaleClass), _read_share(part, "shared"), part.yes_no("in_service")
    if u is None and (interval is None or accuracy is None):
        return None
    return Scales(
        u=u,
        accuracy=accuracy,
        interval=interval,
        in_service=in_service is not False,
        shared=Fraction(1) if shared is None else shared,
    )


def _read_raised(node: Node, context: ReadingContext) -> Raised | None:
    part = open_fields(node, context, "raised", required=("axle", "by", "other"))
    if part is None:
        return None
    axle, lift, other = part.word("axle", Axle), _positive(part, "by", LENGTH, context), _positive(part, "other", MASS, context)
    return (
        None if axle is None or lift is None or other is None else Raised(axle=axle, lift=lift, other=other, place=node.place)
    )


# --- Loads, and where they are ------------------------------------------------------------------------------------------


def read_position(fields: Fields | None, key: str, context: ReadingContext) -> Position | None:
    """Three lengths in a list."""
    node = fields.get(key) if fields is not None else None
    if node is None:
        return None
    if not isinstance(node, ListNode) or len(node.items) != len(AXES):
        expected = f"three lengths: {', '.join(AXES)}, such as [1450 mm, 340 mm, 420 mm]"
        context.fault("wrong-type", node, f"{described(node)} for `{key}`", expected=expected)
        return None
    found = [read_amount_of(item, LENGTH, f"`{key}`", context, sought=False) for item in node.items]
    if any(amount is None for amount in found):
        return None
    behind, left, above = (amount for amount in found if amount is not None)
    return Position(behind=behind, left=left, above=above)


def _read_fuel(fields: Fields, context: ReadingContext) -> FuelLoad:
    part = fields.fields("fuel", optional=("at", "start", "left", "left_u")) if fields.has("fuel") else None
    return FuelLoad(
        at=read_position(part, "at", context),
        start=_not_negative(part, "start", VOLUME, context),
        left=_not_negative(part, "left", VOLUME, context),
        left_u=_not_negative(part, "left_u", VOLUME, context),
    )


def _read_places(fields: Fields, context: ReadingContext) -> tuple[BallastPlace, ...]:
    found = []
    for key, node in fields.mapping("places"):
        part = open_fields(node, context, key.text, required=("at", "most"), optional=("has", "position"))
        at, most = read_position(part, "at", context), _positive(part, "most", MASS, context)
        if part is not None and at is not None and most is not None:
            position, has = _read_ballast_position(part, context), _positive(part, "has", MASS, context)
            if has is not None and has.base > most.base:
                context.fault(
                    "wrong-value", part.place_of("has"), f"`{has}` where {most} is the most", expected="no more than `most`"
                )
            found.append(
                BallastPlace(
                    id=key.text,
                    at=at,
                    most=most,
                    has=has,
                    position=position,
                    place=node.place,
                )
            )
    return tuple(found)


def _read_ballast_position(part: Fields, context: ReadingContext) -> str:
    """What the car would state of where its ballast is, in a word of the vocabulary."""
    quantity = context.vocabulary.quantities.get("ballast.position")
    return part.choice("position", quantity.choices) if quantity is not None and part.has("position") else ""


def _read_targets(fields: Fields) -> Targets:
    part = fields.fields("targets", optional=("front", "left", "cross")) if fields.has("targets") else None
    if part is None:
        return Targets()
    return Targets(front=_read_share(part, "front"), left=_read_share(part, "left"), cross=_read_share(part, "cross"))


def _read_share(part: Fields, key: str) -> Fraction | None:
    """A share of the whole: `52 %` or `0.52`."""
    node = part.get(key)
    if node is None:
        return None
    text = node.text.strip() if isinstance(node, ScalarNode) else ""
    number = text.removesuffix("%").strip()
    share = Fraction(number) / (100 if text.endswith("%") else 1) if number.replace(".", "", 1).isdecimal() else None
    if share is None or share > 1:
        part.report.fault(
            "wrong-value", node, f"{described(node)} for `{key}`", expected="a share from 0 % to 100 %, such as 52 %"
        )
        return None
    return share


# --- The air --------------------------------------------------------------------------------------------------------------


def _read_air(fields: Fields, context: ReadingContext) -> Air:
    part = fields.fields("air", required=("speeds",), optional=("drag", "height", "downforce")) if fields.has("air") else None
    if part is None:
        return Air()
    surfaces = []
    for key, node in part.mapping("downforce"):
        surface = open_fields(node, context, key.text, required=("area", "at"))
        area, at = (_amount(surface, name, unit, context) for name, unit in (("area", AREA), ("at", LENGTH)))
        if area is not None and at is not None:
            surfaces.append(Surface(id=key.text, area=area, at=at))
    speeds = (_sized(node, "speeds", SPEED, context) for node in part.items("speeds"))
    if part.has("drag") is not part.has("height"):
        lacks = "height" if part.has("drag") else "drag"
        context.fault("missing-key", part.place, f"air without `{lacks}`", remedy=f"add `{lacks}:`: drag counts where it acts")
    return Air(
        drag=_not_negative(part, "drag", AREA, context),
        height=_not_negative(part, "height", LENGTH, context),
        surfaces=tuple(surfaces),
        speeds=tuple(speed for speed in speeds if speed is not None),
    )


# --- Amounts --------------------------------------------------------------------------------------------------------------


def _amount(fields: Fields | None, key: str, unit: Unit, context: ReadingContext) -> Amount | None:
    node = fields.get(key) if fields is not None else None
    return read_amount_of(node, unit, f"`{key}`", context, sought=False) if node is not None else None


def _not_negative(fields: Fields | None, key: str, unit: Unit, context: ReadingContext) -> Amount | None:
    node = fields.get(key) if fields is not None else None
    return _sized(node, key, unit, context, positive=False) if node is not None else None


def _positive(fields: Fields | None, key: str, unit: Unit, context: ReadingContext) -> Amount | None:
    node = fields.get(key) if fields is not None else None
    return _sized(node, key, unit, context) if node is not None else None


def _sized(node: Node, key: str, unit: Unit, context: ReadingContext, *, positive: bool = True) -> Amount | None:
    """An amount more than nothing, or, where that need not be `positive`, nothing too."""
    amount = read_amount_of(node, unit, f"`{key}`", context, sought=False)
    if amount is not None and (amount.number < 0 or (positive and not amount.number)):
        context.fault(
            "wrong-value", node, f"`{amount}` for `{key}`", expected="more than nothing" if positive else "no less than nothing"
        )
        return None
    return amount
