"""The nearest legal car in words and as plain data, described by `schema/nearest.schema.json`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from rulewatch.model.impact import Sort
from rulewatch.model.legal import Alteration, Clash, NearestLegal
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar
from rulewatch.model.room import Law
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.room import amount_words
from rulewatch.publish.weight_words import KILOGRAM, POUND, in_both
from rulewatch.publish.words import listed


def nearest_title(one: NearestLegal, name: str) -> str:
    """What came of a car's search, in a line."""
    if one.clashes:
        return f"{name}: no car that keeps what is fixed is legal in all its entries"
    if one.undecided:
        return f"{name}: not found within the limit of work"
    count = len(one.alterations)
    first = f"{count} alteration{'s' if count > 1 else ''}, and no fewer" if count else "nothing to alter"
    if one.left:
        return f"{name}: {first}; but {len(one.left)} requirement{'s are' if len(one.left) > 1 else ' is'} still illegal"
    if one.waiting:
        return f"{name}: {first}; nothing known is{' then' if count else ''} illegal, but not everything is known"
    return f"{name}: {first}; legal in all its entries{' then' if count else ''}"


def alteration_words(one: Alteration, vocabulary: Vocabulary) -> str:
    """An alteration: from what to what, and the rules it is for."""
    return f"{vocabulary.label(one.subject)}: from {one.now} to {_to(one)} ({laws_words(one.laws)})"


def _to(one: Alteration) -> str:
    return " / ".join(_shown(value) for value in one.to)


def _shown(value: Scalar) -> str:
    if isinstance(value, Amount):
        return in_both(value) if value.unit in {KILOGRAM, POUND} else amount_words(value)
    return str(value)


def laws_words(laws: Iterable[Law]) -> str:
    """Rules, book by book."""
    books: dict[str, dict[str, None]] = {}
    for law in laws:
        books.setdefault(law.book, {})[law.clause] = None
    return "; ".join(f"{', '.join(clauses)} of {book}" for book, clauses in books.items())


def clash_words(one: Clash, vocabulary: Vocabulary) -> str:
    """Rules that no car meets together, and what is fixed of this one."""
    fixed = listed([vocabulary.in_sentence(name) for name in one.fixed])
    beside = f"; with {fixed} as it is" if fixed else ""
    return f"no car meets together: {laws_words(one.laws)}{beside}"


def left_words(one: NearestLegal) -> Iterator[str]:
    """What is still illegal on the car so altered, and how much is not known."""
    for assessment, finding in one.left:
        kind = "renew" if finding.sort is Sort.DATED else "still illegal"
        entry = assessment.entry
        yield f"{kind}: {finding.why} ({', '.join(finding.clauses)}, {entry.class_name} of {entry.body})"
    if one.waiting:
        yield f"{one.waiting} requirement{'s are' if one.waiting > 1 else ' is'} unknown, which is no pass"


def nearest_data(found: Iterable[NearestLegal]) -> dict[str, Any]:
    """The nearest legal cars, as data."""
    return {"nearest": [_one(each) for each in found]}


def _one(one: NearestLegal) -> dict[str, Any]:
    return {
        "car": one.car,
        "alterations": [
            {
                "subject": each.subject,
                "now": each.now,
                "to": " / ".join(map(_plain, each.to)),
                "laws": [str(law) for law in each.laws],
            }
            for each in one.alterations
        ],
        "distance": float(one.distance),
        "clashes": [{"laws": [str(law) for law in each.laws], "fixed": list(each.fixed)} for each in one.clashes],
        "undecided": [str(law) for law in one.undecided],
        "left": [
            {
                "body": assessment.entry.body,
                "class": assessment.entry.class_name,
                "subject": finding.subject,
                "clauses": list(finding.clauses),
                "why": finding.why,
            }
            for assessment, finding in one.left
        ],
        "unknown": one.waiting,
    }


def _plain(value: Scalar) -> str:
    return value.plain if isinstance(value, Amount) else str(value)
