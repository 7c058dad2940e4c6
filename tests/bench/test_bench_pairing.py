"""Pairing measured on large and hard books; slow, and not part of the ordinary run: `pytest tests/bench -s`.

`make bench-pairs` prints more: open texts beside simpler ways of pairing, what a certainty means, time and memory.
"""

import os
import time
from pathlib import Path

import pytest
from bench.certainty_rows import SORTS, rows
from bench.edited_books import edited, invented_text
from bench.generated_books import INVENTED, generated
from bench.open_texts import ecma262
from bench.scale import large

from rulewatch.compare.pairing import pair

TEXTS = Path(os.environ.get("RULEWATCH_TEXTS", ""))


def f1(old, new, truth):
    made = {(o, n) for one in pair(old, new) for o in one.old for n in one.new}
    return 2 * len(made & set(truth)) / (len(made) + len(truth))


@pytest.mark.parametrize("rate", [0.25, 0.6])
@pytest.mark.parametrize("sticky", [False, True])
def test_edited_books(rate, *, sticky):
    """Books edited at random, a quarter and more than half of their clauses: F1 above 0.99."""
    assert f1(*edited(invented_text(3000, 2000, 11), 5, sticky=sticky, rate=rate)) > 0.99


def test_certainty():
    """Of the pairs with a certainty between 0.7 and 0.99, about as many are right as the certainty says."""
    cases = (generated(INVENTED, seed, TEXTS) for seed in range(300))
    claims = [one for case in cases for one in rows(case) if one.sort == SORTS[0] and 0.7 <= one.said < 0.99]
    right, said = (sum(values) / len(claims) for values in ([one.right for one in claims], [one.said for one in claims]))
    assert len(claims) >= 200
    assert abs(right - said) < 0.05


def test_size():
    """20,000 clauses within half a minute of processor time."""
    old, new, truth = large(20_000)
    start = time.process_time()
    assert f1(old, new, truth) > 0.99
    assert time.process_time() - start < 30


@pytest.mark.skipif("RULEWATCH_TEXTS" not in os.environ, reason="RULEWATCH_TEXTS does not name the folder of the open texts")
def test_titles_of_a_standard():
    """2,000 titles across four years of ECMA-262, with their numbers and without: F1 above 0.97."""
    for case in ecma262(TEXTS):
        assert f1(case.old, case.new, case.truth) > 0.97
