"""The nearest legal car: the fewest quantities, then the least sum of differences in steps, that bring a car inside several books at once.

What the books ask falls into groups that share no quantity. Each is solved by itself: the fewest of all are the fewest of
each, and so is the least sum. Most groups are met as the car is, and are only looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from rulewatch.compare.formulas import Car, Formula, Sort, Value, Variable, all_of, holds, variables
from rulewatch.compare.nearest import Near, Reference, equals, nearest
from rulewatch.compare.partial import Settled
from rulewatch.compare.reference import known_values, value_of
from rulewatch.compare.requirements import Builder, Requirement
from rulewatch.compare.rules import Book
from rulewatch.compare.shelf import OneClass, Shelf
from rulewatch.compare.solver import Answer, Solver
from rulewatch.compare.statements import Speech, step_of
from rulewatch.compare.witness import scalar
from rulewatch.model.car import Car as CrewCar
from rulewatch.model.legal import Alteration, Clash, NearestLegal
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.model.room import Law
from rulewatch.model.vocabulary import Vocabulary, within

# Of so many quantities that hang together the least sum of differences is sought among all sets that are as few.
MOST_SUMMED = 60
FIXED = "fixed "  # before the key of a variable that stays


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """A class that a car is entered in, and the day on which it is judged there.

    `bands` are by how much quantities that were measured must keep inside their limits there, in base units.
    """

    one: OneClass
    day: date | None
    bands: Mapping[str, Fraction] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A requirement, the rules that it comes from, and the book that it was built of, by its key."""

    requirement: Requirement
    laws: tuple[Law, ...]
    key: tuple[object, ...]
    book: Book
    builder: Builder
    one: OneClass

    @property
    def formula(self) -> Formula:
        """That it is met."""
        return self.requirement.truth.yes

    def without(self, clause: str) -> _Asked:
        """The same minimum weight, as it were if a clause added nothing to it."""
        rules = tuple(rule for rule in self.book.rules if rule.reading.adder is None or rule.reading.clause != clause)
        book = replace(self.book, rules=rules)
        found = self.builder.requirements(book)
        key = next(each for each in found if each[:2] == self.key[:2])
        return replace(self, requirement=found[key], laws=self.one.laws(found[key].clauses), key=key, book=book)


@dataclass(slots=True)
class _Found:
    """What has come together so far."""

    alterations: list[Alteration] = field(default_factory=list)
    distance: Fraction = Fraction(0)
    clashes: list[Clash] = field(default_factory=list)
    undecided: list[Law] = field(default_factory=list)


def nearest_legal(entries: Sequence[Entered], car: CrewCar, vocabulary: Vocabulary) -> NearestLegal:
    """The nearest car that is legal in all of some classes; what is not stated of it may be anything, what is fixed stays."""
    shelves = [Shelf(entry.one.edition, entry.one.edition, (), vocabulary) for entry in entries]
    speech = Speech(vocabulary=vocabulary, tested=frozenset().union(*(shelf.speech().tested for shelf in shelves)))
    asked = [each for entry, shelf in zip(entries, shelves, strict=True) for each in _asked_of(entry, shelf, speech)]
    about = frozenset[Variable]().union(*(each.requirement.about for each in asked))
    known = _known(car, sorted(about, key=lambda one: one.key), asked)
    fixed = {one for one in known if one.sheet is Sheet.CAR and _stays(one, car)}
    search = _Search(speech=speech, solver=Solver(), car=car, known=known, fixed=frozenset(fixed))
    found = _Found()
    for group in _groups(asked):
        search.settle(group, found)
    return NearestLegal(
        car=car.id,
        alterations=tuple(sorted(found.alterations, key=lambda one: one.subject)),
        distance=found.distance,
        clashes=tuple(found.clashes),
        undecided=tuple(dict.fromkeys(found.undecided)),
    )


def _asked_of(entry: Entered, shelf: Shelf, speech: Speech) -> Iterator[_Asked]:
    """All that a class asks."""
    builder, book = Builder(speech=speech, bands=entry.bands), shelf.whole(shelf.new, entry.one.name, entry.day)
    for key, each in builder.requirements(book).items():
        laws = entry.one.laws(each.clauses)
        yield _Asked(requirement=each, laws=laws, key=key, book=book, builder=builder, one=entry.one)


def _stays(one: Variable, car: CrewCar) -> bool:
    """Whether nobody can alter a quantity: what the crew calls fixed, with the parts it belongs to, and days of the car as a whole."""
    stated = car.spec.get(one.name)
    if one.sort is Sort.PRESENCE and any(each.fixed and within(name, one.name) for name, each in car.spec.items()):
        return True
    return (stated is not None and stated.fixed) or (one.sort is Sort.DAY and one.name.count(".") == 1)


