"""The job that an outcome suggests, in a line of words for the crew's list."""

from __future__ import annotations

from rulewatch.assess.unread import Waiting
from rulewatch.assess.words import in_a_row, named
from rulewatch.model.impact import Finding, Need, OptionEffect, Outcome, Sort
from rulewatch.model.vocabulary import Vocabulary

READ = "Read the clause and confirm what it says"
ANSWER = "Get the officials' answer"


def reading_job(waits: Waiting) -> str:
    """Say what to do about a clause that waits to be read."""
    return f"{ANSWER if waits.need is Need.ASK else READ} ({waits.clause})"


def job(outcome: Outcome, subject: str, decisive: Finding | None, clause: str, vocabulary: Vocabulary) -> str:
    """Say what to do about an outcome; empty for none. `decisive` is the finding that decided it, if any."""
    label = vocabulary.in_sentence(subject)
    match outcome:
        case Outcome.BREACH | Outcome.STILL_IN_BREACH:
            bound = decisive.bound if decisive is not None and decisive.bound else "what is allowed"
            text = f"Bring {label} to: {bound}"
        case Outcome.MEASURE:
            text = _measuring(subject, decisive, vocabulary)
        case Outcome.READ if decisive is not None and Need.ASK in decisive.needs:
            text = ANSWER
        case Outcome.READ:
            text = READ
        case Outcome.AT_RISK:
            text = f"Measure {label} more surely, or give it more room"
        case Outcome.TIGHTER:
            text = f"Check {label} again: there is less room than before"
        case Outcome.CURED | Outcome.ROOMIER | Outcome.OPENING:
            text = f"See whether {label} could use what is now allowed"
        case Outcome.CLOSING:
            text = f"Strike {label} from the options"
        case Outcome.NONE:
            return ""
    return f"{text} ({clause})"


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


def _measuring(subject: str, decisive: Finding | None, vocabulary: Vocabulary) -> str:
    if decisive is not None and decisive.sort is Sort.DATED:
        return f"See how old {vocabulary.in_sentence(subject)} is: {decisive.bound}"
    missing = decisive.missing if decisive is not None and decisive.missing else (subject,)
    return f"Measure or state {in_a_row(tuple(named(name, vocabulary) for name in missing))}"
