"""Options compared, in words: a line for each count, and what one is worth alone."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rulewatch.model.timeline import Habit
from rulewatch.model.tradeoff import Combination, InClass, Tradeoff, Worth
from rulewatch.publish.balance_words import share_words, speed_words, tenths
from rulewatch.publish.pace_words import INPUTS, lap_words
from rulewatch.publish.words import day_words

SURE = 0.999  # beyond it a figure would say more than is known
MOST_INPUTS = 3
DAYS = 30.44  # of a month


def gain_words(gain: float | None) -> str:
    """`0.47 s a lap won`; empty where it is not known."""
    if gain is None:
        return ""
    return f"{abs(gain):.2f} s a lap {'lost' if gain < 0 else 'won'}"


def cost_words(one: Combination, currency: str) -> str:
    """Money, hours, and the day on which the parts are there."""
    upto = f" (up to {_money(one.money_high)})" if one.money_high != one.money else ""
    return f"{_money(one.money)}{upto} {currency}".strip() + f", {tenths(one.hours)} h, parts there on {day_words(one.ready)}"


def combination_words(one: Combination, base: Combination, currency: str) -> Iterator[str]:
    """What there is to say of a combination, a line each."""
    if one.options:
        yield "; ".join(filter(None, (gain_words(one.gain), cost_words(one, currency))))
    for each, was in zip(one.classes, base.classes, strict=True):
        yield class_words(each, was)
    if one.front is not None:
        was_words = f" (as it is {share_words(base.front)})" if one.options else ""
        yield f"{share_words(one.front)} at the front without ballast{was_words}"
    for speed in one.at_speed:
        yield f"at {speed_words(speed)}"
    yield from one.notes


def class_words(one: InClass, was: InClass) -> str:
    """A class: minimum, weight at the scales, ballast, power to weight, laps, and what is still against the car there."""
    name = f"{one.class_name} of {one.body}"
    if one.race is None or one.ballast is None:
        return f"{name}: the weight at the scales is not known"
    least = f"minimum {tenths(one.minimum)} kg, " if one.minimum is not None else ""
    power = f", {one.power_to_weight * 1000:.0f} W/kg" if one.power_to_weight is not None else ""
    laps = ", ".join(
        f"{track} {lap_words(time)} {_delta(time - was.laps[track]) if one is not was else ''}"
        for track, time in one.laps.items()
        if track in was.laps
    )
    return f"{name}: {least}at the scales {tenths(one.race)} kg with {tenths(one.ballast)} kg of ballast{power}{f'; {laps}' if laps else ''}"


def mended_words(one: Combination) -> Iterator[str]:
    """What the car no longer breaks with a combination, each once with its classes."""
    found: dict[str, list[str]] = {}
    for each in one.classes:
        for what in each.mended:
            found.setdefault(what, []).append(each.class_name)
    return (f"mends: {what} in {', '.join(names)}" for what, names in found.items())


def waits_words(one: Combination) -> Iterator[str]:
    """What a combination waits for, or what forbids it, each once with its classes."""
    for word, name in (("not allowed", "against"), ("not known", "waits")):
        found: dict[str, list[str]] = {}
        for each in one.classes:
            for what in getattr(each, name):
                found.setdefault(what, []).append(each.class_name)
        yield from (f"{word} in {', '.join(names)}: {what}" for what, names in found.items())


def anyway_words(base: Combination) -> Iterator[str]:
    """What the car breaks already, by class."""
    for one in base.classes:
        if one.broken:
            yield f"{one.class_name} of {one.body}: {'; '.join(one.broken)}"


def worth_words(one: Worth, tradeoff: Tradeoff) -> Iterator[str]:
    """What an option is worth alone."""
    others = [name for name in one.alone.options if name != one.option]
    if others:
        yield f"with what it needs: {', '.join(others)}"
    for name, added in one.penalty.items():
        yield f"{name}: the rules add {tenths(added)} kg" if added else f"{name}: the rules add nothing"
    if one.gain is not None and one.free is not None and one.u is not None and one.p is not None:
        yield f"alone {gain_words(one.gain)} ± {one.u:.2f} s (k = 2); without the weight that the rules add {gain_words(one.free)}"
        chance = (
            f"more than {100 * SURE:.1f}"
            if one.p > SURE
            else f"less than {100 * (1 - SURE):.1f}"
            if one.p < 1 - SURE
            else f"{100 * one.p:.1f}"
        )
        yield f"chance that anything is won: {chance} %, as the stated ranges go"
        if one.break_even is not None:
            yield f"nothing is won any more once {one.break_even:.0f} kg are added for it"
        elif one.free > 0:
            yield f"even {one.most:.0f} kg added would not cancel what it wins"
        unsure = sorted(one.inputs.items(), key=lambda item: -item[1])[:MOST_INPUTS]
        if unsure:
            yield f"unsure above all by: {', '.join(f'{INPUTS.get(name, name)} ± {u:.3f} s' for name, u in unsure)}"
    yield cost_words(one.alone, tradeoff.currency)
    yield from (f"such freedoms in {body}: {habit_words(habit)}" for body, habit in one.habits)
    if not one.habits:
        yield "how long such freedoms last is not known: none has been given in the seasons that are on record"
    yield from waits_words(one.alone)


def habit_words(habit: Habit) -> str:
    """How long freedoms about a quantity have lasted."""
    taken = ", ".join(_months(days) for days in habit.taken)
    standing = ", ".join(_months(days) for days in habit.standing)
    parts = (f"taken again after {taken}" if taken else "", f"standing for {standing}" if standing else "")
    return f"{habit.about}, {'; '.join(filter(None, parts)) or 'no days known'}"


def _months(days: int) -> str:
    if not days:
        return "less than a day that is on record: it is new"
    return f"{days} days" if days < 2 * DAYS else f"{days / DAYS:.0f} months"


def _money(sum_: Fraction) -> str:
    return f"{float(sum_):.0f}"


def _delta(seconds: float) -> str:
    return f" ({seconds:+.2f} s)".replace("-", "−")
