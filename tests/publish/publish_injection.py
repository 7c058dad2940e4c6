"""The same text behind every word of a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from typing import Any

from rulewatch.model.quantity import Unit


def infected(value: Any, text: str) -> Any:
    """A value with the text behind every word in it, the same word always becoming the same."""
    if isinstance(value, str) and not isinstance(value, Enum):
        return f"{value}{text}" if value else value
    if isinstance(value, tuple | frozenset):
        return type(value)(infected(each, text) for each in value)
    if isinstance(value, Mapping):
        return {infected(key, text): infected(each, text) for key, each in value.items()}
    if isinstance(value, Unit):  # what it measures is our own word, and none that anybody writes
        return replace(value, symbol=infected(value.symbol, text))
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{each.name: infected(getattr(value, each.name), text) for each in fields(value)})
    return value
