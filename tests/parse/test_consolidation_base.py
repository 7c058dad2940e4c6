"""Bulletins that count at a point, and the text in force that they make."""

import unicodedata
from datetime import date
from itertools import pairwise

import pytest

from rulewatch.model.clause import Clause, natural_order, roman_number
from rulewatch.model.edition import Bulletin, BulletinStatus, EditionHeader, Event, Point, Selector
from rulewatch.model.fault import Place, Source, with_lines
from rulewatch.model.instruction import Amendment
from rulewatch.model.reading import Reading
from rulewatch.parse.consolidation import consolidate, select_bulletins

BOOK = Place(path="book.md", line=1)
NOTICE = Place(path="notice.md", line=7, column=1)


def clause(number, text="old", parent="", chapter="05-wheels"):
    """A clause of the published text."""
    return Clause(id=number, label=number, text=text, parent=parent, chapter=chapter, place=BOOK, last_line=1)


def amendment(number, text="new", *, block="", readings=()):
    """One clause of a bulletin; a text of None repeals."""
    new = None if text is None else Clause(id=number, label=number, text=text, place=NOTICE, last_line=8)
    return Amendment(number=number, place=NOTICE, block=block or number, clause=new, readings=readings)


def bulletin(number, *amendments, effective="2027-03-01", **more):
    """A bulletin of the season 2027."""
    day = date.fromisoformat(effective)
    return Bulletin(number=number, published=day, effective=day, place=NOTICE, amendments=amendments, **more)


def reading(number):
    """A reading that says nothing but where it belongs."""
    return Reading(clause=number, place=BOOK, last_line=1)


def ids(found):
    """The numbers of the text in force, in order."""
    return [each.id for each in found.clauses]


# --- Which bulletins count --------------------------------------------------------------------------------------------

HEADER = EditionHeader(
    body="saltmarsh",
    season="2027",
    title="Rules 2027",
    place=BOOK,
    events=(
        Event(id="spring", title="Spring meeting", on=date(2027, 4, 10)),
        Event(id="finale", title="Finale", on=date(2027, 9, 18), until=date(2027, 9, 19)),
    ),
)
BULLETINS = (
    bulletin("10", effective="2027-03-01"),
    bulletin("2", effective="2027-03-01"),
    bulletin("3", effective="2027-06-01"),
    bulletin("4", effective="2027-09-18", events=("finale",)),
    bulletin("5", effective="2027-02-01", events=("spring",)),
    bulletin("6", effective="2027-03-15", status=BulletinStatus.DRAFT),
)


@pytest.mark.parametrize(
    ("selected", "numbers", "drafts"),
    [
        ({}, ["2", "10", "3"], ["6"]),
        ({"selector": Selector.PUBLISHED}, [], []),
        ({"selector": Selector.DATE, "day": date(2027, 2, 28)}, [], []),
        ({"selector": Selector.DATE, "day": date(2027, 3, 1)}, ["2", "10"], []),
        ({"selector": Selector.DATE, "day": date(2027, 12, 31)}, ["2", "10", "3"], ["6"]),
        ({"selector": Selector.EVENT, "event": "spring"}, ["5", "2", "10"], ["6"]),
        ({"selector": Selector.EVENT, "event": "finale"}, ["2", "10", "3", "4"], ["6"]),
        ({"selector": Selector.EVENT, "event": "nowhere"}, [], []),
    ],
)
def test_a_point_selects_its_bulletins(selected, numbers, drafts):
    """By effective date, then by number as a reader counts; drafts apart; what was issued for an event only there."""
    applied, proposed = select_bulletins(BULLETINS, HEADER, Point(body="saltmarsh", season="2027", **selected))
    assert [each.number for each in applied] == numbers
    assert [each.number for each in proposed] == drafts


# --- What they do -----------------------------------------------------------------------------------------------------

