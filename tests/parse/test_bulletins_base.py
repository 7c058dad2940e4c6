"""Bulletins in their base form."""

from datetime import date

import pytest

from rulewatch.model.edition import BulletinStatus, EditionHeader, Event
from rulewatch.model.fault import Place, Source
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.clauses import parse_book
from rulewatch.parse.consolidation import consolidate

NOTHING = Vocabulary(quantities={}, components={})
FRONT = "---\nnumber: 3\npublished: 2027-02-01\neffective: 2027-03-01\n---\n"
HEADER = EditionHeader(
    body="saltmarsh",
    season="2027",
    title="Rules 2027",
    place=Place(path="edition.yaml", line=1),
    events=(Event(id="spring", title="Spring meeting", on=date(2027, 4, 17)),),
)


def bulletin(text, header=None):
    """The bulletin that a text gives, and what is told of its faults."""
    found, faults = parse_bulletin(Source(path="notice.md", text=text), vocabulary=NOTHING, header=header)
    return found, [f"{each.place.line}:{each.place.column} {each.code} {each.message}" for each in faults]


def amendments(text):
    """The amendments of a bulletin of five lines of front matter, by number; there must be no faults."""
    found, faults = bulletin(FRONT + text)
    assert faults == []
    return {each.number: each for each in found.amendments}


# --- Front matter -----------------------------------------------------------------------------------------------------


def test_the_front_matter_says_when_and_for_whom():
    """Every key of the format, in its usual form."""
    text = (
        "---\nnumber: 2027-10\ntitle: Rims\npublished: 2027-02-01\neffective: 2027-03-01\nstatus: draft\nevents: [spring]\n---\n"
        "## 5.1 repeal\n"
    )
    found, faults = bulletin(text, HEADER)
    assert faults == []
    assert (found.number, found.title, found.status, found.events) == ("2027-10", "Rims", BulletinStatus.DRAFT, ("spring",))
    assert (found.published, found.effective) == (date(2027, 2, 1), date(2027, 3, 1))
    assert (found.place.line, found.place.column) == (2, 9)


