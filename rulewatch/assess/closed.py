"""Closed scopes: parts of the car in which only what is permitted may be altered.

There a quantity may have its standard value, or one that some applicable `allow` names; a component may be there or not as on
the standard car, or as an `allow` says. Everything of the vocabulary under the scope is judged, because what is not stated is
not known to be standard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from rulewatch.assess.applied import STANDS, Applied, Bench, Replaced
from rulewatch.assess.facts import Fact, Facts
from rulewatch.assess.logic import Answer, Truth, equal, every, requirement, some, to_verdict
from rulewatch.assess.papers import waived_readings
from rulewatch.assess.words import in_a_row, named, show
from rulewatch.model.edition import ClosedScope, Decision
from rulewatch.model.impact import Finding, Need, Sort
from rulewatch.model.measured import Doubt
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Presence, Sheet, Test
from rulewatch.model.vocabulary import Vocabulary, ancestors, within


@dataclass(frozen=True, slots=True, kw_only=True)
class Permission:
    """One `allow` that may apply: its test, and the reading that it stands in."""

    test: Test
    one: Applied

    @property
    def holds(self) -> Truth:
        """Whether its condition holds and nothing stands in its clause's stead."""
        replaced = self.one.replaced.truth
        return every((self.one.holds.truth, None if replaced is None else not replaced))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grant:
    """What one permission comes to for one subject, and what is missing to tell."""

    clause: str
    truth: Truth
    confirmed: bool
    margin: Amount | None
    doubt: Doubt | None
    bound: str
    missing: tuple[str, ...]
    otherwise: str = ""
    open: bool = False

    @property
    def sure(self) -> Truth:
        """What may be relied on: an unconfirmed permission permits nothing for certain."""
        return self.truth if self.confirmed or not self.truth else None


def anything(_: str) -> bool:
    """Every subject."""
    return True


def closed_findings(bench: Bench, about: Callable[[str], bool] = anything) -> Iterator[Finding]:
    """One finding for each subject under a closed scope; only on some subjects, where `about` tells them."""
    permissions = [
        permission
        for one in bench.applied
        for test in one.reading.allows
        if (permission := Permission(test=test, one=one)).holds is not False
    ]
    for subject, scope in _subjects(bench.edition.header.closed, bench.facts.vocabulary):
        if about(subject) and not _settled_above(subject, scope, bench.facts):
            yield _finding(subject, scope, permissions, bench)


def _subjects(scopes: Sequence[ClosedScope], vocabulary: Vocabulary) -> Iterator[tuple[str, ClosedScope]]:
    """Every component and quantity under a closed scope once; a whole system (no dot) is no part that could be left off."""
    seen: set[str] = set()
    for scope in scopes:
        for name in (*vocabulary.components, *vocabulary.quantities):
            if within(name, scope.scope) and "." in name and name not in seen:
                seen.add(name)
                yield name, scope


def _settled_above(subject: str, scope: ClosedScope, facts: Facts) -> bool:
    """Whether a part above in the scope says all there is to say: it is absent, or nobody stated whether it is there.

    Its own finding is then illegal or unknown where this one would be.
    """
    parts = [name for name in ancestors(subject) if "." in name and within(name, scope.scope)]
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


def _finding(subject: str, scope: ClosedScope, permissions: Sequence[Permission], bench: Bench) -> Finding:
    facts = bench.facts
    fact = facts.of(subject)
    case = _Case(
        subject=subject,
        scope=scope,
        fact=fact,
        standard=_is_standard(subject, fact, facts),
        grants=tuple(
            _grant(permission, subject, facts, bench.edition.body.decision)
            for permission in permissions
            if names(permission.test, subject)
        ),
    )
    alone = {grant.clause: to_verdict(some((case.standard, grant.sure))) for grant in case.grants}
    if scope.clause:
        alone.setdefault(scope.clause, to_verdict(case.standard))
    replaced = _replaced(subject, scope, tuple(alone), bench)
    whole = some((case.truth, replaced.truth))
    return Finding(
        sort=Sort.CLOSED,
        subject=subject,
        clauses=tuple(alone),
        verdict=to_verdict(whole),
        alone=alone,
        why=_why(case, replaced, facts.vocabulary),
        applies=not replaced.truth,
        margin=None if case.standard or replaced.truth else _widest(case.grants),
        doubt=None if case.standard or replaced.truth else _surest(case.grants),
        value=_shown(fact),
        bound=" or ".join(("standard", *dict.fromkeys(grant.bound for grant in case.grants))),
        needs=_needs(case, replaced) if whole is None else frozenset(),
        missing=tuple(dict.fromkeys((*_missing(case), *replaced.doubt))) if whole is None else (),
    )


def _replaced(subject: str, scope: ClosedScope, clauses: Sequence[str], bench: Bench) -> Replaced:
    """What stands in the closed scope's stead: a waiver that speaks of the subject, or what replaces the closing clause."""
    for paper in bench.waivers:
        named = (test.subject for test in paper.limits if names(test, subject)) if paper.clause in clauses else ()
        if any(waived_readings(bench.edition, paper.clause, name) for name in named):
            return Replaced(truth=True, by=f"waiver {paper.paper}")
    return bench.replaced.get(scope.clause, STANDS)


