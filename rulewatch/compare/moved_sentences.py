"""Sentences that only went to another place of their clause, so that a reader need not read them twice."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from rulewatch.model.change import Mark

SENTENCE_END = re.compile(r"(?<=[.;!?]) ")
# Shorter ones come again by chance.
FEWEST_WORDS = 3

# Where a piece was cut out of what is left of a text, and the piece with the blank that goes with it.
Cut = tuple[int, str]
Run = tuple[Mark, str]


def moved(old: str, new: str) -> set[str]:
    """The sentences that stand once in each of two folded texts, and not in the same order: as few words of them as will do."""
    ours, theirs = SENTENCE_END.split(old), SENTENCE_END.split(new)
    once, once_there = Counter(ours), Counter(theirs)
    at = {sentence: place for place, sentence in enumerate(theirs) if once_there[sentence] == 1}
    both = [one for one in ours if one in at and once[one] == 1 and one.count(" ") >= FEWEST_WORDS - 1]
    if len(both) < 2:  # noqa: PLR2004 -- one sentence alone is in order
        return set()
    return set(both) - set(heaviest_in_order(both, [at[one] for one in both]))


def heaviest_in_order(sentences: Sequence[str], places: Sequence[int]) -> list[str]:
    """Those sentences whose places rise, with the most letters in all."""
    best: list[tuple[int, list[str]]] = []
    for here, sentence in enumerate(sentences):
        before = [best[earlier] for earlier in range(here) if places[earlier] < places[here]]
        weight, row = max(before, key=lambda one: one[0], default=(0, []))
        best.append((weight + len(sentence), [*row, sentence]))
    return max(best, key=lambda one: one[0])[1]


def cut(text: str, sentences: set[str]) -> tuple[str, list[Cut]]:
    """A text without some of its sentences, and where each was."""
    sentences_here = SENTENCE_END.split(text)
    left, cuts = "", list[Cut]()
    for number, sentence in enumerate(sentences_here, 1):
        before = " " if left else ""
        if sentence in sentences:
            behind = "" if before or number == len(sentences_here) else " "
            cuts.append((len(left), f"{before}{sentence}{behind}"))
        else:
            left += before + sentence
    return left, cuts


def put_back(runs: Iterable[Run], old: Sequence[Cut], new: Sequence[Cut]) -> Iterator[Run]:
    """Runs of two texts with the sentences that were cut out of them, each where it was in the old text and is in the new one."""
    ours, theirs = list(old), list(new)
    at_old = at_new = 0
    for mark, text in runs:
        rest = text
        while rest:
            steps = [
                step
                for counts, cuts, at in ((mark.in_old, ours, at_old), (mark.in_new, theirs, at_new))
                if counts and cuts and (step := cuts[0][0] - at) < len(rest)
            ]
            length = min(steps, default=len(rest))
            if length:
                yield mark, rest[:length]
                at_old, at_new = at_old + length * mark.in_old, at_new + length * mark.in_new
                rest = rest[length:]
            if rest:
                yield from due(ours, at_old if mark.in_old else -1, Mark.LEFT)
                yield from due(theirs, at_new if mark.in_new else -1, Mark.CAME)
    yield from ((Mark.LEFT, piece) for _, piece in ours)
    yield from ((Mark.CAME, piece) for _, piece in theirs)


def due(cuts: list[Cut], at: int, mark: Mark) -> Iterator[Run]:
    """Take out the pieces that were cut out here."""
    while cuts and cuts[0][0] == at:
        yield mark, cuts.pop(0)[1]