def test_a_bulletin_is_final_and_for_all_events_unless_it_says_otherwise():
    """Number and dates are enough."""
    found, faults = bulletin(FRONT + "## 5.1 repeal\n")
    assert (found.number, found.status, found.events, found.title, faults) == ("3", BulletinStatus.FINAL, (), "", [])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("## 5.1 repeal\n", ["1:1 missing-key a bulletin without front matter, expected `---`, then number, published and effective, then `---`"]),
        ("---\nnumber: 3\n", ["1:1 missing-key a bulletin without front matter, expected `---`, then number, published and effective, then `---`"]),
        ("---\n---\n## 5.1 repeal\n", ["1:1 wrong-type nothing for `the front matter`, expected a mapping of keys to values"]),
        (
            "---\nnumber: 3\neffective: 1 March\nstate: final\n---\n## 5.1 repeal\n",
            [
                "2:1 missing-key the front matter without `published`; add `published:`",
                "3:12 bad-date `1 March` for `effective`, expected a date such as 2027-05-01",
                "4:1 unknown-key `state` in the front matter; did you mean `status`?",
            ],
        ),
        (
            FRONT.replace("number: 3", "number: 3\nstatus: proposed") + "## 5.1 repeal\n",
            ["3:9 wrong-value `proposed` for `status`, expected final or draft"],
        ),
        (
            FRONT.replace("number: 3", "number: 3\nevents: [sprng]") + "## 5.1 repeal\n",
            ["3:10 unknown-event `sprng` is no event of 2027; did you mean `spring`?"],
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_front_matter_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert bulletin(text, HEADER)[1] == expected


# --- Blocks -----------------------------------------------------------------------------------------------------------


def test_a_block_gives_a_clause_its_full_new_text_and_readings():
    """The heading behind the number belongs to the text, as it does in a chapter."""
    found = amendments(
        """
# Bulletin 3: rims

1. This introduction changes nothing.

## 5.2.1 Rear rims

A rear rim is sound.

Nobody looks further.

```reading
concerns: officials
```

```reading
concerns: paperwork
```

## 5.2.2

A nut is tight.
"""
    )
    rims, nuts = found["5.2.1"], found["5.2.2"]
    assert list(found) == ["5.2.1", "5.2.2"]
    assert (rims.clause.text, rims.clause.heading) == (
        "Rear rims\n\nA rear rim is sound.\n\nNobody looks further.",
        "Rear rims",
    )
    assert [(each.clause, each.concerns, each.place.line) for each in rims.readings] == [
        ("5.2.1", "officials", 17),
        ("5.2.1", "paperwork", 21),
    ]
    assert (rims.place.line, rims.place.column, rims.block, rims.clause.place) == (11, 4, "5.2.1", rims.place)
    assert (nuts.clause.text, nuts.clause.heading, nuts.readings) == ("A nut is tight.", "", ())


@pytest.mark.parametrize("block", ["## 5.2.2 repeal", "## 5.2.2 Repeal", "## 5.2.2\n\nrepeal", "##   5.2.2   repeal ##\n\n"])
def test_a_block_may_repeal(block):
    """By the word alone, in the heading or under it."""
    found = amendments(f"{block}\n\n## 5.3 Nuts\n\nTight.\n")
    assert (found["5.2.2"].clause, found["5.3"].clause.text) == (None, "Nuts\n\nTight.")


@pytest.mark.parametrize(
    ("heading", "number", "title"),
    [
        ("5.2.1 Rear rims", "5.2.1", "Rear rims"),
        ("5.2.1. Rear rims", "5.2.1", "Rear rims"),
        ("5.2.1(a)", "5.2.1(a)", ""),
        ("4b3a) Rims", "4b3a", "Rims"),
        ("5.2.1A Nuts", "5.2.1A", "Nuts"),
        ("T.2.3", "T.2.3", ""),
        ("7 Wheels", "7", "Wheels"),
        ("§ 36a Lights", "§ 36a", "Lights"),
        ("Annex A/1.2 Lights", "Annex A/1.2", "Lights"),
        ("Anlage VIII/1.2", "Anlage VIII/1.2", ""),
        ("Article 5 bis Lights", "Article 5 bis", "Lights"),
    ],
)
def test_a_number_is_written_as_the_books_id(heading, number, title):
    """Any style of label; what stands behind it is the clause's heading."""
    found = amendments(f"## {heading}\n\nNew text.\n")
    assert list(found) == [number]
    assert (found[number].clause.label, found[number].clause.heading) == (number, title)


def test_the_parts_of_a_block_are_amendments_of_its_own():
    """They know the block that they stand in, and each has its own readings."""
    found = amendments(
        """## 5.2.1 Rims

A rim is

(a) round;

```reading
concerns: officials
```

(b) sound:

   (i) without cracks;

   (ii) without dents.

## 5.2.2 repeal
"""
    )
    assert [(each.number, each.block, each.clause and each.clause.parent) for each in found.values()] == [
        ("5.2.1", "5.2.1", ""),
        ("5.2.1(a)", "5.2.1", "5.2.1"),
        ("5.2.1(b)", "5.2.1", "5.2.1"),
        ("5.2.1(b)(i)", "5.2.1", "5.2.1(b)"),
        ("5.2.1(b)(ii)", "5.2.1", "5.2.1(b)"),
        ("5.2.2", "5.2.2", None),
    ]
    assert [len(each.readings) for each in found.values()] == [0, 1, 0, 0, 0, 0]
    assert (found["5.2.1(b)(i)"].place.line, found["5.2.1(b)(i)"].clause.text) == (18, "without cracks;")


def test_a_heading_in_a_fence_begins_no_block():
    """Only the text's own headings do."""
    assert list(amendments("## 5.1\n\nText.\n\n```\n## 5.2\n```\n")) == ["5.1"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Nothing here.\n", ["5:1 missing-key a bulletin that amends nothing, expected a heading such as `## 5.2.1`"]),
        ("## Rear rims\n\nx\n", ["6:4 wrong-value the heading `Rear rims`, expected a clause number in front, such as `## 5.2.1 Rear rims`, or an instruction"]),
        ("## 5.1\n\n## 5.2 repeal\n", ["6:4 wrong-value no text for 5.1, expected its full new text, or `repeal`"]),
        ("## 5.1 repeal\n\nA rim is round.\n", ["6:4 wrong-value text under the repeal of 5.1; leave one of them out"]),
        ("## 5.1 repeal\n\n## 5.1\n\nx\n", ["8:4 duplicate-clause 5.1 again (first on line 6); amend a clause once in a bulletin"]),
        ("## 5.1\n\nx\n\n### 5.2 Nuts\n\ny\n", ["10:5 wrong-value 5.2 within the block of 5.1; begin a block of its own, `## 5.2`, or fold the line"]),
        ("## 5.1\n\nx\n\n```reading\nconcerns: driver\nnote: x\n```\n", ["12:1 unknown-key `note` in the reading; did you mean `noted`?"]),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_block_is_told_with_its_place(text, expected):
    """The fault points at the block's number or into its text."""
    assert bulletin(FRONT + text)[1] == expected


def test_a_fault_shows_the_line_as_it_is_in_the_bulletin():
    """Also where it is about the heading or a part that is there twice."""
    text = FRONT + "## 5.1 <b>Rims</b>\n\n<i>round</i>\n"
    _, faults = parse_bulletin(Source(path="notice.md", text=text), vocabulary=NOTHING)
    assert {each.line_text for each in faults} == {"## 5.1 <b>Rims</b>", "<i>round</i>"}
    assert not any("997" in str(each) for each in faults)


# --- With a book ------------------------------------------------------------------------------------------------------

BOOK = """# 5 Wheels

## 5.1 Rims

A rim is round.

## 5.2 Nuts

A nut is

(a) tight;

(b) locked.

## 5.3 Tyres

A tyre is black, see 5.2.
"""


def in_force(text):
    """Numbers and texts of the book as a bulletin leaves it, and the codes of what is wrong."""
    book = parse_book([Source(path="05-wheels.md", text=BOOK)])
    amending, faults = bulletin(FRONT + text)
    assert (book.faults, faults) == ((), [])
    found = consolidate(book.clauses, {}, [amending])
    return {each.id: each for each in found.clauses}, [each.code for each in found.faults]


def test_a_bulletin_and_a_book_make_the_text_in_force():
    """A new text, an insertion and a repeal in one; the rest stays word for word."""
    found, faults = in_force("## 5.1 Rims\n\nA rim is sound.\n\n## 5.2(c)\n\nclean, as 5.1 says.\n\n## 5.3 repeal\n")
    assert faults == []
    assert list(found) == ["5", "5.1", "5.2", "5.2(a)", "5.2(b)", "5.2(c)"]
    assert (found["5.1"].text, found["5.2(a)"].text) == ("Rims\n\nA rim is sound.", "tight;")
    assert (found["5.2(c)"].parent, found["5.2(c)"].chapter, found["5.1"].chapter) == ("5.2", "05-wheels", "05-wheels")


def test_references_follow_the_text_in_force():
    """A new clause can be referred to, and a repealed one no longer is."""
    found, _ = in_force("## 5.1 Rims\n\nA rim is sound, see 5.4.\n\n## 5.4 Hubs\n\nA hub is centred.\n")
    assert (found["5.1"].references, found["5.3"].references) == (("5.4",), ("5.2",))
    found, faults = in_force("## 5.2 repeal\n\n## 5.2(a) repeal\n\n## 5.2(b) repeal\n")
    assert (faults, found["5.3"].references) == ([], ())


def test_a_block_with_parts_must_account_for_all_of_them():
    """Otherwise nobody could tell whether (b) still stands."""
    _, faults = in_force("## 5.2 Nuts\n\nA nut is\n\n(a) very tight.\n")
    assert faults == ["bulletin-clause-left"]
    found, faults = in_force("## 5.2 Nuts\n\nA nut is\n\n(a) very tight.\n\n## 5.2(b) repeal\n")
    assert (faults, list(found)) == ([], ["5", "5.1", "5.2", "5.2(a)", "5.3"])


@pytest.mark.parametrize(
    "said",
    ["5.2 Delete.", "3.2 Delete “rear”.", "4.2: replace “x” with “y”", "4.2 – replace “x” with “y”"],
)
def test_an_instruction_behind_a_number_is_carried_out(said):
    """The number says where; the words are never the clause's new text."""
    found, faults = bulletin(FRONT + f"## {said}\n")
    assert (faults, found.amendments, len(found.instructions)) == ([], (), 1)


@pytest.mark.parametrize("said", ["4.2: 6 per cent instead of 5 per cent", "5.3 The words “hub” are struck out."])
def test_what_is_not_understood_behind_a_number_is_a_fault(said):
    """An instruction that has no form of ours is told, and left out."""
    found, faults = bulletin(FRONT + f"## {said}\n")
    assert (found.amendments, found.instructions) == ((), ())
    assert any("bad-instruction" in each for each in faults)


def test_a_heading_may_begin_with_the_word_of_a_verb():
    """Split rims, and a change of wheels, are headings."""
    assert list(amendments("## 5.1 Split rims\n\nA rim is sound.\n\n## 5.2 Change of wheels\n\nNone.\n")) == ["5.1", "5.2"]
