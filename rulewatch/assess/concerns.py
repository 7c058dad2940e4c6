"""What hangs on each clause of a book: the crew's cars that are subject to it, and their options that it speaks of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from rulewatch.assess.entries import stage_of
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.compare.keys import condition_subjects
from rulewatch.model.car import Car
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition, Stage
from rulewatch.model.impact import Assessment, Verdict
from rulewatch.model.step import Concern, Touched
from rulewatch.model.vocabulary import within

WORST_FIRST = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)


@dataclass(frozen=True, kw_only=True)
class Concerns:
    """An edition with the crew's cars; `stages` are the days of its season. Not slotted: the cars are judged once, when asked."""

    edition: Edition
    cars: Sequence[Car]
    stages: Sequence[Stage]
    topics: Topics

    @cached_property
    def assessments(self) -> tuple[Assessment, ...]:
        """Every entry of the cars in this body, judged by the book as it stands with what is confirmed in it."""
        return tuple(self._judged())

    def _judged(self) -> Iterator[Assessment]:
        for car in self.cars:
            for entry in car.entries:
                known = entry.body == self.edition.body.id and entry.class_name in self.edition.classes
                stage = stage_of(self.edition, self.stages, entry) if known else None
                if stage is not None:
                    yield judge(self.edition, car, entry, stage.day, self.topics.vocabulary)

    def of(self, clause: Clause) -> Concern:
        """What hangs on one clause."""
        read = self.edition.readings.get(clause.id)
        parts = () if read else self.topics.spoken_of(clause, self.edition.by_id)
        return Concern(cars=tuple(self._touched(clause)), options=tuple(self._options(clause, parts)), parts=parts)

    def _touched(self, clause: Clause) -> Iterator[Touched]:
        """One of each subject of each entry, the worst; what an open reading does to the minimum weight is about the weight."""
        weighs = any(one.minimum or one.adder for one in self.edition.readings.get(clause.id, ()))
        for one in self.assessments:
            found = [finding for finding in one.of_clauses([clause.id]) if finding.applies]
            for subject in dict.fromkeys(finding.subject for finding in found):
                own = [finding for finding in found if finding.subject == subject]
                worst = min(own, key=lambda finding: WORST_FIRST.index(finding.verdict))
                yield Touched(
                    car=one.car.id,
                    class_name=one.entry.class_name,
                    subject=subject or (WEIGHT if weighs else ""),
                    verdict=worst.verdict,
                    why=worst.why,
                )

    def _options(self, clause: Clause, parts: Sequence[str]) -> Iterator[tuple[str, str]]:
        """The options that alter what the clause's readings are about, or the parts that it names."""
        readings = self.edition.readings.get(clause.id, ())
        names = set(parts)
        for reading in readings:
            names.update((*reading.subjects(), *condition_subjects(reading.when)))
        for car in {one.car.id: one.car for one in self.assessments}.values():
            for option in car.options:
                if any(within(name, own) or within(own, name) for name in names for own in option.alter):
                    yield car.id, option.what
