"""Why a change does nothing to an entry, in words."""

from __future__ import annotations

from collections.abc import Sequence

from rulewatch.assess.outcome import decisive
from rulewatch.assess.subjects import Context, Subject
from rulewatch.assess.topics import concerns, words_around
from rulewatch.assess.unread import reworded
from rulewatch.assess.words import in_a_row
from rulewatch.model.change import Change


def no_effect(change: Change, subjects: Sequence[Subject], context: Context) -> str:
    """Why a change does nothing to this entry."""
    if change.wording_only:
        return "only the wording changed"
    if not reworded(change):
        return "only its number or place changed"
    return _reading_says(change, context) or _car_says(change, subjects, context)


def _reading_says(change: Change, context: Context) -> str:
    """Why its readings do nothing to this entry, or nothing."""
    after = context.after
    readings = [reading for clause in change.new for reading in after.edition.readings.get(clause.id, ())]
    about = sorted({reading.concerns for reading in readings if reading.concerns})
    if about:
        return f"concerns the {', '.join(about)}, not the car"
    if readings and not any(reading.applies_to(after.entry.class_name, after.day) for reading in readings):
        return f"does not apply to {after.entry.class_name} on {after.day}"
    if context.weighs(change):
        return "counts in the minimum weight, which has an entry of its own"
    if any(reading.minimum is not None or reading.adder is not None for reading in readings):
        return "no minimum weight holds for this car"
    return ""


def _car_says(change: Change, subjects: Sequence[Subject], context: Context) -> str:
    """Why nothing follows from what the car is."""
    idle = next((finding for subject in subjects if not subject.touched for finding in subject.own), None)
    if idle is not None:
        return idle.why
    deciding = next((finding for subject in subjects if (finding := decisive(subject.after)) is not None), None)
    if deciding is not None:
        return f"{deciding.why}, as before" if deciding.applies and context.before.entered else deciding.why
    if subjects and not change.new:
        return "asked nothing of this car that it did not meet"
    if may_concern(change, context):
        return "says nothing that is judged on a car"
    named = (context.topics.components(text_of(change)) or context.topics.components(around(change, context)))[:3]
    return f"speaks of what the car does not have: {in_a_row(tuple(map(context.facts.vocabulary.in_sentence, named)))}"


def may_concern(change: Change, context: Context) -> bool:
    """Whether the words of a change, on either side, may concern the car."""
    return concerns(text_of(change), context.topics, context.facts, around(change, context))


def around(change: Change, context: Context) -> str:
    """The words around a change that names no part itself: headings above it, and clauses that it refers to or that refer to it."""
    if context.topics.components(text_of(change)):
        return ""
    found: dict[str, None] = {}
    for clauses, side in context.sides(change):
        known = side.edition.by_id
        own = {clause.id for clause in clauses}
        for clause in clauses:
            found.update(dict.fromkeys(words_around(clause, known)))
        found.update((clause.text, None) for clause in side.edition.clauses if not own.isdisjoint(clause.references))
    return "\n".join(found)


def text_of(change: Change) -> str:
    """All the text of a change, of both sides."""
    return " ".join(clause.text for clause in (*change.old, *change.new))
