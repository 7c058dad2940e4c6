"""A car's entries in several books side by side: where one leaves less room than the other, and which option all of them allow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rulewatch.assess.facts import Facts
from rulewatch.assess.outcome import decisive, room, whole
from rulewatch.assess.rulings import Standing, ruling
from rulewatch.assess.topics import Topics
from rulewatch.assess.words import show
from rulewatch.model.car import Car, Option
from rulewatch.model.impact import PRECEDENCE, Assessment, Finding, Impact, Outcome, Sort
from rulewatch.model.site import ImpactReport
from rulewatch.model.together import Mark, OptionMark, SharedOption, SharedQuantity, Together
from rulewatch.model.vocabulary import Vocabulary

SAYS = {Standing.FREE: "allowed", Standing.FORBIDDEN: "forbidden", Standing.WAITS: "waits"}


def together(car: Car, reports: Sequence[ImpactReport], alone: Iterable[Assessment], vocabulary: Vocabulary) -> Together | None:
    """The entries of a car under the newest books, each as on the first day on which it was judged; None for less than two.

    `alone` are the entries in bodies that have no season before, of which there are no reports.
    """
    judged: dict[int, Assessment] = {}
    told: list[Impact] = []
    for report in reports if len(car.entries) > 1 else ():
        new = [one for one in report.judged if one.car.id == car.id and id(one.entry) not in judged and not report.draft]
        judged |= {id(one.entry): one for one in new}
        # What the season brings on a later day is no matter of the day on which the entries are laid side by side.
        entries = {id(one.entry) for one in new}
        told += (one for one in report.impacts if one.car == car.id and id(one.entry) in entries)
    judged |= {id(one.entry): one for one in alone if one.car.id == car.id}
    told = [one for impact in told for one in impact.each() if one.outcome is not Outcome.NONE]
    sides = tuple(judged.values())
    if len(sides) < 2:  # noqa: PLR2004 - side by side takes two
        return None
    topics = Topics(vocabulary=vocabulary)
    return Together(
        car=car.id,
        entries=tuple(side.entry for side in sides),
        days=tuple(side.day for side in sides),
        quantities=tuple(_quantities(car, sides, told, vocabulary)),
        options=tuple(_option(option, sides, told, topics) for option in car.options),
    )


def _quantities(
    car: Car, sides: Sequence[Assessment], told: Sequence[Impact], vocabulary: Vocabulary
) -> Iterator[SharedQuantity]:
    """What more than one of the books limits on this car, in the order of the first book, then of the others."""
    facts = Facts(car=car, vocabulary=vocabulary)
    outcomes = _first_outcomes((id(one.entry), one.subject, one.outcome) for one in told)
    subjects = dict.fromkeys(finding.subject for side in sides for finding in side.findings if finding.sort is not Sort.UNREAD)
    for subject in filter(None, subjects):
        marks = tuple(_mark(side, subject, outcomes) for side in sides)
        if sum(mark is not None for mark in marks) > 1:
            value = " / ".join(map(show, facts.of(subject).values))
            yield SharedQuantity(subject=subject, value=value, marks=marks, tighter=_tighter(marks))


def _first_outcomes(found: Iterator[tuple[int, str, Outcome]]) -> Mapping[tuple[int, str], Outcome]:
    """The most important outcome by entry and matter."""
    first: dict[tuple[int, str], Outcome] = {}
    for entry, matter, outcome in found:
        known = first.get((entry, matter))
        if known is None or PRECEDENCE.index(outcome) < PRECEDENCE.index(known):
            first[entry, matter] = outcome
    return first


def _mark(side: Assessment, subject: str, outcomes: Mapping[tuple[int, str], Outcome]) -> Mark | None:
    findings: tuple[Finding, ...] = tuple(finding for finding in side.about((subject,)) if finding.applies)
    deciding = decisive(findings)
    if deciding is None:
        return None
    return Mark(
        verdict=whole(findings),
        bound=deciding.bound,
        clauses=deciding.clauses,
        margin=room(findings).margin,
        outcome=outcomes.get((id(side.entry), subject)),
    )


def _tighter(marks: Sequence[Mark | None]) -> int | None:
    """The number of the mark with the least room; None where another leaves as little, or has no measure."""
    rooms = sorted(
        (mark.margin.span, number) for number, mark in enumerate(marks) if mark is not None and mark.margin is not None
    )
    if len(rooms) < sum(mark is not None for mark in marks) or rooms[0][0] == rooms[1][0]:
        return None
    return rooms[0][1]


def _option(option: Option, sides: Sequence[Assessment], told: Sequence[Impact], topics: Topics) -> SharedOption:
    outcomes = _first_outcomes((id(one.entry), effect.option, effect.outcome) for one in told for effect in one.options)

    def mark(side: Assessment) -> OptionMark:
        found = ruling(side, option.alter, topics)
        return OptionMark(says=SAYS[found.standing], why=found.reasons, outcome=outcomes.get((id(side.entry), option.id)))

    return SharedOption(option=option.id, what=option.what, marks=tuple(map(mark, sides)))
