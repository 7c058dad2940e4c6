"""Words of a rule text: what likeness and wording count as one thing."""

from __future__ import annotations

import re

# A number with its separators is one word (`1,065.75`, `5.2.1`), so is a word with its hyphens and apostrophes
# (`two-seater`, `Rubik's`); every other sign stands alone.
WORD = re.compile(r"\d+(?:[.,:/]\d+)*|[^\W\d_]+(?:[-'’‐‑][^\W\d_]+)*|\S")


def words_of(text: str) -> list[str]:
    """The words, numbers and signs of a text in order, without white space."""
    return WORD.findall(text)
