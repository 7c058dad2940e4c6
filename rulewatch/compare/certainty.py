"""How sure a pairing is: how often one like it was right in books that were edited by a known hand.

The figures were measured on some 22,000 pairs of books edited at random (`tests/bench/edited_books.py`: reworded, renumbered,
moved, split, joined, numbers used again, near-identical neighbours) in English, German and invented words, other seeds than
the benchmark's.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

# (what speaks for it, share that was right), in between by straight lines.
PAIRS = ((0.55, 0.48), (0.7, 0.86), (0.92, 0.88), (1.0, 0.998))
PARTS = ((0.5, 0.6), (0.65, 0.75), (0.8, 0.95), (0.9, 0.99))
# The other way round: a clause left over, by the best score it had with another that is left over too.
LEFT_OVER = ((0.0, 0.97), (0.3, 0.92), (0.5, 0.82))
# A rival that is as good takes half of it; one so far behind takes nothing.
RIVAL, BEHIND = 0.5, 0.2


def of_pair(score: float, ahead: float) -> float:
    """Of a pair with a score, so far ahead of its best rival."""
    return along(PAIRS, score) * (1 - RIVAL * max(0.0, 1 - ahead / BEHIND))


def of_part(covered: float) -> float:
    """Of a part that covers so much of what left its whole."""
    return along(PARTS, covered)


def of_left_over(score: float) -> float:
    """Of a repeal or an insertion, from the best score with a clause that is left over too."""
    return along(LEFT_OVER, score)


def along(line: Sequence[tuple[float, float]], at: float) -> float:
    """The height of a line of straight pieces, level beyond its ends."""
    if at <= line[0][0]:
        return line[0][1]
    for (start, low), (end, high) in pairwise(line):
        if at <= end:
            return low + (high - low) * (at - start) / (end - start)
    return line[-1][1]
