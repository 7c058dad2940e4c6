"""Tracks of the calendar: how long, how bent, how high; each as straights and arcs, or as the points of a centreline."""

from __future__ import annotations

from dataclasses import dataclass, field

from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A straight of some length, or an arc: then `radius` and `turn`, the angle that it goes round."""

    length: Amount | None = None
    radius: Amount | None = None
    turn: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """A lap: `parts` in the order in which they are driven, or `points` of a closed centreline (x and y), never both.

    Without a `temperature` the air is that of the standard atmosphere at its `altitude`.
    """

    id: str
    name: str
    place: Place = field(compare=False)
    parts: tuple[Part, ...] = ()
    points: tuple[tuple[Amount, Amount], ...] = ()
    altitude: Amount | None = None
    temperature: Amount | None = None
