"""The nearest legal car of a crew: its entries as the papers have them, the alterations found, and the car judged again with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from rulewatch.assess.applied import every_reading
from rulewatch.assess.decision import guard_band
from rulewatch.assess.papers import as_papers_say, papers_for
from rulewatch.assess.rulings import altered
from rulewatch.assess.verdicts import judge
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.compare.legal import Entered, nearest_legal
from rulewatch.compare.shelf import OneClass
from rulewatch.model.car import Car, Stated
from rulewatch.model.edition import Edition
from rulewatch.model.impact import Assessment, Verdict
from rulewatch.model.legal import Alteration, NearestLegal
from rulewatch.model.reading import Reading
from rulewatch.model.room import Law
from rulewatch.model.vocabulary import Vocabulary


def nearest(car: Car, assessments: Sequence[Assessment], vocabulary: Vocabulary) -> NearestLegal:
    """The nearest car to one that is legal in all its entries at once, judged again as it would be."""
    entries = [
        Entered(one=OneClass(edition=with_waivers(one), name=one.entry.class_name), day=one.day, bands=bands(one))
        for one in assessments
    ]
    found = nearest_legal(entries, car, vocabulary)
    changes = {one.subject: _stated(one, car, assessments) for one in found.alterations}
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


def _stated(one: Alteration, car: Car, assessments: Sequence[Assessment]) -> Stated:
    """What the spec would state of an altered quantity or component, taken as the books ask, or else as the crew took it."""
    if one.to[0] in {"present", "absent"}:
        return Stated(subject=one.subject, place=car.place, present=one.to[0] == "present")
    was = car.spec.get(one.subject)
    conditions = dict(was.conditions) if was is not None else {}
    for each in assessments:
        for _, reading in every_reading(each.edition):
            if reading.applies_to(each.entry.class_name, each.day):
                conditions |= dict(_asks(reading, one.subject))
    return Stated(subject=one.subject, place=car.place, values=one.to, conditions=tuple(conditions.items()))


def _asks(reading: Reading, subject: str) -> tuple[tuple[str, str], ...]:
    """How a reading wants a quantity taken."""
    weighs = reading.minimum is not None and subject == WEIGHT
    asked = reading.measured if weighs or subject in reading.subjects() else ()
    if reading.minimum is None or not weighs or reading.minimum.with_driver is None:
        return asked
    return (*asked, ("driver", "yes" if reading.minimum.with_driver else "no"))


def bands(one: Assessment) -> dict[str, Fraction]:
    """By how much measured quantities must keep inside their limits by the body's rule, in base units, measured as surely as they were."""
    found: dict[str, Fraction] = {}
    for finding in one.findings:
        if finding.doubt is not None:
            band = guard_band(finding.doubt.spread, one.edition.body.decision)
            found[finding.subject] = max(band, found.get(finding.subject, band))
    return {subject: band for subject, band in found.items() if band}


def with_waivers(assessment: Assessment) -> Edition:
    """An edition as an entry's papers have it: what a paper names of a clause holds in the stead of the clause's own word."""
    edition = assessment.edition
    return as_papers_say(edition, papers_for(assessment.entry, edition, assessment.last_day))
