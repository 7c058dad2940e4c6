"""The language of amendments, against a published list of changes and a published vocabulary.

The list of sections affected (List of CFR Sections Affected, 1986-2000, at 5 CFR 352.204) has one entry of three changes:
(a)(2) redesignated as (a)(3), a new (a)(2) added, (b)(1) revised. The texts here are invented. The vocabulary is the type
`TextualMods` of OASIS Akoma Ntoso 1.0 (`akomantoso30.xsd`): repeal, substitution, insertion, replacement, renumbering, split, join.
"""

import pytest
from support import BODY, MemoryTree

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Kind
from rulewatch.model.edition import Point, Selector
from rulewatch.workspace import Workspace

EDITION = "title: Rules\npublished: 2026-11-01\neffective: 2027-01-01\n"
FRONT = "---\nnumber: 1\npublished: 2027-02-01\neffective: 2027-03-01\n---\n\n"
BOOK = """## 352.204 Wheel nuts

(a) A nut shall be

(1) of steel, and

(2) tight before the car leaves the pit lane.

(b) A stud shall be

(1) longer than its nut, and

(2) whole.

## 352.205 Valves

A valve has a cap.

## 352.206 Rims

A rim is round. It has no crack.
"""


def changes(bulletin):
    """What a bulletin changes in the book: kinds, old and new numbers, whether the pair is sure."""
    folder = "rulesets/saltmarsh/2027"
    tree = MemoryTree(
        contents={
            "rulesets/saltmarsh/body.yaml": BODY,
            f"{folder}/edition.yaml": EDITION,
            f"{folder}/352.md": BOOK,
            f"{folder}/bulletins/1.md": FRONT + bulletin,
        }
    )
    workspace = Workspace(tree)
    old, new = (
        workspace.edition(Point(body="saltmarsh", season="2027", selector=each)) for each in (Selector.PUBLISHED, Selector.ALL)
    )
    assert workspace.faults == ()
    found = compare_editions(old, new).changed
    texts = {clause.id: clause.folded for clause in new.clauses}
    return {
        (one.kinds, tuple(each.id for each in one.old), tuple(each.id for each in one.new), one.certainty == 1) for one in found
    }, texts


TOLD = """## In 352.204, redesignate (a)(2) as (a)(3).

## In 352.204, add a new (a)(2) to read as follows:

clean, and

## In 352.204, revise (b)(1) to read as follows:

longer than its nut by one thread, and
"""
SAID = """## 352.204(a)(2) is redesignated as 352.204(a)(3)

## 352.204(b)(1) is revised to read “longer than its nut by one thread, and”

## A new paragraph 352.204(a)(2) is added to read as follows:

clean, and
"""


@pytest.mark.parametrize("bulletin", [TOLD, SAID])
def test_the_published_entry_of_5_cfr_352_204_gives_its_three_changes(bulletin):
    """Redesignated, added and revised come out as such, whatever the order; the renumbered pair and the new clause are sure."""
    found, texts = changes(bulletin)
    section = "352.204"
    revised = ((Kind.SUBSTITUTION,), (f"{section}(b)(1)",), (f"{section}(b)(1)",))
    assert {one for one in found if one[:3] != revised} == {
        ((Kind.RENUMBERING,), (f"{section}(a)(2)",), (f"{section}(a)(3)",), True),
        ((Kind.INSERTION,), (), (f"{section}(a)(2)",), True),
    }
    assert [one[:3] for one in found].count(revised) == 1
    assert texts[f"{section}(a)(2)"] == "clean, and"
    assert texts[f"{section}(a)(3)"] == "tight before the car leaves the pit lane."


NUMBERS = [f"352.204{part}" for part in ("", "(a)", "(a)(1)", "(a)(2)", "(b)", "(b)(1)", "(b)(2)")] + ["352.205", "352.206"]
MODIFICATIONS = {
    "repeal": ("## Repeal 352.205", Kind.REPEAL, ("352.205",), ()),
    "substitution": ("## In 352.205, replace “a cap” with “a cap of metal”", Kind.SUBSTITUTION, ("352.205",), ("352.205",)),
    "insertion": ("## Add 352.207 to read:\n\nA wheel turns.", Kind.INSERTION, (), ("352.207",)),
    "replacement": ("## Revise 352.205 to read:\n\nA valve has a cap of metal.", Kind.SUBSTITUTION, ("352.205",), ("352.205",)),
    "renumbering": ("## Renumber 352.206 as 352.207", Kind.RENUMBERING, ("352.206",), ("352.207",)),
    "split": (
        "## Split 352.206 into 352.206 and 352.207, to read:\n\n### 352.206 Rims\n\nA rim is round.\n\n### 352.207\n\nA rim has no crack.",
        Kind.SPLIT,
        ("352.206",),
        ("352.206", "352.207"),
    ),
    "join": (
        "## Join 352.205 and 352.206 as 352.205, to read:\n\nA valve has a cap. A rim is round. It has no crack.",
        Kind.JOIN,
        ("352.205", "352.206"),
        ("352.205",),
    ),
}


@pytest.mark.parametrize("modification", MODIFICATIONS)
def test_each_textual_modification_of_akoma_ntoso_can_be_told_and_is_found_again(modification):
    """A bulletin that tells one makes that change and no other; we have one kind for substitution and replacement."""
    bulletin, kind, old, new = MODIFICATIONS[modification]
    found, texts = changes(bulletin)
    assert [(kind in kinds, before, after) for kinds, before, after, _ in found] == [(True, old, new)]
    assert list(texts) == [number for number in NUMBERS if number not in old or number in new] + [
        number for number in new if number not in NUMBERS
    ]
