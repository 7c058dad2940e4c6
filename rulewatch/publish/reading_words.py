"""A reading in words, so that a person can hold it against the text of its clause."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date

from rulewatch.model.change import Change
from rulewatch.model.edition import Edition
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Any,
    Bound,
    Condition,
    Constraint,
    Counting,
    Dated,
    FirstYear,
    Fixed,
    Greatest,
    Least,
    Linear,
    MinimumWeight,
    Not,
    OneOf,
    Presence,
    Range,
    Reading,
    Scalar,
    Sheet,
    Steps,
    Test,
    Ties,
    WeightAdder,
)
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.words import day_words, listed

DOTTED_NAME = re.compile(r"\b[a-z_]+(?:\.[a-z0-9_]+)+\b")
NOTHING = "nothing of the kind."
CONCERNS = {
    "paperwork": "Concerns the paperwork, not the car.",
    "driver": "Concerns the driver, not the car.",
    "event": "Concerns the event, not the car.",
    "officials": "Concerns the officials, not the car.",
}
SHEETS = {Sheet.CAR: "", Sheet.HOMOLOGATED: "homologated ", Sheet.STANDARD: "standard "}


def sentences(reading: Reading, vocabulary: Vocabulary, classes: Mapping[str, str]) -> tuple[str, ...]:
    """What a reading says, one sentence each: its scope first, then what must hold. `classes` gives the classes' titles."""
    speaker = _Speaker(vocabulary)
    return tuple(capital(text) for text in (*_scope(reading, speaker, classes), *speaker.rules(reading)))


def reread_words(change: Change, old: Edition, new: Edition, vocabulary: Vocabulary) -> tuple[str, str]:
    """What the readings of a clause said before, and what they say otherwise now; as found where no sentence differs."""
    before, now = (
        dict.fromkeys(
            sentence
            for clause in clauses
            for reading in edition.readings.get(clause.id, ())
            for sentence in sentences(reading, vocabulary, edition.body.classes)
        )
        for clauses, edition in ((change.old, old), (change.new, new))
    )
    went, came = ([one for one in side if one not in other] for side, other in ((before, now), (now, before)))
    if not went and not came:
        return "", labelled("; ".join(change.reinterpreted), vocabulary)
    return " ".join(went) or NOTHING, " ".join(came) or NOTHING


def constraint_words(constraint: Constraint, vocabulary: Vocabulary) -> str:
    """What a constraint asks: `fitted`, `open or plate`, `at least 5 mm and at most 10 mm`."""
    return _Speaker(vocabulary).constraint(constraint)


def bound_words(bound: Bound, vocabulary: Vocabulary) -> str:
    """A bound as it is worked out: `0.4 kg/cc × the engine capacity plus 120 kg`."""
    return _Speaker(vocabulary).bound(bound)


def condition_words(condition: Condition, vocabulary: Vocabulary) -> str:
    """A condition behind `only where`."""
    return _Speaker(vocabulary).condition(condition)


def labelled(text: str, vocabulary: Vocabulary) -> str:
    """A text with the labels of the quantities and components that it names: `car.weight` becomes `weight of the car`."""

    def word(found: re.Match[str]) -> str:
        return uncapital(vocabulary.label(found.group())) if vocabulary.knows(found.group()) else found.group()

    return DOTTED_NAME.sub(word, text)


def capital(text: str) -> str:
    """The text with a capital in front; nothing else is changed."""
    return text[:1].upper() + text[1:]


