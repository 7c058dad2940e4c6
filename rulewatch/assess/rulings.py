"""Rulings: what a book says of an alteration, if it were made on a car.

A clause that nobody has read, or whose reading nobody confirmed, may forbid what its words name: until then it waits.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from rulewatch.assess.facts import Facts
from rulewatch.assess.outcome import decisive
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge_only
from rulewatch.assess.words import in_a_row
from rulewatch.model.car import Car, Stated
from rulewatch.model.impact import Assessment, Finding, Need, Side, Sort, Verdict
from rulewatch.model.vocabulary import ancestors, within


class Standing(Enum):
    """What a book says of an alteration."""

    FORBIDDEN = "forbidden"
    WAITS = "waits"  # for a reading, or an answer of the officials
    FREE = "free"  # perhaps within limits on values that nobody stated yet


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruling:
    """What one book asks of the altered quantities and components, if the alteration were made."""

    findings: tuple[Finding, ...]

    @property
    def standing(self) -> Standing:
        """Forbidden where anything is illegal; waiting where anything is unknown for want of a reading or an answer."""
        if any(finding.verdict is Verdict.ILLEGAL for finding in self.findings):
            return Standing.FORBIDDEN
        return Standing.WAITS if any(map(_waits, self.findings)) else Standing.FREE

    @property
    def deciding(self) -> tuple[Finding, ...]:
        """The findings that forbid it, or that wait; none of what is free."""
        if self.standing is Standing.FORBIDDEN:
            return tuple(finding for finding in self.findings if finding.verdict is Verdict.ILLEGAL)
        return tuple(finding for finding in self.findings if _waits(finding))

    def clauses(self, subjects: Collection[str]) -> tuple[str, ...]:
        """The clauses that say something of any of these subjects; of what is forbidden anyway, none that is still to be read."""
        said = [one for one in self.findings if self.standing is not Standing.FORBIDDEN or not _unread(one)]
        speaking = (finding for finding in said if finding.applies and finding.subject in subjects)
        return tuple(dict.fromkeys(clause for finding in speaking for clause in finding.clauses))

    @property
    def side(self) -> Side:
        """As one side of an impact."""
        verdict = Verdict.every(finding.verdict for finding in self.findings)
        alone = Verdict.every(one for finding in self.findings for one in finding.alone.values())
        found = decisive(self.findings)
        return Side(verdict=verdict, alone=alone, margin=found.margin if found is not None else None)

    @property
    def reasons(self) -> str:
        """Why it is forbidden, each clause with its reason; of what one clause closes only the first, with the number of others.

        Of what waits, the clauses that must be read or answered first; empty for what is free.
        """
        if self.standing is not Standing.FORBIDDEN:
            return self._waited_for
        groups: dict[tuple[str, ...] | str, list[Finding]] = {}
        for one in self.deciding:
            groups.setdefault(one.clauses if one.sort is Sort.CLOSED else one.why, []).append(one)
        return "; ".join(_reason(group[0], len(group) - 1) for group in groups.values())

    @property
    def _waited_for(self) -> str:
        asked = dict.fromkeys(clause for one in self.deciding for clause in one.clauses if Need.ASK in one.needs)
        read = dict.fromkeys(clause for one in self.deciding for clause in one.clauses if Need.ASK not in one.needs)
        parts = (
            f"the officials' answer on {in_a_row(tuple(asked))}" if asked else "",
            f"a confirmed reading of {in_a_row(tuple(read))}" if read else "",
        )
        return in_a_row(tuple(filter(None, parts)))


def _waits(finding: Finding) -> bool:
    """Whether a finding waits for a reading, or for an answer of the officials."""
    return finding.verdict is Verdict.UNKNOWN and bool(finding.needs & {Need.READ, Need.ASK})


def _unread(finding: Finding) -> bool:
    """Whether a finding is that of a clause of which nobody can say for certain what it speaks of."""
    return _waits(finding) and (finding.sort is Sort.UNREAD or (finding.sort is Sort.LIMIT and Need.READ in finding.needs))


def _reason(finding: Finding, more: int) -> str:
    others = f", and {more} more of the same" if more else ""
    return f"{finding.why}{others}" + (f", {in_a_row(finding.clauses)}" if finding.clauses else "")


def ruling(side: Assessment, alter: Mapping[str, Stated], topics: Topics) -> Ruling:
    """What the book of an assessment says of its car with an alteration: of what is altered, and of parts that come or go with it."""
    vocabulary = topics.vocabulary
    car = altered(side.car, alter)
    now, then = (Facts(car=each, vocabulary=vocabulary) for each in (side.car, car))
    above = {part for name in alter for part in ancestors(name) if "." in part}
    moved = sorted(part for part in above if then.of(part).present is not now.of(part).present)
    judged = judge_only(side, car, (*alter, *moved), vocabulary)
    return Ruling(findings=(*judged, *_named(side, (*alter, *moved), judged, topics)))


def _named(side: Assessment, names: Collection[str], judged: Collection[Finding], topics: Topics) -> Iterator[Finding]:
    """The clauses still to be read or answered whose words name an altered part, or what it belongs to, as findings about that."""
    waiting = [one for one in side.findings if _unread(one)]
    known = side.edition.by_id if waiting else {}
    quantities = topics.vocabulary.quantities
    parts = {name: quantities[name].component if name in quantities else name for name in names}
    told = {clause for one in judged if _waits(one) for clause in one.clauses}
    for one in waiting:
        clause = one.clauses[0]
        spoken = topics.spoken_of(known[clause], known)
        about = next((name for name, part in parts.items() if any(within(part, each) for each in spoken)), None)
        if about is not None and clause not in told:
            told.add(clause)
            yield replace(one, subject=about, applies=True, margin=None)


def altered(car: Car, alter: Mapping[str, Stated]) -> Car:
    """The car as it would state itself: what becomes absent takes all under it away, what comes brings what it is a part of."""
    gone = [name for name, stated in alter.items() if not stated.present]
    come = {above for name, stated in alter.items() if stated.present for above in ancestors(name)}
    kept = {
        name: stated
        for name, stated in car.spec.items()
        if not any(within(name, one) for one in gone) and (stated.present or name not in come)
    }
    return replace(car, spec={**kept, **alter})
