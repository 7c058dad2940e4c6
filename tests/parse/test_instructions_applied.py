"""Instructions applied to the text in force: what becomes of clauses and readings, and what cannot be done."""

from datetime import date

import pytest
from support import BODY, MemoryTree

from rulewatch.model.edition import Point, Selector
from rulewatch.workspace import Workspace

FOLDER = "rulesets/saltmarsh/2027"
EDITION = """title: Rules
published: 2026-11-01
effective: 2027-01-01
events:
  - {id: spring, title: Spring meeting, on: 2027-04-10}
  - {id: finale, title: Finale, on: 2027-10-10}
"""
BOOK = """## 5 Wheels

### 5.1 Rims

A rim shall be no wider than 10 in (254 mm), measured between the bead seats.

```reading
limit: {wheels.rear.rim_width: {max: 10 in}}
noted: [254 mm]
```

### 5.2 Parts

(a) Of nuts:

(1) a nut is tight;

(2) a stud is whole.

(b) A valve has a cap.

### 5.3 Tyres

A tyre is round. A tyre is black; see 5.1.
"""


def workspace(*bulletins, book=BOOK):
    """A season with bulletins, numbered in order, of which each holds from a day later than the one before."""
    files = {
        f"{FOLDER}/bulletins/{at}.md": f"---\nnumber: {at}\npublished: 2027-02-01\neffective: 2027-03-0{at}\n---\n\n{blocks}\n"
        for at, blocks in enumerate(bulletins, 1)
    }
    return Workspace(
        MemoryTree(
            contents={"rulesets/saltmarsh/body.yaml": BODY, f"{FOLDER}/edition.yaml": EDITION, f"{FOLDER}/05.md": book, **files}
        )
    )


def edition(found, day=""):
    """The book on a day, or with every bulletin."""
    selector = Selector.DATE if day else Selector.ALL
    return found.edition(
        Point(body="saltmarsh", season="2027", selector=selector, day=date.fromisoformat(day) if day else None)
    )


def texts(*bulletins, day=""):
    """The folded texts by number, where nothing is wrong."""
    found = workspace(*bulletins)
    book = edition(found, day)
    assert found.faults == ()
    return {clause.id: clause.folded for clause in book.clauses}


def faults(*bulletins):
    """What is wrong, each as `file:line:column code message`."""
    found = workspace(*bulletins)
    edition(found)
    return [
        f"{each.place.path.rpartition('/')[2]}:{each.place.line}:{each.place.column} {each.code} {each.message}"
        for each in found.faults
    ]


# --- Words ------------------------------------------------------------------------------------------------------------


def test_replaced_words_are_marked_and_the_reading_is_kept_unless_the_bulletin_gives_one():
    """The clause keeps the marks beside its text in force; a reading under the instruction takes the old one's place."""
    found = workspace("## In 5.1, replace “10 in” with “11 in”")
    clause = edition(found).by_id["5.1"]
    assert clause.text == "Rims\n\nA rim shall be no wider than 11 in (254 mm), measured between the bead seats."
    assert "~~10 in~~ ++11 in++ (254 mm)" in clause.marked
    assert str(edition(found).readings["5.1"][0].place).endswith("05.md:7:1")
    given = workspace(
        "## In 5.1, replace “10 in” with “11 in”\n\n```reading\nlimit: {wheels.rear.rim_width: {max: 11 in}}\nnoted: [254 mm]\n```"
    )
    assert str(edition(given).readings["5.1"][0].place).endswith("1.md:9:1")
    assert given.faults == ()


def test_a_reading_under_an_instruction_is_checked_against_the_text_that_this_makes():
    """Not against the one that it amends, nor one that it does not make."""
    reading = "```reading\nlimit: {wheels.rear.rim_width: {max: 12 in}}\nnoted: [254 mm]\n```"
    found = faults(f"## In 5.1, replace “10 in” with “11 in”\n\n{reading}")
    assert [each.split(" ")[1] for each in found] == ["number-not-used", "reading-contradicts-text"]


def test_several_changes_of_one_clause_are_all_marked():
    """Each works on what the one before left."""
    found = workspace("## In 5.1, replace “10 in” with “11 in”\n\n## In 5.1, delete “, measured between the bead seats”")
    clause = edition(found).by_id["5.1"]
    assert clause.text == "Rims\n\nA rim shall be no wider than 11 in (254 mm)."
    assert "~~10 in~~ ++11 in++ (254 mm)~~, measured between the bead seats~~." in clause.marked