def names(test: Test, subject: str) -> bool:
    """Whether a permission speaks of the subject: by name, or by letting a part that holds it be there."""
    if test.subject == subject:
        return True
    return within(subject, test.subject) and isinstance(test.constraint, Presence) and test.constraint.present


def _grant(permission: Permission, subject: str, facts: Facts, decision: Decision) -> _Grant:
    test, one = permission.test, permission.one
    if test.subject != subject:
        answer = Answer(truth=True, bound=f"anything, as {facts.vocabulary.label(test.subject)} may be there")
    else:
        answer = requirement(test, facts, measured=one.reading.measured, decision=decision)
        if not answer.applies:
            # A permission to be wide is none to be left off.
            answer = Answer(truth=False, bound=answer.bound)
    return _Grant(
        clause=one.reading.clause,
        truth=every((permission.holds, answer.truth)),
        confirmed=one.confirmed,
        margin=answer.margin,
        doubt=answer.doubt,
        bound=answer.bound,
        missing=tuple(dict.fromkeys((*one.holds.missing, *one.replaced.doubt, *answer.missing))),
        otherwise=answer.otherwise,
        open=one.reading.is_open,
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
    margins = [grant.margin for grant in grants if grant.margin is not None and grant.sure]
    return max(margins, key=lambda margin: margin.span, default=None)


def _surest(grants: Sequence[_Grant]) -> Doubt | None:
    """Of several permissions the one that the value most probably meets; None where one of them asks for no measurement."""
    sure = [grant.doubt for grant in grants if grant.sure]
    known = [doubt for doubt in sure if doubt is not None]
    return max(known, key=lambda doubt: doubt.p, default=None) if len(known) == len(sure) else None


def _missing(case: _Case) -> tuple[str, ...]:
    if case.fact.present is None:
        return (case.subject,)
    of_grants = tuple(name for grant in case.grants if grant.truth is None for name in grant.missing)
    unsaid = case.subject if case.fact.stale else f"standard.{case.subject}"
    return tuple(dict.fromkeys((*([unsaid] if case.standard is None else ()), *of_grants)))


def _needs(case: _Case, replaced: Replaced) -> frozenset[Need]:
    unread = [grant for grant in case.grants if grant.truth and not grant.confirmed]
    reading = any(not grant.open for grant in unread) or (replaced.truth is None and not replaced.doubt)
    measure = case.standard is None or bool(replaced.doubt) or any(grant.truth is None for grant in case.grants)
    asking = any(grant.open for grant in unread)
    needs = ((Need.READ, reading), (Need.MEASURE, measure), (Need.ASK, asking))
    return frozenset(need for need, holds in needs if holds)


def _shown(fact: Fact) -> str:
    if fact.present is False:
        return "absent"
    shown = fact.stale or " / ".join(show(value) for value in fact.values) or ("present" if fact.present else "")
    return f"{shown} (standard)".strip() if fact.standard else shown


def _why(case: _Case, replaced: Replaced, vocabulary: Vocabulary) -> str:
    """The reason of the verdict in words."""
    label = vocabulary.label(case.subject)
    closed = f"{vocabulary.label(case.scope.scope)} is closed" + (f" by {case.scope.clause}" if case.scope.clause else "")
    if replaced.truth:
        return f"{closed}, replaced by {replaced.by}"
    if case.standard:
        return f"{label} is standard"
    if case.truth:
        by = next(grant.clause for grant in case.grants if grant.sure)
        return f"{label} is permitted by {by}"
    perhaps = f", perhaps replaced by {replaced.by}" if replaced.truth is None else ""
    if case.truth is False:
        return f"{closed}{perhaps}, and {label} ({_shown(case.fact)}) is neither standard nor permitted"
    return f"{closed}{perhaps}; {_waits(case, label, vocabulary)}"


def _waits(case: _Case, label: str, vocabulary: Vocabulary) -> str:
    """What an unknown waits for: a reading, another measurement, or values."""
    unsure = next((grant for grant in case.grants if grant.truth and not grant.confirmed), None)
    if unsure is not None:
        wants = "on which the officials were asked" if unsure.open else "whose reading is not confirmed"
        return f"{label} is permitted by {unsure.clause}, {wants}"
    if case.fact.present is None:
        return f"{label}: not stated"
    if case.fact.stale:
        return f"{label}: {case.fact.stale}"
    otherwise = next((grant.otherwise for grant in case.grants if grant.truth is None and grant.otherwise), "")
    if otherwise:
        return f"{label} ({_shown(case.fact)}) was taken with {otherwise}"
    return f"{label} ({_shown(case.fact)}); not stated: {in_a_row(tuple(named(name, vocabulary) for name in _missing(case)))}"
