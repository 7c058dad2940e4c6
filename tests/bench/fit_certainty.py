"""Fit the weights of `rulewatch/compare/certainty.py`: `python -m bench.fit_certainty FOLDER`, in the folder `tests`.

FOLDER holds the open texts (`make bench-pairs` fetches them). Each source of words counts as much as the others. The seeds are
other ones than those that the calibration is measured on. Needs scipy.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import accumulate
from pathlib import Path

import numpy as np
from bench.calibration import report
from bench.certainty_rows import SORTS, Row, generated_rows
from bench.generated_books import sources
from scipy.optimize import minimize
from scipy.special import expit

from rulewatch.compare.certainty import logistic

SEEDS = range(100_000, 101_400)
CAREFULLY = {"maxiter": 5000, "maxfun": 10_000, "ftol": 1e-13, "gtol": 1e-6}
RIDGE = 8.0  # on signs counted in their own spread; of 0.3, 2 and 8 the best calibrated on words that were left out


def fitted(claims: list[Row]) -> list[float]:
    """The constant and the weights of a logistic model, by most likely fit."""
    rows = np.array([claim.signs for claim in claims])
    spread = rows.std(axis=0) + 1e-9
    signs = np.column_stack([np.ones(len(claims)), rows / spread])
    right = np.array([claim.right for claim in claims], dtype=float)

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        at = signs @ weights
        ridge = RIDGE * np.concatenate([[0.0], weights[1:]])
        slope = signs.T @ (expit(at) - right) + 2 * ridge
        return float(np.logaddexp(0, at * (1 - 2 * right)).sum() + ridge @ weights), slope

    constant, *weights = minimize(loss, np.zeros(signs.shape[1]), jac=True, method="L-BFGS-B", options=CAREFULLY).x
    return [float(constant), *map(float, np.array(weights) / spread)]


def left_out(claims: dict[str, list[Row]]) -> list[Row]:
    """Every claim with the certainty that the books in all other words give it."""
    found = []
    for words, own in claims.items():
        weights = fitted([claim for other, theirs in claims.items() if other != words for claim in theirs])
        found += [replace(claim, said=logistic(weights, claim.signs)) for claim in own]
    return found


def main(folder: Path) -> None:
    """Print the constants as they stand in the module, and how well they hold on words that they were fitted without."""
    claims = {words: generated_rows(words, SEEDS, folder) for words in sources(folder)}
    for name, sort in zip(("PAIRS", "PARTS", "LEFT_OVER"), SORTS, strict=True):
        mine = {words: [claim for claim in rows if claim.sort == sort] for words, rows in claims.items()}
        every = [claim for rows in mine.values() for claim in rows]
        wrong = sum(not claim.right for claim in every)
        weights = ", ".join(f"{weight:.2f}" for weight in fitted(every))
        print(f"{name} = ({weights})  # {len(every)} claims, {wrong} wrong")  # noqa: T201 -- this is what it is for
        others = left_out(mine)
        report(f"{sort}, fitted without the words that it is measured on", others)
        ends = accumulate(len(rows) for rows in mine.values())
        for (words, rows), end in zip(mine.items(), ends, strict=True):
            report(f"{sort}, {words}", others[end - len(rows) : end])


if __name__ == "__main__":
    main(Path(sys.argv[1]))
