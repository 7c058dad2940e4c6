"""Words of a rule text: what likeness and wording take for one thing."""

from __future__ import annotations

import re

# One word each for a reader: `1,065.75`, `5.2.1`, `4b3a`, `T.2.3`, `two-seater`, `body's`. Every other sign stands alone.
WORD = re.compile(r"\w+(?:(?:[-'’‐‑.]|(?<=\d)[,:/](?=\d))\w+)*|\S")
# For likeness words come apart where they are made of words: `two-seater` is like `single-seater`.
PART = re.compile(r"\d+(?:[.,:/]\d+)*|[^\W\d_]+|\S")


class Parts(dict[str, tuple[str, ...]]):
    """The parts of words, the numbers and the signs that stand between two blanks.

    A book has few such pieces and each of them many times, so that each is taken apart once.
    """

    def __missing__(self, piece: str) -> tuple[str, ...]:
        self[piece] = parts = (piece,) if piece.isalpha() else tuple(PART.findall(piece))
        return parts