def _known(car: CrewCar, about: Sequence[Variable], asked: Sequence[_Asked]) -> dict[Variable, Value]:
    """What the car states; of several instances that differ, one that some rule is not met by, if there is any."""
    known = known_values(car, about)
    by_name: dict[Variable, list[Requirement]] = {}
    for each in asked:
        for one in each.requirement.about:
            by_name.setdefault(one, []).append(each.requirement)
    for one in [one for one in known if one.sheet is Sheet.CAR and not isinstance(known[one], bool)]:
        stated = car.spec.get(one.name)
        for value in {value_of(each) for each in stated.values} - {known[one]} if stated is not None else ():
            other = {**known, one: value}
            if any(each.about <= other.keys() and not holds(each.truth.yes, other) for each in by_name[one]):
                known = other
                break
    return known


def _groups(asked: Sequence[_Asked]) -> list[list[_Asked]]:
    """What hangs together by the quantities that it speaks of, in the order of the books."""
    group_of: dict[Variable, int] = {}
    groups: dict[int, list[int]] = {}
    for place, each in enumerate(asked):
        groups[place] = [place]
        for near in {group_of[one] for one in each.requirement.about if one in group_of}:
            groups[place] += groups.pop(near)
        group_of.update(dict.fromkeys((one for member in groups[place] for one in asked[member].requirement.about), place))
    return [[asked[place] for place in sorted(places)] for places in groups.values()]


