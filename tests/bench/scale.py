"""Time and memory: `python -m bench.scale`, in the folder `tests`.

Generated books of 5,000 and 50,000 clauses are paired, each in a process of its own: renumbered, a fifth edited, chapters
shuffled, 30 % near-duplicates. How long the whole command takes is for `bench/whole.py` to say.
"""

from __future__ import annotations

import random
import resource
import time
from collections.abc import Sequence
from itertools import accumulate
from multiprocessing import get_context

from bench.open_texts import clause

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause

SIZES = (5_000, 50_000)
RUNS = 3  # the best of so many, since the machine may be shared
NEAR, EDITED, DROPPED, ADDED = 0.3, 0.22, 0.04, 0.04
SECTIONS, RULES = 10, 10  # sections in a chapter, rules in a section

Section = list[tuple[str, int]]  # text and what it is known by, the heading first


class Writer:
    """Writes texts of invented words whose frequency falls as in natural language (Zipf)."""

    def __init__(self, seed: int) -> None:
        """Make up the words."""
        self.rng = random.Random(seed)  # noqa: S311 -- books by chance, no secret
        syllables = [one + two for one in "bdfgklmnprstvz" for two in "aeiou"]
        self.words = ["".join(self.rng.choices(syllables, k=self.rng.choice((1, 2, 2, 3, 3, 4)))) for _ in range(20_000)]
        self.odds = list(accumulate(1 / (rank + 3) for rank in range(len(self.words))))

    def some(self, count: int) -> list[str]:
        """So many words."""
        return self.rng.choices(self.words, cum_weights=self.odds, k=count)

    def texts(self, count: int) -> list[str]:
        """Texts, of which some are one shortly before with one word or number changed."""
        out: list[str] = []
        for _ in range(count):
            if out and self.rng.random() < NEAR:
                words = self.rng.choice(out[-200:]).split()
                at = self.rng.randrange(len(words))
                words[at] = self.rng.choice(self.words) if self.rng.random() < 0.5 else str(self.rng.randrange(1000))
            else:
                words = self.some(self.rng.choice((6, 9, 14, 20, 30, 45)))
                words += [str(self.rng.randrange(1000)), "mm"] if self.rng.random() < NEAR else []
            out.append(" ".join(words))
        return out

    def edited(self, section: Section, fresh: int) -> Section:
        """A section with rules dropped, added and reworded."""
        out: Section = []
        for at, (text, name) in enumerate(section):
            luck = self.rng.random() if at else 1.0
            if luck < DROPPED:
                continue
            if luck < DROPPED + ADDED:
                out.append((" ".join(self.some(14)), -fresh - at))
            elif luck < DROPPED + ADDED + EDITED:
                words = [self.some(1)[0] if self.rng.random() < 0.2 else word for word in text.split()]
                out.append((" ".join(words), name))
                continue
            out.append((text, name))
        return out


def numbered(chapters: Sequence[Sequence[Section]]) -> tuple[list[Clause], dict[int, str]]:
    """The clauses of chapters, and the number of each text."""
    out: list[Clause] = []
    numbers: dict[int, str] = {}
    for first, chapter in enumerate(chapters, 1):
        for second, section in enumerate(chapter):
            for third, (text, name) in enumerate(section):
                number = ".".join(str(part) for part in (first, second, third) if part)
                numbers[name] = number if second or not third else f"{first}.0.{third}"
                out.append(clause(numbers[name], text, "generated.md", len(out) + 1))
    return out, numbers


def large(size: int, seed: int = 1) -> tuple[list[Clause], list[Clause], set[tuple[str, str]]]:
    """Two editions of a large book and the pairs of numbers that are the truth."""
    writer = Writer(seed)
    rows = list(zip(writer.texts(size), range(size), strict=True))
    sections = [rows[at : at + RULES] for at in range(0, size, RULES)]
    chapters = [sections[at : at + SECTIONS] for at in range(0, len(sections), SECTIONS)]
    old, before = numbered(chapters)
    later = [[writer.edited(section, size + RULES * at) for section in chapter] for at, chapter in enumerate(chapters)]
    writer.rng.shuffle(later)
    new, after = numbered(later)
    return old, new, {(before[name], after[name]) for name in before.keys() & after.keys()}


def paired(size: int) -> str:
    """Seconds of processor time, memory and F1 of one size."""
    old, new, truth = large(size)
    seconds = []
    for _ in range(RUNS):
        start = time.process_time()
        found = pair(old, new)
        seconds.append(time.process_time() - start)
    made = {(o, n) for one in found for o in one.old for n in one.new}
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    f1 = 2 * len(made & truth) / (len(made) + len(truth))
    return f"{len(old)} against {len(new)} clauses: {min(seconds):.1f} s, {memory} MB with the books themselves, F1 {f1:.4f}"


def main() -> None:
    """Print the figures."""
    for size in SIZES:
        with get_context("spawn").Pool(1) as pool:
            print(pool.apply(paired, (size,)), flush=True)  # noqa: T201 -- a report


if __name__ == "__main__":
    main()
