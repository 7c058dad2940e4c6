"""Which cars a class's book allows, and how a change moved that: alone, inside the whole book, and all changes together.

What is the same on both sides is found without a solver; the solver is loaded for the first question that needs it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from rulewatch.compare.formulas import Car, Formula, Kleene, Variable, all_of, holds, negation
from rulewatch.compare.reference import known_values
from rulewatch.compare.requirements import Book, Builder, Requirement, truth_of
from rulewatch.compare.shelf import Both, Shelf
from rulewatch.model.car import Car as CrewCar
from rulewatch.model.change import ClassEffect, Effect, Pairing, Witness
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.vocabulary import Vocabulary

if TYPE_CHECKING:
    from rulewatch.compare.nearest import Near, Reference
    from rulewatch.compare.solver import Answer, Question, Solver


@dataclass(frozen=True, slots=True, kw_only=True)
class Parted:
    """Two books: what both ask and what only one of them asks."""

    common: tuple[Requirement, ...]
    before: tuple[Requirement, ...]
    after: tuple[Requirement, ...]

    @property
    def same(self) -> bool:
        """Whether both ask the same, word for word."""
        return not self.before and not self.after

    @property
    def about(self) -> frozenset[Variable]:
        """What the differing requirements speak of."""
        return frozenset[Variable]().union(*(each.about for each in (*self.before, *self.after)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """How the set of allowed cars moved, with a car for each way that it did."""

    effect: Effect
    lost: Near | None = None
    gained: Near | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """What a change does to a class: alone and inside the whole book, who masks it, and the cars that show it."""

    alone: Effect
    in_book: Effect
    masked_by: tuple[str, ...] = ()
    witnesses: tuple[Witness, ...] = ()
    why: str = ""


SAME = Moved(effect=Effect.SAME)


class Allowed:
    """Asks about two editions, class by class."""

    def __init__(
        self, old: Edition, new: Edition, pairings: Sequence[Pairing], vocabulary: Vocabulary, cars: Sequence[CrewCar] = ()
    ) -> None:
        self._shelf = Shelf(old, new, pairings, vocabulary)
        self._builder = Builder(speech=self._shelf.speech())
        self._cars = cars
        self._classes: dict[str, _OldBook] = {}
        self._seen: dict[tuple[object, ...], Moved] = {}

    @cached_property
    def solver(self) -> Solver:
        """The solver, loaded when it is first asked."""
        from rulewatch.compare.solver import Solver

        return Solver()

    # --- One change ---------------------------------------------------------------------------------------------------

    def effect(self, old: Sequence[Clause], new: Sequence[Clause], name: str, *, known: Effect | None = None) -> Verdicts:
        """What one change does to a class, judged on every day from which it is another; `known` is what was decided alone."""
        days = self._shelf.phases(new)
        found = [self._on_a_day(old, new, name, day, known if len(days) == 1 else None) for day in days]
        telling = next((one for one in found if one.witnesses), found[0])
        alone, in_book = (joined(one) for one in ([each.alone for each in found], [each.in_book for each in found]))
        since = f" from {days[found.index(telling)]}" if len(days) > 1 and telling is not found[0] else ""
        return replace(telling, alone=alone, in_book=in_book, why=telling.why + since)

    def _on_a_day(
        self, old: Sequence[Clause], new: Sequence[Clause], name: str, day: date | None, known: Effect | None
    ) -> Verdicts:
        class_book = self._class(name)
        alone = self._parted(self._shelf.alone(old, new, name, day))
        book = class_book.with_change(self._shelf.replaced(old, new, name, day), alone_about=alone.about)
        if alone.same and book.same:
            return Verdicts(alone=Effect.SAME, in_book=Effect.SAME)
        inside = self._moved(book, name)
        by_itself = self._moved(alone, name, likely=inside)
        if known is not None and by_itself.effect is Effect.UNDECIDED:
            by_itself = replace(by_itself, effect=known)
        masks = self._masks(by_itself, inside, book, {clause.id for clause in (*old, *new)})
        return Verdicts(
            alone=by_itself.effect,
            in_book=inside.effect,
            masked_by=masks,
            witnesses=self._witnesses(by_itself, inside, alone, class_book),
            why=by_itself.why or inside.why,
        )

    def _class(self, name: str) -> _OldBook:
        if name not in self._classes:
            day = self._shelf.old.edition.day
            self._classes[name] = _OldBook(self, self._builder.requirements(self._shelf.whole(self._shelf.old, name, day)))
        return self._classes[name]

    def requirements(self, book: Book) -> dict[tuple[object, ...], Requirement]:
        """The requirements of a book by key."""
        return self._builder.requirements(book)

    def _parted(self, both: Both) -> Parted:
        before, after = self._builder.requirements(both.before), self._builder.requirements(both.after)
        return parted(before, after)

    def references(self, name: str, about: Iterable[Variable]) -> list[Reference]:
        """The crew's cars that are entered in a class of either book, and what is known of them."""
        from rulewatch.compare.nearest import Reference

        bodies = {self._shelf.old.edition.body.id, self._shelf.new.edition.body.id}
        wanted = sorted(about, key=lambda one: one.key)
        entered = [car for car in self._cars if any(entry.class_name == name and entry.body in bodies for entry in car.entries)]
        return [Reference(name=car.id, known=known_values(car, wanted)) for car in entered]

    def _moved(self, parts: Parted, name: str, likely: Moved | None = None) -> Moved:
        """How the allowed cars moved between two books; a car of `likely` that shows it here too is taken."""
        if parts.same:
            return SAME
        before, after = truth_of(parts.before), truth_of(parts.after)
        common = [requirement.truth.yes for requirement in parts.common]
        with_sheets = frozenset().union(parts.about, *(requirement.about for requirement in parts.common))
        references = self.references(name, with_sheets)
        key = (*map(id, parts.common), 0, *map(id, parts.before), 0, *map(id, parts.after), *(one.name for one in references))
        if key not in self._seen:
            self._seen[key] = self._compared(common, before, after, references, likely)
        return self._seen[key]

    def _compared(
        self,
        common: Sequence[Formula],
        before: Kleene,
        after: Kleene,
        references: Sequence[Reference],
        likely: Moved | None,
    ) -> Moved:
        from rulewatch.compare.solver import Answer

        question = self.solver.question(common)
        lost = self._seen_in(question, common, (before.yes, after.no), references, likely.lost if likely else None)
        gained = self._seen_in(question, common, (before.no, after.yes), references, likely.gained if likely else None)
        if Answer.UNDECIDED in (lost, gained):
            return Moved(effect=Effect.UNDECIDED, why="the solver's limit of work was reached")
        shown = tuple(None if isinstance(one, Answer) else one for one in (lost, gained))
        if not before.definite or not after.definite:
            # A car may also turn from legal to unknown, or back, where a bound hangs on a part that it lacks.
            doubtful = (
                (shown[0], all_of((before.yes, negation(after.yes)))),
                (shown[1], all_of((negation(before.yes), after.yes))),
            )
            if any(near is None and question.find(formula) is not Answer.NONE for near, formula in doubtful):
                return Moved(effect=Effect.UNDECIDED, why="for some cars a bound hangs on a part that they lack")
        effects = {(False, False): Effect.SAME, (True, False): Effect.TIGHTENED, (False, True): Effect.LOOSENED}
        effect = effects.get((shown[0] is not None, shown[1] is not None), Effect.SHIFTED)
        return Moved(effect=effect, lost=shown[0], gained=shown[1])

    def _seen_in(
        self,
        question: Question,
        common: Sequence[Formula],
        claim: tuple[Formula, Formula],
        references: Sequence[Reference],
        likely: Near | None,
    ) -> Near | Answer:
        """The nearest car on which a claim can be seen, or why there is none."""
        from rulewatch.compare.nearest import nearest

        if likely is not None and _shows((*common, *claim), likely.car):
            return likely
        with question.more(*claim):
            return nearest(question, [*common, *claim], self._builder.speech, references)

    # --- Masks --------------------------------------------------------------------------------------------------------

    def _masks(self, alone: Moved, inside: Moved, book: Parted, own: set[str]) -> tuple[str, ...]:
        """The clauses that keep a car which gained or lost by the change alone from doing so in the whole book."""
        sides = (
            (alone.lost, inside.lost, truth_of(book.before).yes, truth_of(book.after).no),
            (alone.gained, inside.gained, truth_of(book.before).no, truth_of(book.after).yes),
        )
        named = {str(place): each.truth.yes for place, each in enumerate(book.common)}
        found: dict[str, None] = {}
        for by_itself, in_book, before, after in sides:
            if by_itself is None or in_book is not None or inside.effect is Effect.UNDECIDED or book.same:
                continue
            core = self.solver.question([before, after]).core(named)
            if isinstance(core, tuple):
                found |= dict.fromkeys(clause for place in core for clause in book.common[int(place)].clauses)
        return tuple(clause for clause in found if clause not in own)

    # --- Witnesses ----------------------------------------------------------------------------------------------------

    def _witnesses(self, alone: Moved, inside: Moved, parts: Parted, class_book: _OldBook) -> tuple[Witness, ...]:
        from rulewatch.compare.witness import witness

        found = []
        for gained in (False, True):
            by_itself, in_book = ((each.gained if gained else each.lost) for each in (alone, inside))
            for near, for_alone, for_book in (
                (in_book, in_book is by_itself, True),
                (by_itself if by_itself is not in_book else None, True, False),
            ):
                if near is not None:
                    found.append(
                        witness(
                            near,
                            gained=gained,
                            alone=for_alone,
                            in_book=for_book,
                            about=parts.about,
                            rest=class_book.rest if for_book else {},
                            speech=self._builder.speech,
                        )
                    )
        return tuple(found)

    # --- A class as a whole -------------------------------------------------------------------------------------------

    def whole(self, name: str, unread: tuple[str, ...]) -> ClassEffect:
        """What all changes together do to a class, on the day of each edition."""
        from rulewatch.compare.witness import witness

        books = [self._shelf.whole(side, name, side.edition.day) for side in (self._shelf.old, self._shelf.new)]
        parts = self._parted(Both(before=books[0], after=books[1]))
        moved = self._moved(parts, name)
        witnesses = tuple(
            witness(near, gained=gained, alone=False, in_book=True, about=parts.about, rest={}, speech=self._builder.speech)
            for near, gained in ((moved.lost, False), (moved.gained, True))
            if near is not None
        )
        return ClassEffect(effect=moved.effect, witnesses=witnesses, unread=unread)


