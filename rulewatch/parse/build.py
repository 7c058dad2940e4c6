"""What an option takes and gives, in `options.yaml`: figures that are one value or three, hours by skill, parts, needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rulewatch.model.option import Build
from rulewatch.model.pace import Spanned
from rulewatch.model.quantity import Amount, Unit
from rulewatch.model.work import Estimate
from rulewatch.parse.balance import AREA, LENGTH, MASS, read_position
from rulewatch.parse.fields import Fields, offer, open_fields
from rulewatch.parse.nodes import MapNode, Node, ScalarNode
from rulewatch.parse.pace import POWER, SHARE
from rulewatch.parse.values import ReadingContext, read_amount_of
from rulewatch.parse.work import read_hours, read_money, read_parts

KEYS = (
    *("mass", "at", "power", "drag", "downforce", "downforce_at", "grip"),
    *("cost", "hours", "parts", "needs", "excludes"),
)
POINTS = ("low", "likely", "high")


def read_build(part: Fields, context: ReadingContext) -> Build:
    """What stands beside `what` and `alter`; a figure that is at fault is left out."""
    at = part.get("downforce_at")
    if part.has("at") and not part.has("mass"):
        context.fault("missing-key", part.place_of("at"), "a place without `mass`", remedy="add `mass:`, what would be there")
    return Build(
        mass=_read_range(part, "mass", MASS, context),
        at=read_position(part, "at", context),
        power=_read_range(part, "power", POWER, context),
        drag=_read_range(part, "drag", AREA, context),
        downforce=_read_range(part, "downforce", AREA, context),
        downforce_at=read_amount_of(at, LENGTH, "`downforce_at`", context, sought=False) if at is not None else None,
        grip=_read_range(part, "grip", SHARE, context),
        cost=read_money(part, "cost"),
        hours=_read_hours(part),
        parts=read_parts(part) if part.has("parts") else (),
        needs=part.texts("needs") if part.has("needs") else (),
        excludes=part.texts("excludes") if part.has("excludes") else (),
    )


def _read_hours(part: Fields) -> Mapping[str, Estimate]:
    """Hours by skill."""
    pairs = part.mapping("hours") if part.has("hours") else ()
    inner = part.fields("hours", optional=[key.text for key, _ in pairs]) if pairs else None
    if inner is None:
        return {}
    found = {key.text: read_hours(inner, key.text) for key, _ in pairs}
    return {skill: hours for skill, hours in found.items() if hours is not None}


def _read_range(part: Fields, key: str, unit: Unit, context: ReadingContext) -> Spanned | None:
    """An amount that may be below zero; or the least that it may be, what it most likely is, and the most."""
    node = part.get(key)
    if node is None:
        return None
    if not isinstance(node, MapNode):
        amount = read_amount_of(node, unit, f"`{key}`", context, sought=False)
        return Spanned(low=amount, likely=amount, high=amount) if amount is not None else None
    inner = open_fields(node, context, key, required=POINTS)
    found = [_point(inner, name, unit, context) for name in POINTS] if inner is not None else [None]
    low, likely, high = (found * 3)[:3]
    if low is None or likely is None or high is None:
        return None
    if not low.base <= likely.base <= high.base:
        context.fault("wrong-value", node, f"{low}, {likely}, {high} for `{key}`", expected="three that do not fall")
        return None
    return Spanned(low=low, likely=likely, high=high)


def _point(inner: Fields, name: str, unit: Unit, context: ReadingContext) -> Amount | None:
    node = inner.get(name)
    return read_amount_of(node, unit, f"`{name}`", context, sought=False) if node is not None else None


def check_names(named: Sequence[tuple[ScalarNode, Node]], context: ReadingContext) -> None:
    """Every option that another one needs or excludes is there, and is not that one itself."""
    ids = [key.text for key, _ in named]
    for key, node in named:
        for item in _named_by(node):
            if item.text == key.text:
                context.fault("wrong-value", item, f"`{key.text}` names itself", expected="another option")
            elif item.text not in ids:
                context.fault("unknown-option", item, f"there is no option `{item.text}`", remedy=offer(item.text, ids))


def _named_by(node: Node) -> Iterator[ScalarNode]:
    for word in ("needs", "excludes"):
        value = node.get(word) if isinstance(node, MapNode) else None
        items = getattr(value, "items", (value,))
        yield from (item for item in items if isinstance(item, ScalarNode))
