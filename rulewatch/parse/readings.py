"""Readings: the YAML under a clause, key by key, into what it says; docs/reference/formats.md has every key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.quantity import NUMBER, Amount, Unit
from rulewatch.model.reading import (
    Answer,
    Confirmation,
    Counting,
    Dated,
    FirstYear,
    MinimumWeight,
    Reading,
    Rounding,
    Test,
    Ties,
    WeightAdder,
    Written,
)
from rulewatch.model.vocabulary import Quantity, ValueKind, Vocabulary
from rulewatch.parse.bounds import read_bound
from rulewatch.parse.clauses import ReadingBlock
from rulewatch.parse.constraints import read_condition, read_tests
from rulewatch.parse.fields import Fields, fields_of, one_of, open_fields, read_text, shortened
from rulewatch.parse.nodes import MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.values import (
    ReadingContext,
    kind_of,
    read_amount_of,
    read_any_amount,
    read_condition_word,
    read_tolerance,
    unknown_quantity,
)

# What a reading can say; the other keys tell for whom, how sure, and until when.
SAYS = (
    "limit",
    "allow",
    "instead_of",
    "weight",
    "dated",
    "tolerance",
    "measured",
    "concerns",
    "ask",
    "noted",
)
SCOPE = ("classes", "from", "until", "when")
STATE = ("answered", "confirmed")
# What happened to an item on the day that its life is counted from, and how the quantity with that day is called.
STARTS = {"manufacture": "made", "purchase": "bought", "service": "serviced", "first use": "first_used"}
ON_LABEL = "valid_until"
CONCERNS = ("paperwork", "driver", "event", "officials")
KILOGRAM = Unit(symbol="kg", dimension="[mass]")
WEIGHT = Quantity(name="car.weight", kind=ValueKind.AMOUNT, label="weight", component="car", system="car", unit=KILOGRAM)


def parse_reading(block: ReadingBlock, source: Source, *, vocabulary: Vocabulary) -> tuple[Reading | None, tuple[Fault, ...]]:
    """One reading block of a chapter or bulletin: the reading, None where anything in it is at fault, and the faults."""
    node, faults = read_yaml(source, text=block.text, first_line=block.first_line, indent=block.indent)
    context = ReadingContext(source=source, vocabulary=vocabulary, faults=list(faults))
    if node is None:
        if not faults:
            context.fault("wrong-type", block.place, "an empty reading", remedy="say what the clause asks for, or delete it")
        return None, tuple(context.faults)
    fields = open_fields(node, context, "the reading", optional=(*SAYS, *SCOPE, *STATE))
    if fields is None:
        return None, tuple(context.faults)
    reading = _read(fields, block, context)
    return (None if context.faults else reading), tuple(context.faults)


def _read(fields: Fields, block: ReadingBlock, context: ReadingContext) -> Reading:
    if not any(fields.has(key) for key in SAYS):
        context.fault("missing-key", fields.place, "a reading that says nothing", expected=f"one of {', '.join(SAYS)}")
    limits = _read_tests(fields, "limit", context)
    since, until = _read_dates(fields, context)
    when = fields.get("when")
    weight = _read_weight(fields, context)
    reading = Reading(
        clause=block.clause,
        place=block.place,
        last_line=min(
            block.first_line + len(block.text.removesuffix("\n").split("\n")), len(context.source.lines)
        ),  # the closing fence
        classes=fields.texts("classes") if fields.has("classes") else None,
        since=since,
        until=until,
        when=read_condition(when, context) if when is not None else None,
        limits=limits,
        allows=_read_tests(fields, "allow", context),
        instead_of=fields.texts("instead_of"),
        minimum=weight if isinstance(weight, MinimumWeight) else None,
        adder=weight if isinstance(weight, WeightAdder) else None,
        dated=tuple(item for node in fields.items("dated") if (item := _read_dated(node, context)) is not None),
        tolerance=_read_tolerance(fields, limits, context),
        measured=tuple(
            (key.text, read_condition_word(value, context, "measured")) for key, value in fields.mapping("measured")
        ),
        concerns=fields.choice("concerns", CONCERNS),
        ask=fields.text("ask"),
        answered=_read_answer(fields),
        noted=_read_noted(fields, context),
        confirmed=_read_confirmation(fields),
    )
    return replace(reading, numbers=tuple(context.numbers), names=tuple(_names(fields)))


def _names(fields: Fields) -> Iterator[tuple[str, Place]]:
    """What the reading names that only other files know: classes, clauses, and who confirmed it."""
    confirmed = fields.get("confirmed")
    by = confirmed.get("by") if isinstance(confirmed, MapNode) else None
    for node in (*fields.items("classes"), *fields.items("instead_of"), *((by,) if by is not None else ())):
        if isinstance(node, ScalarNode):
            yield node.text, node.place


# --- Scope and limits -------------------------------------------------------------------------------------------------


def _read_dates(fields: Fields, context: ReadingContext) -> tuple[date | None, date | None]:
    since, until = fields.day("from"), fields.day("until")
    for key, day in (("from", since), ("until", until)):
        if day is not None:  # a text may say it without a year
            context.numbers.append(Written(value=day, place=fields.place_of(key), sought=False))
    if since is not None and until is not None and until < since:
        fields.report.fault(
            "wrong-value", fields.place_of("until"), f"until {until}, from {since}", expected="an end after the start"
        )
    return since, until


def _read_tests(fields: Fields, key: str, context: ReadingContext) -> tuple[Test, ...]:
    node = fields.get(key)
    return read_tests(node, context, key) if node is not None else ()


def _read_tolerance(fields: Fields, limits: tuple[Test, ...], context: ReadingContext) -> Amount | None:
    """What the book grants on the limits beside it; of the dimension of one of them at least."""
    node = fields.get("tolerance")
    if node is None:
        return None
    amount = read_tolerance(node, context)
    if amount is None:
        return None
    quantities = context.vocabulary.quantities
    units = [quantities[test.subject].unit or NUMBER for test in limits if test.subject in quantities]
    if fields.has("weight"):
        units.append(KILOGRAM)
    if not units:
        context.fault("missing-key", node, "a tolerance without a limit", remedy="put it into the reading that has the limit")
    elif all(unit.dimension != amount.unit.dimension for unit in units):
        context.fault(
            "wrong-dimension",
            node,
            f"`{amount}` is {kind_of(amount.unit)}",
            expected=f"{kind_of(units[0])}, as the limit beside it",
        )
    return amount


# --- Weight -----------------------------------------------------------------------------------------------------------


def _read_weight(fields: Fields, context: ReadingContext) -> MinimumWeight | WeightAdder | None:
    node = fields.get("weight")
    if isinstance(node, MapNode) and node.key("add") is not None:
        return _read_adder(node, context)
    weight = fields.fields("weight", required=("minimum",), optional=("round", "adders", "with"))
    bound_node = weight.get("minimum") if weight else None
    if weight is None or bound_node is None:
        return None
    bound = read_bound(bound_node, WEIGHT, context)
    carried = weight.choice("with", ("driver", "car"))
    rounding = _read_rounding(weight, context)
    adders = weight.choice("adders", ("summed", "compounded"))
    if bound is None:
        return None
    return MinimumWeight(
        bound=bound,
        rounding=rounding,
        compounded=adders == "compounded",
        with_driver=carried == "driver" if carried else None,
        place=weight.place,
    )


def _read_rounding(weight: Fields, context: ReadingContext) -> Rounding | None:
    fields = weight.fields("round", required=("to",), optional=("ties", "at"))
    node = fields.get("to") if fields else None
    if fields is None or node is None:
        return None
    to = read_amount_of(node, KILOGRAM, "round", context, sought=False)  # "to the nearest pound" prints no number
    ties, at = fields.word("ties", Ties), fields.choice("at", ("total", "each"))
    if to is not None and to.number <= 0:
        context.fault("wrong-value", node, f"rounding to `{to}`", expected="more than nothing")
    return Rounding(to=to, ties=ties or Ties.EVEN, each=at == "each") if to else None


def _read_adder(node: MapNode, context: ReadingContext) -> WeightAdder | None:
    add = fields_of(node, context, "weight", required=("add",)).get("add")
    amount = read_any_amount(add, "add", context) if add is not None else None
    if add is None or amount is None:
        return None
    if amount.unit.symbol == "%":
        return WeightAdder(share=amount.number / 100, printed=str(amount), place=add.place)
    if amount.unit.dimension != KILOGRAM.dimension:
        context.fault(
            "wrong-dimension",
            add,
            f"`{amount}` is {kind_of(amount.unit)}",
            expected="a mass such as 20 kg, or a share such as 2.5 %",
        )
        return None
    return WeightAdder(amount=amount, printed=str(amount), place=add.place)


# --- Items with a life ------------------------------------------------------------------------------------------------


def _read_dated(node: Node, context: ReadingContext) -> Dated | None:
    fields = open_fields(node, context, "dated", required=("item", "until"), optional=("life", "from", "first_year"))
    if fields is None:
        return None
    item_node, life = fields.get("item"), fields.get("life")
    item, since, until = fields.text("item"), fields.text("from"), fields.word("until", Counting)
    if item and isinstance(item_node, ScalarNode) and not context.vocabulary.knows(item):
        unknown_quantity(item_node, context)
    years = _read_years(life, context) if life is not None else 0
    first_year = fields.word("first_year", FirstYear) or FirstYear.ON_TOP
    fits = _fits(fields, until, context)
    counted = _read_start(item, since or (ON_LABEL if until is Counting.LABEL else ""), fields, context)
    if years is None or until is None or not fits or not counted:
        return None
    return Dated(item=item, years=years, since=since, until=until, counted=counted, first_year=first_year, place=fields.place)


def _fits(fields: Fields, until: Counting | None, context: ReadingContext) -> bool:
    """Whether an item with a life says as much as its way of counting needs, and no more; reported where it does not."""
    if until is not Counting.LABEL:
        for key in (name for name in ("life", "from") if not fields.has(name)):
            context.fault("missing-key", fields.place, f"dated without `{key}`", remedy=f"add `{key}:`")
    too_much = {Counting.LABEL: ("life", "first_year"), Counting.DAY: ("first_year",)}.get(until, ()) if until else ()
    for key in filter(fields.has, too_much):
        found = f"`{key}` of what is good until {'the day on it' if until is Counting.LABEL else 'a day'}"
        remedy = "leave it out" if until is Counting.LABEL else "leave it out, or write `until: year-end`"
        context.fault("wrong-value", fields.place_of(key), found, remedy=remedy)
    return not any(map(fields.has, too_much)) and (until is Counting.LABEL or (fields.has("life") and fields.has("from")))


def _read_start(item: str, word: str, fields: Fields, context: ReadingContext) -> str:
    """The quantity with the day that a life is counted from, or ends on: by its name, or by a word for what happened that day."""
    node = fields.get("from") or fields.get("item")
    if not word or not isinstance(node, ScalarNode) or not context.vocabulary.knows(item):
        return ""
    name = word if word in context.vocabulary.quantities else f"{item}.{STARTS.get(word, word)}"
    quantity = context.vocabulary.quantities.get(name)
    if quantity is None:
        found = f"there is no quantity `{shortened(name)}`, which would have the day"
        remedy = f"write {one_of(STARTS)} or the name of one; vocabulary.yaml can add it, with `type: date`"
        context.fault("unknown-quantity", node, found, remedy=remedy)
    elif quantity.kind is not ValueKind.DATE:
        context.fault("wrong-value", node, f"`{name}` for `from`", expected="a quantity that is a date")
    else:
        return name
    return ""


def _read_years(node: Node, context: ReadingContext) -> int | None:
    text = read_text(node, context, "life")
    if text is None:
        return None
    found = re.fullmatch(r"([1-9]\d?) years?", text, re.ASCII)
    if found is None:
        context.fault("wrong-value", node, f"`{shortened(text)}` for `life`", expected="a number of years such as 5 years")
        return None
    years = int(found[1])
    context.numbers.append(Written(value=Amount(number=Fraction(years), printed=text), place=node.place))
    return years


# --- What persons said ------------------------------------------------------------------------------------------------


def _read_noted(fields: Fields, context: ReadingContext) -> tuple[Amount, ...]:
    """Amounts that the text states and the reading does not use; a plain number is taken too."""
    amounts = (read_any_amount(item, "noted", context) for item in fields.items("noted"))
    return tuple(amount for amount in amounts if amount is not None)


def _read_answer(fields: Fields) -> Answer | None:
    answer = fields.fields("answered", required=("on", "by"), optional=("ref",))
    if answer is None:
        return None
    if not fields.has("ask"):
        fields.report.fault("missing-key", answer.place, "an answer without `ask`", remedy="add the question")
    on, by, ref = answer.day("on"), answer.text("by"), answer.text("ref")
    return Answer(on=on, by=by, ref=ref) if on is not None else None


def _read_confirmation(fields: Fields) -> Confirmation | None:
    confirmed = fields.fields("confirmed", required=("by", "on", "text"))
    if confirmed is None:
        return None
    by, on, text = confirmed.text("by"), confirmed.day("on"), confirmed.text("text")
    if text and not re.fullmatch(r"[0-9a-f]{8}", text):
        fields.report.fault(
            "wrong-value",
            confirmed.place_of("text"),
            f"`{shortened(text)}` for `text`",
            expected="the eight digits that `rulewatch verify` shows",
        )
    return Confirmation(by=by, on=on, text=text) if on is not None else None
