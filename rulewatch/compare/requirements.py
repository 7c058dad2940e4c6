"""A book as requirements: what a car of a class must meet, one formula for each limit, closed part and minimum weight.

They mean what `assess` judges: what replaces a limit, what permits in a closed scope, and every adder that counts are within
them. Readings are taken as they stand, confirmed or not; a clause without one asks nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from rulewatch.compare.formulas import (
    Relation,
    Rounded,
    Term,
    Variable,
    all_of,
    any_of,
    compare,
    either,
    negation,
    number,
    plus,
    times,
    variables,
)
from rulewatch.compare.kleene import Kleene, every, implied, opposite, some, sure
from rulewatch.compare.rules import (
    Book,
    Closing,
    Number,
    Replacers,
    Rule,
    around,
    replacement_key,
    replacers,
    replacing,
    ways_back,
)
from rulewatch.compare.statements import Speech, grant_for, in_total, within_band, within_level
from rulewatch.model.reading import MinimumWeight, Presence, Rounding, Test, Ties, WeightAdder
from rulewatch.model.vocabulary import Vocabulary, within

WEIGHT, MASS = "car.weight", "[mass]"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Requirement:
    """One thing that a car must meet, the quantity or component that it is about, and the clauses that make it."""

    subject: str
    clauses: tuple[str, ...]
    truth: Kleene
    about: frozenset[Variable]


@dataclass(frozen=True, slots=True)
class _Grant:
    """A permission in its rule."""

    rule: Rule
    test: Test


@dataclass(frozen=True, slots=True)
class _Weighing:
    """The weight rules of a book, and by which rules each is replaced."""

    minimums: tuple[Rule, ...]
    adders: tuple[Rule, ...]


@dataclass(kw_only=True)
class Builder:
    """Builds requirements, each once: books that differ in one clause share all others, as the same objects.

    `bands` are by how much some quantities must keep inside their limits, in base units.
    """

    speech: Speech
    bands: Mapping[str, Fraction] = field(default_factory=dict)
    _conditions: dict[int, Kleene] = field(default_factory=dict)
    _permissions: dict[tuple[object, ...], Kleene] = field(default_factory=dict)
    _built: dict[tuple[object, ...], Requirement] = field(default_factory=dict)
    # The limits, by their keys, of a rule that nothing stands instead of.
    _free: dict[int, list[tuple[tuple[object, ...], Requirement]]] = field(default_factory=dict)
    _covered: dict[tuple[int, str], tuple[str, ...]] = field(default_factory=dict)
    _kept: list[Rule] = field(default_factory=list)  # so that no id is used again

    def requirements(self, book: Book) -> dict[tuple[object, ...], Requirement]:
        """Every requirement of a book by a key that is equal for what is built of the same rules."""
        replaced = replacers(book)
        found: dict[tuple[object, ...], Requirement] = {}
        weighing = _Weighing(
            tuple(rule for rule in book.rules if rule.reading.minimum is not None),
            tuple(rule for rule in book.rules if rule.reading.adder is not None),
        )
        for rule in book.rules:
            if not rule.reading.limits and rule.reading.minimum is None:
                continue
            by = replacing(rule.names, replaced) if replaced else ()
            if by or id(rule) not in self._free:
                limits = list(self._limits(rule, by, replaced))
                found.update(limits)
                if not by:
                    self._free[id(rule)] = limits
            else:
                found.update(self._free[id(rule)])
            if rule.reading.minimum is not None:
                others = tuple((id(each), *map(id, replacing(each.names, replaced))) for each in weighing.adders)
                ways = (around(replacing(each.names, replaced), each.names, replaced) for each in (rule, *weighing.adders))
                key = ("weight", id(rule), *map(id, by), *others, *ways)
                found[key] = self._built.get(key) or self._weight(key, rule, rule.reading.minimum, weighing.adders, replaced)
        found.update(self._closed(book, replaced))
        return found

    @property
    def weight(self) -> Variable:
        """What a car weighs."""
        return self.speech.variable(WEIGHT)

    def holds(self, rule: Rule) -> Kleene:
        """Whether a rule's condition holds."""
        if id(rule) not in self._conditions:
            self._kept.append(rule)
            self._conditions[id(rule)] = self.speech.condition(rule.reading.when)
        return self._conditions[id(rule)]

    def _lifted(self, names: frozenset[Number], replaced: Replacers) -> Kleene:
        """Whether something stands instead of a clause; what comes back to itself does so only where a condition breaks the way."""
        return some(self._lifts(by, names, replaced) for by in replacing(names, replaced))

    def _lifts(self, by: Rule, names: frozenset[Number], replaced: Replacers) -> Kleene:
        holds = self.holds(by)
        ways = ways_back(by, names, replaced)
        if not ways:
            return holds
        broken = (any_of(self.holds(rule).no for rule in way) for way in ways)
        return Kleene(all_of((holds.yes, *broken)), holds.no)

    def _keep(self, key: tuple[object, ...], subject: str, clauses: Iterable[str], truth: Kleene) -> Requirement:
        names = tuple(dict.fromkeys(filter(None, clauses)))
        made = Requirement(subject=subject, clauses=names, truth=truth, about=variables(truth.yes, truth.no))
        self._built[key] = made
        return made

    # --- Limits -------------------------------------------------------------------------------------------------------

    def _limits(self, rule: Rule, by: Sequence[Rule], replaced: Replacers) -> Iterator[tuple[tuple[object, ...], Requirement]]:
        for place, test in enumerate(rule.reading.limits):
            key = ("limit", id(rule), place, *map(id, by), *around(by, rule.names, replaced))
            yield key, self._built.get(key) or self._limit(key, rule, test, replaced)

    def _limit(self, key: tuple[object, ...], rule: Rule, test: Test, replaced: Replacers) -> Requirement:
        quantity = self.speech.vocabulary.quantities.get(test.subject)
        grant = within_band(grant_for(rule.reading.tolerance, rule.tolerances, test, quantity), test, self.bands)
        alone = implied(self.holds(rule), self.speech.requirement(test, grant))
        by = replacing(rule.names, replaced)
        truth = some((self._lifted(rule.names, replaced), alone)) if by else alone
        return self._keep(key, test.subject, (rule.reading.clause, *(each.reading.clause for each in by)), truth)

    # --- Closed scopes ------------------------------------------------------------------------------------------------

    def _closed(self, book: Book, replaced: Replacers) -> Iterator[tuple[tuple[object, ...], Requirement]]:
        grants: dict[str, list[_Grant]] = {}
        for rule in book.rules:
            for place, test in enumerate(rule.reading.allows):
                for subject in self._covers((id(rule), str(place)), test):
                    grants.setdefault(subject, []).append(_Grant(rule, test))
        seen: set[str] = set()
        for closing in book.closings:
            for subject in self._under(closing.scope):
                if subject not in seen and (book.subjects is None or subject in book.subjects):
                    seen.add(subject)
                    if subject in closing.free:
                        continue
                    given = grants.get(subject, ())
                    parts = tuple(
                        (id(grant.rule), id(grant.test), *replacement_key(grant.rule.names, replaced)) for grant in given
                    )
                    key = ("closed", subject, closing.scope, closing.clause, *replacement_key(closing.names, replaced), *parts)
                    yield key, self._built.get(key) or self._closed_part(key, subject, closing, given, replaced)

    def _under(self, scope: str) -> tuple[str, ...]:
        """Every part and quantity of a closed scope; a whole system is none that could be left off."""
        key = (0, scope)
        if key not in self._covered:
            known = self.speech.vocabulary
            names = (*known.components, *known.quantities)
            self._covered[key] = tuple(name for name in names if "." in name and within(name, scope))
        return self._covered[key]

    def _covers(self, key: tuple[int, str], test: Test) -> tuple[str, ...]:
        """What a permission speaks of: its subject, and all of a part that it lets be there."""
        if key not in self._covered:
            self._covered[key] = covered(test, self.speech.vocabulary)
        return self._covered[key]

    def _closed_part(
        self, key: tuple[object, ...], subject: str, closing: Closing, grants: Sequence[_Grant], replaced: Replacers
    ) -> Requirement:
        """Standard, or permitted by what nothing stands instead of; or something stands instead of what closes."""
        permitted = [self._permitted(grant, subject, replaced) for grant in grants]
        free = [self._lifted(closing.names, replaced)] if replacing(closing.names, replaced) else []
        kept = some((self.speech.standard(subject), *permitted, *free))
        truth = implied(sure(self.speech.under_present(subject, closing.scope)), kept)
        clause = closing.clause[1] if closing.clause else ""
        others = (each.reading.clause for each in replacing(closing.names, replaced))
        return self._keep(key, subject, (clause, *(grant.rule.reading.clause for grant in grants), *others), truth)

    def _permitted(self, grant: _Grant, subject: str, replaced: Replacers) -> Kleene:
        """What a permission lets be, built once, so that books that differ in another have it in common."""
        if grant.test.subject != subject:
            return self._counts(grant.rule, replaced)
        key = (id(grant.test), *replacement_key(grant.rule.names, replaced))
        if key not in self._permissions:
            self._kept.append(grant.rule)
            band = within_band(Fraction(0), grant.test, self.bands)
            self._permissions[key] = every((self._counts(grant.rule, replaced), self.speech.permission(grant.test, band)))
        return self._permissions[key]

    # --- Weight -------------------------------------------------------------------------------------------------------

    def _weight(
        self,
        key: tuple[object, ...],
        rule: Rule,
        says: MinimumWeight,
        adders: Sequence[Rule],
        replaced: Replacers,
    ) -> Requirement:
        level = self.speech.level(says.bound)
        counting = [(each.reading.adder, self._counts(each, replaced)) for each in adders]
        offered = (rule.reading.tolerance,) if rule.reading.tolerance is not None else rule.tolerances
        granted = next((one.span for one in offered if one.unit.dimension == MASS), Fraction(0))
        granted -= self.bands.get(WEIGHT, Fraction(0))
        weight = plus(self.weight, number(granted)) if granted else self.weight
        most, least = (
            compare(in_total(_total(says, level.term, counting, most=most)), weight, Relation.AT_MOST) for most in (True, False)
        )
        heavy = within_level(level, most)
        if any(not holds.definite for _, holds in counting):
            heavy = Kleene(heavy.yes, within_level(level, least).no)
        clauses = (rule.reading.clause, *(each.reading.clause for each in adders))
        return self._keep(key, WEIGHT, clauses, implied(self._counts(rule, replaced), heavy))

    def _counts(self, rule: Rule, replaced: Replacers) -> Kleene:
        """Whether a weight rule counts: its condition holds, and nothing replaces it."""
        by = replacing(rule.names, replaced)
        return every((self.holds(rule), opposite(self._lifted(rule.names, replaced)))) if by else self.holds(rule)


