"""Clauses whose words a body shows as struck or inserted."""

from rulewatch.model.clause import digest
from rulewatch.model.edition import Body
from rulewatch.model.fault import Place, Source
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.vocabulary import packaged_vocabulary

BODY = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={}, place=Place(path="body.yaml"))


def clauses(text):
    """The clauses of a chapter by number; there must be no faults."""
    chapter = parse_chapter(Source(path="5.md", text=text))
    assert chapter.faults == ()
    return {clause.id: clause for clause in chapter.clauses}


def test_the_text_of_a_clause_is_the_one_in_force():
    """The marked text is kept beside it, and the digest is that of the text in force."""
    found = clauses(
        "## 5.1 Rear ~~rims~~ ++wheels++\n\nNo wider than ~~10~~ ++11++ in; see ~~5.2~~ ++5.3++.\n\n## 5.2 A\n\n## 5.3 B\n"
    )
    rims = found["5.1"]
    assert rims.text == "Rear wheels\n\nNo wider than 11 in; see 5.3."
    assert rims.marked == "Rear ~~rims~~ ++wheels++\n\nNo wider than ~~10~~ ++11++ in; see ~~5.2~~ ++5.3++."
    assert (rims.heading, rims.references, rims.digest) == ("Rear wheels", ("5.3",), digest(rims.text))
    assert found["5.2"].marked == ""
    assert found["5.2"].shown == "A"


def test_a_whole_clause_may_be_inserted():
    """The mark may begin before the number, or end behind it."""
    found = clauses("5.1 One.\n\n++5.2 Two\nlines.++\n\n++5.3++ Three.\n\n++(a) x;++\n\n++(b)++ ++y.++\n")
    assert {number: each.text for number, each in found.items()} == {
        "5.1": "One.",
        "5.2": "Two\nlines.",
        "5.3": "Three.",
        "5.3(a)": "x;",
        "5.3(b)": "y.",
    }
    assert found["5.2"].marked == "++Two\nlines.++"


def test_a_mark_right_behind_a_number_is_no_sign_of_an_amount():
    """As the plus of 5.2 + 0.1 is."""
    found = clauses("5.1 One.\n\n5.2 ++Two.++\n\n5.3 ~~Three.~~ ++Four.++\n")
    assert {number: each.text for number, each in found.items()} == {"5.1": "One.", "5.2": "Two.", "5.3": "Four."}


def test_a_clause_that_is_struck_as_a_whole_is_not_in_force():
    """Its number is free for another."""
    found = clauses("5.1 One.\n\n~~5.2 Two.~~\n\n~~It goes on.~~\n\n++5.2 Another.++\n\n~~5.3~~ ~~Three.~~\n\n5.4 Four.\n")
    assert {number: each.text for number, each in found.items()} == {"5.1": "One.", "5.2": "Another.", "5.4": "Four."}


def test_behind_a_struck_number_the_same_may_come_in_its_place():
    """Also where only the very next number fits, as before small letters; and so may the number behind it."""
    found = clauses("5.1.1 One.\n\n~~5.1.2 two.~~\n\n++5.1.2 another.++\n\n~~5.1.3 three.~~\n\n5.1.4 four.\n")
    assert {number: each.text for number, each in found.items()} == {"5.1.1": "One.", "5.1.2": "another.", "5.1.4": "four."}


def test_a_struck_clause_stays_where_something_stands_under_it():
    """What is in force needs its parent."""
    found = clauses("5.1 One.\n\n~~5.2 Two:~~\n\n(a) in force.\n")
    assert {number: each.text for number, each in found.items()} == {"5.1": "One.", "5.2": "", "5.2(a)": "in force."}


def test_a_struck_number_gives_way_to_the_inserted_one():
    """A book that was renumbered has both."""
    assert [(each.id, each.text) for each in clauses("5.1 One.\n\n~~5.2~~ ++5.3++ Two.\n").values()] == [
        ("5.1", "One."),
        ("5.3", "Two."),
    ]


def test_a_reading_of_a_struck_clause_is_a_fault():
    """There is nothing left to read."""
    chapter = parse_chapter(
        Source(path="5.md", text="5.1 One.\n\n~~5.2 Two.~~\n\n```reading\nlimit: {car.mass: {max: 1 kg}}\n```\n")
    )
    assert [f"{each.place.line}:{each.place.column} {each.code} {each.message}" for each in chapter.faults] == [
        "5:1 reading-misplaced a reading of 5.2, which is struck; take it out, or the marks of the clause"
    ]
    assert chapter.blocks == ()


def test_places_in_a_marked_text_are_exact():
    """A number that no reading uses is found behind marks, on its own line."""
    text = (
        "## 5.1 Rear ~~rims~~ ++wheels++\n\nA rim of ~~steel, 3 mm~~\n++alloy++ is no wider than ~~10~~ ++11++ in and ++9 mm++ thick.\n\n"
        "```reading\nlimit: {wheels.rear.rim_width: {max: 10 in}}\n```\n"
    )
    source = Source(path="5.md", text=text)
    chapter = parse_chapter(source)
    reading, _ = parse_reading(chapter.blocks[0], source, vocabulary=packaged_vocabulary())
    faults = check_against_text([reading], chapter.clauses[0], body=BODY, source=source)
    assert [
        (each.code, each.place.line, text.split("\n")[each.place.line - 1][each.place.column - 1 :][:5]) for each in faults
    ] == [
        ("number-not-used", 4, "11++ "),
        ("number-not-used", 4, "9 mm+"),
        ("reading-contradicts-text", 7, "10 in"),
    ]
