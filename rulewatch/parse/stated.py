"""What is stated of a car, by quantity or component: values, presence, and how each is known.

A value that is at fault is left out, so that it counts as unknown; it is never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from rulewatch.model.car import Measurement, Stated
from rulewatch.model.quantity import NUMBER, Amount, digits
from rulewatch.model.reading import Scalar
from rulewatch.model.vocabulary import Quantity, ValueKind, ancestors
from rulewatch.parse.fields import Fields, described, open_fields, read_items
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode
from rulewatch.parse.values import ReadingContext, read_amount_of, read_condition_word, read_value, unknown_quantity

STATES = ("present", "absent", "standard")
MEASURED_KEYS = ("u", "by", "evidence")
SHEETS = ("standard", "homologated")
DECIMALS = re.compile(r"\.(\d+)")


def read_stated(name: ScalarNode, node: Node, context: ReadingContext) -> Stated | None:
    """What is stated of one quantity or component: a value, several, a state, or a mapping that says how it is known."""
    if not isinstance(node, MapNode):
        return _read_plain(name, node, context)
    if node.get("readings") is not None:
        return _read_repeated(name, node, context)
    fields = open_fields(node, context, name.text, required=("value",), optional=("on", "with", "fixed", *MEASURED_KEYS))
    stated = _read_mapped(name, fields, context)
    return _known(stated, fields, context) if fields is not None and stated is not None else None


def _known(stated: Stated, fields: Fields, context: ReadingContext, readings: tuple[tuple[Amount, ...], ...] = ()) -> Stated:
    """What is stated, with how it was taken."""
    quantity = context.vocabulary.quantities.get(stated.subject)
    measurement = _read_measurement(fields, quantity, readings, context)
    return replace(stated, measurement=measurement, fixed=fields.yes_no("fixed") or False)


def _read_repeated(name: ScalarNode, node: MapNode, context: ReadingContext) -> Stated | None:
    """A value as the mean of repeated readings, of each instance where they stand in a list of lists."""
    fields = open_fields(node, context, name.text, required=("readings", "on"), optional=("with", "fixed", *MEASURED_KEYS))
    given = fields.get("readings") if fields is not None and fields.has("on") else None
    if fields is None or given is None:
        return None
    quantity = context.vocabulary.quantities.get(name.text)
    if quantity is None or quantity.kind is not ValueKind.AMOUNT:
        context.fault("wrong-value", given, f"readings of `{name.text}`", remedy="state a `value`: it is no amount")
        return None
    of_each = isinstance(given, ListNode) and any(isinstance(item, ListNode) for item in given.items)
    lists = given.items if isinstance(given, ListNode) and of_each else (given,)
    readings = tuple(_read_sizes(one, quantity, context) for one in lists)
    if not readings or not all(readings):
        return None
    stated = _read_conditions(Stated(subject=name.text, place=name.place, values=tuple(map(_mean, readings))), fields, context)
    return _known(stated, fields, context, readings)


def _read_sizes(node: Node, quantity: Quantity, context: ReadingContext) -> tuple[Amount, ...]:
    """The readings of one instance; empty where one of them is at fault."""
    items = read_items(node, context, quantity.name)
    values = [value for item in items if isinstance(value := _read_size(item, quantity, context), Amount)]
    return tuple(values) if len(values) == len(items) else ()


def _mean(readings: Sequence[Amount]) -> Amount:
    """What several readings come to, in the unit of the first; shown with one place more than they have."""
    unit = readings[0].unit
    number = sum((one.to(unit).number for one in readings), Fraction(0)) / len(readings)
    places = max(len(found[1]) if (found := DECIMALS.search(one.printed)) else 0 for one in readings)
    return Amount(number=number, unit=unit, printed=f"{digits(number, places + 1)} {unit.symbol}".strip())


def read_intended(name: ScalarNode, node: Node, context: ReadingContext) -> Stated | None:
    """What would be stated of one quantity or component: the same, but that nothing is known of how it was taken."""
    if not isinstance(node, MapNode):
        return _read_plain(name, node, context)
    return _read_mapped(name, open_fields(node, context, name.text, required=("value",), optional=("with",)), context)


def read_sheet(
    fields: Fields,
    key: str,
    context: ReadingContext,
    read: Callable[[ScalarNode, Node, ReadingContext], Stated | None] = read_stated,
) -> Mapping[str, Stated]:
    """A spec, a reference sheet or the values of an option: what it states by quantity or component."""
    found: dict[str, Stated] = {}
    for name, node in fields.mapping(key):
        if not context.vocabulary.knows(name.text):
            unknown_quantity(name, context)
            continue
        before = len(context.faults)
        stated = read(name, node, context)
        if stated is not None and stated.standard and key in SHEETS:
            context.fault("wrong-value", node, f"`standard` in the sheet `{key}`", expected="what the model has")
        elif stated is not None and len(context.faults) == before:
            found[name.text] = stated
    _check_absent(found, context)
    return found


def _check_absent(sheet: Mapping[str, Stated], context: ReadingContext) -> None:
    """A component that is absent has nothing under it."""
    for name, stated in sheet.items():
        above = next((each for each in ancestors(name) if each in sheet and not sheet[each].present), None)
        if above is not None and stated.present:
            line = sheet[above].place.line
            found = f"`{name}` is stated, and `{above}` is absent (line {line})"
            context.fault("stated-of-absent", stated.place, found, remedy="correct one of the two")


def _read_mapped(name: ScalarNode, fields: Fields | None, context: ReadingContext) -> Stated | None:
    """The value of a mapping, with its conditions."""
    value = fields.get("value") if fields else None
    if fields is None or value is None:
        return None
    stated = _read_plain(name, value, context)
    return _read_conditions(stated, fields, context) if stated is not None else None


def _read_conditions(stated: Stated, fields: Fields, context: ReadingContext) -> Stated:
    """The same with what it was taken under, or is declared for."""
    conditions = tuple((key.text, read_condition_word(value, context, "with")) for key, value in fields.mapping("with"))
    return replace(stated, conditions=conditions)


def _read_plain(name: ScalarNode, node: Node, context: ReadingContext) -> Stated | None:
    """`present`, `absent` or `standard`; for a quantity also a value, or a list with one for each instance."""
    quantity = context.vocabulary.quantities.get(name.text)
    if isinstance(node, ScalarNode) and node.text in STATES:
        return Stated(subject=name.text, place=name.place, present=node.text != "absent", standard=node.text == "standard")
    if quantity is None:
        context.fault("wrong-value", node, f"{described(node)} for `{name.text}`", expected="present, absent or standard")
        return None
    values = _read_values(node, quantity, context)
    return Stated(subject=name.text, place=name.place, values=values) if values else None


def _read_values(node: Node, quantity: Quantity, context: ReadingContext) -> tuple[Scalar, ...]:
    """All values, or none after a fault in one of them."""
    items = read_items(node, context, quantity.name) if isinstance(node, ListNode) else (node,)
    values = tuple(value for item in items if (value := _read_size(item, quantity, context)) is not None)
    return values if len(values) == len(items) else ()


def _read_size(node: Node, quantity: Quantity, context: ReadingContext) -> Scalar | None:
    """One value; an amount below zero only where there can be one."""
    value = read_value(node, quantity, context)
    if isinstance(value, Amount) and value.number < 0 and not quantity.below_zero:
        context.fault("wrong-value", node, f"`{value}` for {quantity.name}", expected="nothing or more")
        return None
    return value


def _read_measurement(
    fields: Fields, quantity: Quantity | None, readings: tuple[tuple[Amount, ...], ...], context: ReadingContext
) -> Measurement | None:
    """How a value was taken; None for a value that is declared, which says nothing of that."""
    if not fields.has("on"):
        stray = next((key for key in MEASURED_KEYS if fields.has(key)), "")
        if stray or not (fields.has("fixed") or fields.has("with")):
            found = f"`{stray}` without `on`" if stray else "a mapping without `on`"
            remedy = "add the day of the measurement as `on:`, or write the value alone"
            context.fault("missing-key", fields.place_of(stray), found, remedy=remedy)
        return None
    day = fields.day("on")
    if day is None:
        return None
    return Measurement(
        on=day,
        by=fields.text("by"),
        u=_read_uncertainty(fields, quantity, context),
        evidence=fields.texts("evidence"),
        readings=readings,
    )


def _read_uncertainty(fields: Fields, quantity: Quantity | None, context: ReadingContext) -> Amount | None:
    node = fields.get("u")
    if node is None:
        return None
    if quantity is None or quantity.kind is not ValueKind.AMOUNT:
        context.fault("wrong-value", node, f"an uncertainty of `{fields.name}`", remedy="leave `u` out: it is no amount")
        return None
    amount = read_amount_of(node, quantity.unit or NUMBER, "u", context)
    if amount is not None and amount.number < 0:
        context.fault("wrong-value", node, f"`{amount}` for `u`", expected="nothing or more")
        return None
    return amount