@pytest.mark.parametrize(
    ("instruction", "text"),
    [
        ("In 5.3, replace each “tyre” with “slick”", "Tyres A slick is round. A slick is black; see 5.1."),
        ("In 5.3, replace the second “tyre” with “slick”", "Tyres A tyre is round. A slick is black; see 5.1."),
        ("In 5.3, delete the last “A tyre is”", "Tyres A tyre is round. black; see 5.1."),
        ("In 5.3, insert “wet” before “round”", "Tyres A tyre is wet round. A tyre is black; see 5.1."),
        ("In 5.3, insert “and wide” after “round”", "Tyres A tyre is round and wide. A tyre is black; see 5.1."),
        ("In 5.3, insert “, and wide” after “round”", "Tyres A tyre is round, and wide. A tyre is black; see 5.1."),
        ("Add “It turns.” at the end of 5.3", "Tyres A tyre is round. A tyre is black; see 5.1. It turns."),
        ("Add “Note:” at the beginning of 5.3", "Tyres Note: A tyre is round. A tyre is black; see 5.1."),
        ("Revise the heading of 5.3 to read “Slicks”", "Slicks A tyre is round. A tyre is black; see 5.1."),
        ("Revise 5.3 to read “A slick is round.”", "Tyres A slick is round."),
        ("Revise 5.3 to read:\n\n### 5.3 Slicks\n\nA slick is round.", "Slicks A slick is round."),
        ("Reserve 5.3", "[Reserved]"),
    ],
)
def test_words_change_where_they_are_asked_to(instruction, text):
    """Each occurrence, a counted one, beside others, at the ends, and the heading; the heading stays where it is not given."""
    assert texts(f"## {instruction}")["5.3"] == text


# --- Clauses ----------------------------------------------------------------------------------------------------------


def test_removing_takes_all_that_stands_under_a_clause_and_revising_asks_about_it():
    """A unit is taken out whole; of a new text it must be said what becomes of the parts."""
    assert list(texts("## Remove 5.2")) == ["5", "5.1", "5.3"]
    assert list(texts("## Revise 5.2 as a whole to read “Parts are sound.”")) == ["5", "5.1", "5.2", "5.3"]
    assert len(texts("## Revise the text of 5.2 to read “Parts are sound:”")) == 8
    whole = texts(
        "## Revise 5.2 to read:\n\nParts:\n\n(a) Of nuts:\n\n(1) a nut is new;\n\n(2) a stud is whole.\n\n(b) A valve has two caps."
    )
    assert (whole["5.2(a)(1)"], whole["5.2(b)"]) == ("a nut is new;", "A valve has two caps.")
    assert faults("## Revise 5.2 to read “Parts are sound.”") == [
        (
            "1.md:7:4 bulletin-clause-left revises 5.2, and does not say what becomes of 5.2(a), 5.2(a)(1), 5.2(a)(2), 5.2(b) under it;"
            " say `Revise the text of 5.2` to keep them, or `Revise 5.2 as a whole` to take them out"
        )
    ]


def test_renumbering_takes_what_stands_under_a_clause_along_with_readings():
    """Numbers mean the text before the bulletin, unless they are called renumbered."""
    found = workspace(
        "## Renumber 5.1 to 5.3 as 5.2 to 5.4\n\n## In 5.1, delete “, measured between the bead seats”\n\n"
        "## In renumbered 5.3(b), replace “cap” with “lid”\n\n## Add 5.1 to read:\n\nWheels turn."
    )
    book = edition(found)
    assert found.faults == ()
    assert [each.id for each in book.clauses] == [
        *("5", "5.1", "5.2", "5.3", "5.3(a)", "5.3(a)(1)", "5.3(a)(2)", "5.3(b)", "5.4"),
    ]
    assert list(book.readings) == ["5.2"]
    assert book.by_id["5.2"].folded == "Rims A rim shall be no wider than 10 in (254 mm)."
    assert (book.by_id["5.3(b)"].text, book.by_id["5.3(b)"].label) == ("A valve has a lid.", "(b)")
    assert book.by_id["5.1"].text == "Wheels turn."


def test_a_suspended_clause_keeps_amendments_until_it_comes_back():
    """It says nothing and its reading is out of force; what amends it in that time shows afterwards."""
    bulletins = ("## Suspend 5.1 until 1 June 2027", "## In 5.1, replace “10 in” with “11 in”")
    during = edition(workspace(*bulletins), "2027-05-31")
    assert (during.by_id["5.1"].folded, "5.1" in during.readings, during.suspended["5.1"].until) == (
        "Rims [Suspended until 2027-06-01]",
        False,
        date(2027, 6, 1),
    )
    assert "5.1" not in [clause.id for clause in during.unread]
    after = edition(workspace(*bulletins), "2027-06-01")
    assert ("11 in" in after.by_id["5.1"].text, "5.1" in after.readings, after.suspended) == (True, True, {})


def test_a_bulletin_that_came_late_is_applied_before_those_that_hold_from_a_later_day():
    """The text that a bulletin amends is that of the day from which it holds, not of its publication."""
    found = workspace("## In 5.3, replace “round” with “wide”", "## In 5.3, replace “wide” with “slim”")
    book = edition(found, "2027-03-01")
    assert ("wide" in book.by_id["5.3"].text, "slim" in edition(found).by_id["5.3"].text, found.faults) == (True, True, ())