def uncapital(text: str) -> str:
    """A label as it stands inside a sentence: the capital of its first word goes, that of `DC` stays."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def _scope(reading: Reading, speaker: _Speaker, classes: Mapping[str, str]) -> Iterator[str]:
    if reading.classes is not None:
        yield f"for {listed([classes.get(name, name) for name in reading.classes]) or 'no class'} only."
    if reading.since or reading.until:
        since = f"from {day_words(reading.since)}" if reading.since else ""
        until = f"until {day_words(reading.until)}" if reading.until else ""
        yield f"{' '.join(filter(None, (since, until)))}."
    if reading.when is not None:
        yield f"only where {speaker.condition(reading.when)}."
    if reading.instead_of:
        yield f"in place of {listed(reading.instead_of)}."


class _Speaker:
    """Says the parts of a reading with the labels of a vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary

    def rules(self, reading: Reading) -> Iterator[str]:
        for test in reading.limits:
            yield f"{self.test(test, 'must be')}."
        for test in reading.allows:
            yield f"permitted: {self.test(test, 'may be')}."
        if reading.minimum:
            yield from self.minimum(reading.minimum)
        if reading.adder:
            yield self.adder(reading.adder)
        for dated in reading.dated:
            yield self.dated(dated)
        if reading.tolerance:
            yield f"tolerance granted: ±{str(reading.tolerance).lstrip('±')}."
        if reading.measured:
            yield f"measured with {listed([f'{name}: {value}' for name, value in reading.measured])}."
        if reading.concerns:
            yield CONCERNS.get(reading.concerns, f"concerns {reading.concerns}.")

    def test(self, test: Test, verb: str) -> str:
        return f"{self.label(test.subject)} {verb} {self.constraint(test.constraint)}"

    def label(self, subject: str) -> str:
        return uncapital(self.vocabulary.label(subject))

    def constraint(self, constraint: Constraint) -> str:
        match constraint:
            case Presence(present=present):
                return "fitted" if present else "absent"
            case OneOf(values=values):
                return listed([scalar(value) for value in values], "or")
            case Range():
                low = (
                    f"{'over' if constraint.low_strict else 'at least'} {self.bound(constraint.low)}" if constraint.low else ""
                )
                high = (
                    f"{'under' if constraint.high_strict else 'at most'} {self.bound(constraint.high)}"
                    if constraint.high
                    else ""
                )
                return " and ".join(filter(None, (low, high)))

    def bound(self, bound: Bound) -> str:
        match bound:
            case Fixed(value=value):
                return scalar(value)
            case Linear():
                of = f"the {SHEETS[bound.sheet]}{self.label(bound.of)}"
                first = f"{bound.rate} × {of}" if bound.rate else of
                if bound.plus is None:
                    return first
                less = bound.plus.number < 0
                return f"{first} {'less' if less else 'plus'} {str(bound.plus).lstrip('−-') if less else bound.plus}"
            case Steps():
                steps = [f"{self.bound(value)} up to {edge}" for edge, value in bound.steps]
                beyond = f", {self.bound(bound.above)} above that" if bound.above else ", nothing allowed above that"
                return f"(by {self.label(bound.by)}: {', '.join(steps)}{beyond})"
            case Greatest(bounds=bounds):
                return f"the greatest of {listed([self.bound(each) for each in bounds])}"
            case Least(bounds=bounds):
                return f"the least of {listed([self.bound(each) for each in bounds])}"

    def condition(self, condition: Condition) -> str:
        match condition:
            case Test(constraint=Presence(present=present)):
                # Labels are of one thing or of many: "centre-lock wheels" are, "rear wing" is.
                return f"{'fitted' if present else 'absent'}: {self.label(condition.subject)}"
            case Test():
                return self.test(condition, "is")
            case All(parts=parts):
                return listed([self.inner(part) for part in parts]) or "always"
            case Any(parts=parts):
                return listed([self.inner(part) for part in parts], "or") or "never"
            case Not(part=part):
                return f"it is not so that {self.inner(part)}"

    def inner(self, condition: Condition) -> str:
        text = self.condition(condition)
        return f"({text})" if isinstance(condition, All | Any) and len(condition.parts) > 1 else text

    def minimum(self, minimum: MinimumWeight) -> Iterator[str]:
        driver = {None: "", True: " with the driver", False: " without the driver"}[minimum.with_driver]
        yield f"the car must weigh at least {self.bound(minimum.bound)}{driver}."
        if minimum.compounded:
            yield "additions count one on top of the other, in the order of the book."
        if minimum.rounding:
            what = "each addition" if minimum.rounding.each else "the total"
            ties = "halves up" if minimum.rounding.ties is Ties.UP else "halves to the even step"
            yield f"{what} is rounded to {minimum.rounding.to}, {ties}."

    def adder(self, adder: WeightAdder) -> str:
        amount = adder.printed or (str(adder.amount) if adder.amount else f"{float((adder.share or 0) * 100):g} %")
        less = amount.startswith(("-", "−"))
        return f"{'takes' if less else 'adds'} {amount.lstrip('+-−')} {'off' if less else 'to'} the minimum weight."

    def dated(self, dated: Dated) -> str:
        if dated.until is Counting.LABEL:
            return f"{self.label(dated.item)} is good until the day on it."
        end = "to the day" if dated.until is Counting.DAY else "to the end of the last year"
        years = f"{dated.years} {'year' if dated.years == 1 else 'years'}"
        first = ", of which the year it began in is the first" if dated.first_year is FirstYear.COUNTED else ""
        return f"{self.label(dated.item)} is good for {years} from {dated.since}, {end}{first}."


def scalar(value: Scalar) -> str:
    """A value as people write it."""
    if isinstance(value, Amount):
        return str(value)
    return day_words(value) if isinstance(value, date) else value
