"""The history of a car in words: what was altered, which changes that answers, and what is stale."""

from __future__ import annotations

from datetime import date

from rulewatch.model.alteration import Alteration, Answer, Issued, Kind
from rulewatch.model.car import Stated
from rulewatch.model.quantity import Amount
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.words import listed

UNDATED = "not dated"
NOT_COMMITTED = "not committed"


def stated_words(stated: Stated | None) -> str:
    """What a car states of something: values, or its state."""
    if stated is None:
        return "not stated"
    if stated.standard or not stated.present:
        return "standard" if stated.standard else "absent"
    return " / ".join(_value(value) for value in stated.values) or "present"


def _value(value: Amount | date | str) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)


def day_of(alteration: Alteration) -> str:
    """The day of an alteration, or that it has none."""
    if alteration.day is not None:
        return alteration.day.isoformat()
    return UNDATED if alteration.difference is None else NOT_COMMITTED


def altered_words(alteration: Alteration, vocabulary: Vocabulary) -> str:
    """`Rear rim width: 10.5 in → 10 in`; of what only a job tells, its words."""
    found = alteration.difference
    if found is None:
        return alteration.job.what if alteration.job is not None else ""
    label = vocabulary.label(found.subject)
    if found.kind is Kind.MEASURED:
        return f"{label}: measured again, {stated_words(found.new)}"
    return f"{label}: {stated_words(found.old)} → {stated_words(found.new)}"


def answer_words(answer: Answer) -> str:
    """`answers saltmarsh/2027 6.3 for silhouette-b`, with what the change had done."""
    rule = f"{answer.body}/{answer.season} {listed(list(answer.clauses))}"
    if answer.bulletins:
        rule += f" (bulletin {listed(list(answer.bulletins))})"
    if answer.said:
        return f"for {rule}, as its job says"
    did = "takes up what it allowed; before" if answer.opening else "illegal by it until then"
    return f"answers {rule} for {answer.class_name}: {did}: {answer.why}"


def issued_words(issued: Issued) -> str:
    """`saltmarsh/2027: bulletin 1 published, in force from 2027-05-01`."""
    what = f"bulletin {issued.bulletin}" if issued.bulletin else "rule book"
    since = f", in force from {issued.effective}" if issued.effective is not None else ""
    return f"{issued.body}/{issued.season}: {what} published{since}"
