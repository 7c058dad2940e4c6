"""The vocabulary's YAML: the packaged file, and a workspace's `rulesets/vocabulary.yaml` on top, which adds and never redefines."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from rulewatch.model.fault import Fault, Source
from rulewatch.model.quantity import Amount, Unit, dimension_of, find_unit, usual_unit
from rulewatch.model.units import MEASURES
from rulewatch.model.vocabulary import Component, Quantity, ValueKind, Vocabulary, ancestors
from rulewatch.parse.fields import Fields, Report, nearest, offer, open_fields, shortened
from rulewatch.parse.nodes import Node, ScalarNode, read_yaml
from rulewatch.parse.values import ReadingContext, kind_of, read_amount_of

EMPTY = Vocabulary(quantities=MappingProxyType({}), components=MappingProxyType({}))

NAME = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)*", re.ASCII)
# Words that mean something else where a name or a choice is read.
RESERVED_NAMES = frozenset({"any", "not"})
RESERVED_CHOICES = frozenset({"present", "absent", "standard"})
WORD_KINDS = {"date": ValueKind.DATE, "text": ValueKind.TEXT, "yes-no": ValueKind.CHOICE}
TYPES = (*MEASURES, *WORD_KINDS)
YES_NO = ("yes", "no")


@cache
def packaged_vocabulary() -> Vocabulary:
    """The vocabulary that is shipped with the program; a test holds it to have no fault."""
    file = files("rulewatch.data") / "vocabulary.yaml"
    vocabulary, _ = parse_vocabulary(Source(path=f"rulewatch/data/{file.name}", text=file.read_text(encoding="utf-8")))
    return vocabulary


# Of these there is no less than nothing, unless an entry says so: a rim is not −7 in wide.
SIZES = frozenset(dimension_of(name) for name in ("length", "area", "volume", "mass", "power", "number"))


def parse_vocabulary(source: Source, base: Vocabulary | None = None) -> tuple[Vocabulary, tuple[Fault, ...]]:
    """The base with what the source adds, and what is wrong with the source. An entry with a fault is left out."""
    base = base or EMPTY
    tree, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    if tree is None:
        return base, tuple(report.faults)
    fields = open_fields(tree, report, "the vocabulary", optional=("components", "quantities"))
    if fields is None:
        return base, tuple(report.faults)
    components = dict(base.components)
    for key, node in fields.mapping("components") if fields.has("components") else ():
        if component := _component(key, node, report, base, components):
            components[key.text] = component
    quantities = dict(base.quantities)
    context = ReadingContext(source=source, faults=report.faults, vocabulary=base)
    for key, node in fields.mapping("quantities") if fields.has("quantities") else ():
        if quantity := _quantity(key, node, context, base, components):
            quantities[key.text] = quantity
    return Vocabulary(quantities=quantities, components=components), tuple(report.faults)


def _component(
    key: ScalarNode, node: Node, report: Report, base: Vocabulary, components: Mapping[str, Component]
) -> Component | None:
    """A component; a system, without a dot, needs nothing above it."""
    before = len(report.faults)
    fields = open_fields(node, report, f"`{shortened(key.text)}`", required=("label",), optional=("words", "de"))
    if fields is None or not _is_free(key, report, base, components):
        return None
    if "." in key.text and not _is_declared(key, report, components):
        return None
    component = Component(
        name=key.text,
        label=fields.text("label"),
        system=key.text.partition(".")[0],
        synonyms=_synonyms(fields),
        place=key.place,
    )
    return component if len(report.faults) == before else None


def _quantity(
    key: ScalarNode, node: Node, context: ReadingContext, base: Vocabulary, components: Mapping[str, Component]
) -> Quantity | None:
    """A quantity; the component above its name must be declared."""
    before = len(context.faults)
    optional = ("type", "choices", "unit", "step", "below_zero", "words", "de", "how")
    fields = open_fields(node, context, f"`{shortened(key.text)}`", required=("label",), optional=optional)
    if fields is None or not _is_free(key, context, base, components) or not _is_declared(key, context, components):
        return None
    kind, choices = _kind(fields)
    unit = _unit(fields) if kind is ValueKind.AMOUNT else None
    step = _step(fields, unit, key.text, context) if unit is not None else None
    for name in ("unit", "step", "below_zero"):
        if kind is not ValueKind.AMOUNT and fields.has(name):
            context.fault("unknown-key", fields.place_of(name), f"`{name}` without a dimension", remedy=f"leave `{name}` out")
    quantity = Quantity(
        name=key.text,
        kind=kind,
        label=fields.text("label"),
        component=ancestors(key.text)[0],
        system=key.text.partition(".")[0],
        unit=unit,
        choices=choices,
        synonyms=_synonyms(fields),
        how=fields.text("how"),
        step=step,
        below_zero=fields.yes_no("below_zero") or unit is None or unit.dimension not in SIZES,
        place=key.place,
    )
    return quantity if len(context.faults) == before else None


# --- Names ------------------------------------------------------------------------------------------------------------


def _is_free(key: ScalarNode, report: Report, base: Vocabulary, components: Collection[str]) -> bool:
    """Whether a name is well formed and not in use, else a fault."""
    name = key.text
    if not NAME.fullmatch(name) or RESERVED_NAMES & set(name.split(".")):
        expected = "a dotted name in small letters, such as `wheels.rear.rim_width`"
        report.fault("wrong-value", key, f"the name `{shortened(name)}`", expected=expected)
        return False
    if base.knows(name) or name in components:
        whose = base.label(name) if base.knows(name) else "a component"
        remedy = "use it as it is, or choose another name"
        report.fault("name-taken", key, f"`{name}` is in the vocabulary already: {whose}", remedy=remedy)
        return False
    return True


def _is_declared(key: ScalarNode, report: Report, components: Collection[str]) -> bool:
    """Whether the component above a name is declared, else a fault."""
    above = key.text.rpartition(".")[0]
    if above in components:
        return True
    near = nearest(above, components) if above else ""
    if above:
        remedy = f"did you mean `{near}`?" if near else f"add `{above}` under `components:` first"
        report.fault("unknown-quantity", key, f"`{key.text}` under `{above}`, which is no component", remedy=remedy)
    else:
        report.fault("wrong-value", key, f"the name `{key.text}`", expected="the component that it belongs to in front of it")
    return False


# --- Values -----------------------------------------------------------------------------------------------------------


def _kind(fields: Fields) -> tuple[ValueKind, tuple[str, ...]]:
    """What values the quantity takes: exactly one of `type` and `choices`."""
    kind, choices = fields.text("type"), fields.texts("choices")
    if fields.has("type") == fields.has("choices"):
        found = "both `type` and `choices`" if fields.has("type") else "neither `type` nor `choices`"
        fields.report.fault("missing-key", fields.place, found, expected="one of the two")
    for choice in choices:
        if choice in RESERVED_CHOICES or choices.count(choice) > 1:
            why = "which means something else in a spec" if choice in RESERVED_CHOICES else "twice"
            fields.report.fault("wrong-value", fields.place_of("choices"), f"the choice `{shortened(choice)}`, {why}")
            break
    if choices or kind == "yes-no":
        return ValueKind.CHOICE, choices or YES_NO
    if kind and kind not in TYPES:
        fields.report.fault("wrong-value", fields.place_of("type"), f"the type `{shortened(kind)}`", remedy=offer(kind, TYPES))
        return ValueKind.TEXT, ()
    return WORD_KINDS.get(kind, ValueKind.AMOUNT if kind else ValueKind.TEXT), ()


def _unit(fields: Fields) -> Unit | None:
    """The unit that values are shown in: the one given, which must be of the dimension, or the usual one."""
    kind, symbol = fields.text("type"), fields.text("unit")
    if not symbol:
        return usual_unit(kind)
    unit = find_unit(symbol)
    if unit is None:
        fields.report.fault("unit-unknown", fields.place_of("unit"), f"`{shortened(symbol)}`", expected=f"a unit of {kind}")
    elif unit.dimension != dimension_of(kind):
        found = f"`{symbol}` is {kind_of(unit)}"
        fields.report.fault("wrong-dimension", fields.place_of("unit"), found, expected=f"a unit of {kind}")
        return None
    return unit


def _step(fields: Fields, unit: Unit, name: str, context: ReadingContext) -> Amount | None:
    """The size of a typical alteration, greater than nothing."""
    node = fields.get("step")
    step = read_amount_of(node, unit, name, context) if node is not None else None
    if step is not None and step.number <= 0:
        context.fault("wrong-value", fields.place_of("step"), f"`{step}`", expected="a step greater than nothing")
    return step


def _synonyms(fields: Fields) -> tuple[str, ...]:
    """Other words, English and German, each once."""
    return tuple(dict.fromkeys((*fields.texts("words"), *fields.texts("de"))))
