"""Constants chosen without the text that they are measured on: what was learnt must hold on others.

Of the four pairs of editions of the competition regulations, three together with generated books choose the constants from a
grid, and the fourth is scored with them; then the next one is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import product
from pathlib import Path
from types import ModuleType

from bench.generated_books import generated, sources
from bench.open_texts import Case, competition

from rulewatch.compare import books, pairing, parts

GRID: tuple[tuple[ModuleType, str, tuple[float, ...]], ...] = (
    (pairing, "ENOUGH", (0.5, 0.55, 0.6)),
    (pairing, "HARDLY_CHANGED", (0.4, 0.5, 0.6)),
    (books, "TOLD", (0.07, 0.1, 0.15)),
    (parts, "COVERED", (0.45, 0.5, 0.55)),
)
SEEDS = range(50_000, 50_025)


@contextmanager
def constants(values: tuple[float, ...]) -> Iterator[None]:
    """Have the pairing work with other constants for a while."""
    before = [getattr(module, name) for module, name, _ in GRID]
    for (module, name, _), value in zip(GRID, values, strict=True):
        setattr(module, name, value)
    try:
        yield
    finally:
        for (module, name, _), value in zip(GRID, before, strict=True):
            setattr(module, name, value)


def counts(case: Case) -> tuple[int, int, int]:
    """Of the pairs whose numbers differ: right, missed, wrong."""
    made = case.judged({(o, n) for one in pairing.pair(case.old, case.new) for o in one.old for n in one.new})
    guessed = {(o, n) for o, n in made if o != n or (o, n) in case.forbidden}
    true = {(o, n) for o, n in case.truth if o != n}
    return len(guessed & true), len(true - guessed), len(guessed - true)


def total(rows: list[tuple[int, int, int]]) -> tuple[int, int, int, float]:
    """The sums, and F1."""
    right, missed, wrong = (sum(column) for column in zip(*rows, strict=True))
    return right, missed, wrong, 2 * right / (2 * right + missed + wrong)


def main(folder: Path) -> None:
    """Print what each pair of editions scores with constants that were chosen without it, and the sum."""
    cases = list(competition())
    made_up = [generated(words, seed, folder) for words in sources(folder) for seed in SEEDS]
    found: Mapping[tuple[float, ...], list[tuple[int, int, int]]] = {}
    for values in product(*(choices for _, _, choices in GRID)):
        with constants(values):
            found[values] = [*(counts(case) for case in cases), total([counts(case) for case in made_up])[:3]]
    names = ", ".join(name for _, name, _ in GRID)
    print(f"\n| left out | {names} | right | missed | wrong | F1, differing |\n|---|---|---|---|---|---|")  # noqa: T201 -- a report
    scored = []
    for out, case in enumerate(cases):

        def worth(values: tuple[float, ...], out: int = out) -> float:
            *rows, generated_row = found[values]
            return total([row for index, row in enumerate(rows) if index != out])[3] + total([generated_row])[3]

        best = max(found, key=worth)
        scored.append(found[best][out])
        right, missed, wrong, score = total([scored[-1]])
        print(f"| {case.name} | {', '.join(map(str, best))} | {right} | {missed} | {wrong} | {score:.3f} |")  # noqa: T201
    right, missed, wrong, score = total(scored)
    print(f"| all four | | {right} | {missed} | {wrong} | {score:.3f} |")  # noqa: T201
