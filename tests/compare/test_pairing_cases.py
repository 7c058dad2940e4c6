"""Pairs of clauses, case by case: the cases are read from `tests/cases/pairing.md`."""

import re
from pathlib import Path

import pytest

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place

CASES = Path(__file__).parents[1] / "cases" / "pairing.md"
DOUBTFUL = 0.7  # from here down, `verify` lists a pair for a person to settle


def cases():
    for part in CASES.read_text(encoding="utf-8").split("\n## ")[1:]:
        title = part.partition("\n")[0]
        blocks = dict(re.findall(r"```(\w+)\n(.*?)```", part, re.DOTALL))
        yield pytest.param(blocks["old"], blocks["new"], blocks["pairs"], id=title)


def book(text):
    rows = [line.split(" ", 1) for line in text.splitlines()]
    numbers = {number for number, _ in rows}
    return [
        Clause(
            id=number,
            label=number,
            text=words,
            parent=number.rpartition(".")[0],
            place=Place(path="case.md", line=line),
            last_line=line,
            references=tuple(word for word in words.split() if word in numbers),
        )
        for line, (number, words) in enumerate(rows, 1)
    ]


@pytest.mark.parametrize(("old", "new", "pairs"), list(cases()))
def test_case(old, new, pairs):
    """The books of a case give exactly its pairs, in document order, and doubt those with a question mark."""
    found = pair(book(old), book(new))
    expected = pairs.splitlines()
    assert [f"{', '.join(one.old)} > {', '.join(one.new)}".rstrip() for one in found] == [
        line.removesuffix(" ?") for line in expected
    ]
    assert all(one.certainty < DOUBTFUL for one, line in zip(found, expected, strict=True) if line.endswith(" ?"))
