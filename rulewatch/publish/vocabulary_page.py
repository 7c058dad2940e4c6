"""The vocabulary as a page of the reference, in Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from rulewatch.model.quantity import dimension_name
from rulewatch.model.vocabulary import Quantity, ValueKind, Vocabulary

INTRODUCTION = """\
# Vocabulary

These are the properties of a car that a reading, a condition or a spec can name: {quantities} quantities over {components}
components. A component may be stated `present`, `absent` or `standard`; where it is absent, so is everything under it. A quantity is
shown in the unit given here, and may be entered in any unit of the same dimension. How it is measured is common practice; what the
rule book says comes first.

A workspace adds its own in [`rulesets/vocabulary.yaml`](formats.md#vocabularyyaml).
"""


def vocabulary_page(vocabulary: Vocabulary) -> str:
    """Every component and quantity, system by system, in the vocabulary's order."""
    parts = [INTRODUCTION.format(quantities=len(vocabulary.quantities), components=len(vocabulary.components))]
    for system in dict.fromkeys(component.system for component in vocabulary.components.values()):
        parts.append(f"\n## {vocabulary.label(system)}\n\n")
        parts.extend(_components(vocabulary, system))
        parts.extend(_quantities(vocabulary, system))
    return "".join(parts)


def _components(vocabulary: Vocabulary, system: str) -> Iterator[str]:
    yield "| component | what it is | other words |\n|---|---|---|\n"
    for component in vocabulary.components.values():
        if component.system == system:
            yield f"| `{component.name}` | {_cell(component.label)} | {_cell(', '.join(component.synonyms))} |\n"


def _quantities(vocabulary: Vocabulary, system: str) -> Iterator[str]:
    quantities = [quantity for quantity in vocabulary.quantities.values() if quantity.system == system]
    if quantities:
        yield "\n| quantity | what it is | values | step | how it is measured | other words |\n|---|---|---|---|---|---|\n"
    for quantity in quantities:
        step = quantity.step or ""
        cells = (quantity.label, _values(quantity), str(step), quantity.how, ", ".join(quantity.synonyms))
        yield f"| `{quantity.name}` | {' | '.join(map(_cell, cells))} |\n"


def _values(quantity: Quantity) -> str:
    """What values a quantity takes, in words."""
    unit = quantity.unit
    if unit is not None and unit.symbol == "%":
        return "share in %"
    if unit is not None:
        name = dimension_name(unit.dimension)
        return name if not unit.symbol or name.endswith(f" in {unit.symbol}") else f"{name} in {unit.symbol}"
    return " / ".join(quantity.choices) if quantity.kind is ValueKind.CHOICE else quantity.kind.value


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
