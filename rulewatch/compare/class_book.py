"""The book of one class, to be compared with itself after one change, and two books with what both ask set apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rulewatch.compare.formulas import Car, Formula, Variable, holds
from rulewatch.compare.requirements import Requirement, by_variable

Requirements = Mapping[tuple[object, ...], Requirement]


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


class ClassBook:
    """What one book asks of a class. `ask` finds some car on which formulas hold; a car of the book `like` it is tried first."""

    def __init__(
        self, requirements: Requirements, ask: Callable[[Sequence[Formula]], Car | None], like: ClassBook | None = None
    ) -> None:
        """Take the requirements by key."""
        self._requirements = dict(requirements)
        self._ask, self._like = ask, like
        self.index = by_variable(self._requirements.values())

    @cached_property
    def car(self) -> Car | None:
        """Some car that is legal in the book; None where there is none, or none was found."""
        formulas = [each.truth.yes for each in self._requirements.values()]
        known = self._like.car if self._like is not None else {}
        if known is not None and known.keys() >= self.index.keys() and all(holds(each, known) for each in formulas):
            return known
        return self._ask(formulas)

    def with_change(self, after: Requirements, alone_about: frozenset[Variable], *, near: bool) -> Parted:
        """The book and itself after a change; to stay `near` to a car, cut down to what hangs together with what changed.

        Where some car is legal in the book, what shares no quantity with the change can be met by any car. What is wrong
        with the crew's car there is no matter of this change.
        """
        parts = parted(self._requirements, after)
        if parts.same or not near or self.car is None:
            return parts
        common = {id(each) for each in parts.common}
        taken: dict[int, Requirement] = {}
        waiting = list(parts.about | alone_about)
        seen = set(waiting)
        while waiting:
            for requirement in self.index.get(waiting.pop(), ()):
                if id(requirement) in common and id(requirement) not in taken:
                    taken[id(requirement)] = requirement
                    waiting += requirement.about - seen
                    seen |= requirement.about
        return replace(parts, common=tuple(each for each in parts.common if id(each) in taken))


def parted(before: Requirements, after: Requirements) -> Parted:
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
