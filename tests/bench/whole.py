"""How long `rulewatch compare` takes for two whole books, everything counted, beside a plain word difference by git.

    make bench-speed, or in the folder `tests`: python -m bench.whole [OLD.md NEW.md] [--rounds 7]

Both commands run by turns, each as a process of its own whose output goes nowhere; the best of the rounds counts. Beside the
time on the clock stands that of the processor, which other work on the machine disturbs less. Python keeps its bytecode, as it
does for whatever is installed. The parts are measured within this process, reading each book once, the older first, as the command
does: what they leave of the whole is starting, loading and printing.

Without books it takes those for which there is a target, at most 20 times git: the German vehicle licensing regulation (StVZO
2012, an official work in the public domain) in its editions of July 2012 and July 2021, 44,000 and 49,000 lines, in the folder
that the environment variable RULEWATCH_CORPORA names.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.fault import Fault
from rulewatch.plain_book import plain_edition
from rulewatch.store.folder import read_file

TARGET = 20  # times git
LICENSING = Path(os.environ.get("RULEWATCH_CORPORA", "")) / "vehicle-licensing"
BOOKS = (str(LICENSING / "stvzo-2012-07.md"), str(LICENSING / "stvzo-2021-07.md"))
GIT = ("git", "diff", "--no-index", "--text", "--word-diff")
OURS = (sys.executable, "-m", "rulewatch", "compare")


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run of a command: seconds on the clock and of the processor, and the most memory in bytes."""

    clock: float
    processor: float
    memory: int


def run(command: tuple[str, ...], books: tuple[str, str], expected: int) -> Run:
    """Run a command on the books to its end; its exit status must be the expected one."""
    begun = time.perf_counter()
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    process = subprocess.Popen([*command, *books], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=kept)
    _, status, usage = os.wait4(process.pid, 0)
    clock = time.perf_counter() - begun
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != expected:
        sys.exit(f"{' '.join(command)} ended with {process.returncode}")
    return Run(clock=clock, processor=usage.ru_utime + usage.ru_stime, memory=usage.ru_maxrss * 1024)


def best(rounds: int, do: Callable[[], object]) -> float:
    """The least time of the processor, in seconds."""
    times = []
    for _ in range(rounds):
        begun = time.process_time()
        do()
        times.append(time.process_time() - begun)
    return min(times)


def parts(books: tuple[str, str], rounds: int) -> dict[str, float]:
    """Processor seconds for reading each book and for comparing them, within this process."""
    texts = [read_file(Path(book), book) for book in books]
    sources = [text for text in texts if not isinstance(text, Fault)]
    found, editions = dict[str, float](), []
    for source in sources:
        begun = time.process_time()
        editions.append(plain_edition(source, source.path)[0])
        found[f"clauses of {Path(source.path).name}"] = time.process_time() - begun
    return {**found, "comparing": best(rounds, lambda: compare_editions(editions[0], editions[1]))}


def table(books: tuple[str, str], rounds: int) -> Iterator[str]:
    """The lines to print."""
    git, ours = [], []
    for _ in range(rounds):
        git.append(run(GIT, books, 1))
        ours.append(run(OURS, books, 0))
    yield f"{'':34}{'clock':>10}{'processor':>12}{'memory':>10}"
    for name, runs in (("git diff --word-diff", git), ("rulewatch compare", ours)):
        clock, processor, memory = (min(getattr(each, what) for each in runs) for what in ("clock", "processor", "memory"))
        yield f"{name:34}{clock:>8.3f} s{processor:>10.3f} s{memory / 1e6:>7.0f} MB"
    by_clock, by_processor = (
        min(getattr(each, what) for each in ours) / min(getattr(each, what) for each in git) for what in ("clock", "processor")
    )
    yield f"{f'times git (target: {TARGET})':34}{by_clock:>8.1f}  {by_processor:>10.1f}"
    for name, seconds in parts(books, rounds).items():
        yield f"  {name:42}{seconds:>10.3f} s"


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("books", nargs="*", default=BOOKS)
    parser.add_argument("--rounds", type=int, default=7)
    asked = parser.parse_args()
    if len(asked.books) != len(BOOKS) or not all(Path(book).is_file() for book in asked.books):
        parser.error("name two files, or in RULEWATCH_CORPORA the folder with the licensing regulation")
    for line in table((asked.books[0], asked.books[1]), asked.rounds):
        print(line, flush=True)  # noqa: T201 -- a report


if __name__ == "__main__":
    main()
