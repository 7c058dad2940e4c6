"""How long a long book takes from its bytes to chapters: `python tests/bench/bench_intake.py`. The best of three runs.

The book is made (`tests/intake/made_books.py`) and printed by reportlab.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "intake"))

from made_books import book
from printed_books import by_reportlab

from rulewatch.intake.numbering_style import Numbering
from rulewatch.intake.readers import read_book
from rulewatch.intake.structure import structure

CHAPTERS = 54
RUNS = 3
BOUND = 30.0  # seconds for 200 pages


def main() -> None:
    """Print pages, clauses and seconds, and fail above the bound."""
    pdf = by_reportlab(book(seed=3, chapters=CHAPTERS))
    best = (float("inf"), float("inf"))
    for _ in range(RUNS):
        begun = time.perf_counter()
        document = read_book(pdf, "book.pdf")
        read = time.perf_counter()
        found = structure([document], Numbering())
        best = min(best, (read - begun, time.perf_counter() - read), key=sum)
    sys.stdout.write(
        f"{document.pages} pages, {len(found.clauses)} clauses: {best[0]:.1f} s to read, {best[1]:.1f} s for chapters\n"
    )
    if sum(best) * 200 / document.pages > BOUND:
        raise SystemExit(f"more than {BOUND:.0f} s for 200 pages")


if __name__ == "__main__":
    main()
