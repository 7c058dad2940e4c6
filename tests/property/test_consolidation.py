"""Laws of consolidation."""

from datetime import date

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Bulletin
from rulewatch.model.fault import Place
from rulewatch.model.instruction import Amendment
from rulewatch.parse.consolidation import consolidate

SETTINGS = settings(max_examples=100, deadline=None, derandomize=True)
PLACE = Place(path="x.md", line=1)
NUMBERS = st.lists(st.integers(1, 12), min_size=1, max_size=3).map(lambda parts: ".".join(map(str, parts)))


def clause(number, text):
    """A clause whose parent is its number without the last part."""
    return Clause(id=number, label=number, text=text, parent=number.rpartition(".")[0], place=PLACE, last_line=1)


@st.composite
def books(draw):
    """A book with every number's parents, in order."""
    numbers = draw(st.lists(NUMBERS, min_size=1, max_size=20))
    whole = {".".join(number.split(".")[:n]) for number in numbers for n in range(1, number.count(".") + 2)}
    return tuple(clause(number, "old") for number in sorted(whole, key=natural_order))


@st.composite
def bulletins(draw):
    """A bulletin of new texts and repeals, each number once."""
    numbers = draw(st.lists(NUMBERS, unique=True, max_size=6))
    repealed = [draw(st.booleans()) for _ in numbers]
    found = tuple(
        Amendment(number=number, place=PLACE, block=number, clause=None if gone else clause(number, "new"))
        for number, gone in zip(numbers, repealed, strict=True)
    )
    day = date(2027, 3, 1)
    return Bulletin(number=draw(st.sampled_from("123")), published=day, effective=day, place=PLACE, amendments=found)


@SETTINGS
@given(books(), bulletins())
def test_a_bulletin_does_what_it_says_and_nothing_else(book, bulletin):
    """Each amendment shows in the text, or is a fault; every other clause stays, and the order is that of the numbers."""
    found = consolidate(book, {}, [bulletin])
    texts = {each.id: each.text for each in found.clauses}
    expected = {each.id: each.text for each in book}
    for amendment in bulletin.amendments:
        if amendment.number in found.amended_by:
            expected.pop(amendment.number, None)
            if amendment.clause:
                expected[amendment.number] = "new"
    assert texts == expected
    assert len(found.faults) == len(bulletin.amendments) - len(found.amended_by)
    assert [each.id for each in found.clauses] == sorted(texts, key=natural_order)
    assert all(each.parent in texts or not each.parent for each in found.clauses)


@SETTINGS
@given(books(), bulletins(), bulletins())
def test_applying_two_bulletins_is_applying_one_and_then_the_other(book, first, second):
    """The later bulletin's numbers mean the text that the earlier one made, in whatever order they are given."""
    assume(natural_order(first.number) < natural_order(second.number))
    between = consolidate(book, {}, [first])
    together = consolidate(book, {}, [second, first])
    assert together.clauses == consolidate(between.clauses, {}, [second]).clauses


@SETTINGS
@given(books(), bulletins())
def test_applying_a_bulletin_of_new_texts_twice_changes_nothing_more(book, bulletin):
    """A text that is in force already replaces itself."""
    once = consolidate(book, {}, [bulletin])
    texts_only = Bulletin(
        number="9",
        published=bulletin.published,
        effective=bulletin.effective,
        place=PLACE,
        amendments=tuple(each for each in bulletin.amendments if each.clause and each.number in once.amended_by),
    )
    again = consolidate(once.clauses, {}, [texts_only])
    assert (again.clauses, again.faults) == (once.clauses, ())
