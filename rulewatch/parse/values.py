"""Values: what a YAML scalar says for a quantity of the vocabulary: an amount, a word, a date.

Units are checked for their dimension, words against the quantity's choices. `10 kg` is no rim width.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from rulewatch.model.amounts import YAML_NUMBERS, read_amount
from rulewatch.model.quantity import NUMBER, Amount, Unit, dimension_name
from rulewatch.model.reading import Scalar, Written
from rulewatch.model.vocabulary import Quantity, ValueKind, Vocabulary
from rulewatch.parse.fields import NO, YES, Report, described, nearest, read_date, read_text, read_word, shortened
from rulewatch.parse.nodes import Node, ScalarNode

KINDS = {
    ValueKind.AMOUNT: "an amount",
    ValueKind.CHOICE: "a word of a list",
    ValueKind.DATE: "a date",
    ValueKind.TEXT: "a text",
}
SIGN = re.compile(r"^(?:±|\+/-|\+-)\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingContext(Report):
    """A report that knows the vocabulary. `numbers` collects every number read for a rule, with its place."""

    vocabulary: Vocabulary
    numbers: list[Written] = field(default_factory=list)


def read_value(node: Node, quantity: Quantity, context: ReadingContext) -> Scalar | None:
    """One value of a quantity; None after a fault."""
    match quantity.kind:
        case ValueKind.AMOUNT:
            return read_amount_of(node, quantity.unit or NUMBER, quantity.name, context)
        case ValueKind.DATE:
            day = read_date(node, context, quantity.name)
            if day is not None:
                context.numbers.append(Written(value=day, place=node.place))
            return day
        case ValueKind.CHOICE:
            return _read_choice(node, quantity, context)
        case ValueKind.TEXT:
            return read_text(node, context, quantity.name)


def read_amount_of(node: Node, unit: Unit, name: str, context: ReadingContext, *, sought: bool = True) -> Amount | None:
    """An amount of the dimension of `unit`, in any unit of it."""
    amount = read_any_amount(node, name, context, sought=sought)
    if amount is None:
        return None
    wanted = f"{kind_of(unit)} for {name}"
    if amount.unit == NUMBER and unit.symbol:
        context.fault(
            "unit-missing",
            node,
            f"`{amount}` without a unit",
            expected=wanted,
            remedy=f"write `{amount} {unit.symbol}` if that is meant",
        )
        return None
    if amount.unit.dimension != unit.dimension:
        context.fault("wrong-dimension", node, f"`{amount}` is {kind_of(amount.unit)}", expected=wanted)
        return None
    return amount


def read_any_amount(
    node: Node, name: str, context: ReadingContext, *, text: str | None = None, sought: bool = True
) -> Amount | None:
    """An amount of any dimension, added to the context's numbers.

    `text` replaces the node's own, where something was cut off it (the sign ±). `sought` as in `Written`.
    """
    if not isinstance(node, ScalarNode) or node.empty:
        context.fault("wrong-type", node, f"{described(node)} for `{name}`", expected="a number with its unit")
        return None
    written = node.text.strip() if text is None else text
    amount = read_amount(written, YAML_NUMBERS)
    if isinstance(amount, str):
        code, _, message = amount.partition(" ")
        found, _, remedy = message.partition("; ")
        context.fault(code, node, found, remedy=remedy)
        return None
    context.numbers.append(Written(value=amount, place=node.place, sought=sought))
    return amount


def read_tolerance(node: Node, context: ReadingContext) -> Amount | None:
    """A tolerance, more than nothing, with or without the sign that books print before it: `±5 mm`."""
    text = SIGN.sub("", node.text.strip()) if isinstance(node, ScalarNode) else None
    amount = read_any_amount(node, "tolerance", context, text=text)
    if amount is not None and amount.number <= 0:
        context.fault("wrong-value", node, f"`{amount}` as a tolerance", expected="more than nothing")
        return None
    return amount


def _read_choice(node: Node, quantity: Quantity, context: ReadingContext) -> str | None:
    """A word of the list; `true` and `false` are taken for yes and no where these are the choices."""
    if isinstance(node, ScalarNode) and node.text not in quantity.choices:
        for words, choice in ((YES, "yes"), (NO, "no")):
            if node.text.lower() in words and choice in quantity.choices:
                return choice
    return read_word(node, context, quantity.name, quantity.choices)


def read_condition_word(node: Node, report: Report, name: str) -> str:
    """A condition of measuring, as a car states it and a reading asks for it; YAML's `true` and `false` are yes and no."""
    text = read_text(node, report, name) or ""
    return {"true": "yes", "false": "no"}.get(text.lower(), text)


def unknown_quantity(at: ScalarNode, context: ReadingContext, *, name: str = "") -> None:
    """Report a name that the vocabulary does not have, with the nearest one that it has."""
    name = name or at.text
    near = nearest(name, (*context.vocabulary.quantities, *context.vocabulary.components))
    remedy = f"did you mean `{near}`?" if near else "correct the name, or add it to rulesets/vocabulary.yaml"
    context.fault("unknown-quantity", at, f"`{shortened(name)}` is not in the vocabulary", remedy=remedy)


def kind_of(unit: Unit) -> str:
    """What a unit measures, in words: `a length`, `an angle`, `a plain number`."""
    name = "plain number" if unit.dimension == NUMBER.dimension else dimension_name(unit.dimension)
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"
