"""Clauses as the command line names them: `BODY/SEASON CLAUSE`, `BODY CLAUSE`, or the number alone."""

from __future__ import annotations

from rulewatch.model.fault import Fault
from rulewatch.model.timeline import ClauseName
from rulewatch.parse.points import is_name, parse_point


def parse_clause_name(text: str) -> ClauseName | Fault:
    """Read the name of a clause. Nothing is looked up: a first word may turn out to be part of the number (`Anlage VIII/1.2`).

    A point may have all that points have: `v1.2:saltmarsh/2027@published 6.3`. A revision goes before a body as well.
    """
    whole = " ".join(text.split())
    first, _, rest = whole.partition(" ")
    if not rest:
        return ClauseName(text=whole, clause=whole)
    if "/" not in first:
        revision, _, body = first.rpartition(":")
        named = is_name(body)
        return ClauseName(text=whole, clause=rest if named else whole, body=body if named else "", revision=revision)
    point = parse_point(first)
    if isinstance(point, Fault):
        return point
    return ClauseName(text=whole, clause=rest, body=point.body, point=point, revision=point.revision)
