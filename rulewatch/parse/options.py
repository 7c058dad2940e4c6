"""Options under consideration for a car: `options.yaml`."""

from __future__ import annotations

from collections.abc import Iterator

from rulewatch.model.car import Option
from rulewatch.model.fault import Fault, Source
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.build import KEYS, check_names, read_build
from rulewatch.parse.fields import open_fields
from rulewatch.parse.nodes import MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.stated import read_intended, read_sheet
from rulewatch.parse.values import ReadingContext


def parse_options(source: Source, *, vocabulary: Vocabulary) -> tuple[tuple[Option, ...], tuple[Fault, ...]]:
    """A car's options in the order of its `options.yaml`; one that alters nothing readable is left out, with a fault."""
    node, faults = read_yaml(source)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None and faults:
        return (), faults
    fields = open_fields(node, context, "options.yaml", required=("options",))
    pairs = fields.mapping("options") if fields is not None else ()
    found = tuple(option for key, value in pairs for option in _read_option(key, value, context))
    check_names(pairs, context)
    return found, tuple(context.faults)


def _read_option(key: ScalarNode, node: Node, context: ReadingContext) -> Iterator[Option]:
    part = open_fields(node, context, key.text, required=("what", "alter"), optional=(*KEYS, "note"))
    if part is None:
        return
    build = read_build(part, context)
    alter = read_sheet(part, "alter", context, read_intended)
    node_of_alter = part.get("alter")
    if isinstance(node_of_alter, MapNode) and not node_of_alter.pairs:
        context.fault("wrong-value", node_of_alter, "an empty mapping for `alter`", expected="what the car would state then")
    if alter:
        yield Option(
            id=key.text, what=part.text("what") or key.text, alter=alter, build=build, note=part.text("note"), place=key.place
        )
