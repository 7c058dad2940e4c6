"""Fit the weights of `rulewatch/compare/certainty.py`: `python -m bench.fit_certainty FOLDER`, in the folder `tests`.

FOLDER holds the open texts (`make bench-pairs` fetches them). Each source of words counts as much as the others. The seeds are
other ones than those that the calibration is measured on. Needs scipy.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from bench.certainty_rows import SORTS, Row, generated_rows
from bench.generated_books import sources
from scipy.optimize import minimize

SEEDS = range(100_000, 101_000)
RIDGE = 1e-3  # keeps a weight finite where a sign parts right from wrong without error


def fitted(claims: list[Row]) -> list[float]:
    """The constant and the weights of a logistic model, by most likely fit."""
    signs = np.column_stack([np.ones(len(claims)), [claim.signs for claim in claims]])
    right = np.array([claim.right for claim in claims], dtype=float)

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        at = signs @ weights
        ridge = RIDGE * np.concatenate([[0.0], weights[1:]])
        slope = signs.T @ (1 / (1 + np.exp(-at)) - right) + 2 * ridge
        return float(np.logaddexp(0, at * (1 - 2 * right)).sum() + ridge @ weights), slope

    return [float(weight) for weight in minimize(loss, np.zeros(signs.shape[1]), jac=True, method="BFGS").x]


def main(folder: Path) -> None:
    """Print the constants as they stand in the module."""
    claims = [claim for words in sources(folder) for claim in generated_rows(words, SEEDS, folder)]
    for name, sort in zip(("PAIRS", "PARTS", "LEFT_OVER"), SORTS, strict=True):
        mine = [claim for claim in claims if claim.sort == sort]
        wrong = sum(not claim.right for claim in mine)
        weights = ", ".join(f"{weight:.2f}" for weight in fitted(mine))
        print(f"{name} = ({weights})  # {len(mine)} claims, {wrong} wrong")  # noqa: T201 -- this is what it is for


if __name__ == "__main__":
    main(Path(sys.argv[1]))
