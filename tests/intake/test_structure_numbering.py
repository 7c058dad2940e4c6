"""Numbering styles, doubtful places and joined lines, each in a small book of its own."""

from __future__ import annotations

import pytest

from rulewatch.intake.markdown import read_markdown
from rulewatch.intake.numbering_style import Numbering, parse_numbering
from rulewatch.intake.plain_text import read_plain_text
from rulewatch.intake.structure import Structured, structure
from rulewatch.model.fault import Fault


def taken(text: str, numbering: str = "") -> Structured:
    """A plain text taken in."""
    found = parse_numbering(numbering)
    assert isinstance(found, Numbering)
    return structure([read_plain_text(text.encode(), "book.txt")], found)


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("1. Rims\n\n1.1. Rims are round.\n\n1.1.1. They are of metal.\n", ["1", "1.1", "1.1.1"]),
        ("Art. 12 Rims\n\nRims are round.\n\nArt. 13 Tyres\n\nTyres are black.\n", ["Art. 12", "Art. 13"]),
        ("§ 34 Rims\n\n(1) Rims are round.\n\n(2) Tyres are black.\n", ["§ 34", "§ 34(1)", "§ 34(2)"]),
        (
            "5.1 Rims are\n\n(a) round, and\n\n(1) of metal, or\n\n(2) of wood, and\n\n(b) flat.\n",
            ["5.1", "5.1(a)", "5.1(a)(1)", "5.1(a)(2)", "5.1(b)"],
        ),
        ("A.1 Rims are round.\n\nA.2 Tyres are black.\n", ["A.1", "A.2"]),
        (
            "1 Rims\n======\n\n1.1 Rims are round.\n\nAppendix J\n==========\n\n1.1 Gauges are flat.\n\n1.2 They are new.\n",
            ["1", "1.1", "Appendix J", "Appendix J/1.1", "Appendix J/1.2"],
        ),
    ],
)
def test_numbers_of_each_style_become_clauses(text, ids):
    """Found from the text, with the restart of an appendix behind its name."""
    assert [clause.id for clause in taken(text).clauses] == ids


def test_a_stated_style_is_read_from_examples():
    """What is no label is a fault that shows where it stands."""
    fault = parse_numbering("5.2.1, wheels")
    assert isinstance(fault, Fault)
    assert (fault.code, fault.place.column) == ("bad-numbering", 8)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("5.1 Rims.\n\n5.2 Tyres.\n\n5.4 Hubs.\n", "5.3 is missing between 5.2 and 5.4"),
        (
            "5 Wheels\n========\n\n5.1 Rims.\n\n5.2 Tyres.\n\n5.1 Hubs.\n",
            "a line begins with 5.1, which comes twice or does not fit here",
        ),
        ("5 Wheels\n========\n\n(a) Rims.\n\n(b) Tyres.\n\n(d) Hubs.\n", "1 missing between (b) and (d)"),
    ],
)
def test_what_is_odd_in_the_numbers_is_marked_where_it_stands(text, why):
    """Each once, with its line."""
    found = [doubt for chapter in taken(text).chapters for doubt in chapter.doubts]
    assert len(found) == 1
    assert found[0].why.startswith(why)
    assert found[0].spot.line == len(text.splitlines())


def test_entries_of_contents_pages_are_looked_for():
    """The pages are left out, and an entry whose clause was not found is marked."""
    text = (
        "Contents\n\n5 Wheels .......... 3\n5.1 Rims .......... 3\n5.2 Tyres .......... 4\n5.3 Hubs .......... 4\n\n"
        "5 Wheels\n========\n\n5.1 Rims are round.\n\n5.2 Tyres are black.\n"
    )
    found = taken(text)
    assert [clause.id for clause in found.clauses] == ["5", "5.1", "5.2"]
    assert [doubt.why for chapter in found.chapters for doubt in chapter.doubts] == [
        "the contents name “5.3 Hubs”, which was not found in the book"
    ]


def test_a_parted_word_is_written_as_the_book_writes_it_elsewhere():
    """A hyphen at a line end stays where the book has it elsewhere, and goes where it does not; the rest is told."""
    text = (
        "5.1 The cross-member and the reinforcement are stiff, and so is every wheel that has a cross-\n"
        "member; where a rein-\nforcement is broken, no rim and no wheel-\nrim is.\n"
    )
    found = taken(text)
    assert "has a cross-member; where a reinforcement is broken" in " ".join(found.clauses[0].text.split())
    assert found.joined == ("wheel-rim",)


