"""A change of a text by whole lines."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Splice:
    """`lines` in the place of `count` lines from `line` on (from 1); where none are taken, in front of that line."""

    line: int
    lines: tuple[str, ...]
    count: int = 0
