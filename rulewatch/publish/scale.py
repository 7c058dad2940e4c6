"""The scale of a timeline's charts: where each station stands between the left and the right end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

TAIL = 0.15  # of the width, for the last station, which has no next one


def places(days: Sequence[date | None], least: float) -> tuple[float, ...]:
    """Each station's place from 0 to below 1: by its day where all are known, at least `least` apart; else all as far apart."""
    count = len(days)
    known = [day.toordinal() for day in days if day is not None]
    span = known[-1] - known[0] if known else 0
    if len(known) < count or span <= 0 or least * count > 1:
        return tuple(at / count for at in range(count))
    found: list[float] = []
    for day in known:
        wanted = (1 - max(TAIL, least)) * (day - known[0]) / span
        found.append(max(wanted, found[-1] + least) if found else 0.0)
    squeeze = min(1.0, (1 - least) / found[-1]) if found[-1] else 1.0
    return tuple(place * squeeze for place in found)


def spaced(wanted: Sequence[float], widths: Sequence[float], room: float, *, gap: float) -> Iterator[tuple[int, float]]:
    """The labels that have room, by their index, with the place of each: as wanted, or so far left that it ends within the room.

    Short labels go first, since they are those of the seasons; none comes nearer to another than the gap.
    """
    taken: list[tuple[float, float]] = []
    for at in sorted(range(len(wanted)), key=lambda one: (widths[one], one)):
        place = min(wanted[at], room - widths[at])
        end = place + widths[at]
        if place >= 0 and all(end + gap <= first or last + gap <= place for first, last in taken):
            taken.append((place, end))
            yield at, place