@pytest.mark.parametrize("annex", ["Annex 1", "Annex 2", "Annex 3"])
def test_an_annex_counts_its_own_numbers(annex):
    """Where it counts from 1, 2.1 is a number within it, whatever the annex is called and the main part holds."""
    text = (
        "1 General\n=========\n\n1.1 One rule.\n\n2 Cars\n======\n\n2.1 Two rules.\n\n"
        f"{annex} Forms\n=============\n\n1. Form one\n-----------\n\n1.1 Ink is blue.\n\n2. Form two\n-----------\n\n2.1 Ink is red.\n"
    )
    found = taken(text)
    assert [clause.id for clause in found.clauses][4:] == [annex, *(f"{annex}/{number}" for number in ("1", "1.1", "2", "2.1"))]
    assert not [doubt.why for chapter in found.chapters for doubt in chapter.doubts]


def doubts(found: Structured) -> list[str]:
    """What is doubtful in a book."""
    return [doubt.why for chapter in found.chapters for doubt in chapter.doubts]


def marked(text: str) -> Structured:
    """A text in Markdown taken in."""
    return structure([read_markdown(text.encode(), "book.md")], Numbering())


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            "# 2 Cars\n\n2.1 The first.\n\n~~2.2 At the rear.~~\n\n++2.2 At the side.++\n\n2.3 The last.\n",
            {"2.1": "The first.", "2.2": "At the side.", "2.3": "The last."},
        ),
        (
            "# 2 Cars\n\n## 2.1 Noise\n\n2.1.1 The first.\n\n~~2.1.2 At the rear.~~\n++2.1.2 At the side.++\n2.1.3 The last.\n",
            {"2.1": "Noise", "2.1.1": "The first.", "2.1.2": "At the side.", "2.1.3": "The last."},
        ),
        (
            "# 2 Cars\n\n2.1 One.\n\n~~2.2 Two of them are kept.~~\n\n~~2.3~~ ++2.2++ Three.\n\n~~2.4~~ ++2.3++ Four.\n",
            {"2.1": "One.", "2.2": "Three.", "2.3": "Four."},
        ),
        (
            "# 2 Cars\n\n2.1 One.\n\n~~2.2 Two.~~\n\n~~2.3 Three.~~\n\n++2.2 New two.++\n\n++2.3 New three.++\n\n2.4 Four.\n",
            {"2.1": "One.", "2.2": "New two.", "2.3": "New three.", "2.4": "Four."},
        ),
        (
            "# 2 Cars\n\n2.1 One:\n\n(a) a seat;\n\n~~(b) a belt;~~\n\n++(b) two belts;++\n\n(c) a net.\n",
            {"2.1": "One:", "2.1(a)": "a seat;", "2.1(b)": "two belts;", "2.1(c)": "a net."},
        ),
    ],
)
def test_an_inserted_clause_takes_the_number_of_a_struck_one(text, found):
    """Nothing of it is doubtful: a struck number does not count."""
    taken_in = marked(text)
    assert {clause.id: clause.text for clause in taken_in.clauses if clause.id != "2"} == found
    assert doubts(taken_in) == []


@pytest.mark.parametrize(
    "words", ["~~Two rules here are kept.~~", "Water in 5 mm ±1", "++Rims of 15 in++", "Rims are round.", "++Rims are round.++"]
)
def test_a_paragraph_that_holds_a_sentence_or_an_amount_is_no_heading(words):
    """Marks left aside; a title alone on its line is one."""
    text = f"# 3 Wheels\n\n3.1 {words}\n\n3.2 ++Tyres of both axles++\n"
    written = marked(text).chapters[0].text
    assert f"\n3.1 {words}\n" in written
    assert "\n## 3.2 ++Tyres of both axles++\n" in written


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (
            "# Rules\n\nFor all.\n\n## Article 1 Cars\n\n1.1 One.\n\n## Article 2 Rims\n\n2.1 Two.\n\n## Annex 1 Forms\n\n1.1 Ink.\n",
            ["00-front.md", "01-article-1-cars.md", "02-article-2-rims.md", "03-annex-1-forms.md"],
        ),
        (
            "# Rules\n\n## Part 1 Cars\n\n### Article 1 Rims\n\n1.1 One.\n\n## Annex 1 Forms\n\n1.1 Ink.\n",
            ["01-part-1-cars.md", "02-annex-1-forms.md"],
        ),
        (
            "# Rules\n\nFor all.\n\n1.1 One.\n\n1.2 Two.\n\n## Annex 1 Forms\n\n1.1 Ink.\n",
            ["00-front.md", "01-rules.md", "02-annex-1-forms.md"],
        ),
        ("# Rules\n\n1.1 One.\n\n1.2 Two.\n", ["01-rules.md"]),
        ("# 1 Cars\n\n1.1 One.\n\n# 2 Rims\n\n2.1 Two.\n", ["01-cars.md", "02-rims.md"]),
    ],
)
def test_no_clause_stands_in_the_front_file(text, names):
    """Articles are chapters where nothing higher holds them, and clauses without a heading have a file of their own."""
    chapters = marked(text).chapters
    assert [chapter.name for chapter in chapters] == names
    assert not [chapter.name for chapter in chapters if chapter.name == "00-front.md" and chapter.words]


