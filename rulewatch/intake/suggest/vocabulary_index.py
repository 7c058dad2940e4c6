"""Which entry of the vocabulary words of a text speak of, and how surely.

An entry has several names: its label and its synonyms, alone and with those of the component that it belongs to. A name counts
by how much of it the text says, rare words more than common ones, near words more than far ones.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rulewatch.intake.suggest.words import LENGTHS, MEASURE_NAMES, find_words, parts, stems
from rulewatch.model.quantity import NUMBER, Unit
from rulewatch.model.vocabulary import Component, Quantity, ValueKind, Vocabulary, ancestors

SIDES = {"front": "rear", "rear": "front"}
OWN, ABOVE, SAID = 0.6, 0.15, 0.25  # how much the own name, the component's name, and what else the text says count
OTHER_MEASURE = 0.35  # what is taken off where the text measures something else: a width for a height
WRONG_SIDE = 0.3
NEAR, BESIDE = 0.5, 0.9  # weights of words that count as near, and as beside what is looked for
LENGTH = "[length]"
WHOLE = frozenset(stems("vehicle car"))
OF_PART = 0.2  # what is taken off the size of the whole car where the text speaks of a part of it
ONLY_ONE = 0.2  # what is added where no other quantity is measured in such a unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """A word of the text by its stem: how near it is to what is looked for (1 is beside it), and where it stands.

    `start` is below zero for a word of a heading or of another clause.
    """

    stem: str
    weight: float
    start: int = -1
    end: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """An entry of the vocabulary that words may mean: its score (about 0 to 1), and the words that say it."""

    name: str
    score: float
    words: tuple[Mention, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A quantity or component with the stems of its own names and of those of its component."""

    name: str
    kind: ValueKind | None
    measure: str  # as `measure_of`; empty where it is no amount
    forms: tuple[tuple[str, ...], ...]
    above: tuple[tuple[str, ...], ...]
    bag: frozenset[str]
    measures: frozenset[str]  # what it measures, by its label
    twin: str = ""  # the same on the other axle


def measure_of(unit: Unit) -> str:
    """What a unit measures, by its dimension; shares and plain numbers, which have the same, are parted."""
    return "share" if unit.dimension == NUMBER.dimension and unit.factor != 1 else unit.dimension


