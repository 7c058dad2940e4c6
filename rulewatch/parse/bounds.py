"""Bounds: a value, steps of another quantity, a linear function of one, the greatest or the least of several."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from itertools import pairwise

from rulewatch.model.quantity import NUMBER, Amount, Unit, find_unit
from rulewatch.model.reading import Bound, Fixed, Greatest, Least, Linear, Sheet, Steps
from rulewatch.model.vocabulary import Quantity, ValueKind
from rulewatch.parse.fields import Fields, described, fields_of
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode
from rulewatch.parse.values import (
    KINDS,
    ReadingContext,
    kind_of,
    read_amount_of,
    read_any_amount,
    read_value,
    unknown_quantity,
)

ABOVE = "above"
STEP = "a pair such as [2000 cc, 900 kg]"


def is_bound(node: MapNode) -> bool:
    """Whether a mapping is a bound, and not a range of bounds."""
    return any(node.key(form) is not None for form in _READERS)


def read_bound(node: Node, quantity: Quantity, context: ReadingContext) -> Bound | None:
    """A bound of a quantity; None after a fault."""
    if isinstance(node, ScalarNode):
        value = read_value(node, quantity, context)
        return Fixed(value=value) if isinstance(value, (Amount, date)) else None
    if isinstance(node, MapNode):
        for form, reader in _READERS.items():
            if node.key(form) is not None:
                return reader(node, quantity, context)
    context.fault(
        "wrong-type",
        node,
        f"{described(node)} as a bound of `{quantity.name}`",
        expected="a value, or a mapping with `by`, `of`, `greatest` or `least`",
    )
    return None


def _open(node: MapNode, quantity: Quantity, context: ReadingContext, *required: str, optional: tuple[str, ...] = ()) -> Fields:
    return fields_of(node, context, f"the bound of `{quantity.name}`", required=required, optional=optional)


# --- The greatest or the least of several -----------------------------------------------------------------------------


def _read_greatest(node: MapNode, quantity: Quantity, context: ReadingContext) -> Greatest | None:
    bounds = _read_several(node, "greatest", quantity, context)
    return Greatest(bounds=bounds) if bounds else None


def _read_least(node: MapNode, quantity: Quantity, context: ReadingContext) -> Least | None:
    bounds = _read_several(node, "least", quantity, context)
    return Least(bounds=bounds) if bounds else None


def _read_several(node: MapNode, form: str, quantity: Quantity, context: ReadingContext) -> tuple[Bound, ...]:
    items = _open(node, quantity, context, form).items(form)
    bounds = tuple(bound for item in items if (bound := read_bound(item, quantity, context)) is not None)
    return bounds if len(bounds) == len(items) else ()


# --- Linear in another quantity ---------------------------------------------------------------------------------------


def _read_linear(node: MapNode, quantity: Quantity, context: ReadingContext) -> Linear | None:
    before = len(context.faults)
    fields = _open(node, quantity, context, "of", optional=("rate", "plus"))
    sheet, of = _read_of(fields, context)
    if of is not None and quantity.kind is ValueKind.AMOUNT and of.kind is ValueKind.AMOUNT:
        rate = _read_rate(fields, of, quantity, context)
        plus_node = fields.get("plus")
        plus = read_amount_of(plus_node, quantity.unit or NUMBER, "plus", context) if plus_node else None
    else:
        rate = plus = None
        if of is not None:
            _check_kinds(fields, of, quantity, context)
    if of is None or len(context.faults) > before:
        return None
    return Linear(of=of.name, sheet=sheet, rate=rate, plus=plus)


def _read_of(fields: Fields, context: ReadingContext) -> tuple[Sheet, Quantity | None]:
    """The quantity after `of`, and the sheet in front of its name; a quantity's own name goes first."""
    node = fields.get("of")
    text = fields.text("of")
    if not text or not isinstance(node, ScalarNode):
        return Sheet.CAR, None
    quantities = context.vocabulary.quantities
    prefix, _, name = text.partition(".")
    if text not in quantities and prefix in {Sheet.HOMOLOGATED, Sheet.STANDARD}:
        if name not in quantities:
            unknown_quantity(node, context, name=name)
        return Sheet(prefix), quantities.get(name)
    if text not in quantities:
        unknown_quantity(node, context)
    return Sheet.CAR, quantities.get(text)


