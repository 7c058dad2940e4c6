"""What waits for a person's word, and what is written when it is said: the block that it is about, and no other byte."""

from __future__ import annotations

from datetime import date

import pytest
from small_season import BEFORE, CHAPTER, NEW, season
from support import BODY

from rulewatch.confirming import Desk
from rulewatch.model.edition import Point
from rulewatch.model.reading import Confirmation
from rulewatch.model.step import Block

POINT = Point(body="saltmarsh", season="2027")


@pytest.fixture
def laid(put):
    """Lay the new season on the desk; gives the desk, its steps by name, and the chapter's file."""

    def lay(files=None, *clauses):
        root = put(files if files is not None else season())
        desk = Desk(root, POINT)
        result = desk.steps(clauses)
        assert result.value is not None, result.faults
        return desk, {step.name: step for step in result.value}, root / CHAPTER

    return lay


def by_mara(step) -> Confirmation:
    return Confirmation(by="mara", on=date(2026, 12, 1), text=step.clause.digest)


def told(faults) -> list[str]:
    return [f"{fault.code} {fault.message}" for fault in faults]


def test_what_is_open_comes_in_the_order_of_what_it_touches(laid):
    """A limit on a car comes before an unread clause about its parts, and that before words that name no part."""
    _, steps, _ = laid()
    assert [(name, step.concern.rank) for name, step in steps.items()] == [("5.1", 0), ("5.4", 1), ("5.3", 3)]
    (touched,) = steps["5.1"].concern.cars
    assert (touched.car, touched.class_name, touched.subject) == ("marram", "silhouette-b", "wheels.rear.rim_width")


def test_a_step_shows_the_text_that_the_reading_was_made_for(laid):
    """Old and new words stand against each other, and the proposal beside the reading."""
    desk, steps, _ = laid()
    step = steps["5.1"]
    assert [clause.id for clause in step.before] == ["5.1"]
    assert [(mark.value, text.strip()) for mark, text in step.words if mark.value != "keep"] == [
        ("drop", "10 in"),
        ("add", "11 in"),
    ]
    offer = desk.offer(step)
    assert [line for block in offer.blocks for line in block if "max" in line] == [
        "limit: {wheels.rear.rim_width: {max: 11 in}}   # at the bead seats"
    ]
    assert (offer.doubts, offer.why_not) == ((), "")
    suggested = desk.offer(steps["5.4"])
    assert suggested.blocks
    assert suggested.origins


def test_a_decision_replaces_its_own_block_and_nothing_else(laid):
    """Comments, blanks and the other clauses stay as they were; the confirmation names the text as it is."""
    desk, steps, chapter = laid()
    was = chapter.read_text()
    step = steps["5.1"]
    assert desk.write(step, desk.offer(step).blocks, by_mara(step)) == ()
    wanted = was.replace("{max: 10 in}}   #", "{max: 11 in}}   #").replace(
        was.split("confirmed: ")[1].split("\n")[0], f"{{by: mara, on: 2026-12-01, text: {step.clause.digest}}}", 1
    )
    assert chapter.read_text() == wanted


def test_lines_end_as_they_did(laid):
    """A chapter from another system keeps its mark and its ends of lines."""
    files = season()
    data = b"\xef\xbb\xbf" + files[CHAPTER].replace("\n", "\r\n").encode()
    desk, steps, chapter = laid({**files, CHAPTER: data})
    step = steps["5.4"]
    assert desk.write(step, (("```reading", "limit: {wheels.spacers: absent}", "```"),), by_mara(step)) == ()
    new = chapter.read_bytes()
    assert new.startswith(data)
    assert b"\n" not in new.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"")


def test_a_reading_that_the_text_contradicts_is_not_written(laid):
    """Kept as it is, it would name a number that the clause no longer has."""
    desk, steps, chapter = laid()
    was = chapter.read_bytes()
    step = steps["5.1"]
    faults = desk.write(step, (step.block,), by_mara(step))
    assert told(faults) == [
        "number-not-used `11 in` in the text of 5.1, expected a reading that uses it; if there is nothing to check, write `noted: [11 in]`",
        "reading-contradicts-text `10 in` is not in the text of 5.1, expected `11 in`; correct the reading, or look up what the clause says now",
    ]
    assert chapter.read_bytes() == was


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("than 11 in.", "than 12 in.", "the text of 5.1 was changed meanwhile"),
        ("# at the bead seats", "# at the rim", "the reading of 5.1 was changed meanwhile"),
        ("## 5.1 Rear", "## 5.9 Rear", "5.1 is not in this file any more"),
    ],
)
def test_what_was_changed_meanwhile_is_not_overwritten(laid, old, new, found):
    """Somebody edits the file while the clause is looked at: it is said, and their work stays."""
    desk, steps, chapter = laid()
    chapter.write_text(theirs := chapter.read_text().replace(old, new, 1))
    step = steps["5.1"]
    faults = desk.write(step, desk.offer(step).blocks, by_mara(step))
    assert told(faults) == [f"stale-decision {found}; look at it again: it is shown as it stands now"]
    assert chapter.read_text() == theirs


