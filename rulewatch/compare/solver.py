"""The solver: is there a car on which formulas hold? The only module that imports z3, and so only loaded when it is asked.

One worker, a fixed seed and a limit of work done, not of time, so that every run and every machine gives the same answer. Numbers
go in as exact fractions and come out so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from enum import Enum
from fractions import Fraction
from typing import Any

import z3

from rulewatch.compare.formulas import (
    Alike,
    AllOf,
    AnyOf,
    Car,
    Compare,
    Either,
    Formula,
    Has,
    Is,
    Negation,
    Relation,
    Rounded,
    Sort,
    Sum,
    Term,
    Truth,
    Value,
    Variable,
    holds,
    variables,
)

# Steps of work, as z3 counts them (some eight million take a second): for one question, of which the hardest of the tests takes a
# tenth; for all questions of a comparison; and for staying near to the crew's cars, out of these.
MOST_WORK, MOST_IN_ALL, MOST_FOR_NEARNESS = 2_000_000, 80_000_000, 20_000_000
OTHER_WORD = "another"


class Answer(Enum):
    """Why no car was found."""

    NONE = "there is none"
    UNDECIDED = "the limit of work was reached"


class Solver:
    """Translates formulas, each once, and opens questions about them."""

    def __init__(self, most_work: int = MOST_WORK, most_in_all: int = MOST_IN_ALL) -> None:
        self._context = z3.Context()
        self.most_work, self.left = most_work, most_in_all
        self._left_for_nearness = MOST_FOR_NEARNESS
        self._variables: dict[Variable, Any] = {}
        self._words: dict[str, int] = {}
        # By identity, with what it belongs to kept alive.
        self._done: dict[int, tuple[object, Any]] = {}
        self._about: dict[int, tuple[object, frozenset[Variable]]] = {}

    def question(self, formulas: Sequence[Formula]) -> Question:
        """A question about the cars on which some formulas hold."""
        solver = z3.SimpleSolver(ctx=self._context)
        solver.set(random_seed=0, threads=1)
        return Question(self, solver, formulas)

    def check(self, engine: Any, *labels: Any) -> Any:
        """What an engine answers within what work is left; unknown where none is."""
        limit = min(self.most_work, self.left)
        if limit <= 0:
            return z3.unknown
        before = _work(engine)
        engine.set(rlimit=limit)
        outcome = engine.check(*labels)
        self.left -= _work(engine) - before
        return outcome

    @contextmanager
    def for_nearness(self) -> Iterator[bool]:
        """Work that is done to stay near to a car; tells whether any is left for that."""
        before = self.left
        yield self._left_for_nearness > 0
        self._left_for_nearness -= before - self.left

    # --- Translation --------------------------------------------------------------------------------------------------

    def about(self, of: Formula) -> frozenset[Variable]:
        """The variables of a formula."""
        known = self._about.get(id(of))
        if known is None:
            known = self._about[id(of)] = (of, variables(of))
        return known[1]

    def formula(self, of: Formula) -> Any:
        """A formula in z3's terms."""
        known = self._done.get(id(of))
        if known is None:
            known = self._done[id(of)] = (of, self._formula(of))
        return known[1]

    def _formula(self, of: Formula) -> Any:  # noqa: PLR0911 - one for each form
        match of:
            case Truth():
                return z3.BoolVal(of.value, self._context)
            case Has():
                return self.variable(of.variable)
            case Is():
                return self.variable(of.variable) == self._code(of.word)
            case Alike():
                return self.variable(of.left) == self.variable(of.right)
            case Compare():
                term = self._term(of.term)
                return {Relation.AT_MOST: term <= 0, Relation.UNDER: term < 0, Relation.EQUAL: term == 0}[of.relation]
            case AllOf():
                return z3.And([self.formula(part) for part in of.parts])
            case AnyOf():
                return z3.Or([self.formula(part) for part in of.parts])
            case Negation():
                return z3.Not(self.formula(of.part))

    def _term(self, of: Term) -> Any:
        if isinstance(of, Variable):
            found = self.variable(of)
            return z3.ToReal(found) if of.whole else found
        known = self._done.get(id(of))
        if known is None:
            known = self._done[id(of)] = (of, self._new_term(of))
        return known[1]

    def _new_term(self, of: Sum | Either | Rounded) -> Any:
        match of:
            case Sum():
                parts = [
                    self._number(factor) * self._term(part) if factor != 1 else self._term(part) for factor, part in of.parts
                ]
                return z3.Sum([*parts, self._number(of.plus)]) if of.plus or not parts else z3.Sum(parts)
            case Either():
                return z3.If(self.formula(of.test), self._term(of.yes), self._term(of.no))
            case Rounded():
                half = self._term(of.term) * self._number(1 / of.step) + self._number(Fraction(1, 2))
                steps = z3.ToInt(half)
                if not of.up:
                    odd_tie = z3.And(z3.ToReal(steps) == half, steps % 2 == 1)
                    steps = z3.If(odd_tie, steps - 1, steps)
                return z3.ToReal(steps) * self._number(of.step)

    def variable(self, of: Variable) -> Any:
        """A variable in z3's terms; a word is a whole number there."""
        if of not in self._variables:
            make = z3.Bool if of.sort is Sort.PRESENCE else z3.Real if of.sort is Sort.NUMBER and not of.whole else z3.Int
            self._variables[of] = make(of.key, self._context)
        return self._variables[of]

    def domain(self, of: Variable) -> Any:
        """What is always true of a variable, None where that is nothing."""
        if of.choices:
            return z3.Or([self.variable(of) == self._code(word) for word in of.choices])
        return self.variable(of) >= 0 if of.never_negative else None

    def _number(self, value: Fraction) -> Any:
        return z3.RealVal(str(value), self._context)

    def _code(self, word: str) -> Any:
        return z3.IntVal(self._words.setdefault(word, len(self._words)), self._context)

    def value(self, of: Variable, model: Any) -> Value:
        """What a variable is in a model."""
        found = model.eval(self.variable(of), model_completion=True)
        if of.sort is Sort.PRESENCE:
            return bool(z3.is_true(found))
        if of.sort is Sort.WORD:
            code = found.as_long()
            return next((word for word, known in self._words.items() if known == code), f"{OTHER_WORD} {code}")
        exact: Fraction = Fraction(found.as_long()) if of.whole else found.as_fraction()
        return exact


