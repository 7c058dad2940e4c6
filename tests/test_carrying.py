"""Readings of one edition carried to the next: what goes where, what stays as it was written, and what is told of it."""

from __future__ import annotations

import re

import pytest
from support import BODY

from rulewatch.carrying import carry
from rulewatch.model.carried import Fate
from rulewatch.model.edition import Point
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

OLD = "rulesets/saltmarsh/2026"
CHAPTER = "rulesets/saltmarsh/2027/05-wheels.md"
WIDTH = "limit: {wheels.rear.rim_width: {max: 10 in}}"


@pytest.fixture
def carried(memory_workspace):
    """Carry the readings of an old text to a new one; gives what became of each and the new chapter, or its old self."""

    def run(old: str, new: str, bulletin: str = "", pairs: tuple = ()):
        files = {
            "rulesets/saltmarsh/body.yaml": BODY,
            f"{OLD}/edition.yaml": "title: Rules 2026\neffective: 2026-01-01\n",
            f"{OLD}/05-wheels.md": confirmed(old),
        }
        if bulletin:
            files[f"{OLD}/bulletins/1.md"] = confirmed(bulletin)
        workspace = memory_workspace(files)
        edition = workspace.edition(Point(body="saltmarsh", season="2026"))
        assert not [fault for fault in workspace.faults if not fault.warning]
        result = carry(edition, workspace.sources, [Source(path=CHAPTER, text=new)], pairs)
        return result, result.chapters.get(CHAPTER, new)

    return run


def confirmed(text: str) -> str:
    """A chapter in which `confirmed: …` stands for the confirmation of the text as it is."""
    digests = {clause.id: clause.digest for clause in parse_book([Source(path="x.md", text=text)]).clauses}
    number = ""
    lines = []
    for line in text.split("\n"):
        found = re.match(r"#+ ([\d.]+)", line)
        number = found[1] if found else number
        digest = digests.get(number, "") or "11111111"
        lines.append(line.replace("confirmed: …", f"confirmed: {{by: mara, on: 2025-12-01, text: {digest}}}"))
    return "\n".join(lines)


def block(reading: str) -> str:
    """A reading as it stands under a clause."""
    return f"```reading\n{reading}\n```\n"


RIMS = "## 5.1 Rear rims\n\nA rear rim shall be no wider than 10 in.\n\n" + block(f"{WIDTH}\nconfirmed: …")


def test_the_same_text_keeps_its_reading_confirmed(carried):
    """It is copied as it stands, comments included, and put right under its clause."""
    old = RIMS.replace("limit:", "# Ask the officials before Easter.\nlimit:")
    new = "# 5 Wheels\n\n## 5.4 Rear rims\n\nA rear rim shall be\nno wider than 10 in.\n\n## 5.5 Nuts\n\nNuts shall be of steel, and shall be locked.\n"
    result, text = carried(old, new)
    (one,) = result.readings
    assert (one.old, one.new, one.fate, one.confirmed) == ("5.1", "5.4", Fate.SAME, True)
    copied = confirmed(old).partition("\n\n")[2].partition("\n\n")[2]
    assert text == new.replace("10 in.\n", f"10 in.\n\n{copied}")
    assert one.text == copied.rstrip()


def test_a_changed_text_keeps_its_reading_with_the_old_confirmation(carried):
    """It does not count as confirmed, and what the text no longer says is told."""
    result, text = carried(RIMS, "## 5.1 Rear rims\n\nA rear rim shall be no wider than 11 in.\n")
    (one,) = result.readings
    assert (one.fate, one.confirmed, one.lost) == (Fate.CHANGED, False, ("10 in",))
    assert "max: 10 in" in text
    assert "on: 2025-12-01" in text


def test_other_signs_alone_are_told_apart(carried):
    """A quotation mark changes no rule; all the same, nobody has looked."""
    old = RIMS.replace("no wider than", 'no wider, "flange to flange", than')
    result, _ = carried(old, "## 5.1 Rear rims\n\nA rear rim shall be no wider, “flange to flange”, than 10 in.\n")
    assert [(one.fate, one.confirmed) for one in result.readings] == [(Fate.WORDING, False)]


def test_carrying_again_changes_nothing(carried):
    """A clause that has a reading keeps it, be it carried or somebody's own."""
    new = "## 5.1 Rear rims\n\nA rear rim shall be no wider than 11 in.\n"
    _, text = carried(RIMS, new)
    result, again = carried(RIMS, text)
    assert [one.fate for one in result.readings] == [Fate.READ]
    assert (again, dict(result.chapters)) == (text, {})


def test_a_repealed_clause_is_told_with_its_reading(carried):
    """Nothing is dropped in silence."""
    other = "## 5.9 Tyres\n\nTyres shall be marked by the inspectors at every event.\n"
    result, text = carried(RIMS + "\n" + other, other)
    (one,) = result.readings
    assert (one.old, one.new, one.fate) == ("5.1", "", Fate.GONE)
    assert WIDTH in one.text
    assert text == other


def test_a_bulletin_of_the_old_season_counts(carried):
    """Its text is the one in force, and its reading the one that is carried."""
    bulletin = RIMS.replace("10 in", "11 in")
    front = "---\nnumber: 1\npublished: 2026-02-01\neffective: 2026-03-01\n---\n\n"
    result, text = carried(RIMS, "## 5.1 Rear rims\n\nA rear rim shall be no wider than 11 in.\n", front + bulletin)
    assert [(one.fate, one.confirmed) for one in result.readings] == [(Fate.SAME, True)]
    assert "max: 11 in" in text


