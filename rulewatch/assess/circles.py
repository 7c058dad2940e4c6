"""Circles: clauses that replace each other, or themselves, so that none of them can be said to stand."""

from __future__ import annotations

from collections.abc import Collection, Mapping


def in_circles(replaces: Mapping[str, Collection[str]]) -> frozenset[tuple[str, str]]:
    """The pairs (replacing, replaced) from whose second clause a way leads back to the first."""
    return frozenset(
        (clause, other) for clause, others in replaces.items() for other in others if clause in _reached(other, replaces)
    )


def _reached(start: str, replaces: Mapping[str, Collection[str]]) -> set[str]:
    found, waiting = {start}, [start]
    while waiting:
        for other in replaces.get(waiting.pop(), ()):
            if other not in found:
                found.add(other)
                waiting.append(other)
    return found
