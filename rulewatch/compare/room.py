"""Two classes at once, and one class in itself: what a legal car can be, and which clauses leave none."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rulewatch.compare.effect import unread_clauses
from rulewatch.compare.formulas import Formula, Has, Is, Relation, Sort, Variable, all_of, any_of, compare, negation, number
from rulewatch.compare.regions import Interval, bounds
from rulewatch.compare.requirements import Builder, Requirement
from rulewatch.compare.shelf import OneClass, Shelf
from rulewatch.compare.solver import Answer, Question, Solver
from rulewatch.compare.statements import Speech, base_of
from rulewatch.compare.witness import scalar
from rulewatch.model.reading import OneOf, Reading, Scalar, Sheet
from rulewatch.model.room import Contradiction, End, Law, Room, SharedRoom
from rulewatch.model.vocabulary import Vocabulary, ancestors


def shared_room(first: OneClass, second: OneClass, vocabulary: Vocabulary) -> SharedRoom:
    """The room of a car that is legal in both classes."""
    asked = _Asked((first, second), vocabulary)
    conflict = asked.conflict()
    return SharedRoom(
        first=str(first),
        second=str(second),
        rooms=tuple(asked.rooms()) if conflict is None else (),
        conflict=conflict if isinstance(conflict, tuple) else (),
        unread=tuple(law for each in (first, second) for law in each.laws(unread_clauses(each.edition))),
        undecided=isinstance(conflict, Answer),
    )


def contradiction(one: OneClass, vocabulary: Vocabulary) -> Contradiction:
    """The clauses of a class that contradict each other, if any do."""
    found = _Asked((one,), vocabulary).conflict()
    return Contradiction(
        name=str(one),
        laws=found if isinstance(found, tuple) else (),
        unread=one.laws(unread_clauses(one.edition)),
        undecided=isinstance(found, Answer),
    )


class _Asked:
    """Everything that one or two classes ask of a car."""

    def __init__(self, classes: Sequence[OneClass], vocabulary: Vocabulary) -> None:
        shelf = Shelf(classes[0].edition, classes[-1].edition, (), vocabulary)
        self._builder = Builder(speech=shelf.speech())
        self._solver = Solver()
        self._laws: dict[str, tuple[Law, ...]] = {}
        self._asks: dict[str, Requirement] = {}
        self._lists: dict[str, list[OneOf]] = {}
        sides = (shelf.old, shelf.new)[: len(classes)]
        for one, side in zip(classes, sides, strict=True):
            book = shelf.whole(side, one.name, side.edition.day)
            for rule in book.rules:
                self._note_lists(rule.reading)
            for requirement in self._builder.requirements(book).values():
                key = str(len(self._asks))
                self._asks[key], self._laws[key] = requirement, one.laws(requirement.clauses)

    def _note_lists(self, reading: Reading) -> None:
        for test in (*reading.limits, *reading.allows):
            if isinstance(test.constraint, OneOf):
                self._lists.setdefault(test.subject, []).append(test.constraint)

    @property
    def speech(self) -> Speech:
        """How parts of the readings became formulas."""
        return self._builder.speech

    def named(self, keys: Iterable[str]) -> dict[str, Formula]:
        """What some requirements ask."""
        return {key: self._asks[key].truth.yes for key in keys}

    def _laws_of(self, keys: Iterable[str]) -> tuple[Law, ...]:
        return tuple(dict.fromkeys(law for key in keys for law in self._laws[key]))

    def conflict(self) -> tuple[Law, ...] | Answer | None:
        """A smallest set of clauses that no car meets; None where some car meets all."""
        named = self.named(self._asks)
        car = self._solver.question(list(named.values())).find()
        if not isinstance(car, Answer):
            return None
        core = self._solver.question([]).core(named) if car is Answer.NONE else car
        return core if isinstance(core, Answer) else self._laws_of(core)

    # --- Room ---------------------------------------------------------------------------------------------------------

    def rooms(self) -> Iterator[Room]:
        """The room of everything that some clause bounds, by name."""
        found: dict[str, Room] = {}
        for keys in self._groups():
            about = frozenset[Variable]().union(*(self._asks[key].about for key in keys))
            group = _Group(self, keys, self._solver.question(list(self.named(keys).values())))
            for variable in sorted(about, key=lambda one: one.key):
                room = group.room(variable) if variable.sheet is Sheet.CAR else None
                if room is not None:
                    found[variable.key] = room
        yield from (found[key] for key in sorted(found))

    def _groups(self) -> list[list[str]]:
        """What hangs together by the quantities that it speaks of; one group bounds nothing of another."""
        group_of: dict[Variable, int] = {}
        groups: dict[int, list[str]] = {}
        for place, (key, requirement) in enumerate(self._asks.items()):
            groups[place] = [key]
            for near in {group_of[each] for each in requirement.about if each in group_of}:
                groups[place] += groups.pop(near)
            members = [each for name in groups[place] for each in self._asks[name].about]
            group_of.update(dict.fromkeys(members, place))
        return [sorted(keys, key=int) for keys in groups.values()]

    def why(self, keys: Iterable[str], *beyond: Formula) -> tuple[Law, ...]:
        """The clauses that keep every car from being beyond an end."""
        core = self._solver.question(beyond).core(self.named(keys))
        return () if isinstance(core, Answer) else self._laws_of(core)

    def listed(self, name: str) -> list[Scalar]:
        """Every value that some list of values names for a quantity."""
        return [value for one in self._lists.get(name, ()) for value in one.values]


@dataclass(frozen=True, slots=True)
class _Group:
    """Requirements that hang together, and a question with all of them."""

    asked: _Asked
    keys: Sequence[str]
    question: Question

    def room(self, variable: Variable) -> Room | None:
        """The room of one variable of the car; None where nothing bounds it, or where the part cannot be there."""
        if variable.sort is Sort.PRESENCE:
            return self._presence(variable)
        there = self.asked.speech.there(variable.name)
        if self.question.find(there) is Answer.NONE:
            return None
        if variable.sort is Sort.WORD:
            return self._words(variable, there)
        return self._listed(variable, there) or self._range(variable, there)

    def _made(self, variable: Variable, **parts: object) -> Room:
        label = self.asked.speech.vocabulary.label(variable.name)
        return Room(subject=variable.name, label=label, **parts)  # type: ignore[arg-type]

    def _why(self, *beyond: Formula) -> tuple[Law, ...]:
        return self.asked.why(self.keys, *beyond)

    def _presence(self, variable: Variable) -> Room | None:
        above = all_of(self.asked.speech.own(each) for each in ancestors(variable.name))
        for there, word in ((Has(variable), "absent"), (negation(Has(variable)), "present")):
            if self.question.find(above, there) is Answer.NONE and self.question.find(above) is not Answer.NONE:
                return self._made(variable, values=(word,), laws=self._why(above, there))
        return None

    def _words(self, variable: Variable, there: Formula) -> Room | None:
        words = variable.choices or tuple(dict.fromkeys(str(value) for value in self.asked.listed(variable.name)))
        other = negation(any_of(Is(variable, word) for word in words))
        if not variable.choices and self.question.find(there, other) is not Answer.NONE:
            return None
        left = tuple(word for word in words if self.question.find(there, Is(variable, word)) is not Answer.NONE)
        gone = negation(any_of(Is(variable, word) for word in left))
        return None if left == variable.choices else self._made(variable, values=left, laws=self._why(there, gone))

    def _listed(self, variable: Variable, there: Formula) -> Room | None:
        """Single values, where lists leave nothing between them."""
        sizes = {base_of(value) for value in self.asked.listed(variable.name) if not isinstance(value, str)}
        values = {size: compare(variable, number(size), Relation.EQUAL) for size in sorted(sizes)}
        other = negation(any_of(values.values()))
        if not values or self.question.find(there, other) is not Answer.NONE:
            return None
        left = [size for size, equal in values.items() if self.question.find(there, equal) is not Answer.NONE]
        shown = tuple(scalar(variable, size, self.asked.speech.vocabulary) for size in left)
        return self._made(variable, values=shown, laws=self._why(there, negation(any_of(values[size] for size in left))))

    def _range(self, variable: Variable, there: Formula) -> Room | None:
        formulas = [*self.asked.named(self.keys).values(), there]
        with self.question.more(there):
            found = bounds(self.question, formulas, variable)
        if isinstance(found, Answer):
            return self._made(variable, undecided=True)
        low, high = self._end(variable, there, found, low=True), self._end(variable, there, found, low=False)
        return None if low is None and high is None else self._made(variable, low=low, high=high)

    def _end(self, variable: Variable, there: Formula, found: Interval, *, low: bool) -> End | None:
        size, strict = (found.low, found.low_strict) if low else (found.high, found.high_strict)
        if size is None:
            return None
        relation = Relation.AT_MOST if strict else Relation.UNDER
        beyond = compare(variable, number(size), relation) if low else compare(number(size), variable, relation)
        laws = self._why(there, beyond)
        # That nothing is less than nothing is no rule.
        return End(value=scalar(variable, size, self.asked.speech.vocabulary), strict=strict, laws=laws) if laws else None
