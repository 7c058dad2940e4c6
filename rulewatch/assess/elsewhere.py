"""Elsewhere: what the other entries of a car ask of a quantity with which one of them makes it illegal.

Whoever narrows a rim for one club should know that the other asks for less still.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from rulewatch.assess.outcome import decisive
from rulewatch.model.impact import Assessment, Finding, Verdict
from rulewatch.model.site import ImpactReport

MOST, LEAST = ("at most ", "under "), ("at least ", "over ")

Judged = Mapping[str, Sequence[Assessment]]


def judged_together(reports: Iterable[ImpactReport]) -> Judged:
    """The cars that are entered more than once, by id, each with every entry as it stands from day to day."""
    found: dict[str, list[Assessment]] = {}
    for report in reports:
        for one in () if report.draft else report.judged:
            if len(one.car.entries) > 1:
                found.setdefault(one.car.id, []).append(one)
    return found


def tighter_elsewhere(car: str, quantity: str, entries: Iterable[int], judged: Judged) -> str:
    """The tightest bound of a car's other entries in words, where it is tighter than that of some; else empty.

    `entries` are the identities of those some. Bounds of two directions, or of two sides at once, are not compared.
    """
    ours = set(entries)
    broken = [(one, finding) for one in judged.get(car, ()) if (finding := _broken(one, quantity)) is not None]
    own = min((_margin(finding) for one, finding in broken if id(one.entry) in ours), default=None)
    ways = {_way(finding) for _, finding in broken}
    others = [(one, finding) for one, finding in broken if id(one.entry) not in ours]
    if own is None or not others or len(ways) != 1 or "" in ways:
        return ""
    one, finding = min(others, key=lambda pair: _margin(pair[1]))
    if _margin(finding) >= own:
        return ""
    return f"{one.entry.body} asks for more: {finding.bound} ({', '.join(finding.clauses)})"


def _broken(one: Assessment, quantity: str) -> Finding | None:
    """The finding by which an entry is illegal in a quantity, with a measure of how far; None where it is not."""
    finding = decisive(one.about((quantity,)))
    return finding if finding is not None and finding.verdict is Verdict.ILLEGAL and finding.margin is not None else None


def _margin(finding: Finding) -> Fraction:
    return finding.margin.span if finding.margin is not None else Fraction(0)


def _way(finding: Finding) -> str:
    """Whether a bound is one from above or from below; empty where it is both or neither."""
    if " and " in finding.bound:
        return ""
    return next((words[0] for words in (MOST, LEAST) if finding.bound.startswith(words)), "")