class _OldBook:
    """The old book of one class, to be compared with itself after one change."""

    def __init__(self, allowed: Allowed, requirements: Mapping[tuple[object, ...], Requirement]) -> None:
        self._allowed = allowed
        self._requirements = dict(requirements)
        self._with: dict[Variable, list[Requirement]] = {}
        for requirement in self._requirements.values():
            for variable in requirement.about:
                self._with.setdefault(variable, []).append(requirement)

    @cached_property
    def _car(self) -> Car | None:
        """Some car that is legal in the old book; None where there is none, or none was found."""
        from rulewatch.compare.solver import Answer

        if not self._requirements:
            return {}
        car = self._allowed.solver.question([each.truth.yes for each in self._requirements.values()]).find()
        return None if isinstance(car, Answer) else car

    @property
    def rest(self) -> Car:
        """Values of everything in the old book on a legal car."""
        return self._car or {}

    def with_change(self, after: Book, alone_about: frozenset[Variable]) -> Parted:
        """The old book and itself after a change, cut down to what hangs together with what changed.

        Where some car is legal in the old book, what shares no quantity with the change can be met by any car, and is left out.
        """
        parts = parted(self._requirements, self._allowed.requirements(after))
        if parts.same or self._car is None:
            return parts
        common = {id(each) for each in parts.common}
        taken: dict[int, Requirement] = {}
        waiting = list(parts.about | alone_about)
        seen = set(waiting)
        while waiting:
            for requirement in self._with.get(waiting.pop(), ()):
                if id(requirement) in common and id(requirement) not in taken:
                    taken[id(requirement)] = requirement
                    waiting += requirement.about - seen
                    seen |= requirement.about
        return replace(parts, common=tuple(each for each in parts.common if id(each) in taken))


