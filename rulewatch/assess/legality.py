"""The nearest legal car of a crew: its entries as the papers have them, the alterations found, and the car judged again with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rulewatch.assess.papers import as_papers_say, papers_for
from rulewatch.assess.rulings import altered
from rulewatch.assess.verdicts import judge
from rulewatch.compare.legal import Entered, nearest_legal
from rulewatch.compare.shelf import OneClass
from rulewatch.model.car import Car, Stated
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Assessment, Verdict
from rulewatch.model.legal import Alteration, NearestLegal
from rulewatch.model.room import Law
from rulewatch.model.vocabulary import Vocabulary


def nearest(car: Car, assessments: Sequence[Assessment], vocabulary: Vocabulary) -> NearestLegal:
    """The nearest car to one that is legal in all its entries at once, judged again as it would be."""
    entries = [Entered(one=OneClass(edition=with_waivers(one), name=one.entry.class_name), day=one.day) for one in assessments]
    found = nearest_legal(entries, car, vocabulary)
    changes = {one.subject: _stated(one.subject, one.to, car) for one in found.alterations}
    then = altered(car, changes)
    judged = [judge(one.edition, then, one.entry, one.day, vocabulary) for one in assessments] if changes else assessments
    left = tuple((one, finding) for one in judged for finding in one.findings if finding.verdict is Verdict.ILLEGAL)
    waiting = sum(finding.verdict is Verdict.UNKNOWN for one in judged for finding in one.findings)
    told = tuple(replace(one, laws=_laws(one, assessments)) for one in found.alterations)
    return replace(found, alterations=told, altered=changes, left=left, waiting=waiting)


def _laws(one: Alteration, assessments: Sequence[Assessment]) -> tuple[Law, ...]:
    """The rules that the car breaks in what is altered; those that were looked at where it breaks none in that very quantity."""
    broken = [
        law
        for each in assessments
        for finding in each.about((one.subject,))
        if finding.verdict is Verdict.ILLEGAL
        for law in OneClass(edition=each.edition, name=each.entry.class_name).laws(finding.clauses)
    ]
    return tuple(dict.fromkeys(broken)) or one.laws


def _stated(subject: str, to: object, car: Car) -> Stated:
    """What the spec would state of an altered quantity or component."""
    if to in {"present", "absent"}:
        return Stated(subject=subject, place=car.place, present=to == "present")
    return Stated(subject=subject, place=car.place, values=(to,))  # type: ignore[arg-type]


def with_waivers(assessment: Assessment) -> Edition:
    """An edition as an entry's papers have it: what a paper names of a clause holds in the stead of the clause's own word."""
    edition = assessment.edition
    return as_papers_say(edition, papers_for(assessment.entry, edition, assessment.last_day))
