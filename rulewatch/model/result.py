"""What comes of a command."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from rulewatch.model.fault import Fault

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Result(Generic[T]):
    """What came of a command: its value, what is wrong, and what is worth a warning. None where it could not be worked out."""

    value: T | None
    faults: tuple[Fault, ...] = ()

    @property
    def wrong(self) -> tuple[Fault, ...]:
        """The faults that are more than warnings."""
        return tuple(fault for fault in self.faults if not fault.warning)
