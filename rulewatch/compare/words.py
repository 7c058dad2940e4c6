"""Words of a rule text: what likeness and wording take for one thing."""

from __future__ import annotations

import re

# One word each for a reader: `1,065.75`, `5.2.1`, `4b3a`, `T.2.3`, `two-seater`, `body's`. Every other sign stands alone.
WORD = re.compile(r"\w+(?:(?:[-'’‐‑.]|(?<=\d)[,:/](?=\d))\w+)*|\S")
# For likeness words come apart where they are made of words: `two-seater` is like `single-seater`.
PART = re.compile(r"\d+(?:[.,:/]\d+)*|[^\W\d_]+|\S")


def parts_of(text: str) -> list[str]:
    """The parts of words, the numbers and the signs of a text in order, without white space."""
    return PART.findall(text)
