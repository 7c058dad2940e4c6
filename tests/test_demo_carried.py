"""The demo's winter, told again: its new books without their readings, the old ones carried into them."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from rulewatch.carriage import carry_into
from rulewatch.confirming import Desk
from rulewatch.model.carried import Fate
from rulewatch.model.edition import Point, Selector
from rulewatch.store.folder import FolderTree
from rulewatch.workspace import Workspace

ROOT = Path(__file__).parents[1]
NEW = Point(body="saltmarsh", season="2027")
BLOCK = re.compile(r"\n *```reading\n.*?\n *```\n", re.DOTALL)


@pytest.fixture
def winter(tmp_path):
    """The demo as it was when the book of 2027 had come and nobody had read it."""
    for folder in ("rulesets", "cars"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    for chapter in (tmp_path / "rulesets/saltmarsh/2027").glob("*.md"):
        chapter.write_text(BLOCK.sub("", chapter.read_text()))
    return tmp_path


def test_most_of_the_book_need_not_be_read_again(winter):
    """What the old book said in the same words stays confirmed; the repealed clauses are told."""
    carriage = carry_into(winter, NEW).value
    assert carriage is not None
    found = carriage.carried.readings
    carried = [one for one in found if one.fate.carried]
    assert (len(carried), sum(one.confirmed for one in carried)) == (130, 78)
    assert [one.old for one in found if one.fate is Fate.GONE] == ["4.4", "6.10", "7.6", "8.12", "9.17"]
    workspace = Workspace(FolderTree(winter))
    workspace.edition(NEW)
    assert [str(fault) for fault in workspace.faults if not fault.warning] == []


def test_what_is_proposed_is_what_the_crew_wrote(winter):
    """The demo's own readings of 2027, which were made by hand, have the numbers that are proposed, clause by clause."""
    carry_into(winter, NEW)
    desk = Desk(winter, NEW)
    crew = Workspace(FolderTree(ROOT)).edition(Point(body="saltmarsh", season="2027", selector=Selector.PUBLISHED))
    assert crew is not None
    proposed = []
    for step in desk.steps().value or ():
        offer = desk.offer(step)
        if step.reading is None or not offer.blocks or "/bulletins/" in step.path:
            continue
        proposed.append(step.clause.id)
        (reading,) = offer.readings
        assert reading is not None
        numbers = {amount.plain for amount in reading.amounts}
        assert any(numbers <= {amount.plain for amount in own.amounts} for own in crew.readings[step.clause.id]), step.name
    assert {"2.6", "4.3", "6.10", "7.2", "8.8"} <= set(proposed)
