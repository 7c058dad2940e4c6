"""Books made of two editions: the old one, the new one, each clause of a change alone, and the old one with only that change.

An edition is shared by all classes; a rule is built once and stands in every book that has it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from rulewatch.compare.keys import amount_key, reading_key
from rulewatch.compare.requirements import covered
from rulewatch.compare.rules import Book, Closing, Number, Rule
from rulewatch.compare.statements import Speech
from rulewatch.model.change import Change, Pairing
from rulewatch.model.clause import Clause
from rulewatch.model.edition import ClosedScope, Edition
from rulewatch.model.reading import (
    All,
    Any,
    Condition,
    Linear,
    MinimumWeight,
    Not,
    Presence,
    Reading,
    Sheet,
    Test,
)
from rulewatch.model.room import Law
from rulewatch.model.vocabulary import Vocabulary, within

OLD, NEW = "old", "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class OneClass:
    """A class of an edition."""

    edition: Edition
    name: str

    def __str__(self) -> str:
        """As the command line takes it."""
        return f"{self.edition.point}:{self.name}"

    def laws(self, clauses: Iterable[str]) -> tuple[Law, ...]:
        """Clauses of this edition, as they bind this class."""
        return tuple(Law(book=str(self), clause=clause) for clause in clauses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Both:
    """The books of a class before and after a change."""

    before: Book
    after: Book


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """One edition as rules by clause, in document order, and what it closes."""

    era: str
    edition: Edition
    rules: Mapping[str, tuple[Rule, ...]]
    closings: tuple[Closing, ...]

    def of(self, ids: Iterable[str], name: str, day: date | None) -> list[Rule]:
        """The rules of some clauses that apply to a class on a day."""
        return [rule for clause in ids for rule in self.rules.get(clause, ()) if applies(rule.reading, name, day)]

    def closed_by(self, ids: Iterable[str]) -> tuple[Closing, ...]:
        """What some clauses close."""
        wanted = {(self.era, clause) for clause in ids}
        return tuple(closing for closing in self.closings if closing.clause in wanted)


def applies(reading: Reading, name: str, day: date | None) -> bool:
    """Whether a reading applies to a class on a day; without a day, whatever its dates."""
    if day is None:
        return reading.classes is None or name in reading.classes
    return reading.applies_to(name, day)


class Shelf:
    """Both editions as rules, each clause known by its old and its new number."""

    def __init__(self, old: Edition, new: Edition, pairings: Sequence[Pairing], vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self._partners: dict[Number, set[Number]] = {}
        for pairing in pairings:
            names = {(OLD, clause) for clause in pairing.old}, {(NEW, clause) for clause in pairing.new}
            for side, others in (names, reversed(names)):
                for each in side:
                    self._partners.setdefault(each, set()).update(others)
        self.old, self.new = self._side(OLD, old), self._side(NEW, new)
        self._place = _places(pairings)
        self._bare: dict[tuple[int, bool], Rule] = {}
        self._applying: dict[tuple[str, str, date | None], Mapping[str, list[Rule]]] = {}

    def speech(self) -> Speech:
        """How parts of these editions' readings become formulas."""
        readings = [rule.reading for side in (self.old, self.new) for rules in side.rules.values() for rule in rules]
        return Speech(vocabulary=self.vocabulary, tested=tested(readings, self.vocabulary))

    def _side(self, era: str, edition: Edition) -> _Side:
        rules = {
            clause.id: tuple(self._rule(era, reading, edition) for reading in edition.readings.get(clause.id, ()))
            for clause in edition.clauses
        }
        closings = tuple(self._closing(era, each) for each in edition.header.closed)
        return _Side(era=era, edition=edition, rules=rules, closings=closings)

    def _closing(self, era: str, closed: ClosedScope) -> Closing:
        if not closed.clause:
            return Closing(scope=closed.scope)
        number = (era, closed.clause)
        names = frozenset({number, *self._partners.get(number, ())})
        free = frozenset(name for test in closed.free for name in covered(test, self.vocabulary))
        return Closing(scope=closed.scope, clause=number, names=names, free=free)

    def _rule(self, era: str, reading: Reading, edition: Edition) -> Rule:
        number = (era, reading.clause)
        return Rule(
            reading=reading,
            names=frozenset({number, *self._partners.get(number, ())}),
            replaces=tuple((era, clause) for clause in reading.instead_of),
            tolerances=edition.header.tolerances,
        )

    # --- Books --------------------------------------------------------------------------------------------------------

    def whole(self, side: _Side, name: str, day: date | None, reread: Sequence[Change] = ()) -> Book:
        """All of an edition that applies to a class on a day; of what is only read otherwise now, the readings of now."""
        now = {change.old[0].id: [clause.id for clause in change.new] for change in reread} if side is self.old else {}
        past = {clause.id for change in reread for clause in change.old} if now else set()
        rules: list[Rule] = []
        for clause in side.rules:
            if clause in now:
                rules += self.new.of(now[clause], name, self.new.edition.day)
            elif clause not in past:
                rules += side.of((clause,), name, day)
        return Book(rules=tuple(rules), closings=side.closings)

    def alone(self, old: Sequence[Clause], new: Sequence[Clause], name: str, day: date | None) -> tuple[Both, ...]:
        """The clauses of a change by themselves: neither replaced nor permitted by others, and nothing else asked.

        Of closed scopes only what they permit or close is looked at. Two things mean nothing by themselves, and have others behind
        them, the same on both sides: what is added to a minimum weight has the minimums of other clauses, or any, where there are
        none; and what stands instead of other clauses has those. Behind them stand the other clauses of the old book, and, where
        these are other ones there, once more those of the new book, so that neither side is preferred.
        """
        sides = [
            (self.old, [clause.id for clause in old], self.old.edition.day),
            (self.new, [clause.id for clause in new], day),
        ]
        rules = [side.of(ids, name, when) for side, ids, when in sides]
        permitted = {
            subject
            for side in rules
            for rule in side
            for test in rule.reading.allows
            for subject in covered(test, self.vocabulary)
        }
        scopes = [closing.scope for side, ids, _ in sides for closing in side.closed_by(ids)]
        known = (*self.vocabulary.components, *self.vocabulary.quantities)
        subjects = permitted | {each for each in known if any(within(each, scope) for scope in scopes)} if scopes else permitted
        behind = [self._behind([rule for side in rules for rule in side], side, ids, name) for side, ids, _ in sides]
        if sorted(map(_said, behind[0])) == sorted(map(_said, behind[1])):
            behind = behind[:1]
        return tuple(
            Both(
                before=Book(rules=(*others, *rules[0]), closings=self.old.closings, subjects=frozenset(subjects)),
                after=Book(rules=(*others, *rules[1]), closings=self.new.closings, subjects=frozenset(subjects)),
            )
            for others in behind
        )

    def _behind(self, own: Sequence[Rule], side: _Side, ids: Sequence[str], name: str) -> list[Rule]:
        """What one book's other clauses put behind the rules of a change: minimums to add to, and what is replaced."""
        replaced = {number for rule in own for number in rule.replaces}
        adds = any(rule.reading.adder is not None for rule in own) and not any(rule.reading.minimum is not None for rule in own)
        if not replaced and not adds:
            return []
        found = [
            self._bare.setdefault((id(rule), not replaced.isdisjoint(rule.names)), _bare(rule, replaced))
            for clause, rules in self._all_applying(side, name).items()
            if clause not in ids
            for rule in rules
            if not replaced.isdisjoint(rule.names) or (adds and rule.reading.minimum is not None)
        ]
        if adds and not any(rule.reading.minimum is not None for rule in found):
            return [*found, self._any_minimum]
        return found

    @cached_property
    def _any_minimum(self) -> Rule:
        """A minimum of which nothing is known: what a sheet of the model says, whatever that is."""
        place = self.old.edition.header.place
        minimum = MinimumWeight(bound=Linear(of="car.weight", sheet=Sheet.HOMOLOGATED), place=place)
        return Rule(reading=Reading(clause="", place=place, last_line=0, minimum=minimum), names=frozenset())

    def replaced(self, old: Sequence[Clause], new: Sequence[Clause], name: str, day: date | None) -> Book:
        """The old book of a class with one change made: its new clauses, as they stand on a day, in the old ones' place."""
        gone, come = [clause.id for clause in old], [clause.id for clause in new]
        after = self._place[(NEW, come[0]) if come and not gone else (OLD, gone[0])]
        rules: list[Rule] = []
        added = self.new.of(come, name, day)
        if not after and not gone:
            rules += added
        for clause, own in self._all_applying(self.old, name).items():
            if clause not in gone:
                rules += own
            if clause == after:
                rules += added
        stays = tuple(each for each in self.old.closings if each.clause is None or each.clause[1] not in gone)
        return Book(rules=tuple(rules), closings=(*stays, *self.new.closed_by(come)))

    def _all_applying(self, side: _Side, name: str) -> Mapping[str, list[Rule]]:
        """The rules of each clause of an edition that apply to a class on the edition's day."""
        key = (side.era, name, side.edition.day)
        if key not in self._applying:
            self._applying[key] = {clause: side.of((clause,), name, side.edition.day) for clause in side.rules}
        return self._applying[key]

    def phases(self, new: Sequence[Clause]) -> list[date | None]:
        """The new edition's day, and every later one on which a reading of some clauses begins or has ended."""
        day = self.new.edition.day
        if day is None:
            return [None]
        turns = {day}
        for clause in new:
            for rule in self.new.rules.get(clause.id, ()):
                since, until = rule.reading.since, rule.reading.until
                turns |= {since} if since is not None and since > day else set()
                turns |= {date.fromordinal(until.toordinal() + 1)} if until is not None and until >= day else set()
        return [*sorted(turns)]