def test_a_change_elsewhere_in_the_file_is_kept(laid):
    """Only the clause and its reading must be as they were shown; places may have moved."""
    desk, steps, chapter = laid()
    chapter.write_text("<!-- as printed -->\n\n" + chapter.read_text().replace("9 in.", "9 in.\n\nRims are stamped.", 1))
    step = steps["5.1"]
    assert desk.write(step, desk.offer(step).blocks, by_mara(step)) == ()
    assert chapter.read_text().startswith("<!-- as printed -->\n\n# 5 Wheels")
    assert "Rims are stamped." in chapter.read_text()


def test_an_unread_clause_that_was_read_meanwhile_is_left_alone(laid):
    """A second reading beside theirs would say more than anybody meant."""
    desk, steps, chapter = laid()
    chapter.write_text(chapter.read_text() + "\n```reading\nlimit: {wheels.spacers: absent}\n```\n")
    block: Block = ("```reading", "concerns: paperwork", "```")
    assert told(desk.write(steps["5.4"], (block,), by_mara(steps["5.4"]))) == [
        "stale-decision 5.4 has got a reading meanwhile; look at it again: it is shown as it stands now"
    ]


def test_clauses_that_are_named_are_given_whether_open_or_not(laid):
    """So a decision can be looked at again; a number that is not there is said."""
    desk, steps, _ = laid(None, "5.2", "5.1")
    assert [(name, step.confirmed) for name, step in steps.items()] == [("5.1", False), ("5.2", True)]
    assert told(desk.steps(["5.8"]).faults) == ["unknown-clause saltmarsh/2027 has no clause 5.8"]


def test_a_decision_on_a_bulletin_is_written_into_the_bulletin(laid):
    """The text in force is the bulletin's, and so the reading is; the text before it stays open by itself."""
    amended = "## 5.2 Front rims\n\nA front rim shall be no wider than 8 in.\n\n```reading\nlimit: {wheels.front.rim_width: {max: 8 in}}\n```\n"
    path = f"{NEW}/bulletins/1.md"
    bulletin = f"---\nnumber: 1\npublished: 2027-02-01\neffective: 2027-03-01\n---\n\n{amended}"
    desk, steps, _ = laid({**season(), path: bulletin})
    step = steps["5.2"]
    assert step.path == path
    assert desk.write(step, (step.block,), by_mara(step)) == ()
    line = f"confirmed: {{by: mara, on: 2026-12-01, text: {step.clause.digest}}}"
    assert (desk.root / path).read_text() == bulletin.replace("8 in}}\n", f"8 in}}}}\n{line}\n")


def test_words_that_an_instruction_changed_are_confirmed_under_the_instruction(laid):
    """They stand in no file as they are; it is said where the reading goes, and written there it counts."""
    path = f"{NEW}/bulletins/1.md"
    bulletin = "---\nnumber: 1\npublished: 2027-02-01\neffective: 2027-03-01\n---\n\n## In 5.2, replace “9 in” with “8 in”.\n"
    desk, steps, chapter = laid({**season(), path: bulletin})
    step, before = steps["5.2"], chapter.read_bytes()
    (fault,) = desk.write(step, desk.offer(step).blocks, by_mara(step))
    assert (fault.code, chapter.read_bytes()) == ("edit-failed", before)
    assert fault.found.startswith("the words of 5.2 come from an instruction of bulletin 1, ")
    line = f"confirmed: {{by: mara, on: 2027-03-01, text: {step.clause.digest}}}"
    assert line.replace("mara", "NAME").replace("2027-03-01", "DAY") in fault.remedy
    reading = f"\n```reading\nlimit: {{wheels.front.rim_width: {{max: 8 in}}}}\n{line}\n```\n"
    _, steps, _ = laid({**season(), path: bulletin + reading})
    assert "5.2" not in steps


def test_nothing_is_given_where_the_edition_has_a_fault(put):
    """What cannot be read for certain cannot be confirmed."""
    desk = Desk(put({**season(), "rulesets/saltmarsh/body.yaml": BODY + "nonsense: 1\n"}), POINT)
    result = desk.steps()
    assert result.value is None
    assert [fault.code for fault in result.faults] == ["unknown-key"]


def test_nothing_is_open_where_nothing_changed(laid):
    """A book that says what the old one said, carried, asks for nothing."""
    _, steps, _ = laid(season(BEFORE))
    assert steps == {}
