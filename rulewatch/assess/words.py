"""Values, constraints and names of quantities in words."""

from __future__ import annotations

from datetime import date

from rulewatch.model.reading import (
    Bound,
    Constraint,
    Fixed,
    Greatest,
    Least,
    Linear,
    OneOf,
    Presence,
    Range,
    Scalar,
    Sheet,
    Steps,
)
from rulewatch.model.vocabulary import Vocabulary


def show(value: Scalar) -> str:
    """A value as a person writes it."""
    return value.isoformat() if isinstance(value, date) else str(value)


def in_a_row(names: tuple[str, ...]) -> str:
    """Names as a sentence has them: `a, b and c`."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


def named(name: str, vocabulary: Vocabulary) -> str:
    """A missing quantity's label inside a sentence; one of a reference sheet says which."""
    sheet, _, rest = name.partition(".")
    of_sheet = sheet in {Sheet.STANDARD, Sheet.HOMOLOGATED}
    return f"{vocabulary.in_sentence(rest)} of the {sheet} car" if of_sheet else vocabulary.in_sentence(name)


def in_words(constraint: Constraint) -> str:
    """A constraint in words, without looking at a car."""
    match constraint:
        case Presence():
            return "present" if constraint.present else "absent"
        case OneOf():
            return " or ".join(show(value) for value in constraint.values)
        case Range():
            if isinstance(constraint.low, Linear) and constraint.low == constraint.high:
                return bound_in_words(constraint.low)
            parts = []
            if constraint.low is not None:
                parts.append(f"{'over' if constraint.low_strict else 'at least'} {bound_in_words(constraint.low)}")
            if constraint.high is not None:
                parts.append(f"{'under' if constraint.high_strict else 'at most'} {bound_in_words(constraint.high)}")
            return " and ".join(parts)


def bound_in_words(bound: Bound) -> str:
    """A bound in words, without looking at a car."""
    match bound:
        case Fixed():
            return show(bound.value)
        case Linear():
            of = bound.of if bound.sheet == "car" else f"the {bound.sheet} {bound.of}"
            text = of if bound.rate is None else f"{bound.rate} × {of}"
            return text if bound.plus is None else f"{text} + {bound.plus}"
        case Steps():
            parts = [f"{bound_in_words(part)} up to {edge}" for edge, part in bound.steps]
            parts += [] if bound.above is None else [f"{bound_in_words(bound.above)} above"]
            return f"by {bound.by}: " + ", ".join(parts)
        case Greatest():
            return "the greatest of " + ", ".join(bound_in_words(part) for part in bound.bounds)
        case Least():
            return "the least of " + ", ".join(bound_in_words(part) for part in bound.bounds)