WHEELS = (
    clause("5"),
    clause("5.1", parent="5"),
    clause("5.2", parent="5"),
    clause("5.2.1", parent="5.2"),
    clause("5.2.1(a)", parent="5.2.1"),
    clause("5.2.1(b)", parent="5.2.1"),
    clause("5.2.2", parent="5.2"),
    clause("5.10", parent="5"),
    clause("6", chapter="06-aero"),
    clause("6.1", parent="6", chapter="06-aero"),
)


def test_a_text_without_bulletins_stays_as_published():
    """Nothing is applied, nothing changes."""
    found = consolidate(WHEELS, {"5.1": [reading("5.1")]}, ())
    assert (found.clauses, found.applied, found.amended_by, found.faults) == (WHEELS, (), {}, ())
    assert found.readings == {"5.1": (reading("5.1"),)}


def test_a_new_text_takes_the_place_of_the_old_one_with_its_own_readings():
    """Number, parent and chapter stay; the readings are those of the bulletin; the bulletin is named."""
    new = reading("5.2.2")
    old = {"5.2.2": [reading("5.2.2"), reading("5.2.2")], "5.1": [reading("5.1")]}
    found = consolidate(WHEELS, old, [bulletin("1", amendment("5.2.2", readings=(new,)))])
    assert ids(found) == [each.id for each in WHEELS]
    changed = found.clauses[6]
    assert (changed.text, changed.parent, changed.chapter, changed.place) == ("new", "5.2", "05-wheels", NOTICE)
    assert found.readings == {"5.1": (reading("5.1"),), "5.2.2": (new,)}
    assert found.amended_by == {"5.2.2": "1"}


def test_a_new_text_without_a_reading_leaves_the_clause_unread():
    """The old reading was made for the old text."""
    assert consolidate(WHEELS, {"5.1": [reading("5.1")]}, [bulletin("1", amendment("5.1"))]).readings == {}


def test_a_repealed_clause_leaves_with_its_readings():
    """Its number is gone, and what bulletin did it is known."""
    found = consolidate(WHEELS, {"5.2.2": [reading("5.2.2")]}, [bulletin("1", amendment("5.2.2", None))])
    assert "5.2.2" not in ids(found)
    assert (found.readings, found.amended_by, found.faults) == ({}, {"5.2.2": "1"}, ())


@pytest.mark.parametrize(
    ("number", "behind", "parent", "chapter"),
    [
        ("5.2.3", "5.2.2", "5.2", "05-wheels"),
        ("5.2.1A", "5.2.1(b)", "5.2", "05-wheels"),
        ("5.2.1(c)", "5.2.1(b)", "5.2.1", "05-wheels"),
        ("5.3", "5.2.2", "5", "05-wheels"),
        ("5.11", "5.10", "5", "05-wheels"),
        ("5.0", "5", "5", "05-wheels"),
        ("5.2.2(a)", "5.2.2", "5.2.2", "05-wheels"),
        ("6.2", "6.1", "6", "06-aero"),
        ("7", "6.1", "", "06-aero"),
    ],
)
def test_a_new_number_stands_behind_its_nearest_preceding_sibling(number, behind, parent, chapter):
    """It comes after all that stands under that sibling, under the right parent and in the right chapter."""
    found = consolidate(WHEELS, {}, [bulletin("1", amendment(number))])
    assert not found.faults
    index = ids(found).index(number)
    added = found.clauses[index]
    assert (found.clauses[index - 1].id, added.parent, added.chapter) == (behind, parent, chapter)


def test_a_letter_stands_under_a_number_where_the_book_does_so():
    """In a book that numbers 4b3a under 4b3, a new 4b4a goes under 4b4."""
    book = (clause("4b3"), clause("4b3a", parent="4b3"), clause("4b4"), clause("4b5"))
    found = consolidate(book, {}, [bulletin("1", amendment("4b4a"))])
    assert ids(found) == ["4b3", "4b3a", "4b4", "4b4a", "4b5"]
    assert found.clauses[3].parent == "4b4"


