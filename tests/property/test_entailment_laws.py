"""Laws of what follows on sight: it is so on every car, and a term grows by as much as it is said to."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from rulewatch.compare.entailment import follows, growth
from rulewatch.compare.formulas import (
    Formula,
    Relation,
    Rounded,
    Sort,
    Term,
    Variable,
    all_of,
    any_of,
    compare,
    either,
    holds,
    negation,
    number,
    plus,
    size,
    times,
)

FIXED = settings(max_examples=100, deadline=None, derandomize=True)
WEIGHT, WIDTH = (Variable(name=name, sort=Sort.NUMBER, never_negative=True) for name in ("weight", "width"))
HALVES = [Fraction(half, 2) for half in range(13)]
CARS = [{WEIGHT: weight, WIDTH: width} for weight in HALVES for width in HALVES[:9]]

sizes = st.integers(min_value=-3, max_value=6).map(lambda half: Fraction(half, 2))
tests = st.builds(lambda at: compare(WIDTH, number(at), Relation.AT_MOST), st.sampled_from(HALVES[1:4]))


def grown(term: Term, test: Formula, by: Fraction, way: int) -> Term:
    """A term with something added, taken as a share, chosen or rounded."""
    return (
        plus(term, number(by)),
        times(abs(by), term),
        either(test, plus(term, number(by)), term),
        Rounded(term, Fraction(1), up=by > 1),
    )[way]


@st.composite
def terms(draw) -> tuple[Term, Term]:
    """Two terms that were made in nearly the same way."""
    one = other = draw(st.sampled_from([number(2), WEIGHT, plus(WEIGHT, number(1))]))
    for _ in range(draw(st.integers(min_value=1, max_value=3))):
        test, by, way = draw(tests), draw(sizes), draw(st.integers(min_value=0, max_value=3))
        one = grown(one, test, by, way)
        other = grown(other, test, by + draw(st.sampled_from([0, 0, Fraction(1, 2), 1, 2])) if way != 3 else by, way)
    return one, other


@st.composite
def formulas(draw) -> tuple[Formula, Formula]:
    """Two formulas of nearly the same terms."""
    one, other = draw(terms())
    relations = st.sampled_from([Relation.AT_MOST, Relation.UNDER])
    pair = [compare(term, WEIGHT, draw(relations)) for term in (one, other)]
    test, join, denied = draw(tests), draw(st.sampled_from([all_of, any_of])), draw(st.booleans())
    first, second = (join((test, negation(part) if denied else part)) for part in pair)
    return first, second


@FIXED
@example((Rounded(WEIGHT, Fraction(1), up=False), Rounded(plus(WEIGHT, number(1)), Fraction(1), up=False)))  # 1.5 and 2.5 to 2
@given(terms())
def test_a_term_grows_by_what_is_said_at_least(pair):
    """On every car, however it is rounded."""
    one, other = pair
    least = growth(one, other)
    assert least is None or all(size(other, car) - size(one, car) >= least for car in CARS)


@FIXED
@given(formulas())
def test_what_follows_holds_wherever_the_other_does(pair):
    """No car meets what is given and not what follows."""
    for given_, then in (pair, pair[::-1]):
        if follows(then, given_):
            assert all(holds(then, car) for car in CARS if holds(given_, car))
