"""What a season does to an entry, day by day: the new book, bulletins that come into force, papers that end, a change of class.

A season is a row of stages: the days on which a car may run, each with the book as it stands that day. The first stage that an
entry covers is held against the season before; each later one against the stage before it, where anything may be other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from rulewatch.assess.entries import judged_before
from rulewatch.assess.impact import impacts
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Car, Entry
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Stage
from rulewatch.model.impact import Assessment, Impact, Outcome, Side, Verdict
from rulewatch.model.site import ImpactReport

Compare = Callable[[Edition, Edition], Comparison]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What became of one entry on the way to a stage: two books compared, the entry as judged there, and what is other."""

    stage: Stage
    comparison: Comparison
    judged: Assessment
    impacts: tuple[Impact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """The season before, the stages of this one, and how two books are compared."""

    before: Edition
    stages: tuple[Stage, ...]
    compare: Compare
    topics: Topics
    crew_p: float = 0.0  # the probability of conformity below which a legal value is at risk

    def reports(self, cars: Sequence[Car]) -> Iterator[ImpactReport]:
        """What the season does to every entry of its body: one report for its first day, and one for each on which more came.

        The first one is there where nothing follows, too.
        """
        if not self.stages:
            return
        opening = self.compare(self.before, self.stages[0].edition)
        homeless = tuple(impact for car in cars for entry in car.entries for impact in self._homeless(car, entry))
        found: dict[tuple[int, date], list[Step]] = {}
        entered = ((car, entry) for car in cars for entry in car.entries if entry.body == self.before.body.id)
        for car, entry in entered:
            for step in self.steps(car, entry):
                found.setdefault((id(step.comparison), step.stage.day), []).append(step)
        first = _report(opening, found.pop((id(opening), self.stages[0].day), ()))
        yield replace(first, impacts=(*first.impacts, *homeless))
        for steps in sorted(found.values(), key=lambda steps: steps[0].stage.day):
            yield _report(steps[0].comparison, steps, steps[0].stage)

    def _homeless(self, car: Car, entry: Entry) -> Iterator[Impact]:
        """The impact of a season that has no such class any more on an entry that is not over."""
        new = self.stages[0].edition
        had = entry.body == new.body.id and entry.class_name in self.before.classes
        if not had or entry.class_name in new.classes or not any(entry.covers(stage.day) for stage in self.stages):
            return
        judged = Assessment(car=car, entry=entry, edition=new, day=self.stages[0].day, findings=(), entered=False)
        before = judged_before(self.before, judged, self.topics.vocabulary)
        if before.entered:
            yield Impact(
                car=car.id,
                entry=entry,
                old=(),
                new=(),
                outcome=Outcome.BREACH,
                before=Side(verdict=before.verdict, alone=before.verdict),
                after=Side(verdict=Verdict.UNKNOWN, alone=Verdict.UNKNOWN),
                why=f"{entry.class_name} is no class of {new.header.season} any more; enter the car in one of: {', '.join(new.classes)}",
            )

    def draft(self, cars: Iterable[Car], book: Edition, drafted: Edition, days: Sequence[date]) -> ImpactReport:
        """What drafts would do to every entry on the first of some days that it covers, against the book without them on that day."""
        comparison, vocabulary = self.compare(book, drafted), self.topics.vocabulary
        found: list[Impact] = []
        for car in cars:
            for entry in car.entries:
                day = next(filter(entry.covers, days), None)
                if entry.body == book.body.id and day is not None and entry.class_name in book.classes:
                    before, after = (judge(text, car, entry, day, vocabulary) for text in (book, drafted))
                    found += impacts(comparison, before, after, self.topics, self.crew_p)
        return ImpactReport(comparison=comparison, impacts=tuple(found), draft=True)

    def steps(self, car: Car, entry: Entry) -> Iterator[Step]:
        """Every step of an entry through the season; none where it covers no stage, or the season has no such class."""
        last: Step | None = None
        for number, stage in enumerate(self.stages):
            if not entry.covers(stage.day) or entry.class_name not in stage.edition.classes:
                continue
            if last is None:
                last = self._entering(car, entry, number)
                yield last
            elif stage.edition is not last.stage.edition or _depends_on_day(last, stage):
                judged = judge(stage.edition, car, entry, stage.day, self.topics.vocabulary)
                comparison = self.compare(last.stage.edition, stage.edition)
                last = self._step(stage, comparison, last.judged, judged)
                yield last

    def _entering(self, car: Car, entry: Entry, number: int) -> Step:
        """The first stage of an entry: against the class that the car ran in until then, else against the season before."""
        stage = self.stages[number]
        judged = judge(stage.edition, car, entry, stage.day, self.topics.vocabulary)
        for earlier in reversed(self.stages[:number]):
            class_before = next((one for one in car.entries if _preceded(one, entry, earlier.day, stage.day)), None)
            if class_before is not None:
                before = judge(earlier.edition, car, class_before, earlier.day, self.topics.vocabulary)
                return self._step(stage, self.compare(earlier.edition, stage.edition), before, judged)
        before = judged_before(self.before, judged, self.topics.vocabulary)
        return self._step(stage, self.compare(self.before, stage.edition), before, judged)

    def _step(self, stage: Stage, comparison: Comparison, before: Assessment, judged: Assessment) -> Step:
        found = impacts(comparison, before, judged, self.topics, self.crew_p)
        if stage is not self.stages[0]:
            found = tuple(replace(impact, on=stage.day) for impact in found)
        return Step(stage=stage, comparison=comparison, judged=judged, impacts=found)


def _report(comparison: Comparison, steps: Sequence[Step], stage: Stage | None = None) -> ImpactReport:
    told = tuple(impact for step in steps for impact in step.impacts)
    return ImpactReport(comparison=comparison, impacts=told, stage=stage, judged=tuple(step.judged for step in steps))


def _preceded(one: Entry, entry: Entry, earlier: date, day: date) -> bool:
    """Whether the car ran by another entry of the same body until this one began."""
    return one is not entry and one.body == entry.body and one.covers(earlier) and not one.covers(day)


def _depends_on_day(last: Step, stage: Stage) -> bool:
    """Whether a waiver, a reading or the life of an item begins or ends between two stages of one book."""
    before, after = last.stage.day, stage.day
    readings = [reading for readings in stage.edition.readings.values() for reading in readings]
    begins = {reading.since for reading in readings if reading.since is not None}
    ends = {reading.until for reading in readings if reading.until is not None}
    if any(before <= day < after for day in ends) or any(before < day <= after for day in begins):
        return True
    needed_before, needed = (one.edition.header.last_day(one.day) for one in (last.stage, stage))
    lives = (finding.ends for finding in last.judged.findings if finding.ends is not None)
    return any(needed_before <= day < needed for day in (*lives, *(waiver.until for waiver in last.judged.entry.waivers)))