def test_what_is_put_in_behind_a_number_is_no_part_of_it():
    """Article 5 bis and § 36a stand beside Article 5 and § 36, after all that stands under those."""
    book = (clause("Article 5"), clause("Article 5(1)", parent="Article 5"), clause("Article 6"))
    found = consolidate(book, {}, [bulletin("1", amendment("Article 5 bis"))])
    assert ids(found) == ["Article 5", "Article 5(1)", "Article 5 bis", "Article 6"]
    assert found.clauses[2].parent == ""
    book = (clause("§ 36"), clause("§ 36(1)", parent="§ 36"), clause("§ 37"))
    assert ids(consolidate(book, {}, [bulletin("1", amendment("§ 36a"))])) == ["§ 36", "§ 36(1)", "§ 36a", "§ 37"]
    book = (clause("§ 36"), clause("§ 36(1)", parent="§ 36"), clause("§ 36(2)", parent="§ 36"))
    assert ids(consolidate(book, {}, [bulletin("1", amendment("§ 36(1a)"))])) == ["§ 36", "§ 36(1)", "§ 36(1a)", "§ 36(2)"]


def test_numbers_without_a_parent_of_their_own_stand_by_their_siblings():
    """Where a chapter's heading has no number, 5.2.2 still goes between 5.2.1 and 5.2.3, with what was put beside it."""
    book = (clause("5.2.1"), clause("5.2.1A"), clause("5.2.3"))
    assert ids(consolidate(book, {}, [bulletin("1", amendment("5.2.2"))])) == ["5.2.1", "5.2.1A", "5.2.2", "5.2.3"]


@pytest.mark.parametrize(
    ("number", "order", "chapter"),
    [
        ("9.1", ["5.1", "5.2", "8.2", "8.3", "9.1", "Annex A"], "08-safety"),
        ("6.1", ["5.1", "5.2", "6.1", "8.2", "8.3", "Annex A"], "05-wheels"),
        ("4.1", ["4.1", "5.1", "5.2", "8.2", "8.3", "Annex A"], "05-wheels"),
        ("8.1", ["5.1", "5.2", "8.1", "8.2", "8.3", "Annex A"], "08-safety"),
        ("Annex B", ["5.1", "5.2", "8.2", "8.3", "Annex A", "Annex B"], "20-annexes"),
    ],
)
def test_a_first_clause_stands_where_its_number_belongs(number, order, chapter):
    """Where chapters have no number of their own, a new one's first clause stands among all, and a first one in its chapter."""
    chapters = {"5": "05-wheels", "8": "08-safety", "A": "20-annexes"}
    book = [clause(one, chapter=chapters[one[0]]) for one in ("5.1", "5.2", "8.2", "8.3", "Annex A")]
    found = consolidate(book, {}, [bulletin("1", amendment(number))])
    assert found.faults == ()
    assert ids(found) == order
    assert next(each for each in found.clauses if each.id == number).chapter == chapter


@pytest.mark.parametrize("number", ["9.1.1", "9.1(a)", "A.1", "A", "Section 9"])
def test_a_number_of_another_form_is_not_placed(number):
    """What has neither parent nor sibling, and is no number as the book's clauses begin with, is a fault."""
    book = [clause("5.1"), clause("5.1(a)", parent="5.1"), clause("8.2")]
    (fault,) = consolidate(book, {}, [bulletin("1", amendment(number))]).faults
    assert fault.code == "bulletin-clause-missing"


