"""Room to a limit in words. Nothing here decides; a negative margin is said as what it is."""

from __future__ import annotations

from rulewatch.model.impact import Impact, Outcome, Side, Verdict
from rulewatch.model.quantity import Amount, digits
from rulewatch.publish.words import VERDICTS

WAITING = frozenset({Outcome.MEASURE, Outcome.READ})
PLACES = 3  # decimals that anyone can measure in a garage; beyond them ≈ says that the number was cut


def amount_words(amount: Amount) -> str:
    """An amount for reading: as printed, or with at most three decimals."""
    return amount.printed or f"{digits(amount.number, PLACES)} {amount.unit.symbol}".strip()


def moved_words(delta: Amount) -> str:
    """By how much a value moved: `+15 mm`, `−0.5 percentage points`."""
    sign = "+" if delta.number > 0 else ""
    if delta.unit.symbol == "%":
        return f"{sign}{digits(delta.number, PLACES)} percentage points"
    return f"{sign}{amount_words(delta)}"


def margin_words(margin: Amount | None) -> str:
    """The room to a limit: `0.5 in to spare`, `off by 0.25 in`, `at the limit`; empty where there is none."""
    if margin is None:
        return ""
    size = Amount(number=abs(margin.number), unit=margin.unit)
    if not margin.number:
        return "at the limit"
    return f"{amount_words(size)} to spare" if margin.number > 0 else f"off by {amount_words(size)}"


def side_words(side: Side) -> str:
    """One side of an impact: the verdict of the whole book, with the room where there is any, and the clause's own if it is another."""
    verdict, alone = VERDICTS[side.verdict].word.lower(), VERDICTS[side.alone].word.lower()
    text = ", ".join(filter(None, (verdict, margin_words(side.margin))))
    return text if alone == verdict else f"{text} (the clause alone: {alone})"


def after_words(impact: Impact) -> str:
    """The side after a change. While something waits to be read or measured, legal is said with that reserve: it is no pass."""
    waits = WAITING.intersection((impact.outcome, *impact.also))
    text = side_words(impact.after)
    return f"{text}, as far as is known yet" if waits and impact.after.verdict is Verdict.LEGAL else text


def impact_room(impact: Impact) -> str:
    """The room after a change, with the one before where both are known and differ: `0.5 in to spare (was 1 in)`."""
    before, after = impact.before.margin, impact.after.margin
    now = margin_words(after)
    if before is None or after is None or before == after:
        return now
    was = margin_words(before)
    return f"{now} (was {was.removesuffix(' to spare') if now.endswith('to spare') else was})"
