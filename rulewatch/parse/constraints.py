"""Constraints: what a quantity or component must be, and conditions made of them, from YAML nodes."""

from __future__ import annotations

from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Any,
    Condition,
    Constraint,
    Fixed,
    Linear,
    Not,
    OneOf,
    Presence,
    Range,
    Sheet,
    Test,
)
from rulewatch.model.vocabulary import Quantity, ValueKind
from rulewatch.parse.bounds import is_bound, read_bound
from rulewatch.parse.fields import Fields, fields_of, one_of, read_items, read_mapping, read_word
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode
from rulewatch.parse.values import ReadingContext, read_value, unknown_quantity

__all__ = ["ReadingContext", "read_condition", "read_constraint", "read_tests", "read_value"]

LOW, HIGH = ("min", "over"), ("max", "under")  # inclusive, strict


# --- Conditions and tests ---------------------------------------------------------------------------------------------


def read_tests(node: Node, context: ReadingContext, name: str = "limit") -> tuple[Test, ...]:
    """A mapping of quantities and components to constraints; those that are at fault are left out."""
    mapping = read_mapping(node, context, name)
    if mapping is None:
        return ()
    if not mapping.pairs:
        context.fault("wrong-value", mapping, f"nothing under `{name}`", remedy=f"leave `{name}` out, or fill it")
    tests = (_read_test(key, value, context) for key, value in mapping)
    return tuple(test for test in tests if test is not None)


def read_condition(node: Node, context: ReadingContext, name: str = "when") -> Condition | None:
    """A condition: a mapping, all of which must hold, with the reserved words `any` and `not`. None after a fault."""
    mapping = read_mapping(node, context, name)
    if mapping is None:
        return None
    if not mapping.pairs:
        context.fault("wrong-value", mapping, f"nothing under `{name}`", expected="quantities with constraints")
    parts = [_read_part(key, value, context) for key, value in mapping]
    found = tuple(part for part in parts if part is not None)
    if not found or len(found) < len(parts):
        return None
    return found[0] if len(found) == 1 else All(parts=found)


def _read_part(key: ScalarNode, value: Node, context: ReadingContext) -> Condition | None:
    if key.text == "not":
        part = read_condition(value, context, "not")
        return Not(part=part) if part is not None else None
    if key.text != "any":
        return _read_test(key, value, context)
    items = read_items(value, context, "any")
    found = tuple(part for item in items if (part := read_condition(item, context, "any")) is not None)
    return Any(parts=found) if found and len(found) == len(items) else None


def _read_test(key: ScalarNode, value: Node, context: ReadingContext) -> Test | None:
    """One test; its place is that of the name."""
    name = key.text
    constraint: Constraint | None = None
    if (quantity := context.vocabulary.quantities.get(name)) is not None:
        constraint = read_constraint(value, quantity, context)
    elif name in context.vocabulary.components:
        word = read_word(value, context, name, ("present", "absent"))
        constraint = Presence(present=word == "present") if word else None
    else:
        unknown_quantity(key, context)
    return Test(subject=name, constraint=constraint, place=key.place) if constraint is not None else None


# --- Constraints on a quantity ----------------------------------------------------------------------------------------


def read_constraint(node: Node, quantity: Quantity, context: ReadingContext) -> Constraint | None:
    """What a quantity must be; None after a fault.

    A value, one of a list, a range, a bound (which it equals), `present`, `absent`, or `standard`: as the sheet of the
    car's model has it. No choice of the vocabulary is called by one of these three words.
    """
    if isinstance(node, ListNode):
        items = read_items(node, context, quantity.name)
        values = tuple(value for item in items if (value := read_value(item, quantity, context)) is not None)
        return OneOf(values=values) if values and len(values) == len(items) else None
    if isinstance(node, MapNode):
        if not is_bound(node):
            return _read_range(node, quantity, context)
        bound = read_bound(node, quantity, context)
        return Range(low=bound, high=bound) if bound is not None else None
    if node.text in {"present", "absent"}:
        return Presence(present=node.text == "present")
    if node.text == Sheet.STANDARD:
        standard = Linear(of=quantity.name, sheet=Sheet.STANDARD)
        return Range(low=standard, high=standard)
    value = read_value(node, quantity, context)
    return OneOf(values=(value,)) if value is not None else None


def _read_range(node: MapNode, quantity: Quantity, context: ReadingContext) -> Range | None:
    before = len(context.faults)
    if quantity.kind not in {ValueKind.AMOUNT, ValueKind.DATE}:
        expected = one_of(quantity.choices) if quantity.choices else "a text"
        context.fault("wrong-type", node, f"a range for `{quantity.name}`", expected=expected)
        return None
    fields = fields_of(node, context, f"the range of `{quantity.name}`", optional=(*LOW, *HIGH))
    if not node.pairs:
        context.fault("wrong-value", node, f"an empty range for `{quantity.name}`", expected="min, over, max or under")
    _check_one_of_each(fields)
    bounds = {key.text: read_bound(value, quantity, context) for key, value in node if key.text in {*LOW, *HIGH}}
    if len(context.faults) > before:
        return None
    found = Range(
        low=bounds.get("min") or bounds.get("over"),
        high=bounds.get("max") or bounds.get("under"),
        low_strict="over" in bounds,
        high_strict="under" in bounds,
    )
    if _is_empty(found):
        low, high = (next(key for key in side if key in bounds) for side in (LOW, HIGH))
        context.fault(
            "wrong-value",
            fields.place_of(high),
            f"a range that no value is in, for `{quantity.name}`",
            expected=f"`{high}` above `{low}`",
        )
        return None
    return found


def _check_one_of_each(fields: Fields) -> None:
    for inclusive, strict in (LOW, HIGH):
        if fields.has(inclusive) and fields.has(strict):
            found = f"`{inclusive}` and `{strict}` together"
            fields.report.fault("wrong-value", fields.place_of(strict), found, remedy="keep one of the two")


def _is_empty(found: Range) -> bool:
    """Whether no value is within plain bounds; bounds that depend on the car are not looked at."""
    if not isinstance(found.low, Fixed) or not isinstance(found.high, Fixed):
        return False
    low, high = (end.value.base if isinstance(end.value, Amount) else end.value.toordinal() for end in (found.low, found.high))
    return low > high or (low == high and (found.low_strict or found.high_strict))