def parted(before: Mapping[tuple[object, ...], Requirement], after: Mapping[tuple[object, ...], Requirement]) -> Parted:
    """Two books with what both ask set apart: the same requirement, or one that says the same of the same subject."""
    common = [each for key, each in before.items() if key in after]
    old: dict[str, list[Requirement]] = {}
    for key, requirement in before.items():
        if key not in after:
            old.setdefault(requirement.subject, []).append(requirement)
    new: list[Requirement] = []
    for key, requirement in after.items():
        if key not in before:
            unpaired = old.get(requirement.subject, [])
            like = next((each for each in unpaired if each.truth == requirement.truth), None)
            if like is None:
                new.append(requirement)
            else:
                unpaired.remove(like)
                common.append(like)
    return Parted(common=tuple(common), before=tuple(each for left in old.values() for each in left), after=tuple(new))


def joined(effects: Sequence[Effect]) -> Effect:
    """The effects of several days as one."""
    found = set(effects) - {Effect.SAME}
    for strongest in (Effect.UNDECIDED, Effect.SHIFTED):
        if strongest in found:
            return strongest
    return Effect.SHIFTED if len(found) > 1 else next(iter(found), Effect.SAME)


def _shows(claim: Iterable[Formula], car: Car) -> bool:
    try:
        return all(holds(formula, car) for formula in claim)
    except KeyError:
        return False
