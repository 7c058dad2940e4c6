"""What is other in a car's spec: two specs compared by quantity and component, with deepdiff.

Place, order, and how a value is written count for nothing: 10 in is 254 mm. How a value was taken is no part of the car.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from rulewatch.model.alteration import Difference, Kind
from rulewatch.model.car import Stated
from rulewatch.model.quantity import Amount
from rulewatch.model.vocabulary import ancestors, within


def differences(old: Mapping[str, Stated], new: Mapping[str, Stated]) -> tuple[Difference, ...]:
    """What two specs state otherwise, by name; a value that was only measured again is marked as that."""
    from deepdiff import DeepDiff

    # Two mappings with few names in common are compared by name all the same.
    def names(one: Mapping[str, object], other: Mapping[str, object]) -> set[str]:
        return set(_names(DeepDiff(one, other, view="tree", threshold_to_diff_deeper=0)))

    altered = names(_plain(old), _plain(new))
    taken = names(_taken(old), _taken(new)) - altered
    measured = {name for name in taken if name in old and name in new and new[name].measurement is not None}
    found = [_difference(name, old, new) for name in sorted(altered)]
    again = [Difference(subject=name, old=old[name], new=new[name], kind=Kind.MEASURED) for name in sorted(measured)]
    return tuple(sorted((*filter(None, found), *again), key=lambda one: one.subject))


def _difference(name: str, old: Mapping[str, Stated], new: Mapping[str, Stated]) -> Difference | None:
    """What became of one name; None where it was a part's state, and what is stated under the part tells of it."""
    was, now = _stated(name, old), _stated(name, new)
    if name in old and name in new:
        kind = Kind.ALTERED
    elif any(name in spec and _is_state(spec[name]) and _within(name, other) for spec, other in ((old, new), (new, old))):
        return None
    else:
        kind = Kind.STATED if was is None else Kind.WITHDRAWN if now is None else Kind.ALTERED
    return Difference(subject=name, old=was, new=now, kind=kind)


def _stated(name: str, spec: Mapping[str, Stated]) -> Stated | None:
    """What a spec says of a name: itself, or of the nearest part above it that is absent or standard."""
    above = (spec[part] for part in ancestors(name) if part in spec and _is_state(spec[part]))
    return spec.get(name) or next(above, None)


def _is_state(stated: Stated) -> bool:
    return stated.standard or not stated.present


def _within(name: str, spec: Mapping[str, Stated]) -> bool:
    """Whether a spec states anything under a name, there as something of its own."""
    return any(within(other, name) for other in spec)


def _names(found: Mapping[str, object]) -> Iterator[str]:
    """The names under which deepdiff found anything."""
    for levels in found.values():
        for level in levels:  # type: ignore[attr-defined]  # deepdiff has no types
            yield level.path(output_format="list")[0]


def _plain(spec: Mapping[str, Stated]) -> dict[str, tuple[str, ...]]:
    """What a spec says of the car itself, values in base units."""
    return {name: (_state(stated), *map(_value, stated.values)) for name, stated in spec.items()}


def _state(stated: Stated) -> str:
    return "standard" if stated.standard else "present" if stated.present else "absent"


def _value(value: object) -> str:
    return f"{value.base} {value.unit.dimension}" if isinstance(value, Amount) else repr(value)


def _taken(spec: Mapping[str, Stated]) -> dict[str, date | None]:
    return {name: stated.measurement.on if stated.measurement is not None else None for name, stated in spec.items()}