def _total(says: MinimumWeight, bound: Term, adders: Sequence[tuple[WeightAdder | None, Kleene]], *, most: bool) -> Term:
    """The minimum with all that is added to it; of what perhaps counts, whatever makes it the most or the least."""
    each = says.rounding if says.rounding is not None and says.rounding.each else None
    base = total = _rounded(bound, each)
    for adder, holds in adders:
        if adder is None:
            continue
        maybe = all_of((negation(holds.yes), negation(holds.no)))
        counts = holds.yes if holds.definite or (_adds(adder) > 0) is not most else any_of((holds.yes, maybe))
        if adder.share is not None and says.compounded and each is None:
            # As one choice, so that a long row of them stays short.
            total = either(counts, times(1 + adder.share, total), total)
            continue
        amount: Term = number(adder.amount.base) if adder.amount is not None else number(0)
        if adder.share is not None:
            amount = times(adder.share, total if says.compounded else base)
        total = plus(total, either(counts, _rounded(amount, each), number(0)))
    return total if each is not None else _rounded(total, says.rounding)


def _rounded(term: Term, rounding: Rounding | None) -> Term:
    return term if rounding is None else Rounded(term, rounding.to.base, rounding.ties is Ties.UP)


def _adds(adder: WeightAdder) -> Fraction:
    """A number with the sign of what an adder adds."""
    return adder.share if adder.share is not None else adder.amount.number if adder.amount is not None else Fraction(0)


def covered(test: Test, vocabulary: Vocabulary) -> tuple[str, ...]:
    """What a permission speaks of: its subject, and everything under a part that it lets be there."""
    if not isinstance(test.constraint, Presence) or not test.constraint.present:
        return (test.subject,)
    names = (*vocabulary.components, *vocabulary.quantities)
    return (test.subject, *(name for name in names if name != test.subject and within(name, test.subject)))


def truth_of(requirements: Iterable[Requirement]) -> Kleene:
    """All requirements together."""
    return every(requirement.truth for requirement in requirements)


def by_variable(requirements: Iterable[Requirement]) -> dict[Variable, list[Requirement]]:
    """For each variable the requirements that speak of it."""
    found: dict[Variable, list[Requirement]] = {}
    for requirement in requirements:
        for variable in requirement.about:
            found.setdefault(variable, []).append(requirement)
    return found
