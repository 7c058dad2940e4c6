"""Closed scopes: parts of the car in which only what is permitted may be altered.

There a quantity may have its standard value, or one that some applicable `allow` names; a component may be there or not as on
the standard car, or as an `allow` says. Everything of the vocabulary under the scope is judged, because what is not stated is
not known to be standard.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rulewatch.assess.facts import Fact, Facts
from rulewatch.assess.logic import Answer, Truth, equal, every, requirement, show, some, to_verdict
from rulewatch.model.edition import ClosedScope, Edition
from rulewatch.model.impact import Finding, Need, Sort
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Presence, Reading, Sheet, Test
from rulewatch.model.vocabulary import Vocabulary, ancestors, within


@dataclass(frozen=True, slots=True, kw_only=True)
class Permission:
    """One `allow` that applies: its test, whether its condition holds, and whether it is confirmed."""

    clause: str
    test: Test
    holds: Truth
    confirmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grant:
    """What one permission comes to for one subject."""

    clause: str
    truth: Truth
    confirmed: bool
    margin: Amount | None
    bound: str

    @property
    def sure(self) -> Truth:
        """What may be relied on: an unconfirmed permission permits nothing for certain."""
        return self.truth if self.confirmed or not self.truth else None


def closed_findings(edition: Edition, applied: Sequence[tuple[Reading, bool, Answer]], facts: Facts) -> Iterator[Finding]:
    """One finding for each subject under a closed scope; `applied` are readings in force, confirmed or not, with their condition."""
    permissions = [
        Permission(clause=reading.clause, test=test, holds=holds.truth, confirmed=confirmed)
        for reading, confirmed, holds in applied
        for test in reading.allows
        if holds.truth is not False
    ]
    for subject, scope in _subjects(edition.header.closed, facts.vocabulary):
        if not _settled_above(subject, facts):
            yield _finding(subject, scope, permissions, facts)


def _subjects(scopes: Sequence[ClosedScope], vocabulary: Vocabulary) -> Iterator[tuple[str, ClosedScope]]:
    """Every component and quantity under a closed scope once; a whole system (no dot) is no part that could be left off."""
    seen: set[str] = set()
    for scope in scopes:
        for name in (*vocabulary.components, *vocabulary.quantities):
            if within(name, scope.scope) and "." in name and name not in seen:
                seen.add(name)
                yield name, scope


def _settled_above(subject: str, facts: Facts) -> bool:
    """Whether a part above says all there is to say: it is absent, or nobody stated whether it is there.

    Its own finding is then illegal or unknown where this one would be.
    """
    parts = [name for name in ancestors(subject) if "." in name]
    return any(_is_open(facts.of(name)) for name in parts)


def _is_open(fact: Fact) -> bool:
    return fact.present is False or (fact.present is None and not fact.standard)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """One subject under a closed scope: what the car has, whether that is standard, and what each permission comes to."""

    subject: str
    scope: ClosedScope
    fact: Fact
    standard: Truth
    grants: tuple[_Grant, ...]

    @property
    def truth(self) -> Truth:
        """Standard, or permitted by some clause."""
        return some((self.standard, *(grant.sure for grant in self.grants)))


def _finding(subject: str, scope: ClosedScope, permissions: Sequence[Permission], facts: Facts) -> Finding:
    fact = facts.of(subject)
    case = _Case(
        subject=subject,
        scope=scope,
        fact=fact,
        standard=_is_standard(subject, fact, facts),
        grants=tuple(_grant(permission, subject, facts) for permission in permissions if _names(permission, subject)),
    )
    alone = {grant.clause: to_verdict(some((case.standard, grant.sure))) for grant in case.grants}
    if scope.clause:
        alone.setdefault(scope.clause, to_verdict(case.standard))
    return Finding(
        sort=Sort.CLOSED,
        subject=subject,
        clauses=tuple(alone),
        verdict=to_verdict(case.truth),
        alone=alone,
        why=_why(case, facts.vocabulary),
        margin=None if case.standard else _widest(case.grants),
        value=_shown(fact),
        bound=" or ".join(("standard", *dict.fromkeys(grant.bound for grant in case.grants))),
        needs=_needs(case),
        missing=_missing(case) if case.truth is None else (),
    )


def _names(permission: Permission, subject: str) -> bool:
    """Whether a permission speaks of the subject: by name, or by letting a part that holds it be there."""
    test = permission.test
    if test.subject == subject:
        return True
    return within(subject, test.subject) and isinstance(test.constraint, Presence) and test.constraint.present


def _grant(permission: Permission, subject: str, facts: Facts) -> _Grant:
    test = permission.test
    if test.subject != subject:
        answer = Answer(truth=True, bound=f"anything, as {facts.vocabulary.label(test.subject)} may be there")
    else:
        answer = requirement(test, facts)
        if not answer.applies:
            # A permission to be wide is none to be left off.
            answer = Answer(truth=False, bound=answer.bound)
    return _Grant(
        clause=permission.clause,
        truth=every((permission.holds, answer.truth)),
        confirmed=permission.confirmed,
        margin=answer.margin,
        bound=answer.bound,
    )


def _is_standard(subject: str, fact: Fact, facts: Facts) -> Truth:
    """Whether the subject is as on the standard car; unknown where the car or the sheet does not say."""
    if fact.standard:
        return True
    sheet = facts.of(subject, Sheet.STANDARD)
    if fact.present is False or sheet.present is False:
        return None if fact.present is None or sheet.present is None else fact.present == sheet.present
    if subject in facts.vocabulary.components:
        return None if fact.present is None or sheet.present is None else fact.present == sheet.present
    if not fact.values or not sheet.values:
        return None
    wanted = sheet.values if len(sheet.values) > 1 else sheet.values * len(fact.values)
    return len(wanted) == len(fact.values) and all(equal(have, want) for have, want in zip(fact.values, wanted, strict=True))


def _widest(grants: Sequence[_Grant]) -> Amount | None:
    margins = [grant.margin for grant in grants if grant.margin is not None and grant.truth is not None]
    return max(margins, key=lambda margin: margin.span, default=None)


def _missing(case: _Case) -> tuple[str, ...]:
    if case.fact.present is None:
        return (case.subject,)
    return (f"standard.{case.subject}",) if case.standard is None else ()


def _needs(case: _Case) -> frozenset[Need]:
    if case.truth is not None:
        return frozenset()
    read = any(grant.truth and not grant.confirmed for grant in case.grants)
    measure = case.standard is None or any(grant.truth is None for grant in case.grants)
    return frozenset(need for need, holds in ((Need.READ, read), (Need.MEASURE, measure)) if holds)


def _shown(fact: Fact) -> str:
    if fact.present is False:
        return "absent"
    shown = " / ".join(show(value) for value in fact.values) or ("present" if fact.present else "")
    return f"{shown} (standard)".strip() if fact.standard else shown


def _why(case: _Case, vocabulary: Vocabulary) -> str:
    """The reason of the verdict in words."""
    label = vocabulary.label(case.subject)
    closed = f"{vocabulary.label(case.scope.scope)} is closed" + (f" by {case.scope.clause}" if case.scope.clause else "")
    if case.standard:
        return f"{label} is standard"
    if case.truth:
        by = next(grant.clause for grant in case.grants if grant.sure)
        return f"{label} is permitted by {by}"
    if case.truth is False:
        return f"{closed}, and {label} ({_shown(case.fact)}) is neither standard nor permitted"
    unconfirmed = next((grant.clause for grant in case.grants if grant.truth and not grant.confirmed), "")
    if unconfirmed:
        return f"{closed}; {label} is permitted by {unconfirmed}, whose reading is not confirmed"
    return f"{closed}; {label}: {'not stated' if case.fact.present is None else 'the standard sheet does not say'}"
