"""Which systems of a car a clause's words speak of, by the vocabulary's labels and synonyms."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from rulewatch.assess.facts import Facts
from rulewatch.model.vocabulary import Vocabulary


@dataclass(frozen=True, kw_only=True)
class Topics:
    """The vocabulary's words, ready to be looked for in texts."""

    words: Mapping[str, tuple[str, ...]]
    pattern: re.Pattern[str]

    @classmethod
    def of(cls, vocabulary: Vocabulary) -> Topics:
        """Collect the labels and synonyms of every quantity and component."""
        words: dict[str, list[str]] = {}
        for component in vocabulary.components.values():
            for word in (component.label, *component.synonyms):
                words.setdefault(word.casefold(), []).append(component.name)
        for quantity in vocabulary.quantities.values():
            for word in (quantity.label, *quantity.synonyms):
                words.setdefault(word.casefold(), []).append(quantity.component)
        # Longest first, so that "rear wing" is found before "wing".
        choices = "|".join(re.escape(word) for word in sorted(words, key=lambda word: (-len(word), word)))
        pattern = re.compile(rf"\b(?:{choices})(?:s|es)?\b" if choices else r"(?!)", re.IGNORECASE)
        return cls(words={word: tuple(dict.fromkeys(names)) for word, names in words.items()}, pattern=pattern)

    def components(self, text: str) -> tuple[str, ...]:
        """The components that a text speaks of, in order, each once."""
        found: dict[str, None] = {}
        for match in self.pattern.finditer(text):
            word = match[0].casefold()
            for form in (word, word.removesuffix("s"), word.removesuffix("es")):
                found.update(dict.fromkeys(self.words.get(form, ())))
        return tuple(found)


# Words by which a rule may ask for a part, or speak of cars without it: such a rule reaches a car that lacks the part.
ASKING = re.compile(
    r"\b(?:mandatory|compulsory|obligatory|requires?|required|prescribed|needed|necessary|without|lack(?:s|ing)?|absent"
    r"|(?:shall|must|ha(?:s|ve) to|(?:is|are) to)\s+(?:not\s+)?(?:have|carry|use|run|be\s+(?:fitted|equipped|installed|mounted|present"
    r"|provided|carried|used|in\s+place))|unless|except"
    r"|vorgeschrieben|Pflicht|erforderlich|notwendig|muss|müssen|ohne|obligatoire|exigée?s?|doi(?:t|vent)|sans)\b",
    re.IGNORECASE,
)


def concerns(text: str, topics: Topics, facts: Facts) -> bool:
    """Whether a text may concern a car: it speaks of no part that we know, or of one that is not absent, or may ask for one."""
    named = topics.components(text)
    return not named or bool(ASKING.search(text)) or any(facts.of(component).present is not False for component in named)