def test_roman_numerals_are_counted_where_the_siblings_are_roman():
    """(v) comes after (iv); among plain letters it comes after (u)."""
    roman = [clause("2"), *(clause(f"2({each})", parent="2") for each in ("i", "ii", "iii", "iv"))]
    assert ids(consolidate(roman, {}, [bulletin("1", amendment("2(v)"))]))[-1] == "2(v)"
    annexes = [clause("2"), *(clause(f"Annex {each}") for each in ("IV", "VIII", "VIIIa", "XIX"))]
    assert ids(consolidate(annexes, {}, [bulletin("1", amendment("Annex XV"))]))[-2:] == ["Annex XV", "Annex XIX"]
    double = [clause("2"), *(clause(f"2({each})", parent="2") for each in ("h", "z", "hh", "ii"))]
    assert ids(consolidate(double, {}, [bulletin("1", amendment("2(jj)"))]))[-1] == "2(jj)"
    plain = [clause("2"), *(clause(f"2({each})", parent="2") for each in ("h", "i", "x"))]
    assert ids(consolidate(plain, {}, [bulletin("1", amendment("2(v)"))])) == ["2", "2(h)", "2(i)", "2(v)", "2(x)"]


def test_a_new_clause_and_what_stands_under_it_may_come_in_any_order():
    """Parents are put in before their children."""
    found = consolidate(WHEELS, {}, [bulletin("1", amendment("5.3.1"), amendment("5.3.1(a)"), amendment("5.3"))])
    assert not found.faults
    assert ids(found)[7:10] == ["5.3", "5.3.1", "5.3.1(a)"]


def test_bulletins_build_on_each_other_in_the_order_of_force():
    """A number means the text in force just before; the last bulletin is the one that is named."""
    later = bulletin("2", amendment("5.3", "newer"), amendment("5.1", None), effective="2027-05-01")
    earlier = bulletin("10", amendment("5.3", "new"), amendment("5.1", "new"), effective="2027-04-01")
    found = consolidate(WHEELS, {}, [later, earlier])
    assert [each.number for each in found.applied] == ["10", "2"]
    assert {each.id: each.text for each in found.clauses if each.text != "old"} == {"5.3": "newer"}
    assert found.amended_by == {"5.1": "2", "5.3": "2"}


# --- What cannot be applied -------------------------------------------------------------------------------------------


def faults(*amendments):
    """The faults of a bulletin on the published text."""
    return [f"{each.place} {each.code} {each.found}" for each in consolidate(WHEELS, {}, [bulletin("1", *amendments)]).faults]


@pytest.mark.parametrize(
    ("amendments", "expected"),
    [
        ([amendment("5.7", None)], "bulletin-clause-missing repeals 5.7, which is not in force"),
        (
            [amendment("8.4.1")],
            "bulletin-clause-missing 8.4.1 is not in force, and nothing that it could stand under or beside",
        ),
        (
            [amendment("5.2.1", None), amendment("5.2.1(a)", None)],
            "bulletin-clause-left repeals 5.2.1, and does not say what becomes of 5.2.1(b) under it",
        ),
        (
            [amendment("5.2.1", None), amendment("5.2.1(a)", None), amendment("5.2.1(b)")],
            "bulletin-clause-left repeals 5.2.1, and does not say what becomes of 5.2.1(b) under it",
        ),
        (
            [amendment("5.2.1"), amendment("5.2.1(a)", block="5.2.1")],
            "bulletin-clause-left gives a new text with parts of 5.2.1, and does not say what becomes of 5.2.1(b) under it",
        ),
    ],
)
def test_what_cannot_be_applied_is_a_fault_in_the_bulletin(amendments, expected):
    """Each fault points into the bulletin, and says which number it is about."""
    assert faults(*amendments) == [f"notice.md:7:1 {expected}"]


def test_an_amendment_that_fails_leaves_its_clause_as_it_was():
    """Clause and readings stay, and no bulletin is named for it."""
    found = consolidate(WHEELS, {"5.2": [reading("5.2")]}, [bulletin("1", amendment("5.2", None), amendment("5.1"))])
    assert [each.id for each in found.clauses if each.text == "new"] == ["5.1"]
    assert ids(found) == [each.id for each in WHEELS]
    assert (found.readings, found.amended_by) == ({"5.2": (reading("5.2"),)}, {"5.1": "1"})


