"""Laws of the ripple, for all books: every way is made of real ties, is a shortest one, and begins at a change."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.ripple import MOST_STEPS, Dependents, changes_rule
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Body, Edition, EditionHeader, Point
from rulewatch.model.fault import Place

PLACE = Place(path="book.md")
BODY = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={}, place=PLACE)
COUNT = 9


def edition(season: str, references: dict[int, list[int]], reworded: set[int]) -> Edition:
    """A book of numbered clauses that refer to each other; those reworded have another text."""
    clauses = tuple(
        Clause(
            id=f"1.{n}",
            label=f"1.{n}",
            text=f"Part {n} of the {'outer' if n in reworded else 'inner'} frame number {n} is made of sheet {n}.",
            references=tuple(f"1.{m}" for m in references[n] if m != n),
            place=PLACE,
            last_line=1,
        )
        for n in range(COUNT)
    )
    return Edition(
        point=Point(body="saltmarsh", season=season),
        header=EditionHeader(body="saltmarsh", season=season, title="", place=PLACE),
        body=BODY,
        clauses=clauses,
        readings={},
    )


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    references=st.fixed_dictionaries({n: st.lists(st.integers(0, COUNT - 1), max_size=3) for n in range(COUNT)}),
    reworded=st.sets(st.integers(0, COUNT - 1), max_size=3),
)
def test_every_way_is_real_and_shortest(references, reworded):
    """Each step is a tie of the book, the first clause changed and the others did not, and no shorter way leads there."""
    old, new = edition("2026", references, set()), edition("2027", references, reworded)
    comparison = compare_editions(old, new)
    changed = {change.key for change in comparison.changes if changes_rule(change)}
    assert changed == {f"1.{n}" for n in reworded}
    ties = {clause.id: set(Dependents(edition=new).of(clause.id)) for clause in new.clauses}
    away = dict.fromkeys(changed, 0)
    for step in range(1, MOST_STEPS + 1):
        near = {name for source, far in away.items() if far == step - 1 for name, _ in ties[source]}
        away.update({name: step for name in near if name not in away})
    assert {change.key for change in comparison.touched} == {name for name, far in away.items() if far}
    for change in comparison.touched:
        for touch in change.touched_by:
            assert touch.path[0] in changed
            assert touch.path[-1] == change.key
            assert len(touch.path) == len(set(touch.path)) == len(touch.reasons) + 1 == away[change.key] + 1
            for source, name, reason in zip(touch.path, touch.path[1:], touch.reasons, strict=False):
                assert (name, reason) in ties[source]
        assert len(change.touched_by) == len({touch.path[0] for touch in change.touched_by if len(touch.path) == 2}) or (
            len(change.touched_by) == 1
        )