def test_marks_in_a_new_text_must_fit_the_text_in_force():
    """What is struck or plain must be there; the heading may be left out."""
    good = "## 5.3\n\nA tyre is ~~round~~ ++wide++. A tyre is black; see 5.1."
    assert texts(good)["5.3"] == "Tyres A tyre is wide. A tyre is black; see 5.1."
    assert faults("## 5.3\n\nA tyre is ~~square~~ ++wide++. A tyre is black; see 5.1.") == [
        (
            "1.md:7:4 words-missing what is not inserted is not the text of 5.3 in force: A tyre is ~~square.~~ ++round.++ A tyre is black; see 5.1.;"
            " `~~so~~` is only in the bulletin, `++so++` only in the text in force"
        )
    ]


# --- What cannot be done ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("instruction", "expected"),
    [
        (
            "In 5.1, replace “12 in” with “11 in”",
            "1.md:7:21 words-missing “12 in” is not in 5.1 as in force on 2027-03-01; nearest there: “10 in”; copy the words of the text",
        ),
        (
            "In 5.1, delete “measured at the bead seats”",
            ("1.md:7:20 words-missing “measured at the bead seats” is not in 5.1 as in force on 2027-03-01;"
            " nearest there: measured ~~at~~ ++between++ the bead seats; copy the words of the text"),
        ),
        (
            "In 5.1, delete “has a cap”",
            "1.md:7:20 words-missing “has a cap” is not in 5.1 as in force on 2027-03-01; 5.2(b) has it",
        ),
        (
            "In 5.3, replace “tyre” with “slick”",
            "1.md:7:21 words-missing “tyre” stands 2 times in 5.3; say which: `the second “tyre”`, or `each “tyre”`",
        ),
        ("In 5.3, delete the third “tyre”", "1.md:7:30 words-missing “tyre” stands 2 times in 5.3"),
        (
            "In 5.1, delete “1”",
            "1.md:7:20 words-missing “1” is not in 5.1 as in force on 2027-03-01; nearest there: “10”; copy the words of the text",
        ),
        (
            "Add 5.3 to read “x”",
            ("1.md:7:8 number-taken 5.3 is in force: Tyres A tyre is round. A tyre is …;"
            " renumber it first, or say `Revise 5.3 to read:`"),
        ),
        ("Renumber 5.1 as 5.3", "1.md:7:20 number-taken 5.3 is in force: Tyres A tyre is round. A tyre is …; renumber or remove it too"),
        ("Remove 5.2(A)", "1.md:7:11 bulletin-clause-missing 5.2(A) is not in force; did you mean 5.2(a)?"),
        (
            "Suspend 5.1 until 2027-02-01",
            "1.md:7:4 wrong-value suspended until 2027-02-01, which is not after 2027-03-01, from when the bulletin holds; correct one of the days",
        ),
        ("Lift the suspension of 5.1", "1.md:7:4 bulletin-clause-missing 5.1 is not suspended on 2027-03-01"),
        (
            "Correct bulletin 4: in 5.1, delete “measured”",
            "1.md:7:4 bulletin-unknown corrects bulletin 4, which amends nothing before it; no bulletin is in force before it",
        ),
        ("Renumber 5.1 to 5.3 as 5.7 to 5.8", "1.md:7:27 bad-instruction 2 new numbers for 3 clauses (5.1, 5.2, 5.3); name each of them"),
        (
            "Join 5.2 and 5.3 as 5.2, to read:\n\nAll is sound.",
            ("1.md:7:4 bulletin-clause-left does not say what becomes of 5.2(a), 5.2(a)(1), 5.2(a)(2), 5.2(b) under 5.2, 5.3;"
            " remove or renumber them first, by a bulletin of its own"),
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_told_with_what_is_there(instruction, expected):
    """The place is that of the words or number in the instruction; the text is left as it is."""
    assert faults(f"## {instruction}") == [expected]
    book = edition(workspace(f"## {instruction}"))
    assert [each.text for each in book.clauses] == [each.text for each in edition(workspace()).clauses]


def test_one_bulletin_says_one_thing_of_a_clause():
    """A clause that is rewritten or taken out is named once, and what is taken out cannot be changed too."""
    assert faults("## Revise 5.3 to read “x”\n\n## In 5.3, delete “black”") == [
        "1.md:9:4 duplicate-clause 5.3 again (first on line 7); amend a clause once in a bulletin, or only words of it"
    ]
    assert faults("## Remove 5.2\n\n## In 5.2(b), delete “cap”") == [
        "1.md:9:4 bulletin-clause-missing 5.2(b) is taken out by the same bulletin; leave one of the instructions out"
    ]


def test_a_bulletin_is_corrected_by_a_later_one_where_it_amended_the_clause():
    """Only there; elsewhere the correction is not of that bulletin."""
    first = "## Add “It turns.” at the end of 5.3"
    assert texts(first, "## Correct bulletin 1: in 5.3, replace “turns” with “rolls”")["5.3"].endswith("It rolls.")
    assert faults(first, "## Correct bulletin 1: in 5.1, delete “measured”") == [
        "2.md:7:27 bulletin-unknown bulletin 1 does not amend 5.1; it amends 5.3"
    ]
