"""Answers: which changes of the rules an alteration of a car answers, by what the car was before it and is after it.

An alteration answers a change that had made the car illegal, where it is legal after it; and one that allowed what was done,
where the older book would have forbidden it. The values decide, not what anybody meant.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from rulewatch.assess.entries import entry_day, judged_before
from rulewatch.assess.outcome import whole
from rulewatch.assess.unread import reworded
from rulewatch.assess.verdicts import judge
from rulewatch.model.alteration import Answer
from rulewatch.model.car import Car, Entry
from rulewatch.model.change import Comparison
from rulewatch.model.impact import Assessment, Finding, Verdict
from rulewatch.model.vocabulary import Vocabulary, within


def answers(
    before: Car, after: Car, subjects: Collection[str], comparison: Comparison, vocabulary: Vocabulary
) -> Iterator[tuple[str, Answer]]:
    """What the alteration of each quantity or component answers among the changes between two books, for each entry there."""
    book = comparison.new
    for entry in after.entries:
        day = entry_day(book, entry) if entry.body == book.body.id and entry.class_name in book.classes else None
        if day is None:
            continue
        was, now = (judge(book, car, entry, day, vocabulary) for car in (before, after))
        legal = [name for name in subjects if _verdict(now, name) is Verdict.LEGAL]
        broken = [name for name in legal if _verdict(was, name) is Verdict.ILLEGAL]
        if broken:
            then = judged_before(comparison.old, was, vocabulary)
            for name in broken:
                if _verdict(then, name) is not Verdict.ILLEGAL:
                    yield from ((name, one) for one in _cured(was, name, comparison, entry))
        if len(broken) < len(legal):
            then = judged_before(comparison.old, now, vocabulary)
            for name in legal:
                if name not in broken:
                    yield from ((name, one) for one in _opened(then, now, name, comparison, entry))


def _about(judged: Assessment, subject: str) -> list[Finding]:
    """What a book asks of a quantity or component, of all under it, and of the parts that hold it."""
    return [one for one in judged.findings if one.applies and (within(one.subject, subject) or within(subject, one.subject))]


def _verdict(judged: Assessment, subject: str) -> Verdict:
    return whole(_about(judged, subject))


def _broken(judged: Assessment, subject: str) -> list[Finding]:
    return [one for one in _about(judged, subject) if one.verdict is Verdict.ILLEGAL]


def _cured(was: Assessment, subject: str, comparison: Comparison, entry: Entry) -> Iterator[Answer]:
    """The changed clauses that the car broke before it was altered."""
    broken = _broken(was, subject)
    changed = {clause.id for change in comparison.changed if reworded(change) for clause in change.new}
    clauses = dict.fromkeys(clause for one in broken for clause in one.clauses if clause in changed)
    if clauses:
        yield _answer(tuple(clauses), comparison, entry, broken, opening=False)


def _opened(then: Assessment, now: Assessment, subject: str, comparison: Comparison, entry: Entry) -> Iterator[Answer]:
    """The changes of the clauses by which the older book would have forbidden the car as it is now, or that allow it."""
    broken = _broken(then, subject)
    forbade = {clause for one in broken for clause in one.clauses}
    speaking = {clause for one in _about(now, subject) for clause in one.clauses}
    clauses: dict[str, None] = {}
    for change in comparison.changed if broken else ():
        old, new = ([clause.id for clause in side] for side in (change.old, change.new))
        if reworded(change) and (forbade & {*old} or speaking & {*new}):
            clauses.update(dict.fromkeys(new or [f"{name} (repealed)" for name in old]))
    if clauses:
        yield _answer(tuple(clauses), comparison, entry, broken, opening=True)


def _answer(
    clauses: tuple[str, ...], comparison: Comparison, entry: Entry, broken: Sequence[Finding], *, opening: bool
) -> Answer:
    book = comparison.new
    amended = (book.amended_by.get(clause, "") for clause in clauses)
    return Answer(
        body=book.body.id,
        season=book.header.season,
        clauses=clauses,
        class_name=entry.class_name,
        opening=opening,
        bulletins=tuple(dict.fromkeys(filter(None, amended))),
        why=broken[0].why,
    )
