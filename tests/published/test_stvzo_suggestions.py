"""Suggested readings against a hand-made list of the technical limits of a long official text.

Source: StVZO (German regulation on the licensing of vehicles), gesetze-im-internet.de, an official work; the text is read from the
folder that the environment variable RULEWATCH_CORPORA names. The list was made before any suggestion for it was seen.
"""

from __future__ import annotations

import re
import sys
from fractions import Fraction
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.suggestions import SEEN, law, law_text

TEXT = law_text()
PAGE = Path(__file__).parents[2] / "docs" / "reference" / "suggestions.md"
pytestmark = pytest.mark.skipif(TEXT is None, reason="RULEWATCH_CORPORA does not name the folder of the texts")


@pytest.mark.parametrize(
    ("first", "last", "row"),
    [(0, SEEN, "four passages in view"), (SEEN, None, "three passages not in view"), (0, None, "all seven")],
    ids=["in view", "not in view", "all"],
)
def test_the_figures_of_the_reference_are_those_of_today(first, last, row):
    """Precision and recall on the numbers of the law are what the page of suggestions says."""
    score = law(TEXT, first, last)
    line = re.search(rf"^\| StVZO, {row} \|.*$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert f"({score.right} of {score.suggested}) " in line[0]
    assert f"({score.right} of {score.listed}) " in line[0]


def test_it_does_not_get_worse():
    """All seven passages together stay above what was reached, with a little room."""
    numbers, parts = law(TEXT), law(TEXT, numbers=False)
    assert numbers.precision > Fraction(55, 100)
    assert numbers.recall > Fraction(48, 100)
    assert parts.precision > Fraction(70, 100)
