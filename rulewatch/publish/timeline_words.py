"""Timelines in words: for the terminal and for pages alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from rulewatch.model.change import Change, Effect, Kind
from rulewatch.model.edition import Selector
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import OneOf
from rulewatch.model.timeline import FEW, Fitting, Habit, Line, Scope, Sense, Station, Timeline, Value
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.effect_words import EffectGroup, effect_groups
from rulewatch.publish.reading_words import bound_words, capital, condition_words, constraint_words
from rulewatch.publish.room import amount_words
from rulewatch.publish.words import KINDS, count_words, day_words, listed

MONTH = Fraction(1461, 48)  # days of a month, on the average of four years
LONG = 90  # days, from which on months say more


def station_words(station: Station) -> str:
    """A station by its season, or by the bulletins that made it: `2027`, `Bulletin 2027-1`; or as the end of a suspension."""
    if station.point.selector is Selector.PUBLISHED:
        return station.point.season
    if not station.bulletins:
        return "Suspension end"
    numbers = listed(list(station.bulletins))
    return f"{'Bulletin' if len(station.bulletins) == 1 else 'Bulletins'} {numbers}"


def state_words(station: Station, *, first: bool) -> str:
    """What became of a rule at a station: `reworded, renumbered`, `new`, `joined into 5.3`, `as before`."""
    change = station.change
    if change is None:
        return "first known"
    if Kind.INSERTION in change.kinds or Kind.REPEAL in change.kinds:
        return KINDS[change.kinds[0]].word
    if not change.kinds:
        return "read otherwise, under the same words" if change.reinterpreted else "as before"
    words = [KINDS[kind].word for kind in KINDS if kind in change.kinds]
    if Kind.SUBSTITUTION in change.kinds and (out := _out_of_force(change)):
        words[words.index(KINDS[Kind.SUBSTITUTION].word)] = out
    if change.wording_only:
        words[words.index(KINDS[Kind.SUBSTITUTION].word)] += " (wording only)"
    old, new = (listed([clause.id for clause in clauses]) for clauses in (change.old, change.new))
    if Kind.SPLIT in change.kinds:
        words.append(f"from {old}" if first else f"into {new}")
    if Kind.JOIN in change.kinds:
        words.append(f"into {new}" if station.clause is None else f"from {old}")
    return ", ".join(words)


def _out_of_force(change: Change) -> str:
    """What became of a rule that stands, or stood, only as a note: `suspended`, `reserved`, `in force again`; else empty."""
    (old, *_), (new, *_) = change.old, change.new
    if old.says_nothing == new.says_nothing:
        return ""
    return new.note or "in force again"


def station_effects(station: Station, *, reasons: bool = True) -> list[EffectGroup]:
    """What a station's change does to classes, alone and in the whole book; empty where it does nothing to any."""
    if station.change is None or not station.changed:
        return []
    groups = effect_groups(station.change, reasons=reasons)
    return [] if all(group.effect is Effect.SAME and group.in_book is None for group in groups) else groups


def confirmations(station: Station) -> Iterator[tuple[str, date, bool]]:
    """Who confirmed the readings and when, and whether that was against the words that stand there; each once."""
    found = {
        (reading.confirmed.by, reading.confirmed.on, reading.is_confirmed(station.clause.digest))
        for reading in station.readings
        if reading.confirmed is not None and station.clause is not None
    }
    yield from sorted(found)


def line_words(line: Line, vocabulary: Vocabulary, classes: Mapping[str, str]) -> str:
    """What a value is: `Rear rim width, at most`; with the classes and the condition where it is not for all."""
    subject = vocabulary.label(line.subject) if line.subject else capital(line.sense)
    sense = "" if line.sense in {Sense.EXACTLY, Sense.STATED} else f", {line.sense}"
    permitted = ", permitted" if line.permitted else ""
    of = "" if set(line.classes) == set(classes) else f"; {listed([classes.get(name, name) for name in line.classes])}"
    when = f"; only where {condition_words(line.when, vocabulary)}" if line.when is not None else ""
    return f"{capital(subject)}{permitted}{sense}{of}{when}"


def value_words(value: Value | None, vocabulary: Vocabulary) -> str:
    """A value; a dash where the rule says nothing of the kind."""
    if value is None:
        return "–"
    if isinstance(value, Amount):
        return amount_words(value)
    if isinstance(value, date):
        return day_words(value)
    if isinstance(value, Fitting):
        return value.value
    if isinstance(value, OneOf):
        return constraint_words(value, vocabulary)
    return bound_words(value, vocabulary)


def habit_words(habit: Habit, about: str) -> str:
    """How often the rules of a habit change, in one sentence; `about` is the name of the chapter or quantity.

    `Chapter wheels: 8 rules, with 6 changes in 14 seasons together; for each rule about one in 2.3 seasons.`
    """
    whose = "This rule" if habit.scope is Scope.CLAUSE else capital(about)
    rules = f"{count_words(habit.rules, 'rule')}, with " if habit.scope is not Scope.CLAUSE else ""
    changes = count_words(habit.changes, "change") if habit.changes else "no change"
    together = " together" if habit.rules > 1 else ""
    rate = ""
    if habit.changes and habit.rules > 1:
        rate = f"; for each rule about {_how_often(habit.rate)}"
    return f"{whose}: {rules}{changes} in {count_words(habit.seasons, 'season')}{together}{rate}."


def _how_often(rate: Fraction) -> str:
    return f"{_decimal(rate)} a season" if rate >= 1 else f"one in {_decimal(1 / rate)} seasons"


def freedom_words(habit: Habit) -> str:
    """How long freedoms lasted: median and range of those that were taken again, and how many stand; empty where none was given."""
    if not habit.freedoms:
        return ""
    taken, standing, median = habit.taken, habit.standing, habit.median
    parts = [f"{count_words(len(habit.freedoms), 'freedom')} given"]
    if taken:
        parts.append(f"{len(taken)} taken again after {_span(taken)}")
    if standing:
        parts.append(f"{len(standing)} standing, for {_span(standing)} so far")
    usual = (
        f"In the median one lasted {days_words(median)}."
        if median is not None
        else f"Fewer than {FEW} were taken again: too few to tell how long one lasts."
    )
    return f"{', '.join(parts)}. {usual}"


def _span(days: Sequence[int]) -> str:
    first, last = days_words(Fraction(days[0])), days_words(Fraction(days[-1]))
    return first if first == last else f"{first} to {last}"


def days_words(days: Fraction) -> str:
    """A length of time: in days, or from three months on in whole months."""
    return count_words(round(days / MONTH), "month") if days >= LONG else count_words(round(days), "day")


def _decimal(number: Fraction) -> str:
    return f"{float(number):.1f}"


def chapter_name(timeline: Timeline) -> str:
    """The chapter of a rule as it last stood, by its file."""
    return timeline.last.chapter.lstrip("0123456789").strip("-_. ").replace("-", " ").replace("_", " ")


def habit_name(habit: Habit, timeline: Timeline, vocabulary: Vocabulary) -> str:
    """What a habit is about, in words."""
    match habit.scope:
        case Scope.CLAUSE:
            return timeline.last.id
        case Scope.CHAPTER:
            return f"chapter {chapter_name(timeline)}"
        case Scope.QUANTITY:
            return vocabulary.label(habit.about)
