"""Laws of pairing, on books that are edited at random."""

from bench.edited_books import edited, invented_text
from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.compare.pairing import pair
from rulewatch.model.clause import Clause
from rulewatch.model.edition import SettledPair
from rulewatch.model.fault import Place

SEVERAL = settings(deadline=None, max_examples=30, derandomize=True)
PLACE = Place(path="generated.md", line=1)

editions = st.builds(
    lambda base, seed, sticky: edited(invented_text(400, 60, base), seed, sticky=sticky),
    st.integers(0, 50),
    st.integers(0, 50),
    st.booleans(),
)
# Few words and many repeats: the hardest books for anything that depends on order or on texts being different.
texts = st.lists(
    st.sampled_from(["free", "not used", "rims shall be round", "rims shall be flat", "the bolt is of steel"]), max_size=12
)


def flat(rows):
    return [
        Clause(id=str(number), label=str(number), text=text, place=PLACE, last_line=1) for number, text in enumerate(rows, 1)
    ]


@SEVERAL
@given(editions)
def test_a_book_with_itself(books):
    """A text compared with itself pairs every clause with itself, for certain."""
    old, _, _ = books
    found = pair(old, old)
    assert [(one.old, one.new, one.certainty) for one in found] == [((c.id,), (c.id,), 1.0) for c in old]


@SEVERAL
@given(texts)
def test_a_repetitive_book_with_itself(rows):
    """The same holds where texts repeat."""
    assert all(one.old == one.new and one.certainty == 1 for one in pair(flat(rows), flat(rows)))


@SEVERAL
@given(editions)
def test_every_clause_has_its_place(books):
    """Every clause stands in one pairing; only a clause both split and joined stands in two. Certainties are shares."""
    old, new, _ = books
    found = pair(old, new)
    for side, clauses in (("old", old), ("new", new)):
        held = [label for one in found for label in getattr(one, side)]
        assert set(held) == {clause.id for clause in clauses}
        for label in {label for label in held if held.count(label) > 1}:
            shapes = [(len(one.old) > 1, len(one.new) > 1) for one in found if label in getattr(one, side)]
            assert sorted(shapes) == [(False, True), (True, False)]
    assert all(0 <= one.certainty <= 1 and (one.old or one.new) for one in found)


@SEVERAL
@given(texts, texts)
def test_repetitive_books_keep_every_clause(old_rows, new_rows):
    """No clause is lost or doubled where texts repeat."""
    old, new = flat(old_rows), flat(new_rows)
    found = pair(old, new)
    assert {label for one in found for label in one.old} == {clause.id for clause in old}
    assert {label for one in found for label in one.new} == {clause.id for clause in new}


@SEVERAL
@given(editions)
def test_order_of_the_new_book(books):
    """Pairings come in the order of the new book."""
    old, new, _ = books
    at = {clause.id: index for index, clause in enumerate(new)}
    firsts = [min(at[label] for label in one.new) for one in pair(old, new) if one.new]
    assert firsts == sorted(firsts)


@SEVERAL
@given(editions, st.randoms(use_true_random=False))
def test_settled_pairs_win(books, random):
    """What a person settled is kept as it is, and its clauses appear nowhere else."""
    old, new, _ = books
    mine, theirs = random.choice(old).id, random.choice(new).id
    settled = SettledPair(old=(mine,), new=(theirs,), place=PLACE)
    found = pair(old, new, [settled])
    holders = [one for one in found if mine in one.old or theirs in one.new]
    assert [(one.old, one.new, one.settled, one.certainty) for one in holders] == [((mine,), (theirs,), True, 1.0)]


@SEVERAL
@given(editions)
def test_settled_pairs_of_unknown_clauses(books):
    """A settled pair that names a clause the books lack changes nothing."""
    old, new, _ = books
    for ids in ((("no such clause",), (new[0].id,)), ((old[0].id,), ("no such clause",))):
        assert pair(old, new, [SettledPair(old=ids[0], new=ids[1], place=PLACE)]) == pair(old, new)


def test_edited_books_are_read_back():
    """On thirty edited books nearly every pair is the one that the editing made (F1 above 0.985)."""
    right = made = true = 0
    for seed in range(30):
        old, new, truth = edited(invented_text(900, 120, seed), seed, sticky=seed % 2 == 0)
        pairs = {(o, n) for one in pair(old, new) for o in one.old for n in one.new}
        right, made, true = right + len(pairs & truth), made + len(pairs), true + len(truth)
    assert 2 * right / (made + true) > 0.985
