"""The job that an outcome suggests, in a line of words for the crew's list."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor, log10

from rulewatch.assess.conformity import sure_enough
from rulewatch.assess.spread import COVERAGE, readings_for
from rulewatch.assess.unread import Waiting
from rulewatch.assess.words import in_a_row, named
from rulewatch.model.impact import Finding, Need, OptionEffect, Outcome, Sort, WeightSheet
from rulewatch.model.measured import Doubt
from rulewatch.model.quantity import Amount, digits, find_unit, kilograms
from rulewatch.model.vocabulary import Vocabulary

# What a scale in the pits shows, by unit (common practice, no source).
SCALES = {"kg": Fraction(1, 2), "lb": Fraction(1)}
TENTH = Fraction(1, 10)
READ = "Read the clause and confirm what it says"
ANSWER = "Get the officials' answer"


def reading_job(waits: Waiting) -> str:
    """Say what to do about a clause that waits to be read."""
    return f"{ANSWER if waits.need is Need.ASK else READ} ({waits.clause})"


def job(
    outcome: Outcome,
    subject: str,
    decisive: Finding | None,
    clause: str,
    vocabulary: Vocabulary,
    *,
    crew_p: float = 0.95,
    sheet: WeightSheet | None = None,
) -> str:
    """Say what to do about an outcome; empty for none. `decisive` is the finding that decided it, if any.

    `crew_p` is how sure the crew wants to be that a value conforms; `sheet` is the weight's, where the outcome is about that.
    """
    label = vocabulary.in_sentence(subject)
    match outcome:
        case Outcome.BREACH | Outcome.STILL_IN_BREACH:
            text = (_ballast(sheet) if sheet is not None else "") or _mending(label, decisive)
        case Outcome.MEASURE:
            text = _measuring(subject, decisive, vocabulary)
        case Outcome.READ if decisive is not None and Need.ASK in decisive.needs:
            text = ANSWER
        case Outcome.READ:
            text = READ
        case Outcome.AT_RISK:
            text = _surer(label, decisive.doubt if decisive is not None else None, crew_p)
        case Outcome.TIGHTER:
            text = f"Check {label} again: there is less room than before"
        case Outcome.CURED | Outcome.ROOMIER | Outcome.OPENING:
            text = f"See whether {label} could use what is now allowed"
        case Outcome.CLOSING:
            text = f"Strike {label} from the options"
        case Outcome.NONE:
            return ""
    return f"{text} ({clause})"


def _mending(label: str, decisive: Finding | None) -> str:
    if decisive is not None and decisive.ends is not None and decisive.sort is Sort.DATED:
        return f"Renew {label}, good until {decisive.ends}: {decisive.bound}"
    return f"Bring {label} to: {decisive.bound if decisive is not None and decisive.bound else 'what is allowed'}"


def _surer(label: str, doubt: Doubt | None, p: float) -> str:
    """What would settle whether a value that is legal conforms: a better instrument, more readings, or more room."""
    if doubt is None:
        return f"Measure {label} more surely, or give it more room"
    enough = sure_enough(doubt.below, doubt.above, p)
    if not enough:
        return f"Give {label} more room: no measurement will tell"
    ways = [
        f"Measure {label} to ±{_two_digits(enough * COVERAGE / doubt.unit.factor)} {doubt.unit.symbol} or better (k = 2)".rstrip()
    ]
    if (readings := readings_for(enough, doubt.spread)) is not None:
        ways.append(
            f"take {readings} readings of it" if doubt.spread.readings == 1 else f"take {readings} readings of it in all"
        )
    return f"{', '.join(ways)}, or give it more room"


def _two_digits(number: Fraction) -> str:
    """A number over zero, rounded down to two digits that count."""
    step = Fraction(10) ** (floor(log10(number)) - 1)
    return digits(floor(number / step) * step)


def option_job(effect: OptionEffect, clause: str, waits: Finding | None = None) -> str:
    """Say what to do about an option, or about a part that the car could have; `waits` is what must be read or answered first."""
    if waits is not None:
        return f"{ANSWER if Need.ASK in waits.needs else READ} ({waits.clauses[0]})"
    match effect.outcome:
        case Outcome.CLOSING:
            text = f"Strike {effect.option} from the options"
        case _ if effect.option:
            text = f"Decide on the option {effect.option}"
        case _:
            text = f"See whether the car should have it: {effect.what[:1].lower()}{effect.what[1:]}"
    return f"{text} ({clause})"


def _ballast(sheet: WeightSheet) -> str:
    """What a car that is too light must gain, to what a scale can show; empty where that is not known."""
    car, least = sheet.car, sheet.greatest
    if least is not None and sheet.guard > 0:
        least = least.plus(kilograms(sheet.guard))
    if car is None or least is None or car.base >= least.base or not {car.unit.symbol, least.unit.symbol} <= set(SCALES):
        return ""
    unit, other = (find_unit(name) for name in (least.unit.symbol, *(name for name in SCALES if name != least.unit.symbol)))
    if unit is None or other is None:
        return ""
    target = _up(least, SCALES[unit.symbol])
    missing = _up(target.minus(car), TENTH)
    return f"Add at least {missing} to the car: from {car} to {target} or {_up(target.to(other), SCALES[other.symbol])}"


def _up(mass: Amount, step: Fraction) -> Amount:
    """A mass rounded up to a step of its unit."""
    return Amount(number=ceil(mass.number / step) * step, unit=mass.unit)


def _measuring(subject: str, decisive: Finding | None, vocabulary: Vocabulary) -> str:
    missing = decisive.missing if decisive is not None and decisive.missing else (subject,)
    return f"Measure or state {in_a_row(tuple(named(name, vocabulary) for name in missing))}"