def _places(pairings: Sequence[Pairing]) -> dict[Number, str]:
    """Behind which old clause each pairing's new clauses go: its own first one, or what stands before an insertion."""
    found: dict[Number, str] = {}
    last = ""
    for pairing in pairings:
        if pairing.old:
            last = pairing.old[0]
            found |= {(OLD, clause): last for clause in pairing.old}
        else:
            found |= {(NEW, clause): last for clause in pairing.new}
    return found


def _bare(rule: Rule, replaced: Collection[Number]) -> Rule:
    """A rule as it stands behind others: its minimum weight, and its limits if it is replaced."""
    limits = () if rule.names.isdisjoint(replaced) else rule.reading.limits
    return replace(rule, reading=replace(rule.reading, limits=limits, allows=(), instead_of=(), adder=None), replaces=())


def _said(rule: Rule) -> str:
    """Equal for rules behind a change that ask the same under numbers of one clause."""
    return repr((reading_key(rule.reading), sorted(rule.names), [amount_key(each) for each in rule.tolerances]))


def tested(readings: Iterable[Reading], vocabulary: Vocabulary) -> frozenset[str]:
    """The quantities and systems of which some reading asks, limits or permits whether they are there."""
    tests = [
        test for reading in readings for test in (*reading.limits, *reading.allows, *_tests(reading.when)) if _is_presence(test)
    ]
    return frozenset(test.subject for test in tests if test.subject in vocabulary.quantities or "." not in test.subject)


def _is_presence(test: Test) -> bool:
    return isinstance(test.constraint, Presence)


def _tests(condition: Condition | None) -> list[Test]:
    match condition:
        case None:
            return []
        case Test():
            return [condition]
        case Not():
            return _tests(condition.part)
        case All() | Any():
            return [test for part in condition.parts for test in _tests(part)]
