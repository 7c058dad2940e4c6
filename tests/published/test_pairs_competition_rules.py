"""Pairs of clauses across real editions of a competition's regulations, against pairs that a reader of both settled.

Source: a sport's competition regulations in a public git repository, eight editions of about 400 numbered clauses (CC BY-SA
4.0); the truth tables were settled by reading both texts and the changes between them. The folder `cube-competition` stands
below the one that the environment variable RULEWATCH_CORPORA names.
"""

import csv
import os
from pathlib import Path

import pytest

from rulewatch.compare.pairing import pair
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

FOLDER = Path(os.environ.get("RULEWATCH_CORPORA", "")) / "cube-competition"
EDITIONS = (
    ("2013-05-21", "2014-01-01"),
    ("2018-05-29", "2019-05-01"),
    ("2022-06-01", "2023-02-01"),
    ("2023-08-01", "2024-01-01"),
)

pytestmark = pytest.mark.skipif(
    "RULEWATCH_CORPORA" not in os.environ or not FOLDER.is_dir(),
    reason="the environment variable RULEWATCH_CORPORA does not name a folder with cube-competition in it",
)


def book(day):
    path = FOLDER / f"{day}.md"
    return parse_book([Source(path=path.name, text=path.read_text(encoding="utf-8"))], plain=True).clauses


def rows(name):
    with (FOLDER / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file, delimiter="\t"))


def judged(old_day, new_day):
    """Pairs made, true pairs, and pairs that a reader forbade, as the tables' own description counts them."""
    old, new = book(old_day), book(new_day)
    made = {(o, n) for one in pair(old, new) for o in one.old for n in one.new}
    true, forbidden, either = set(), set(), set()
    for row in rows(f"truth-{old_day}-{new_day}.tsv"):
        here = (row["old_id"], row["new_id"])
        if row["note"].startswith("AMBIG"):
            either.add(here)
        elif row["kind"] == "same-id-different-rule":
            forbidden.add(here)
        else:
            true.add(here)
    same = {(label, label) for label in {clause.id for clause in old} & {clause.id for clause in new}}
    return made - either, true | (same - forbidden - either), forbidden


@pytest.fixture(scope="module")
def all_judged():
    return {days: judged(*days) for days in EDITIONS}


def f1(counts):
    right, made, true = (sum(column) for column in zip(*counts, strict=True))
    return 2 * right / (made + true)


def test_all_pairs(all_judged):
    """Over the four pairs of editions the pairs agree with the reader's (F1 at least 0.997; by number alone 0.990)."""
    assert f1([(len(made & true), len(made), len(true)) for made, true, _ in all_judged.values()]) >= 0.997


def test_differing_pairs(all_judged):
    """So do those whose numbers differ, which are the ones that matter (F1 at least 0.90; by number alone 0)."""
    counts = []
    for made, true, forbidden in all_judged.values():
        differing = {one for one in true if one[0] != one[1]}
        guessed = {one for one in made if one[0] != one[1] or one in forbidden}
        counts.append((len(guessed & differing), len(guessed), len(differing)))
    assert f1(counts) >= 0.90


def test_forbidden_pairs(all_judged):
    """No number that was used again for another rule is taken for the same rule."""
    assert not [one for made, _, forbidden in all_judged.values() for one in made & forbidden]


def test_traps(all_judged):
    """No pair is made that looks right and is wrong."""
    traps = {((row["old_edition"], row["new_edition"]), (row["old_id"], row["new_id"])) for row in rows("traps.tsv")}
    assert traps
    assert not [one for days, (made, _, _) in all_judged.items() for one in made if (days, one) in traps]