RULES = "1 Cars\n======\n\n1.1 One rule.\n\n"
APPENDIX = "Appendix A Tables\n=================\n\n"
LONE = "1 The wheelbase is at least 2300 mm.\n\n1.1 It is measured on both sides.\n\n2 The track is at most 1700 mm.\n"


def test_lone_numbers_right_below_the_heading_of_an_annex_are_clauses():
    """As long as they count on: another number in front of a paragraph is none."""
    found = taken(f"{RULES}{APPENDIX}{LONE}\n5 Cars may share a box.\n")
    assert [clause.id for clause in found.clauses][2:] == ["Appendix A", *(f"Appendix A/{n}" for n in ("1", "1.1", "2"))]
    assert found.clauses[-1].text.startswith("The track is")
    assert doubts(found) == []


def test_lone_numbers_elsewhere_are_clauses_where_they_are_stated():
    """By an example of one; else the first is a doubtful place."""
    text = f"{RULES}{APPENDIX}All lengths are in mm.\n\n{LONE}"
    ids = [clause.id for clause in taken(text, "1, 1.1").clauses]
    assert ids[2:] == ["Appendix A", "Appendix A/1", "Appendix A/1.1", "Appendix A/2"]
    plain = taken(text, "1.1")
    assert "Appendix A/1" not in [clause.id for clause in plain.clauses]
    assert doubts(plain)[0].startswith("a line begins with 1, which goes on with the numbers here; it was taken for text")


def test_a_word_joined_on_no_evidence_is_told():
    """Where the book has neither the word nor its halves elsewhere; of `self`, `free` and their like English knows the hyphen."""
    text = (
        "5.1 The tank is self-\nsealing and fire-\nproof and has a mini-\nmum volume; a non-\nslip tyre is sold duty-\nfree.\n"
    )
    found = taken(text)
    assert found.clauses[0].folded == (
        "The tank is self-sealing and fire-proof and has a minimum volume; a non-slip tyre is sold duty-free."
    )
    assert found.joined == ("minimum",)


@pytest.mark.parametrize(
    "entries",
    [
        "- 1 Cars 1\n- 2 Rims 2\n- 3 Hubs 2\n- Annex A Forms 5\n",
        "| 1 Cars | 1 |\n| --- | --- |\n| 2 Rims | 2 |\n| 3 Hubs | 2 |\n| Annex A Forms | 5 |\n",
        "1 Cars 1\n\n2 Rims 2\n\n3 Hubs 2\n\nAnnex A Forms 5\n",
    ],
)
@pytest.mark.parametrize("name", ["Contents", "Table of contents", "Inhalt"])
def test_a_contents_page_needs_no_leaders_below_its_name(entries, name):
    """Its entries are left out and looked for."""
    text = (
        f"# Rules\n\n## {name}\n\n{entries}\n# 1 Cars\n\n1.1 One.\n\n# 2 Rims\n\n2.1 Two.\n\n# Annex A Forms\n\nInk is blue.\n"
    )
    found = marked(text)
    assert [clause.id for clause in found.clauses] == ["1", "1.1", "2", "2.1", "Annex A"]
    assert [len(contents.entries) for contents in found.contents] == [4]
    assert doubts(found) == ["the contents name “3 Hubs”, which was not found in the book"]


def test_below_contents_that_name_no_pages_nothing_is_left_out():
    """A clause of that name may hold what ends in figures that go down."""
    text = "# 1 Box\n\n## Contents\n\n1.1 Spanners of 19\n\n1.2 Spanners of 10\n\n1.3 Spanners of 8\n"
    assert [clause.id for clause in marked(text).clauses] == ["1", "1.1", "1.2", "1.3"]