def _read_rate(fields: Fields, of: Quantity, limited: Quantity, context: ReadingContext) -> Amount | None:
    """The rate, which times `of` must give what is limited; without one, both must be of one dimension."""
    node = fields.get("rate")
    rate = read_any_amount(node, "rate", context) if node is not None else None
    if node is not None and rate is None:
        return None
    of_unit, unit = of.unit or NUMBER, limited.unit or NUMBER
    if rate is not None and (of_unit.offset or unit.offset):
        found = f"a rate on {kind_of(of_unit)}, whose scale does not begin at nothing"
        context.fault(
            "wrong-dimension", node or fields.place, found, remedy="write the difference with `plus`, or the bound itself"
        )
        return None
    if not _rate_fits(rate.unit if rate else NUMBER, of_unit, unit):
        what = f"a rate of `{rate}` on" if rate else "without a rate,"
        context.fault(
            "wrong-dimension",
            node or fields.place,
            f"{what} {kind_of(of_unit)} ({of.name}) does not give {kind_of(unit)}",
            expected=f"{kind_of(unit)} for {limited.name}",
            remedy=f"write the rate in {unit.symbol}/{of_unit.symbol}" if unit.symbol and of_unit.symbol else "",
        )
    return rate


def _rate_fits(rate: Unit, of: Unit, limited: Unit) -> bool:
    """Whether a rate times a quantity is of the limited dimension: kg/cc of cc is kg, 90 % of mm is mm.

    A spring rate in lb/in does not give pounds, which the factor tells.
    """
    above, _, below = rate.symbol.rpartition("/")
    if not above:
        return rate.symbol in {"", "%"} and of.dimension == limited.dimension
    top, bottom = find_unit(above), find_unit(below)
    if top is None or bottom is None or rate.factor != top.factor / bottom.factor:
        return False
    return (top.dimension, bottom.dimension) == (limited.dimension, of.dimension)


def _check_kinds(fields: Fields, of: Quantity, limited: Quantity, context: ReadingContext) -> None:
    """Words and dates can be referred to, but not reckoned with."""
    if of.kind is not limited.kind:
        context.fault(
            "wrong-type",
            fields.place_of("of"),
            f"`{of.name}` is {KINDS[of.kind]}",
            expected=f"{KINDS[limited.kind]} for {limited.name}",
        )
    for key in ("rate", "plus"):
        if fields.has(key):
            context.fault(
                "wrong-value", fields.place_of(key), f"`{key}` for {KINDS[limited.kind]}", remedy=f"leave `{key}` out"
            )


# --- Steps of another quantity ----------------------------------------------------------------------------------------


def _read_steps(node: MapNode, quantity: Quantity, context: ReadingContext) -> Steps | None:
    before = len(context.faults)
    fields = _open(node, quantity, context, "by", "steps")
    by = _read_by(fields, context)
    pairs = [pair for item in fields.items("steps") if (pair := _pair(item, context)) is not None]
    above: Bound | None = None
    if pairs and _is_above(pairs[-1][0]):
        above = read_bound(pairs.pop()[1], quantity, context)
    steps = [step for edge, bound in pairs if (step := _read_step(edge, bound, by, quantity, context)) is not None]
    for ((low, _), (high, _)), (edge, _) in zip(pairwise(steps), pairs[1:], strict=False):
        if high.base <= low.base:
            context.fault("wrong-value", edge, f"`{high}` after `{low}`", expected="steps in ascending order")
    if not pairs:
        context.fault("wrong-value", fields.place_of("steps"), "no step", expected=STEP)
    if by is None or len(context.faults) > before:
        return None
    return Steps(by=by.name, steps=tuple(steps), above=above)


def _read_by(fields: Fields, context: ReadingContext) -> Quantity | None:
    node = fields.get("by")
    name = fields.text("by")
    if not name or not isinstance(node, ScalarNode):
        return None
    by = context.vocabulary.quantities.get(name)
    if by is None:
        unknown_quantity(node, context)
    elif by.kind is not ValueKind.AMOUNT:
        context.fault("wrong-type", node, f"`{name}` is {KINDS[by.kind]}", expected="an amount to make steps of")
        return None
    return by


def _pair(item: Node, context: ReadingContext) -> tuple[Node, Node] | None:
    match item:
        case ListNode(items=(edge, bound)):
            return edge, bound
    context.fault("wrong-type", item, f"{described(item)} as a step", expected=STEP)
    return None


def _is_above(edge: Node) -> bool:
    return isinstance(edge, ScalarNode) and edge.text == ABOVE


def _read_step(
    edge_node: Node, bound_node: Node, by: Quantity | None, quantity: Quantity, context: ReadingContext
) -> tuple[Amount, Bound] | None:
    bound = read_bound(bound_node, quantity, context)
    if _is_above(edge_node):
        context.fault("wrong-value", edge_node, f"`{ABOVE}` before another step", remedy="put it last")
        return None
    edge = read_amount_of(edge_node, by.unit or NUMBER, by.name, context) if by is not None else None
    return (edge, bound) if edge is not None and bound is not None else None


_READERS: Mapping[str, Callable[[MapNode, Quantity, ReadingContext], Bound | None]] = {
    "by": _read_steps,
    "of": _read_linear,
    "greatest": _read_greatest,
    "least": _read_least,
}
