"""The effect of a change for each class: how the set of cars that old and new readings allow moved.

The direct comparison comes first, and settles most; everything else is compared as logic. Without a vocabulary to do so it is
*undecided*. A side without a confirmed reading is *unread*.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rulewatch.compare.direct import Editions, compared, readings_for
from rulewatch.compare.keys import condition_key
from rulewatch.model.change import Effect, Witness
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.reading import Reading

if TYPE_CHECKING:
    from rulewatch.compare.allowed import Allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """The effect for one class: of the clause alone, with the reason in words, and inside the whole book (None: not asked)."""

    effect: Effect
    why: str
    in_book: Effect | None = None
    masked_by: tuple[str, ...] = ()
    witnesses: tuple[Witness, ...] = ()


def effects(
    old: Sequence[Clause],
    new: Sequence[Clause],
    editions: Editions,
    allowed: Allowed | None = None,
    *,
    reworded: bool,
    close: bool = True,
) -> dict[str, Decided]:
    """The effect of one change for every class that both editions have; empty for classes of one side only.

    `reworded` tells whether the text changed; only then is a side without a confirmed reading *unread*. Unless it is looked at
    `close`, only the effect alone is told.
    """
    shared = shared_classes(editions.old, editions.new)
    missing = next(filter(None, (_unread(old, editions.old), _unread(new, editions.new))), "") if reworded else ""
    if missing:
        return {name: Decided(effect=Effect.UNREAD, why=missing, in_book=Effect.UNREAD) for name in shared}
    return {name: _effect(old, new, editions, allowed, name, close=close) for name in shared}


def shared_classes(old: Edition, new: Edition) -> list[str]:
    """The classes that both editions have."""
    return [name for name in new.classes if name in old.classes]


def reread_only(editions: Editions) -> dict[str, Decided]:
    """The effect of a change of words alone where the readings differ: the rule is as it was, and read otherwise."""
    why = "the words say the same; they are read otherwise"
    decided = Decided(effect=Effect.SAME, why=why, in_book=Effect.SAME)
    return dict.fromkeys(shared_classes(editions.old, editions.new), decided)


def _effect(
    old: Sequence[Clause], new: Sequence[Clause], editions: Editions, allowed: Allowed | None, name: str, *, close: bool
) -> Decided:
    direct = compared(old, new, editions, name)
    if allowed is None:
        return Decided(effect=direct.effect, why=direct.why)
    sides = readings_for(old, editions.old, name), readings_for(new, editions.new, name)
    if _asides(sides[0]) != _asides(sides[1]):
        why = "how it is measured, weighed or dated changed, which is not compared"
        return Decided(effect=Effect.UNDECIDED, why=why, in_book=Effect.UNDECIDED)
    if direct.settled and direct.effect is Effect.SAME:
        return Decided(effect=Effect.SAME, why=direct.why, in_book=Effect.SAME)
    known = direct.effect if direct.settled else None
    if not close:
        return Decided(effect=allowed.effect_alone(old, new, name, known=known), why=direct.why)
    found = allowed.effect(old, new, name, known=known)
    unsaid = "the readings allow the same cars" if found.alone is Effect.SAME else ""  # else the witnesses say it
    return Decided(
        effect=found.alone,
        why=direct.why if direct.settled else found.why or unsaid,
        in_book=found.in_book,
        masked_by=found.masked_by,
        witnesses=found.witnesses,
    )


def _asides(readings: Iterable[Reading]) -> set[str]:
    """What of readings is not compared as logic, because a car's values do not tell it."""
    return {repr((part, _governed(reading))) for reading in readings for part in _untold(reading)}


def _governed(reading: Reading) -> object:
    """What a reading speaks of, and when."""
    return condition_key(reading.when), sorted(reading.subjects()), reading.minimum is not None, reading.adder is not None


def _untold(reading: Reading) -> Iterator[object]:
    yield from (("measured", *condition) for condition in reading.measured)
    yield from (("dated", item.item, item.years, item.counted, item.until, item.first_year) for item in reading.dated)
    if reading.minimum is not None and reading.minimum.with_driver is not None:
        yield ("with driver", reading.minimum.with_driver)


def unread_clauses(edition: Edition) -> tuple[str, ...]:
    """The clauses that ask for a confirmed reading and have none; a heading that only holds others asks for none."""
    missing = {clause.id for clause in edition.unread}
    return tuple(
        clause.id
        for clause in edition.clauses
        if clause.id in missing or (edition.readings.get(clause.id) and _unread([clause], edition))
    )


def _unread(clauses: Sequence[Clause], edition: Edition) -> str:
    for clause in clauses:
        readings = edition.readings.get(clause.id, ())
        if not readings and not edition.only_holds(clause):
            return f"{clause.id} of {edition.header.season or edition.point} has no reading"
        if any(not reading.is_confirmed(clause.digest) for reading in readings):
            return f"the reading of {clause.id} of {edition.header.season or edition.point} is not confirmed"
        if any(reading.leaves_car_open for reading in readings):
            return f"a question about {clause.id} of {edition.header.season or edition.point} is not answered"
    return ""
