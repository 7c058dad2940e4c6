"""Dependence: the quantities and components on which what a book says of a subject can hang."""

from __future__ import annotations

from collections.abc import Iterator

from rulewatch.assess.applied import every_reading
from rulewatch.compare.keys import bound_subjects, condition_subjects, constraint_bounds
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Finding
from rulewatch.model.reading import Range, Reading
from rulewatch.model.vocabulary import within


def hangs_on(finding: Finding, edition: Edition) -> frozenset[str]:
    """The subject of a finding, and all that its clauses, what replaces these, and what else speaks of the subject, speak of."""
    own = set(finding.clauses)
    found = {finding.subject, *finding.missing}
    for _, reading in every_reading(edition):
        named = set(reading.subjects())
        about = any(within(name, finding.subject) or within(finding.subject, name) for name in named if finding.subject)
        if reading.clause in own or own & set(reading.instead_of) or about:
            found |= named | condition_subjects(reading.when) | set(_bounds(reading))
    return frozenset(found - {""})


def _bounds(reading: Reading) -> Iterator[str]:
    for test in (*reading.limits, *reading.allows):
        if isinstance(test.constraint, Range):
            for bound in constraint_bounds(test.constraint):
                yield from bound_subjects(bound)
