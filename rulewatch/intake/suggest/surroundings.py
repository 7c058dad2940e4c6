"""What a suggestion is made in: the book around the clause, and the vocabulary ready to be looked up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from rulewatch.intake.suggest.vocabulary_index import Index
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.vocabulary import Vocabulary, within


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """A book and a vocabulary. Make one for a book and keep it: what is looked up is prepared once."""

    edition: Edition
    vocabulary: Vocabulary

    @cached_property
    def index(self) -> Index:
        """The vocabulary ready to be looked up."""
        return Index(vocabulary=self.vocabulary)

    @cached_property
    def clauses(self) -> Mapping[str, Clause]:
        """The clauses of the book by id."""
        return self.edition.by_id

    @cached_property
    def class_titles(self) -> Mapping[str, str]:
        """The classes of this edition with their titles, the longest first, so that `B Plus` is not taken for `B`."""
        titles = self.edition.body.classes
        return {
            name: titles.get(name, name) for name in sorted(self.edition.classes, key=lambda one: -len(titles.get(one, one)))
        }

    def above(self, clause: Clause) -> tuple[Clause, ...]:
        """The clauses that a clause stands under, the nearest first."""
        found: list[Clause] = []
        parent = self.clauses.get(clause.parent)
        while parent is not None and parent not in found:
            found.append(parent)
            parent = self.clauses.get(parent.parent)
        return tuple(found)

    def is_closed(self, name: str) -> bool:
        """Whether a quantity or component is in a part of the car where only what is permitted may be altered."""
        return any(within(name, closed.scope) for closed in self.edition.header.closed)
