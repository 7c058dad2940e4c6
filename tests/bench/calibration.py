"""What a certainty means: of the claims with about one certainty, how many are right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from bench.certainty_rows import SORTS, Row, generated_rows, rows
from bench.generated_books import sources
from bench.open_texts import Case, commonmark, ecma262

EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 1.01)
FEWEST = 200  # claims that make a bin; one with fewer goes together with the next
SEEDS = range(200_000, 201_500)  # none that the weights were fitted on


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """Claims with about one certainty: how many, what was said on average, what share was right."""

    low: float
    high: float
    claims: int
    said: float
    right: float

    def __str__(self) -> str:
        """A row of a table in Markdown."""
        high = min(self.high, 1.0)
        return f"| {self.low:.2f} to {high:.2f} | {self.claims} | {self.said:.3f} | {self.right:.3f} |"


def bins(claims: Sequence[Row]) -> Iterator[Bin]:
    """The claims by certainty; neighbouring bins together until each holds enough, as far as there are enough at all."""
    row: list[Row] = []
    low = EDGES[0]
    for start, end in pairwise(EDGES):
        row += [claim for claim in claims if start <= claim.said < end]
        rest = sum(claim.said >= end for claim in claims)
        if row and (len(row) >= FEWEST or not rest) and (rest >= FEWEST or not rest):
            said, right = (sum(values) / len(row) for values in ([c.said for c in row], [c.right for c in row]))
            yield Bin(low=low, high=end, claims=len(row), said=said, right=right)
            row, low = [], end


def known(case: Case) -> Case:
    """Only pairs of which one clause at least stands in the truth: an id that changed with its title proves nothing wrong."""
    sides = frozenset(old for old, _ in case.truth), frozenset(new for _, new in case.truth)
    return Case(name=case.name, old=case.old, new=case.new, truth=case.truth, known=sides)


def report(title: str, claims: Iterable[Row]) -> None:
    """Print one table."""
    claims = list(claims)
    print(f"\n{title}\n\n| certainty | claims | said | right |\n|---|---|---|---|")  # noqa: T201 -- a report
    for one in bins(claims):
        print(one)  # noqa: T201 -- a report


def main(folder: Path) -> None:
    """Print the tables: generated books by sort of claim and by words, then the open texts."""
    by_words = {words: generated_rows(words, SEEDS, folder) for words in sources(folder)}
    for sort in SORTS:
        report(f"Generated, {sort}", (claim for claims in by_words.values() for claim in claims if claim.sort == sort))
    for words, claims in by_words.items():
        report(f"Generated in {words}, pair", (claim for claim in claims if claim.sort == SORTS[0]))
    report("CommonMark, every version with each later one, pair", pairs(commonmark(folder, every=True)))
    report("ECMA-262, with numbers and without, pair", pairs(ecma262(folder)))


def pairs(cases: Iterable[Case]) -> Iterator[Row]:
    """The pairs claimed in some cases."""
    return (claim for case in cases for claim in rows(known(case)) if claim.sort == SORTS[0])
