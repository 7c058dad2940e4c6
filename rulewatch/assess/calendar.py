"""What a season's days do to an entry: waivers that end, readings that begin and end, while no word of the book changes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from rulewatch.assess.impact import impact_of_subject
from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Entry
from rulewatch.model.edition import Edition, Event
from rulewatch.model.impact import Assessment, Impact
from rulewatch.model.vocabulary import Vocabulary


def over_the_season(first: Assessment, vocabulary: Vocabulary) -> Iterator[Impact]:
    """The impacts of later event days on one entry, each where a verdict is another than at the event before.

    `first` is the entry as it was judged for the whole season; nothing is judged again where nothing depends on the day.
    """
    before = first
    for event in sorted(first.edition.header.events, key=lambda event: event.on):
        if (
            event.on <= first.day
            or not first.entry.covers(event.on)
            or not _differs(first.edition, first.entry, before.day, event.on)
        ):
            continue
        after = judge(first.edition, first.car, first.entry, event.on, vocabulary)
        yield from _changed(before, after, event, vocabulary)
        before = after


def _differs(edition: Edition, entry: Entry, before: date, after: date) -> bool:
    """Whether a waiver or a reading begins or ends between two days."""
    ends = {waiver.until for waiver in entry.waivers}
    begins: set[date] = set()
    for readings in edition.readings.values():
        for reading in readings:
            ends.update(filter(None, (reading.until,)))
            begins.update(filter(None, (reading.since,)))
    return any(before <= day < after for day in ends) or any(before < day <= after for day in begins)


def _changed(before: Assessment, after: Assessment, event: Event, vocabulary: Vocabulary) -> Iterator[Impact]:
    for subject in dict.fromkeys(finding.subject for finding in (*before.findings, *after.findings) if finding.subject):
        impact = impact_of_subject(subject, before, after, vocabulary, on=event.on, heading=f"from {event.title} on {event.on}")
        if impact is not None:
            yield impact
