"""What a change does to classes, for the terminal and for pages alike: alone and inside the whole book, with cars that show it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rulewatch.model.change import Change, ClassEffect, Comparison, Effect, Witness
from rulewatch.publish.words import EFFECTS, listed

# An effect that nothing else shows: its reason is all that there is to say.
WAITING = frozenset({Effect.UNREAD, Effect.UNDECIDED})


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectGroup:
    """The classes to which a change does the same for the same reason.

    `effect` is that of the clause alone; `in_book` the one inside the whole book where it is another, with the clauses that
    mask what the change does alone.
    """

    effect: Effect
    classes: tuple[str, ...]
    why: str = ""
    in_book: Effect | None = None
    masked_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Showing:
    """A car that shows an effect, with the classes for which it does. `masked` tells that it shows the clause alone only."""

    witness: Witness
    classes: tuple[str, ...]
    masked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeGroup:
    """The classes to which all changes together do the same, with the changed clauses left out as nobody has read them."""

    effect: Effect
    classes: tuple[str, ...]
    unread: tuple[str, ...]


def effect_groups(change: Change, *, reasons: bool = True) -> list[EffectGroup]:
    """The effects of a change, what moved before what stayed; without `reasons` only those that nothing else shows."""
    together: dict[tuple[Effect, str, Effect | None, tuple[str, ...]], list[str]] = {}
    for name, effect in change.effects.items():
        why = change.why.get(name, "") if reasons or _is_unshown(change, name, effect) else ""
        inside = change.in_book.get(name, effect)
        other = (inside, change.masked_by.get(name, ())) if inside is not effect else (None, ())
        together.setdefault((effect, why, *other), []).append(name)
    groups = [
        EffectGroup(effect=effect, classes=tuple(names), why=why, in_book=inside, masked_by=masks)
        for (effect, why, inside, masks), names in together.items()
    ]
    order = list(EFFECTS)
    return sorted(groups, key=lambda group: order.index(group.effect))


def _is_unshown(change: Change, name: str, effect: Effect) -> bool:
    return effect in WAITING or (effect is not Effect.SAME and not change.witness.get(name) and not change.values)


def showings(witnesses: Mapping[str, Sequence[Witness]], classes: Iterable[str]) -> list[Showing]:
    """The cars to show for some classes: what was lost before what was gained, one for each way and car of the crew.

    One that shows the clause alone stands back where another shows the whole book; one like no car of the crew where
    another is like one.
    """
    found: list[Showing] = []
    for gained in (False, True):
        ways = [
            (name, one)
            for name in classes
            for one in _telling([each for each in witnesses.get(name, ()) if each.gained is gained])
        ]
        together: dict[tuple[str, bool], list[tuple[str, Witness]]] = {}
        for name, one in [each for each in ways if each[1].car] or ways[:1]:
            together.setdefault((str(one), not one.in_book), []).append((name, one))
        found += [
            Showing(witness=each[0][1], classes=tuple(name for name, _ in each), masked=masked)
            for (_, masked), each in together.items()
        ]
    return found


def _telling(found: Sequence[Witness]) -> Sequence[Witness]:
    return [one for one in found if one.in_book] or found


def whole_groups(comparison: Comparison) -> list[WholeGroup]:
    """What all changes together do, classes with the same effect together."""
    together: dict[tuple[Effect, tuple[str, ...]], list[str]] = {}
    for name, whole in comparison.classes.items():
        together.setdefault((whole.effect, whole.unread), []).append(name)
    return [WholeGroup(effect=effect, classes=tuple(names), unread=unread) for (effect, unread), names in together.items()]


def whole_words(group: WholeGroup, every: Iterable[str]) -> str:
    """`tightened for every class; left out, as nobody has read them: 3.6 and 8.7`."""
    left = f"; left out, as no confirmed reading covers {'it' if len(group.unread) == 1 else 'them'}: " if group.unread else ""
    return f"{group.effect} for {classes_words(group.classes, set(every))}{left}{listed(group.unread)}"


def whole_witnesses(classes: Mapping[str, ClassEffect]) -> dict[str, tuple[Witness, ...]]:
    """The cars that show what all changes together do, by class."""
    return {name: whole.witnesses for name, whole in classes.items()}


def group_words(group: EffectGroup, every: Iterable[str]) -> str:
    """`loosened for silhouette-b, but same in the whole book: masked by 3.1 and 5.3`; `every` are all classes."""
    return "".join(_group_words(group, set(every)))


def _group_words(group: EffectGroup, every: set[str]) -> Iterator[str]:
    yield f"{group.effect} for {classes_words(group.classes, every)}"
    if group.in_book is not None:
        yield f", but {group.in_book} in the whole book"
        yield f": masked by {listed(group.masked_by)}" if group.masked_by else ""
    if group.why and group.effect is not Effect.SAME:
        yield f"; {group.why}" if group.in_book is not None else f": {group.why}"


def classes_words(names: Sequence[str], every: set[str]) -> str:
    """`every class`, or their names."""
    return "every class" if set(names) == every else listed(list(names))


def showing_words(showing: Showing, every: Iterable[str]) -> str:
    """`a car like heron with rear rim width 10.5 in was not legal and is (silhouette-a)`; no classes where there is one only."""
    masked = ", by this clause alone" if showing.masked else ""
    one_of_many = len(set(every)) > 1
    return f"{showing.witness}{masked}{f' ({listed(list(showing.classes))})' if one_of_many else ''}"
