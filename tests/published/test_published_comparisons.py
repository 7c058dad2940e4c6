"""Whole comparisons of published texts, through the same call as the command line.

Sources: the GNU Free Documentation License 1.2 and 1.3 as Debian's base-files ships them; which sections differ was compared
by hand. The German vehicle licensing regulation (StVZO 2012, official work), editions of July 2012 and July 2021.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from rulewatch import two_points
from rulewatch.model.change import Kind
from rulewatch.model.edition import Point

LICENCES = Path("/usr/share/common-licenses")
CORPORA = os.environ.get("RULEWATCH_CORPORA", "")


def compare(folder: Path, old: Path, new: Path):
    """The comparison of two files, copied to the names that a point takes."""
    for name, path in (("old.md", old), ("new.md", new)):
        (folder / name).write_bytes(path.read_bytes())
    result = two_points.compare(folder, Point(file=str(folder / "old.md")), Point(file=str(folder / "new.md")))
    assert result.wrong == ()
    return result.value


@pytest.mark.skipif(not (LICENCES / "GFDL-1.3").exists(), reason="the GNU FDL of Debian's base-files is not on this machine")
def test_free_documentation_license(tmp_path):
    """Every line was wrapped anew; sections 1, 9 and 10 have other words, 11 is new, 0 and 2 to 8 are the same."""
    comparison = compare(tmp_path, LICENCES / "GFDL-1.2", LICENCES / "GFDL-1.3")
    kinds = {change.key: change.kinds for change in comparison.changes}
    sections = {str(number) for number in range(12)}
    assert {name for name in sections if not kinds[name]} == {"0", "2", "3", "4", "5", "6", "7", "8"}
    assert {name for name in sections if kinds[name] == (Kind.SUBSTITUTION,)} == {"1", "9", "10"}
    assert {name for name in sections if kinds[name] == (Kind.INSERTION,)} == {"11"}
    assert {change.old[0].id: change.new[0].id for change in comparison.changes if change.old} == {
        name: name for name in kinds if name != "11"
    }


@pytest.mark.skipif(not CORPORA, reason="RULEWATCH_CORPORA does not name a folder with vehicle-licensing in it")
def test_vehicle_licensing(tmp_path):
    """Two editions of 44,000 and 49,000 lines are compared without a fault, in seconds (the bound: a minute)."""
    folder = Path(CORPORA) / "vehicle-licensing"
    begun = time.perf_counter()
    comparison = compare(tmp_path, folder / "stvzo-2012-07.md", folder / "stvzo-2021-07.md")
    assert time.perf_counter() - begun < 60
    assert len(comparison.old.clauses) > 3000
    assert len(comparison.new.clauses) > len(comparison.old.clauses)
    paired = [change for change in comparison.changes if change.old and change.new]
    assert len(paired) > 0.95 * len(comparison.old.clauses)