@dataclass(frozen=True, kw_only=True)
class Index:
    """The vocabulary ready to be looked up."""

    vocabulary: Vocabulary

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Every quantity and component, in the vocabulary's order."""
        return tuple(self._entry(one) for one in self._named)

    @cached_property
    def _named(self) -> tuple[Quantity | Component, ...]:
        return (*self.vocabulary.quantities.values(), *self.vocabulary.components.values())

    @cached_property
    def by_name(self) -> Mapping[str, Entry]:
        """The entries by name."""
        return {entry.name: entry for entry in self.entries}

    @cached_property
    def known(self) -> frozenset[str]:
        """Every stem of a label or synonym."""
        return frozenset(one for entry in self._named for name in (entry.label, *entry.synonyms) for one in stems(name))

    @cached_property
    def rarity(self) -> Mapping[str, float]:
        """How much a stem tells: the fewer entries have it, the more."""
        counts = Counter(one for entry in self.entries for one in entry.bag)
        most = len(self.entries)
        return {one: math.log(1 + most / count) for one, count in counts.items()}

    @cached_property
    def lonely(self) -> frozenset[str]:
        """The dimensions that one quantity alone has, or one on each axle."""
        counts = Counter(entry.measure for entry in self.entries if entry.measure)
        twins = Counter(entry.measure for entry in self.entries if entry.twin)
        return frozenset(one for one, count in counts.items() if count == 1 or count == twins[one] == len(SIDES))

    def is_part(self, name: str) -> bool:
        """Whether a component is a part, and not a whole system with parts of its own: `engine` is none."""
        return "." in name or (name not in self.systems and name not in self.wholes)

    @cached_property
    def wholes(self) -> frozenset[str]:
        """The components at the top whose own sizes the vocabulary has by the same name as other things: a car, a vehicle."""
        return frozenset(name for name in self.vocabulary.components if WHOLE & set(stems(name.replace("_", " "))))

    @cached_property
    def part_words(self) -> frozenset[str]:
        """The stems in the names of parts, by which a text says which part it is about."""
        names = (entry for entry in self.entries if entry.kind is None and "." in entry.name)
        return frozenset(word for entry in names for form in entry.forms for word in form) - MEASURE_NAMES - SIDES.keys()

    @cached_property
    def systems(self) -> frozenset[str]:
        """The components at the top that have others below them."""
        return frozenset(name.partition(".")[0] for name in self.vocabulary.components if "." in name)

    @cached_property
    def holders(self) -> Mapping[str, tuple[Entry, ...]]:
        """The entries by the stems that their own names have."""
        found: dict[str, list[Entry]] = {}
        for entry in self.entries:
            for one in dict.fromkeys(one for form in entry.forms for one in form):
                found.setdefault(one, []).append(entry)
        return {one: tuple(entries) for one, entries in found.items()}

    def mentions(
        self, text: str, weight: float, start: int = 0, end: int | None = None, *, own: bool = True
    ) -> Iterator[Mention]:
        """The words of a stretch of text, joined German ones taken apart; `own` where it is the clause's own text."""
        for word in find_words(text, start, end):
            for one in parts(word.stem, self.known):
                yield Mention(stem=one, weight=weight, start=word.start if own else -1, end=word.end if own else -1)

    def look_up(
        self, mentions: Iterable[Mention], *, unit: Unit | None = None, kind: ValueKind | None = None
    ) -> tuple[Match, ...]:
        """The entries that the words may mean, the best first: quantities of what a unit measures or of a kind, else components."""
        wanted = measure_of(unit) if unit is not None else ""
        near: dict[str, Mention] = {}
        for mention in mentions:
            if mention.stem not in near or near[mention.stem].weight < mention.weight:
                near[mention.stem] = mention
        entries = {entry.name: entry for one in near for entry in self.holders.get(one, ())}
        fitting = (entry for entry in entries.values() if (entry.measure == wanted if unit is not None else entry.kind is kind))
        said = {one: self.rarity[one] * mention.weight for one, mention in near.items() if self._tells(one, mention)}
        matches = [match for entry in fitting if (match := self._match(entry, near, said)).score > 0]
        return tuple(sorted(matches, key=lambda match: -match.score))

    def _tells(self, one: str, mention: Mention) -> bool:
        return mention.weight >= NEAR and one in self.rarity

    def _match(self, entry: Entry, near: Mapping[str, Mention], said: Mapping[str, float]) -> Match:
        above = max((self._coverage(form, near) for form in entry.above), default=1.0)
        own, form = max(
            (self._coverage(form, near) * (above if MEASURE_NAMES.issuperset(form) else 1), form) for form in entry.forms
        )
        total = sum(said.values())
        shared = sum(weight for one, weight in said.items() if one in entry.bag)
        score = OWN * own + ABOVE * above + SAID * (shared / total if total else 0)
        kinds = LENGTHS if entry.measure == LENGTH else MEASURE_NAMES - LENGTHS  # an area is at most this far away
        measured = {one for one, mention in near.items() if one in kinds and mention.weight >= BESIDE}
        if measured and entry.measures and not measured & (entry.measures | set(form)):
            score -= OTHER_MEASURE
        if entry.measure in self.lonely:
            score += ONLY_ONE
        if entry.name.partition(".")[0] in self.wholes and set(form) <= MEASURE_NAMES | WHOLE and self.is_of_part(near):
            score -= OF_PART
        words = tuple(near[one] for one in dict.fromkeys((*form, *entry.bag)) if one in near and near[one].start >= 0)
        return Match(name=entry.name, score=score - self._wrong_side(entry, near), words=words)

    def is_of_part(self, near: Mapping[str, Mention]) -> bool:
        """Whether the text speaks of a part, so that the size of the whole car is hardly meant."""
        parts_said = [one for stem, one in near.items() if stem in self.part_words and one.weight >= NEAR and one.start >= 0]
        whole = [one.start for stem, one in near.items() if stem in WHOLE and one.start >= 0]
        return bool(parts_said) and not (whole and min(whole) < min(one.start for one in parts_said))

    def _wrong_side(self, entry: Entry, near: Mapping[str, Mention]) -> float:
        """What is taken off an entry of the front axle where the text speaks of the rear one, and the reverse."""
        if not entry.twin:
            return 0
        side = next(one for one in SIDES if one in entry.name.split(".") or one in entry.name)
        said = {one: near[one].weight if one in near else 0.0 for one in SIDES}
        return WRONG_SIDE if said[SIDES[side]] > said[side] else 0

    def _coverage(self, form: tuple[str, ...], near: Mapping[str, Mention]) -> float:
        """How much of a name the text says, from 0 to 1; on which axle is looked at apart."""
        return sum([share * near[one].weight for one, share in self.shares[form] if one in near])

    @cached_property
    def shares(self) -> Mapping[tuple[str, ...], tuple[tuple[str, float], ...]]:
        """How much of a name each of its words is, rare ones more."""
        return {form: self._shares(form) for entry in self.entries for form in (*entry.forms, *entry.above)}

    def _shares(self, form: tuple[str, ...]) -> tuple[tuple[str, float], ...]:
        whole = [(one, self.rarity.get(one, 1.0)) for one in form if one not in SIDES] or [(one, 1.0) for one in form]
        total = sum(rarity for _, rarity in whole)
        return tuple((one, rarity / total) for one, rarity in whole)

    # --- Entries ------------------------------------------------------------------------------------------------------

    def _entry(self, one: Quantity | Component) -> Entry:
        above = [self.vocabulary.components[name] for name in ancestors(one.name) if name in self.vocabulary.components]
        near = self._forms(above[0]) if above else ()
        forms = self._forms(one)
        measured = tuple(word for word in forms[0] if word in MEASURE_NAMES)
        if measured and isinstance(one, Quantity):
            forms = tuple(dict.fromkeys((*forms, *(tuple(dict.fromkeys((*measured, *form))) for form in near))))
        bag = {word for form in (*forms, *near) for word in form}
        bag |= {word for component in above[1:] for word in stems(component.label)}
        is_amount = isinstance(one, Quantity) and one.kind is ValueKind.AMOUNT
        return Entry(
            name=one.name,
            kind=one.kind if isinstance(one, Quantity) else None,
            measure=measure_of(one.unit or NUMBER) if isinstance(one, Quantity) and is_amount else "",
            forms=forms,
            above=near if isinstance(one, Quantity) else (),
            bag=frozenset(bag),
            measures=frozenset(measured),
            twin=self._twin(one.name),
        )

    def _forms(self, one: Quantity | Component) -> tuple[tuple[str, ...], ...]:
        found = (
            tuple(dict.fromkeys(part for word in stems(name) for part in parts(word, self.known)))
            for name in (one.label, *one.synonyms)
        )
        return tuple(dict.fromkeys(form for form in found if form)) or ((one.name,),)

    def _twin(self, name: str) -> str:
        """The name of the same thing on the other axle, if there is one."""
        for side, other in SIDES.items():
            swapped = ".".join(other.join(part.split(side)) if side in part.split("_") else part for part in name.split("."))
            if swapped != name and self.vocabulary.knows(swapped):
                return swapped
        return ""
