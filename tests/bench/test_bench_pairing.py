"""Pairing measured on large and hard books; slow, and not part of the ordinary run: `pytest tests/bench -s`.

The index of ECMA-262 has the numbers and titles of some 2,000 clauses with stable ids, which are the truth and are not shown
to the pairing (npm package @tc39/ecma262-biblio, versions 2.0.2285 and 2.2.3180; Ecma text licence). The environment
variable RULEWATCH_ECMA262 names a folder with one folder a version (`2.0.2285/biblio.json`). Ids that changed with a title
count as wrong there, so that the figure is a lower bound.
"""

import json
import os
import time
from pathlib import Path

import pytest
from bench.edited_books import edited, invented_text

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place

ECMA262 = Path(os.environ.get("RULEWATCH_ECMA262", ""))
OLD, NEW = "2.0.2285", "2.2.3180"


def measured(old, new, truth):
    """F1 over all pairs and over those whose numbers differ, and by number alone; seconds; the pairs with their certainty."""
    start = time.perf_counter()
    found = pair(old, new)
    seconds = time.perf_counter() - start
    made = {(o, n): one.certainty for one in found for o in one.old for n in one.new}
    same = {(label, label) for label in {clause.id for clause in old} & {clause.id for clause in new}}

    def f1(guessed, true):
        return 2 * len(guessed & true) / max(len(guessed) + len(true), 1)

    def differing(pairs):
        return {one for one in pairs if one[0] != one[1]}

    return f1(set(made), truth), f1(differing(made), differing(truth)), f1(same, truth), seconds, made


def report(name, old, new, truth):
    every, differing, number, seconds, made = measured(old, new, truth)
    figures = f"F1 {every:.4f}, differing {differing:.4f}, by number alone {number:.4f}, {seconds:.2f} s"
    print(f"{name}: {len(old)} and {len(new)} clauses, {figures}")  # noqa: T201 -- the figures are what this is for
    return every, made


@pytest.mark.parametrize("rate", [0.25, 0.6])
@pytest.mark.parametrize("sticky", [False, True])
def test_edited_books(rate, *, sticky):
    """Books edited at random, a quarter and more than half of their clauses: F1 above 0.99."""
    every, _ = report(
        f"edited, rate {rate}, sticky {sticky}", *edited(invented_text(3000, 2000, 11), 5, sticky=sticky, rate=rate)
    )
    assert every > 0.99


def test_certainty():
    """Of the pairs with a certainty between 0.8 and 0.99, at least as many are right as the certainty says."""
    right = total = said = 0.0
    for seed in range(40, 52):
        old, new, truth = edited(invented_text(2000, 800, seed), seed, sticky=seed % 2 == 0, rate=0.6)
        for one, certainty in measured(old, new, truth)[4].items():
            if 0.8 <= certainty < 0.99:
                right, total, said = right + (one in truth), total + 1, said + certainty
    print(f"{total:.0f} pairs, {right / total:.3f} right, {said / total:.3f} said")  # noqa: T201 -- as above
    assert total >= 200
    assert right >= said


@pytest.mark.parametrize("size", [5000, 20000])
def test_size(size):
    """The time grows about as the books do: 20,000 clauses within half a minute."""
    start = time.perf_counter()
    every, _ = report("large", *edited(invented_text(20000, size, 7), 3, sticky=False, rate=0.3))
    assert every > 0.99
    assert time.perf_counter() - start < 60


@pytest.mark.skipif(
    "RULEWATCH_ECMA262" not in os.environ or not (ECMA262 / NEW / "biblio.json").is_file(),
    reason="the environment variable RULEWATCH_ECMA262 does not name a folder with both versions in it",
)
def test_titles_of_a_standard():
    """2,000 numbered titles across four years of ECMA-262: F1 above 0.97, by number alone 0.65."""

    def index(version):
        entries = json.loads((ECMA262 / version / "biblio.json").read_text(encoding="utf-8"))["entries"]
        numbered = {e["number"]: e for e in entries if e["type"] == "clause" and e["number"]}
        order = sorted(numbered, key=lambda number: [(not part.isdigit(), part.zfill(4)) for part in number.split(".")])
        place = Place(path=version)
        clauses = [
            Clause(id=n, label=n, text=numbered[n]["title"], parent=n.rpartition(".")[0], place=place, last_line=0)
            for n in order
        ]
        return clauses, {numbered[n]["id"]: n for n in order}

    (old, old_ids), (new, new_ids) = index(OLD), index(NEW)
    truth = {(old_ids[name], new_ids[name]) for name in old_ids.keys() & new_ids.keys()}
    every, _ = report("ECMA-262", old, new, truth)
    assert every > 0.97
