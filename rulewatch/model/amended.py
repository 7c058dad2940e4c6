"""What a bulletin does: the text just before it and with it, and the bulletins that come after."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.model.change import Comparison
from rulewatch.model.edition import Bulletin, Edition
from rulewatch.model.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """A bulletin that comes into force after another and names clauses that this one changed."""

    bulletin: Bulletin
    clauses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amended:
    """A bulletin applied to the text in force on the day from which it holds; `comparison` is of the text before it and with it."""

    bulletin: Bulletin
    comparison: Comparison
    vocabulary: Vocabulary
    later: tuple[Later, ...] = ()

    @property
    def before(self) -> Edition:
        """The text just before."""
        return self.comparison.old

    @property
    def after(self) -> Edition:
        """The text with the bulletin."""
        return self.comparison.new