@dataclass(frozen=True, kw_only=True)
class _Search:
    """Looks for the nearest car to one, group by group."""

    speech: Speech
    solver: Solver
    car: CrewCar
    known: Mapping[Variable, Value]
    fixed: frozenset[Variable]

    def settle(self, group: Sequence[_Asked], found: _Found) -> None:
        """Add what one group takes."""
        about = frozenset[Variable]().union(*(each.requirement.about for each in group))
        known = {one: value for one, value in self.known.items() if one in about}
        formulas = [each.requirement.truth.yes for each in group]
        if all(each.requirement.about <= known.keys() and holds(each.requirement.truth.yes, known) for each in group):
            return
        if not isinstance(
            self.solver.question([*formulas, *(equals(one, value) for one, value in known.items())]).find(), Answer
        ):
            return  # nothing that is known has to be altered; what is not known, nobody can alter
        stays = [self._kept(one, known[one]) for one in sorted(self.fixed & about, key=lambda one: one.key)]
        whole = [*formulas, *stays]
        near = nearest(
            self.solver.question(whole),
            whole,
            self.speech,
            [Reference(name=self.car.id, known=known, kinds=True)],
            most_summed=MOST_SUMMED,
        )
        if isinstance(near, Near) and near.reference:
            self._alter(group, near, known, found, whole)
        elif near is Answer.NONE or (isinstance(near, Near) and self._without_sheets(group, known)):
            found.clashes.append(self._clash(group, known))
        else:
            found.undecided += [law for each in group for law in each.laws]

    def _without_sheets(self, group: Sequence[_Asked], known: Mapping[Variable, Value]) -> bool:
        """Whether the reference sheets of the model, which cannot be altered, leave no car."""
        formulas = [each.requirement.truth.yes for each in group]
        held = [self._kept(one, value) for one, value in known.items() if one.sheet is not Sheet.CAR or one in self.fixed]
        return self.solver.question([*formulas, *held]).find() is Answer.NONE

    def _kept(self, one: Variable, value: Value) -> Formula:
        """That a quantity stays as it is, and with it the part that it belongs to."""
        kept = equals(one, value)
        return all_of((self.speech.there(one.name), kept)) if one.sheet is Sheet.CAR and value is not False else kept

    def _alter(self, group: Sequence[_Asked], near: Near, known: Car, found: _Found, whole: Sequence[Formula]) -> None:
        found.distance += near.distance
        several = {
            one: values
            for one in known
            if one not in self.fixed and (values := self._values(one)) and holds(self.speech.there(one.name), near.car)
        }
        for one in dict.fromkeys((*near.differs, *several)):
            was = several.get(one, (known[one],))
            now = tuple(self._instance(one, value, near.car, whole) for value in was) if one in several else (near.car[one],)
            if one in several:
                found.distance += self._far(one, was, now) - self._far(one, (known[one],), (near.car[one],))
            if (one in several and was == now) or any(other.subject == one.name for other in found.alterations):
                continue
            laws = dict.fromkeys(law for each in self._behind(group, one, known) for law in each.laws)
            to = tuple(self._scalar(one, {**near.car, one: value}) for value in now)
            said = self._said(one, known[one])
            found.alterations.append(Alteration(subject=one.name, now=said, to=to, laws=tuple(laws)))

    def _values(self, one: Variable) -> tuple[Value, ...]:
        """What the car states of several instances of a quantity, left and right; none of what it has once."""
        stated = self.car.spec.get(one.name) if one.sheet is Sheet.CAR and one.sort is not Sort.PRESENCE else None
        return tuple(map(value_of, stated.values)) if stated is not None and len(stated.values) > 1 else ()

    def _instance(self, one: Variable, value: Value, car: Car, whole: Sequence[Formula]) -> Value:
        """What one instance must be beside all else that the car found has: as it is, or what is legal nearest to it."""
        speaking = [formula for formula in whole if one in variables(formula)]
        if all(holds(formula, {**car, one: value}) for formula in speaking):
            return value
        rest = Settled({name: known for name, known in car.items() if name != one})
        left = [rest.formula(formula) for formula in speaking]
        reference = Reference(name=self.car.id, known={one: value}, kinds=True)
        near = nearest(self.solver.question(left), left, self.speech, [reference])
        return near.car[one] if isinstance(near, Near) and near.reference else car[one]

    def _far(self, one: Variable, was: Sequence[Value], now: Sequence[Value]) -> Fraction:
        """The sum of differences in size, in steps."""
        sizes = [(a, b) for a, b in zip(was, now, strict=True) if isinstance(a, Fraction) and isinstance(b, Fraction)]
        return sum((abs(a - b) for a, b in sizes), Fraction(0)) / step_of(one, self.speech)

    def _behind(self, group: Sequence[_Asked], one: Variable, known: Car) -> list[_Asked]:
        """The requirements that the car does not meet as it is and that speak of a quantity; else all that speak of it."""
        speaking = [each for each in group if one in each.requirement.about]
        broken = [
            each for each in speaking if each.requirement.about <= known.keys() and not holds(each.requirement.truth.yes, known)
        ]
        return broken or speaking

    def _clash(self, group: Sequence[_Asked], known: Car) -> Clash:
        named: dict[str, Formula] = {str(place): each.formula for place, each in enumerate(group)}
        held = {one for one in known if one in self.fixed or one.sheet is not Sheet.CAR}
        named |= {FIXED + one.key: self._kept(one, known[one]) for one in sorted(held, key=lambda one: one.key)}
        core = self.solver.question([]).core(named)
        names = [name for name in named if isinstance(core, Answer) or name in core]
        asked = [group[int(name)] for name in names if not name.startswith(FIXED)]
        if not isinstance(core, Answer):
            asked = self._spared(asked, [named[name] for name in names if name.startswith(FIXED)])
        titles = {FIXED + one.key: one.title for one in held}
        return Clash(
            laws=tuple(dict.fromkeys(law for each in asked for law in each.laws)),
            fixed=tuple(dict.fromkeys(titles[name] for name in names if name in titles)),
        )

    def _spared(self, asked: Sequence[_Asked], held: Sequence[Formula]) -> list[_Asked]:
        """Rules that clash, without what adds to a minimum weight that is too much anyway."""
        found = list(asked)
        for place, each in enumerate(asked):
            for clause in each.requirement.clauses[1:] if each.key[0] == "weight" else ():
                if clause == each.requirement.clauses[0]:
                    continue
                fewer = [*found[:place], found[place].without(clause), *found[place + 1 :]]
                if self.solver.question([*(one.formula for one in fewer), *held]).find() is Answer.NONE:
                    found = fewer
        return found

    def _scalar(self, one: Variable, car: Car) -> Scalar:
        """What a car has, as people write it, in the unit that the crew's own states it in; a quantity of a part that is not there is absent."""
        value = car[one]
        if isinstance(value, bool):
            return "present" if value else "absent"
        if not holds(self.speech.there(one.name), car):
            return "absent"
        found, stated = scalar(one, value, self.speech.vocabulary), self.car.spec.get(one.name)
        written = next((each for each in stated.values if isinstance(each, Amount)), None) if stated is not None else None
        return found.to(written.unit) if isinstance(found, Amount) and written is not None else found

    def _said(self, one: Variable, value: Value) -> str:
        if isinstance(value, bool):
            return "present" if value else "absent"
        stated = self.car.spec.get(one.name)
        written = [str(each) for each in stated.values] if stated is not None else []
        return " / ".join(written) or str(scalar(one, value, self.speech.vocabulary))
