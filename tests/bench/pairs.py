"""How well clauses are paired, beside simpler ways: `make bench-pairs`, or `python -m bench.pairs FOLDER` in the folder `tests`.

The texts are fetched into FOLDER by name (see `open_texts.py` for sources and licences); what cannot be had is named and left
out. With `--calibration`, what a certainty means; with `--leave-one-out`, constants chosen without the pair of editions that
they are measured on. Needs scipy.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from pathlib import Path

from bench import calibration, leave_one_out
from bench.baselines import Pairs, by_assignment, by_difflib, by_number
from bench.open_texts import Case, commonmark, competition, ecma262, fetch, policy, policy_marks

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause


def by_rulewatch(old: Sequence[Clause], new: Sequence[Clause]) -> Pairs:
    """The pairs that rulewatch makes."""
    return {(o, n) for one in pair(old, new) for o in one.old for n in one.new}


WAYS: dict[str, Callable[[Sequence[Clause], Sequence[Clause]], Pairs]] = {
    "number alone": by_number,
    "difflib, greedy": by_difflib,
    "token_sort_ratio, optimal": by_assignment,
    "rulewatch": by_rulewatch,
}


def f1(made: Pairs, truth: Iterable[tuple[str, str]]) -> float:
    """Harmonic mean of precision and recall; 1 where there is nothing to find and nothing was found."""
    true = set(truth)
    return 2 * len(made & true) / (len(made) + len(true)) if made or true else 1.0


def differing(case: Case, pairs: Iterable[tuple[str, str]]) -> Pairs:
    """The pairs whose numbers differ, and those of one number that the truth forbids."""
    return {(o, n) for o, n in pairs if o != n or (o, n) in case.forbidden}


def measured(case: Case) -> Iterator[str]:
    """For each way, F1 over all pairs and over those whose numbers differ, and seconds of processor time."""
    for way in WAYS.values():
        start = time.process_time()
        made = way(case.old, case.new)
        seconds = time.process_time() - start
        made = case.judged(made)
        yield f"{f1(made, case.truth):.4f} / {f1(differing(case, made), differing(case, case.truth)):.3f} ({seconds:.1f} s)"


def accuracy(folder: Path) -> None:
    """Print the table of all texts, each row as it is ready."""
    say(f"| text | clauses | {' | '.join(WAYS)} |\n|---|---|{'---|' * len(WAYS)}")
    for case in chain(commonmark(folder), policy(folder), ecma262(folder), competition()):
        say(f"| {case.name} | {len(case.old)}, {len(case.new)} | {' | '.join(measured(case))} |")


def marks(folder: Path) -> None:
    """Print how many of the sections that the policy manual's own checklist marks are seen to have changed."""
    say("\n| edition | sections that its checklist marks | seen as changed or new | not |\n|---|---|---|---|")
    for one in policy_marks(folder):
        old, new = ({clause.id: clause.folded for clause in book} for book in (one.old, one.new))
        changed = {
            number
            for made in pair(one.old, one.new)
            for number in made.new
            if [old[label] for label in made.old] != [new[label] for label in made.new]
        }
        rest = ", ".join(sorted(one.sections - changed))
        say(f"| {one.name} | {len(one.sections)} | {len(one.sections & changed)} | {rest} |")


def say(line: str) -> None:
    """Print a line at once."""
    print(line, flush=True)  # noqa: T201 -- a report


def main() -> None:
    """Fetch what is missing, measure, print."""
    parser = argparse.ArgumentParser(description="How well clauses are paired, beside simpler ways.")
    parser.add_argument("folder", type=Path, help="where the texts are, or are fetched to")
    parser.add_argument("--calibration", action="store_true", help="what a certainty means, too")
    parser.add_argument("--leave-one-out", action="store_true", help="constants chosen on other texts, too")
    chosen = parser.parse_args()
    folder: Path = chosen.folder.resolve()
    for missing in fetch(folder):
        say(f"not to be had: {missing}")
    accuracy(folder)
    marks(folder)
    if chosen.leave_one_out:
        leave_one_out.main(folder)
    if chosen.calibration:
        calibration.main(folder)


if __name__ == "__main__":
    main()
