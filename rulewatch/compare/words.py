"""Words of a rule text: what likeness and wording take for one thing."""

from __future__ import annotations

import re

# One word each: `1,065.75`, `5.2.1`, `4b3a`, `T.2.3`, `two-seater`, `body's`. Every other sign stands alone.
WORD = re.compile(r"\w+(?:(?:[-'’‐‑.]|(?<=\d)[,:/](?=\d))\w+)*|\S")


def words_of(text: str) -> list[str]:
    """The words, numbers and signs of a text in order, without white space."""
    return WORD.findall(text)
