"""The laws of effects on many more generated books than the tests have time for: `python tests/bench/bench_laws.py [BOOKS] [SEED]`.

Each pair of books is compared and held to every law of `property/test_effect_laws.py`: claims against brute force over a grid of
cars, forth and back, intervals against logic, and each class as a whole. The first pair that breaks one is printed, made small.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from generated_rules import CLASS, TwoBooks, two_books
from hypothesis import HealthCheck, Phase, given, seed, settings
from property import test_effect_laws as laws

BOOKS, SEED = 2000, 1
LAWS = [law.hypothesis.inner_test for name, law in vars(laws).items() if name.startswith("test_")]


def hold(books: int, start: int) -> Counter[str]:
    """Hold so many pairs of books to every law; what the changes came to, alone, by how often."""
    seen: Counter[str] = Counter()

    @seed(start)
    @settings(
        max_examples=books,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink],
    )
    @given(two_books())
    def every_law(pair: TwoBooks) -> None:
        for law in LAWS:
            law(pair)
        seen["books"] += 1
        seen.update(change.effects[CLASS].value for change in pair.comparison.changed)

    every_law()
    return seen


def main() -> None:
    """Print how many books held, what was claimed, and the time."""
    books, start = [int(each) for each in sys.argv[1:3]] + [BOOKS, SEED][len(sys.argv[1:3]) :]
    begun = time.process_time()
    seen = hold(books, start)
    took = time.process_time() - begun
    claims = ", ".join(f"{count} {name}" for name, count in seen.most_common() if name != "books")
    sys.stdout.write(f"{seen['books']} pairs of books hold to {len(LAWS)} laws, in {took:.0f} s of processor time\n{claims}\n")


if __name__ == "__main__":
    main()
