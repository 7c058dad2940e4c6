"""Lineage: one rule through the seasons, whatever its number, so that addresses and jobs stay with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rulewatch.model.change import Change, Comparison, Lineage
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition

# A clause of an edition: body, season and number.
Key = tuple[str, str, str]


def lineages(editions: Sequence[Edition], comparisons: Sequence[Comparison]) -> Mapping[Key, Lineage]:
    """The lineage of every clause of a body's editions, by body, season and number.

    `comparisons` are those of consecutive editions, old to new. A clause that was inserted, or whose number was used again
    for another rule, begins a lineage; of a split the surest child inherits, and a join goes on with the likeliest parent.
    """
    inherits = {
        _key(comparison.new, new): _key(comparison.old, old) for comparison in comparisons for old, new in heirs(comparison)
    }
    found: dict[Key, Lineage] = {}
    for edition in editions:
        for clause in edition.clauses:
            key = _key(edition, clause)
            parent = found.get(inherits[key]) if key in inherits else None
            found[key] = parent or Lineage(season=edition.header.season, clause=clause.id)
    return found


def _key(edition: Edition, clause: Clause) -> Key:
    return edition.header.body, edition.header.season, clause.id


def heirs(comparison: Comparison) -> Iterator[tuple[Clause, Clause]]:
    """Each old clause with the new one that goes on with its lineage; no lineage is given out twice."""
    given: set[str] = set()
    taken: set[str] = set()
    # What is plain goes first, so that a clause that was both split and joined goes on with its own rule.
    for change in sorted(comparison.changes, key=lambda change: len(change.old) + len(change.new)):
        pair = _surest(change, given, taken)
        if pair is not None:
            old, new = pair
            given.add(old.id)
            taken.add(new.id)
            yield old, new


def _surest(change: Change, given: set[str], taken: set[str]) -> tuple[Clause, Clause] | None:
    """The old and new clause of a change that are most surely one rule: the same number, else the likest text."""
    pairs = [(old, new) for old in change.old if old.id not in given for new in change.new if new.id not in taken]
    if len(pairs) <= 1:
        return pairs[0] if pairs else None
    return max(pairs, key=lambda pair: (pair[0].id == pair[1].id, _likeness(*pair)))


def _likeness(old: Clause, new: Clause) -> float:
    from rapidfuzz.distance import Indel

    return Indel.normalized_similarity(old.folded.split(), new.folded.split())
