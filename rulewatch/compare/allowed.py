"""Which cars a class's book allows, and how a change moved that: alone, inside the whole book, and all changes together.

What is the same on both sides is found without a solver; the solver is loaded for the first question that needs it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from rulewatch.compare.cells import cars_for
from rulewatch.compare.class_book import ClassBook, Parted, parted
from rulewatch.compare.formulas import Car, Formula, Value, Variable, all_of, negation, variables
from rulewatch.compare.kleene import Kleene
from rulewatch.compare.movement import (
    BOTH_WAYS,
    SAME,
    WAYS,
    Moved,
    Verdicts,
    Ways,
    broken_about,
    by_nearness,
    either_seen,
    joined,
    open_ways,
    shows,
)
from rulewatch.compare.reference import known_values
from rulewatch.compare.requirements import Builder, Requirement, truth_of
from rulewatch.compare.shelf import Both, Shelf
from rulewatch.model.car import Car as CrewCar
from rulewatch.model.change import Change, ClassEffect, Effect, Pairing, Witness
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.vocabulary import Vocabulary

if TYPE_CHECKING:
    from rulewatch.compare.moves import Moves
    from rulewatch.compare.nearest import Near, Reference
    from rulewatch.compare.search import Found, Search
    from rulewatch.compare.solver import Solver


class Allowed:
    """Asks about two editions, class by class."""

    def __init__(
        self, old: Edition, new: Edition, pairings: Sequence[Pairing], vocabulary: Vocabulary, cars: Sequence[CrewCar] = ()
    ) -> None:
        self._shelf = Shelf(old, new, pairings, vocabulary)
        self._builder = Builder(speech=self._shelf.speech())
        self._cars = cars
        self._known: dict[str, dict[Variable, Value | None]] = {}
        self._classes: dict[str, ClassBook] = {}
        self._moves: dict[str, Moves | None] = {}
        self._seen: dict[tuple[object, ...], Moved] = {}
        self._inside: dict[str, list[Moved]] = {}  # by class, what each change did in the whole book

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
        since = f"from {days[found.index(telling)]}" if len(days) > 1 and telling is not found[0] else ""
        return replace(telling, alone=alone, in_book=in_book, why=f"{telling.why} {since}".strip())

    def effect_alone(self, old: Sequence[Clause], new: Sequence[Clause], name: str, *, known: Effect | None = None) -> Effect:
        """The same change's effect by itself, which takes no look at the book nor at any car of the crew's."""
        days = self._shelf.phases(new)
        if known is not None and len(days) == 1:
            return known
        surroundings = (self._parted(both) for day in days for both in self._shelf.alone(old, new, name, day))
        return joined([self._moved(each, name, None, BOTH_WAYS, own=(), near=False).effect for each in surroundings])

    def _on_a_day(
        self, old: Sequence[Clause], new: Sequence[Clause], name: str, day: date | None, known: Effect | None
    ) -> Verdicts:
        class_book = self._class(name)
        sides = self._shelf.alone(old, new, name, day)
        alone, *more = [self._parted(each) for each in sides]
        book = class_book.with_change(
            self._builder.requirements(self._shelf.replaced(old, new, name, day)),
            alone_about=alone.about,
            near=bool(self.entered(name)),
        )
        if alone.same and book.same and all(each.same for each in more):
            return Verdicts(alone=Effect.SAME, in_book=Effect.SAME)
        ways = WAYS[known] if known is not None else self._ways(alone)
        alike = [list(map(id, side)) for side in (alone.before, alone.after)] == [
            list(map(id, side)) for side in (book.before, book.after)
        ]
        own = self._own(sides, (alone, *more))
        inside = self._moved(book, name, class_book, ways if alike else BOTH_WAYS, own=own)
        by_itself = self._moved(alone, name, None, ways, own=own, likely=inside)
        for each in more:
            by_itself = either_seen(by_itself, self._moved(each, name, None, self._ways(each), own=own, likely=inside))
        self._inside.setdefault(name, []).append(inside)
        if known is not None and by_itself.effect is Effect.UNDECIDED:
            by_itself = replace(by_itself, effect=known)
        masks = self._masks(by_itself, inside, book, {clause.id for clause in (*old, *new)})
        return Verdicts(
            alone=by_itself.effect,
            in_book=inside.effect,
            masked_by=masks,
            witnesses=self._witnesses(by_itself, inside, alone),
            why=by_itself.why or inside.why,
        )

    def _own(self, sides: Iterable[Both], parts: Iterable[Parted]) -> list[Variable]:
        """What a change itself speaks of: its limits and conditions, and the weight where that is about it."""
        found: set[Variable] = set()
        for both in sides:
            before, after = ({id(rule): rule for rule in book.rules} for book in (both.before, both.after))
            for key in before.keys() ^ after.keys():
                holds = self._builder.holds(before.get(key) or after[key])
                found |= variables(holds.yes, holds.no)
        for each in parts:
            for requirement in (*each.before, *each.after):
                found |= {self._builder.weight} if requirement.subject == self._builder.weight.name else requirement.about
        return sorted(found, key=lambda one: one.key)

    def _class(self, name: str) -> ClassBook:
        if name not in self._classes:
            day = self._shelf.old.edition.day
            self._classes[name] = ClassBook(
                self._builder.requirements(self._shelf.whole(self._shelf.old, name, day)), self._some
            )
        return self._classes[name]

    def _some(self, formulas: Sequence[Formula]) -> Car | None:
        """Some car on which formulas hold; None where there is none, or none was found."""
        from rulewatch.compare.solver import Answer

        car = self.solver.question(formulas).find() if formulas else {}
        return None if isinstance(car, Answer) else car

    def _parted(self, both: Both) -> Parted:
        before, after = self._builder.requirements(both.before), self._builder.requirements(both.after)
        return parted(before, after)

    def references(self, name: str, about: Iterable[Variable]) -> list[Reference]:
        """The crew's cars that are entered in a class of either book, and what is known of them."""
        from rulewatch.compare.nearest import Reference

        wanted = sorted(about, key=lambda one: one.key)
        return [Reference(name=car.id, known=self._known_of(car, wanted)) for car in self.entered(name)]

    def _known_of(self, car: CrewCar, wanted: Sequence[Variable]) -> dict[Variable, Value]:
        """What is known of a crew's car; each value is looked up once."""
        known = self._known.setdefault(car.id, {})
        missing = [one for one in wanted if one not in known]
        if missing:
            known |= {**dict.fromkeys(missing), **known_values(car, missing)}
        return {one: value for one in wanted if (value := known[one]) is not None}

    def entered(self, name: str) -> list[CrewCar]:
        """The crew's cars that are entered in a class of either book."""
        bodies = {self._shelf.old.edition.body.id, self._shelf.new.edition.body.id}
        return [car for car in self._cars if any(entry.class_name == name and entry.body in bodies for entry in car.entries)]

    def _ways(self, parts: Parted) -> Ways:
        """Whether any car may have lost, and whether any may have gained."""
        if parts.same:
            return (False, False)
        before, after = truth_of(parts.before), truth_of(parts.after)
        unsure = not before.definite or not after.definite
        search = self._search(parts.common)
        lost, gained = (
            way and (unsure or search.is_possible(claim) is not False)
            for way, claim in zip(open_ways(before, after), ((before.yes, after.no), (before.no, after.yes)), strict=True)
        )
        return (lost, gained)

    def _moved(
        self,
        parts: Parted,
        name: str,
        class_book: ClassBook | None,
        ways: Ways,
        *,
        own: Sequence[Variable],
        likely: Moved | None = None,
        near: bool = True,
    ) -> Moved:
        """How the allowed cars moved between two books; `class_book` is the whole of one, where they are whole ones.

        Only the ways that may be are looked at; a car of `likely` is tried first. Cars found are `near` to the crew's, or any.
        """
        if parts.same:
            return SAME
        near = near and bool(self.entered(name))
        about = parts.about.union(*(requirement.about for requirement in parts.common)) if near else parts.about
        references = self.references(name, about) if near else []
        sides = (parts.common, parts.before, parts.after)
        key = (
            ways,
            *((len(side), *map(id, side)) for side in sides),
            *(one.name for one in references),
            name if likely else "",
        )
        if key not in self._seen:
            from rulewatch.compare.search import Found
            from rulewatch.compare.solver import Answer

            legal, index = (class_book.car, class_book.index) if class_book is not None else (None, None)
            search = self._search(parts.common, legal, index, moves=self._moves_for(name) if near else None)
            before, after = truth_of(parts.before), truth_of(parts.after)
            claims = ((before.yes, after.no), (before.no, after.yes))
            seen = open_ways(before, after)
            ways = (ways[0] and seen[0], ways[1] and seen[1])
            known = (likely.lost, likely.gained) if likely else (None, None)
            found = tuple(
                self._found(search, claim, references, parts.common, own=own, likely=near)
                if way
                else Found(near=Answer.NONE, needed=())
                for way, claim, near in zip(ways, claims, known, strict=True)
            )
            self._seen[key] = self._as_moved(found, (search, search), before, after)
        return self._seen[key]

    def _found(
        self,
        search: Search,
        claim: tuple[Formula, Formula],
        references: Sequence[Reference],
        common: Sequence[Requirement],
        *,
        own: Sequence[Variable],
        likely: Near | None,
    ) -> Found:
        from rulewatch.compare.search import Found

        if likely is not None and shows(likely, claim, common):
            return Found(near=likely, needed=())
        return search.find(claim, references, own)

    def _search(
        self,
        requirements: Sequence[Requirement],
        legal: Car | None = None,
        index: Mapping[Variable, Sequence[Requirement]] | None = None,
        moves: Moves | None = None,
    ) -> Search:
        from rulewatch.compare.search import Search

        return Search(self.solver, self._builder.speech, requirements, legal, index, moves=moves)

    def _moves_for(self, name: str) -> Moves | None:
        """What moves the values of cars; None where no car is legal in the class's book."""
        from rulewatch.compare.moves import Moves

        legal = self._class(name).car
        if name not in self._moves:
            self._moves[name] = Moves(self._builder.speech, legal) if legal is not None else None
        return self._moves[name]

    def _as_moved(self, found: tuple[Found, ...], searches: Sequence[Search], before: Kleene, after: Kleene) -> Moved:
        from rulewatch.compare.solver import Answer

        if any(one.near is Answer.UNDECIDED for one in found):
            return Moved(effect=Effect.UNDECIDED, why="the solver's limit of work was reached")
        lost, gained = (None if isinstance(one.near, Answer) else one.near for one in found)
        if not before.definite or not after.definite:
            # A car may also turn from legal to unknown, or back, where a bound hangs on a part that it lacks.
            # Each is looked for where it can be: one that lost among the cars of before, one that gained among those of after.
            doubtful = (
                (lost, searches[0], all_of((before.yes, negation(after.yes)))),
                (gained, searches[1], all_of((negation(before.yes), after.yes))),
            )
            if any(near is None and search.is_possible([formula]) is not False for near, search, formula in doubtful):
                return Moved(effect=Effect.UNDECIDED, why="for some cars a bound hangs on a part that they lack")
        effects = {(False, False): Effect.SAME, (True, False): Effect.TIGHTENED, (False, True): Effect.LOOSENED}
        effect = effects.get((lost is not None, gained is not None), Effect.SHIFTED)
        return Moved(effect=effect, lost=lost, gained=gained, kept=tuple(one.needed for one in found))

    # --- Masks --------------------------------------------------------------------------------------------------------

    def _masks(self, alone: Moved, inside: Moved, book: Parted, own: set[str]) -> tuple[str, ...]:
        """The clauses that keep a car which gained or lost by the change alone from doing so in the whole book."""
        before, after = truth_of(book.before), truth_of(book.after)
        sides = ((alone.lost, inside.lost, before.yes, after.no), (alone.gained, inside.gained, before.no, after.yes))
        found: dict[str, None] = {}
        for (by_itself, in_book, *claim), needed in zip(sides, inside.kept, strict=False):
            if by_itself is not None and in_book is None:
                single = next((each for each in needed if self._alone_breaks(claim, each)), None)
                if single is not None:
                    found |= dict.fromkeys(single.clauses)
                    continue
                named = {str(place): each.truth.yes for place, each in enumerate(needed)}
                core = self.solver.question(claim).core(named)
                if isinstance(core, tuple):
                    found |= dict.fromkeys(clause for place in core for clause in needed[int(place)].clauses)
        return tuple(clause for clause in found if clause not in own)

    def _alone_breaks(self, claim: Sequence[Formula], one: Requirement) -> bool:
        """Whether a single requirement leaves no car for a claim, as far as that can be seen without the solver."""
        return cars_for([*claim, one.truth.yes], (), self._builder.speech) == []

    # --- Witnesses ----------------------------------------------------------------------------------------------------

    def _witness(self, near: Near, about: Iterable[Variable], *, gained: bool, alone: bool, in_book: bool) -> Witness:
        from rulewatch.compare.witness import witness

        spoken = frozenset(about)
        like = next((car for car in self._cars if car.id == near.reference), None)
        return witness(
            near,
            gained=gained,
            alone=alone,
            in_book=in_book,
            about=spoken,
            known=known_values(like, spoken) if like is not None else (),
            vocabulary=self._shelf.vocabulary,
        )

    def _witnesses(self, alone: Moved, inside: Moved, parts: Parted) -> tuple[Witness, ...]:
        found = []
        for gained in (False, True):
            by_itself, in_book = ((each.gained if gained else each.lost) for each in (alone, inside))
            for near, for_alone, for_book in (
                (in_book, in_book is by_itself, True),
                (by_itself if by_itself is not in_book else None, True, False),
            ):
                if near is not None:
                    found.append(self._witness(near, parts.about, gained=gained, alone=for_alone, in_book=for_book))
        return tuple(found)

    # --- A class as a whole -------------------------------------------------------------------------------------------

    def whole(self, name: str, unread: tuple[str, ...], reread: Sequence[Change] = ()) -> ClassEffect:
        """What all changes together do to a class, on the day of each edition; what is only read otherwise now is no change."""
        sides = [
            self._builder.requirements(self._shelf.whole(each, name, each.edition.day, reread))
            for each in (self._shelf.old, self._shelf.new)
        ]
        parts = parted(*sides)
        if parts.same:
            return ClassEffect(effect=Effect.SAME, unread=unread)
        before, after = truth_of(parts.before), truth_of(parts.after)
        references = self.references(
            name, frozenset[Variable]().union(*(each.about for side in sides for each in side.values()))
        )
        old = ClassBook(sides[0], self._some) if reread else self._class(name)
        books = (old, ClassBook(sides[1], self._some, like=old))
        searches = [
            self._search((*parts.common, *own), book.car) for own, book in zip((parts.before, parts.after), books, strict=True)
        ]
        shown = self._inside.get(name, ())
        found = tuple(
            self._best(claim, near, book) or search.find([claim], references)
            for search, claim, near, book in zip(
                searches,
                (after.no, before.no),
                ([each.lost for each in shown], [each.gained for each in shown]),
                ((*parts.common, *parts.before), (*parts.common, *parts.after)),
                strict=True,
            )
        )
        moved = self._as_moved(found, searches, before, after)
        witnesses = tuple(
            self._witness(near, broken_about(near, side), gained=gained, alone=False, in_book=True)
            for near, gained, side in ((moved.lost, False, parts.after), (moved.gained, True, parts.before))
            if near is not None
        )
        return ClassEffect(effect=moved.effect, witnesses=witnesses, unread=unread)

    def _best(self, claim: Formula, cars: Iterable[Near | None], book: Sequence[Requirement]) -> Found | None:
        """Of the cars that showed what single changes did, the nearest one that shows what they do together."""
        from rulewatch.compare.search import Found

        best = next((near for near in sorted(filter(None, cars), key=by_nearness) if shows(near, (claim,), book)), None)
        return Found(near=best, needed=()) if best is not None else None