def test_a_number_in_another_style_is_offered():
    """5.2.1.a is likely to be 5.2.1(a)."""
    (fault,) = consolidate(WHEELS, {}, [bulletin("1", amendment("5.2.1.a", None))]).faults
    assert fault.remedy == "did you mean 5.2.1(a)?"


def test_a_clause_may_be_repealed_with_all_that_stands_under_it():
    """Where each is named, the whole branch goes."""
    found = consolidate(
        WHEELS, {}, [bulletin("1", amendment("5.2.1", None), amendment("5.2.1(b)", None), amendment("5.2.1(a)", None))]
    )
    assert not found.faults
    assert ids(found) == ["5", "5.1", "5.2", "5.2.2", "5.10", "6", "6.1"]


def test_a_new_text_alone_keeps_what_stands_under_the_clause():
    """Only a block that gives some of the parts must give all of them."""
    assert ids(consolidate(WHEELS, {}, [bulletin("1", amendment("5.2"))])) == [each.id for each in WHEELS]
    whole = [amendment("5.2.1"), amendment("5.2.1(a)", block="5.2.1"), amendment("5.2.1(b)", None)]
    assert faults(*whole) == []


def test_two_bulletins_of_one_number_are_a_fault():
    """Their order could not be told."""
    found = consolidate(WHEELS, {}, [bulletin("1"), bulletin("1", effective="2027-04-01")])
    assert [str(each) for each in found.faults] == [
        "notice.md:7:1: wrong-value bulletin `1` again, as in notice.md; give it a number of its own"
    ]


def test_a_fault_gets_its_source_line_later():
    """Consolidation knows places only; whoever holds the sources adds the lines."""
    found = consolidate(WHEELS, {}, [bulletin("1", amendment("5.7", None))]).faults
    source = Source(path="notice.md", text="\n" * 6 + "## 5.7 repeal\n")
    assert [each.line_text for each in with_lines(found, [source])] == ["## 5.7 repeal"]
    assert with_lines(found, [Source(path="other.md", text="x")]) == found


# --- Order of numbers -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ordered",
    [
        ["2", "10", "10.1", "11"],
        ["3.1.6", "3.1.6A", "3.1.6B", "3.1.7"],  # insertion without renumbering: a central bank's rulebook guide, UG-3.1.6
        ["4.2", "4.2(a)", "4.2(b)", "4.2(z)", "4.2(aa)", "4.3"],
        ["4b", "4b3", "4b3a", "4b12", "5a"],
        ["2026-2", "2026-10", "2027-1"],
        ["Annex A/1", "Annex A/1.2", "Annex A/1.10", "Annex B/1"],
        ["§ 36", "§ 36a", "§ 37"],
        ["Article 5", "Article 5 bis", "Article 5 ter", "Article 5 quater", "Article 5a", "Article 6"],
        ["1", "9" * 5000],
    ],
)
def test_numbers_sort_as_a_reader_counts(ordered):
    """Runs of digits by size, letters after numbers, z before aa."""
    assert all(natural_order(one) < natural_order(other) for one, other in pairwise(ordered))


def test_roman_numerals_have_their_values():
    """Below 40, in either case; anything else is none.

    The Unicode Standard's character database gives the letters and the value of each Roman numeral character up to twelve.
    """
    for number in range(12):
        sign = chr(ord("Ⅰ") + number)
        assert roman_number(unicodedata.normalize("NFKC", sign)) == unicodedata.numeric(sign)
    assert [roman_number(each) for each in ("i", "iv", "VIII", "ix", "xiv", "xxxix")] == [1, 4, 8, 9, 14, 39]
    assert [roman_number(each) for each in ("", "iiii", "a", "vx", "l")] == [0] * 5