def _work(engine: Any) -> int:
    """The steps of work that were done in an engine's context so far."""
    counted = engine.statistics()
    for place in reversed(range(len(counted))):  # it is among the last
        name, value = counted[place]
        if name == "rlimit count":
            return int(value)
    return 0


class Question:
    """Cars on which some formulas hold; what is added within `more` counts for that long."""

    def __init__(self, solver: Solver, engine: Any, formulas: Sequence[Formula]) -> None:
        self.solver, self._engine = solver, engine
        self._formulas: list[Formula] = []
        self._known: set[Variable] = set()
        for formula in formulas:
            self._add(formula)

    def _add(self, formula: Formula) -> None:
        self._introduce(formula)
        self._formulas.append(formula)
        self._engine.add(self.solver.formula(formula))

    def _introduce(self, formula: Formula) -> None:
        for variable in sorted(self.solver.about(formula) - self._known, key=lambda one: one.key):
            self._known.add(variable)
            domain = self.solver.domain(variable)
            if domain is not None:
                self._engine.add(domain)

    def add(self, formulas: Iterable[Formula]) -> None:
        """Add formulas for good."""
        for formula in formulas:
            self._add(formula)

    @contextmanager
    def more(self, *formulas: Formula) -> Iterator[None]:
        """Add formulas for the length of the block."""
        known, count = set(self._known), len(self._formulas)
        self._engine.push()
        try:
            for formula in formulas:
                self._add(formula)
            yield
        finally:
            self._engine.pop()
            self._known = known
            del self._formulas[count:]

    def find(self, *extra: Formula) -> Car | Answer:
        """A car on which everything holds, rechecked exactly; or why there is none."""
        if extra:
            with self.more(*extra):
                return self.find()
        outcome = self.solver.check(self._engine)
        if outcome == z3.unsat:
            return Answer.NONE
        if outcome != z3.sat:
            return Answer.UNDECIDED
        return self._found()

    @contextmanager
    def wishes(self, named: Mapping[str, Formula]) -> Iterator[Wishes]:
        """Formulas that may be asked for by name, for the length of the block."""
        with self.more():
            for formula in named.values():
                self._introduce(formula)
            yield Wishes(self, self.solver, self._engine, named)

    def _found(self) -> Car | Answer:
        """The car of the solver's last answer, rechecked exactly."""
        model = self._engine.model()
        car = {one: self.solver.value(one, model) for one in sorted(self._known, key=lambda one: one.key)}
        return car if all(holds(formula, car) for formula in self._formulas) else Answer.UNDECIDED

    def core(self, named: Mapping[str, Formula]) -> tuple[str, ...] | Answer:
        """Names of which no car meets all, none of them to spare; `UNDECIDED` where some car does or the limit was reached.

        Where only the spare ones are not found within the limit, some are among them.
        """
        with self.more():
            for formula in named.values():
                self._introduce(formula)
            names = self._refuted(named, named)
            if names is None:
                return Answer.UNDECIDED
            enough = self.solver.left - self.solver.most_work
            for name in list(names):
                if name in names and self.solver.left > enough:
                    names = self._refuted(named, [each for each in names if each != name]) or names
            return tuple(names)

    def _refuted(self, named: Mapping[str, Formula], names: Iterable[str]) -> list[str] | None:
        """Those of the names that the solver needed to refute them; None where it did not."""
        wanted = list(names)
        labels = {name: z3.Bool(f"label {name}", self.solver._context) for name in wanted}  # noqa: SLF001 - one piece
        self._engine.push()
        for name, label in labels.items():
            self._engine.add(z3.Implies(label, self.solver.formula(named[name])))
        outcome = self.solver.check(self._engine, *labels.values())
        used = {str(one) for one in self._engine.unsat_core()} if outcome == z3.unsat else set()
        self._engine.pop()
        return [name for name in wanted if f"label {name}" in used] if outcome == z3.unsat else None


class Wishes:
    """What may be asked of the cars of a question besides, by name and together, as often as one likes."""

    def __init__(self, question: Question, solver: Solver, engine: Any, named: Mapping[str, Formula]) -> None:
        """Put a label before each formula; it holds where its label is asked for."""
        self._question, self._solver = question, solver
        self._engine = engine
        self._labels = {name: z3.Bool(f"wish {name}", solver._context) for name in named}  # noqa: SLF001 - one piece
        for name, formula in named.items():
            engine.add(z3.Implies(self._labels[name], solver.formula(formula)))

    def find(self, names: Iterable[str]) -> Car | frozenset[str] | Answer:
        """A car that meets all of the named; or else some of them that no car meets together."""
        outcome = self._solver.check(self._engine, *(self._labels[name] for name in names))
        if outcome == z3.sat:
            return self._question._found()  # noqa: SLF001 - one piece
        if outcome != z3.unsat:
            return Answer.UNDECIDED
        return frozenset(str(one).removeprefix("wish ") for one in self._engine.unsat_core())