def test_a_part_of_a_split_gets_the_reading_whose_numbers_it_has(carried):
    """Each reading goes to one part, by its numbers first and then by its words."""
    both = "Front rims shall be no wider than 9 in, and shall be made of one piece of steel. Rear rims shall be no wider than 10 in, and shall be drilled for a pin."
    readings = [
        "limit: {wheels.front.rim_width: {max: 9 in}}\nconfirmed: …",
        "limit: {wheels.rear.rim_width: {max: 10 in}}\nconfirmed: …",
    ]
    old = f"## 5.1 Rims\n\n{both}\n\n{block(readings[0])}\n{block(readings[1])}"
    first, second = both.split(". ")
    new = f"## 5.1 Front rims\n\n{first}.\n\n## 5.2 Rear rims\n\n{second}\n"
    result, text = carried(old, new)
    assert [(one.new, one.fate) for one in result.readings] == [("5.1", Fate.SPLIT), ("5.2", Fate.SPLIT)]
    assert text.index("front.rim_width") < text.index("## 5.2") < text.index("rear.rim_width")


def test_numbers_of_clauses_follow_their_clauses(carried):
    """Nothing but the number is touched, and the reading is open where the unchanged text names the old one."""
    nuts = "## 5.2 Nuts\n\nNuts shall be of steel, and shall be locked by a pin.\n\n"
    instead = "## 5.3 Old cars\n\nIn place of clause 5.1, rims of old cars shall be no wider than 12 in.\n\n"
    reading = "instead_of: [ '5.1' ]  # the wider one\nlimit: {wheels.rear.rim_width: {max: 12 in}}\nconfirmed: …"
    plain = RIMS.partition("```")[0]
    result, text = carried(
        RIMS + "\n" + nuts + instead + block(reading),
        f"{nuts}{plain.replace('5.1', '5.4')}\n{instead.replace('clause 5.1', 'clause 5.4')}",
    )
    one = result.readings[-1]
    assert (one.fate, one.followed, one.confirmed) == (Fate.WORDING, (("5.1", "5.4"),), False)
    assert "instead_of: [ 5.4 ]  # the wider one" in text
    result, text = carried(RIMS + "\n" + nuts + instead + block(reading), f"{nuts}{plain.replace('5.1', '5.4')}\n{instead}")
    one = result.readings[-1]
    assert (one.fate, one.confirmed, one.notes) == (Fate.SAME, False, ("it is read in place of 5.1, which became 5.4",))
    assert "on: 2025-12-01, text: 00000000" in text


def test_a_day_of_the_season_before_is_for_a_person(carried):
    """Where the text names no year, a reading that ended last season would let everything pass."""
    old = RIMS.replace("10 in.", "10 in until Easter.").replace("limit:", "until: 2026-04-05\nlimit:")
    result, _ = carried(old, "## 5.1 Rear rims\n\nA rear rim shall be no wider than 10 in until Easter.\n")
    (one,) = result.readings
    assert (one.fate, one.confirmed, one.notes) == (Fate.SAME, False, ("2026-04-05 is a day of the season before",))


def test_what_nobody_confirmed_is_not_carried_where_it_would_be_wrong(carried):
    """A number that the new text does not have is a fault without an old confirmation to excuse it."""
    old = RIMS.replace("confirmed: …\n", "")
    result, text = carried(old, "## 5.1 Rear rims\n\nA rear rim shall be no wider than 11 in.\n")
    assert [one.fate for one in result.readings] == [Fate.UNFOUNDED]
    assert "reading" not in text
    result, text = carried(old, "## 5.1 Rear rims\n\nNo rear rim shall be wider than 10 in.\n")
    assert [one.fate for one in result.readings] == [Fate.CHANGED]


@pytest.mark.parametrize(
    ("new", "expected"),
    [
        (
            "- 5.1 A rear rim shall be no wider than 10 in.\n- 5.2 Nuts shall be locked.\n",
            "- 5.1 A rear rim shall be no wider than 10 in.\n\n  ```reading\n  LIMIT\n  ```\n\n- 5.2 Nuts shall be locked.\n",
        ),
        (
            "> 5.1 A rear rim shall be no wider than 10 in.\n",
            "> 5.1 A rear rim shall be no wider than 10 in.\n> ```reading\n> LIMIT\n> ```\n",
        ),
        (
            "5.1 A rear rim shall be no wider than 10 in.\n5.2 Nuts shall be locked.",
            "5.1 A rear rim shall be no wider than 10 in.\n\n```reading\nLIMIT\n```\n\n5.2 Nuts shall be locked.",
        ),
        (
            "5.1 A rear rim shall be no wider than 10 in.",
            "5.1 A rear rim shall be no wider than 10 in.\n\n```reading\nLIMIT\n```",
        ),
    ],
    ids=["item", "quotation", "paragraph", "no end of line"],
)
def test_a_block_is_fitted_to_where_its_clause_stands(carried, new, expected):
    """In a list item it is indented as the item's text, in a quotation it is quoted."""
    old = f"5.1 A rear rim shall be no wider than 10 in.\n\n{block(WIDTH)}"
    _, text = carried(old, new)
    assert text == expected.replace("LIMIT", WIDTH)
