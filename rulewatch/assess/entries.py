"""Entries by date: on which day an entry is judged, and what its car was entered in before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Entry
from rulewatch.model.edition import Edition, Stage
from rulewatch.model.impact import Assessment
from rulewatch.model.vocabulary import Vocabulary


def entry_day(edition: Edition, entry: Entry) -> date | None:
    """The day on which an entry is judged: the edition's, or the first event that the entry covers; None if it is not entered."""
    return next(filter(entry.covers, _days(edition)), None)


def last_day(edition: Edition, entry: Entry) -> date | None:
    """The last day of a season on which an entry ran: the edition's, or an event's; None where it covers none."""
    return max(filter(entry.covers, _days(edition)), default=None)


def _days(edition: Edition) -> Iterator[date]:
    """The edition's own day, then those of its events."""
    return (day for day in (edition.day, *(event.on for event in edition.header.events)) if day is not None)


def stage_of(edition: Edition, stages: Sequence[Stage], entry: Entry) -> Stage | None:
    """Where an entry stands in a season: under the whole book on its day, else on the last stage that it covers; None where on none."""
    if edition.day is not None and entry.covers(edition.day):
        return Stage(edition=edition, day=edition.day)
    return next((stage for stage in reversed(stages) if entry.covers(stage.day)), None)


def judged_before(edition: Edition, after: Assessment, vocabulary: Vocabulary) -> Assessment:
    """The car of an entry at the end of the older season, in the class that it ran in then; unjudged where it was in none.

    That is the same entry, else one of its class, else one that was over when this one began.
    """
    then = [
        entry
        for entry in after.car.entries
        if entry.body == edition.body.id and entry.class_name in edition.classes and last_day(edition, entry) is not None
    ]
    same = [entry for entry in then if entry is after.entry]
    same += [entry for entry in then if entry.class_name == after.entry.class_name]
    found = next(iter(same or [entry for entry in then if not entry.covers(after.day)]), None)
    day = (last_day(edition, found) if found is not None else None) or after.day
    if found is None:
        return Assessment(car=after.car, entry=after.entry, edition=edition, day=day, findings=(), entered=False)
    return judge(edition, after.car, found, day, vocabulary)
