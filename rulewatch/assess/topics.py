"""Which systems of a car a clause's words speak of, by the vocabulary's labels and synonyms."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rulewatch.assess.facts import Facts
from rulewatch.model.clause import Clause
from rulewatch.model.vocabulary import Vocabulary, ancestors


@dataclass(frozen=True, kw_only=True)
class Topics:
    """The vocabulary's words, to be looked for in texts; not slotted, as they are made ready once, when first needed."""

    vocabulary: Vocabulary

    @cached_property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The labels and synonyms of every quantity and component, each with the components that it means."""
        words: dict[str, list[str]] = {}
        for component in self.vocabulary.components.values():
            for word in (component.label, *component.synonyms):
                words.setdefault(word.casefold(), []).append(component.name)
        for quantity in self.vocabulary.quantities.values():
            for word in (quantity.label, *quantity.synonyms):
                words.setdefault(word.casefold(), []).append(quantity.component)
        return {word: tuple(dict.fromkeys(names)) for word, names in words.items()}

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """Finds any of the words; the longest first, so that "rear wing" is found before "wing"."""
        choices = "|".join(re.escape(word) for word in sorted(self.words, key=lambda word: (-len(word), word)))
        return re.compile(rf"\b(?:{choices})(?:s|es)?\b" if choices else r"(?!)", re.IGNORECASE)

    @cached_property
    def _known(self) -> dict[str, tuple[str, ...]]:
        """What was found in a text before: every option of every car asks it of the same clauses."""
        return {}

    def components(self, text: str) -> tuple[str, ...]:
        """The components that a text speaks of, in order, each once."""
        if text not in self._known:
            self._known[text] = self._components(text)
        return self._known[text]

    def spoken_of(self, clause: Clause, known: Mapping[str, Clause]) -> tuple[str, ...]:
        """The components that a clause speaks of among others of its book: those that it names, else those that the words around it do.

        A whole system is what it speaks of only where it names no part: a firewall parts the cockpit "from the engine".
        """
        named = self.components(clause.text) or self.components("\n".join(words_around(clause, known)))
        return tuple(name for name in named if "." in name) or named

    def _components(self, text: str) -> tuple[str, ...]:
        found: dict[str, None] = {}
        for match in self.pattern.finditer(text):
            word = match[0].casefold()
            for form in (word, word.removesuffix("s"), word.removesuffix("es")):
                found.update(dict.fromkeys(self.words.get(form, ())))
        return tuple(found)


def words_around(clause: Clause, known: Mapping[str, Clause]) -> Iterator[str]:
    """The headings that a clause stands under, and the texts that it refers to: what it speaks of where it names nothing itself."""
    above = known.get(clause.parent)
    while above is not None:
        yield above.heading
        above = known.get(above.parent)
    yield from (known[name].text for name in clause.references if name in known)


# Words by which a rule may ask for a part, permit it, or speak of cars without it: such a rule reaches a car that lacks the part.
PERMITTING = re.compile(
    r"\b(?:(?<!not )(?:permitted|allowed)|may(?! not)|free|optional|(?<!nicht )(?:erlaubt|zulässig)|darf(?! nicht)|autorisée?s?)\b",
    re.IGNORECASE,
)
PROHIBITION = re.compile(r"\b(?:no|kein\w*|aucune?)\s[^.;]*", re.IGNORECASE)  # "No wing may be fitted."
ASKING = re.compile(
    r"\b(?:carr(?:y|ies)|mandatory|compulsory|obligatory|requires?|required|prescribed|needed|necessary|without|lack(?:s|ing)?|absent"
    r"|(?:shall|must|ha(?:s|ve) to|(?:is|are) to)\s+(?:not\s+)?(?:have|carry|use|run|be\s+(?:fitted|equipped|installed|mounted|present"
    r"|provided|carried|used|in\s+place))|unless|except"
    r"|vorgeschrieben|Pflicht|erforderlich|notwendig|muss|müssen|ohne|obligatoire|exigée?s?|doi(?:t|vent)|sans)\b",
    re.IGNORECASE,
)


def concerns(text: str, topics: Topics, facts: Facts, around: str = "") -> bool:
    """Whether a text may concern a car: it speaks of no part that we know, or of one that is not absent, or may ask for one.

    A text that names no part speaks of those that the words `around` it name: the headings that it stands under, and the clauses
    that it refers to or that refer to it. What an option would bring counts as what the car has: the crew thinks of fitting it.
    """
    named = topics.components(text) or topics.components(around)
    if not named or ASKING.search(text) or PERMITTING.search(PROHIBITION.sub("", text)):
        return True
    altered = (name for option in facts.car.options for name, stated in option.alter.items() if stated.present)
    brought = {part for name in altered for part in (name, *ancestors(name))}
    return any(component in brought or facts.of(component).present is not False for component in named)
