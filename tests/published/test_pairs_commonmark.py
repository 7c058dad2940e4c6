"""Sections of a specification that were moved and renumbered between its versions.

Source: the CommonMark specification 0.28 to 0.31.2 (npm package commonmark-spec, CC BY-SA 4.0), 43 numbered headings each;
headings are unique and kept, so that they are the truth. 0.30 moved 6.1 and 6.2 to 2.4 and 2.5, so that 6.3 to 6.11 became
6.1 to 6.9. The environment variable RULEWATCH_COMMONMARK names a folder with one folder a version (`0.29.0/spec.txt`).
"""

import os
import re
from itertools import pairwise
from pathlib import Path

import pytest

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place

FOLDER = Path(os.environ.get("RULEWATCH_COMMONMARK", ""))
VERSIONS = ("0.28.0", "0.29.0", "0.30.0", "0.31.0", "0.31.2")

pytestmark = pytest.mark.skipif(
    "RULEWATCH_COMMONMARK" not in os.environ or not all((FOLDER / version / "spec.txt").is_file() for version in VERSIONS),
    reason="the environment variable RULEWATCH_COMMONMARK does not name a folder with the five versions in it",
)


def sections(version, *, titles=True):
    """The sections of a version, numbered as its headings stand; without titles they are found by their bodies alone."""
    numbers, found, example = [0, 0, 0], [], False
    for line, text in enumerate((FOLDER / version / "spec.txt").read_text(encoding="utf-8").splitlines(), 1):
        example ^= text.startswith("`" * 32)
        heading = None if example else re.match(r"(#{1,3}) (.+)", text)
        if heading:
            depth = len(heading[1])
            numbers[depth - 1 :] = [numbers[depth - 1] + 1, *[0] * (3 - depth)]
            found.append((".".join(map(str, numbers[:depth])), heading[2], line, []))
        elif found:
            found[-1][3].append(text)
    return {
        title: Clause(
            id=number,
            label=number,
            text="\n".join([title, *body] if titles else body),
            parent=number.rpartition(".")[0],
            place=Place(path=version, line=line),
            last_line=line,
        )
        for number, title, line, body in found
    }


@pytest.mark.parametrize(("before", "after"), list(pairwise(VERSIONS)))
def test_sections(before, after):
    """Every section is found again under its new number, and nothing else is paired."""
    old, new = sections(before), sections(after)
    made = {(o, n) for one in pair(list(old.values()), list(new.values())) for o in one.old for n in one.new}
    assert len(old) == 43
    assert made == {(old[title].id, new[title].id) for title in old.keys() & new.keys()}


def test_moved_sections_by_their_bodies():
    """With the titles hidden, the sections that 0.30 moved and shifted are still found by what they say."""
    old, new = sections("0.29.0", titles=False), sections("0.30.0", titles=False)
    made = {(o, n) for one in pair(list(old.values()), list(new.values())) for o in one.old for n in one.new}
    moved = {("6.1", "2.4"), ("6.2", "2.5")} | {(f"6.{n}", f"6.{n - 2}") for n in range(3, 12)}
    assert moved <= made
