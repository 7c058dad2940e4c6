"""What there is to say of a plan: its days, chances, money, and the chart of the weeks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from rulewatch.model.plan import Plan, PlannedJob, Purchase, Readiness, Unplanned
from rulewatch.publish.words import MONTHS, count_words, day_words, listed

TRUST = (
    "A chance is worth what the hours and waits are worth that people wrote down, and counts only what is on the lists. "
    "It says nothing of whether the car is fit to run."
)


def short_day(day: date | None) -> str:
    """A day in a table: `9 Feb 27`."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day:%y}" if day is not None else "–"


def money_words(value: Fraction, currency: str) -> str:
    """An amount of the crew's money: `264 crowns`, `-12.50 crowns`."""
    number = f"{float(value):.2f}" if value.denominator > 1 else f"{value.numerator}"
    return f"{number} {currency}".rstrip()


def share_words(share: float) -> str:
    """A share of runs in full percent; what happened in every run, or in none, is not called sure."""
    percent = round(share * 100)
    if percent >= 100:  # noqa: PLR2004 - a whole
        return "over 99 %"
    return f"{percent} %" if percent > 0 else "under 1 %"


def chance_words(one: Readiness) -> str:
    """The chance to be ready; where jobs could not be planned, the most that it can be, and how many."""
    if one.open:
        return f"unknown: {count_words(one.open, 'job')} without a plan" + (
            f", else {share_words(one.chance)}" if one.jobs else ""
        )
    return share_words(one.chance)


def for_words(one: Readiness) -> str:
    """What one is ready for: an event with its day, or a day."""
    return f"{one.event}, {day_words(one.on)}" if one.event else f"the work due on {day_words(one.on)}"


def ready_words(one: Readiness) -> str:
    """When the work for an event is done: by the plan, and in how many of the runs by which days."""
    if one.ready is None or one.half is None or one.most is None:
        return ""
    return f"planned to be done on {day_words(one.ready)}; half of all runs by {day_words(one.half)}, nine in ten by {day_words(one.most)}"


def driver_words(one: Readiness, most: int = 4) -> str:
    """What its last moment hangs on, the greatest share first."""
    return (
        "hangs on " + "; ".join(f"{each.name} ({share_words(each.share)})" for each in one.drivers[:most])
        if one.drivers
        else ""
    )


def outcome_lines(plan: Plan) -> Iterator[str]:
    """What the schedule comes to: what is late or left out, and how sure it is that no other is better."""
    needed = [one for one in plan.jobs if one.necessary]
    if needed and not plan.late:
        yield f"All necessary work that can be planned ends in time: {count_words(len(needed), 'job')}."
    for one in needed:
        if one.missing:
            yield f"{count_words(one.missing, 'day')} too few for {one.task.car}: {one.task.job.what}, due {due_words(one)}."
    if plan.late:
        sure = "no plan is less late" if plan.late_proved else "it is not proved that no plan is less late"
        yield f"Late by {count_words(plan.late, 'day')} in all; {sure}."
    dropped = [one for one in plan.unplanned if one.dropped]
    if dropped:
        sure = "no plan keeps more wishes" if plan.kept_proved else "it is not proved that no plan keeps more wishes"
        names = listed([f"{one.task.car}: {one.task.job.what}" for one in dropped])
        yield f"No time for {count_words(len(dropped), 'wish', 'wishes')}: {names}; {sure}."
    if plan.over:
        yield f"The necessary work might end up to {count_words(plan.over, 'day')} earlier in another order."


def due_words(one: PlannedJob | Unplanned) -> str:
    """What a job is due for."""
    task = one.task
    if task.due is None:
        return ""
    return f"for {task.event}, {short_day(task.due)}" if task.event else short_day(task.due)


def purchase_words(one: Purchase, plan: Plan) -> tuple[str, ...]:
    """A line of the shopping list: the last day, the day in the plan, the arrival, the price, what and what for."""
    late = " (late)" if one.latest is not None and one.latest < one.order else ""
    order = f"ordered {short_day(one.order)}" if one.part.ordered is not None else f"{short_day(one.order)}{late}"
    cost = money_words(one.part.cost, plan.crew.currency) if one.part.cost is not None else "no price"
    return (short_day(one.latest), order, short_day(one.arrives), cost, one.part.what, f"{one.task.car}: {one.task.job.name}")


# --- The chart --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """One line of the chart: a person or a job, and a sign for each week."""

    label: str
    cells: tuple[str, ...]
    head: bool = False


WORK, OFF, NOTHING = "█", "·", " "


def chart_weeks(plan: Plan) -> tuple[date, ...]:
    """The Mondays of the weeks of a plan."""
    first = plan.today - timedelta(days=plan.today.weekday())
    return tuple(first + timedelta(days=7 * number) for number in range((plan.last - first).days // 7 + 1))


def chart_rows(plan: Plan) -> Iterator[ChartRow]:
    """For each person a line that shows when they are off, then a line for each of their jobs; a last one for what is due."""
    weeks = chart_weeks(plan)
    for name, person in plan.crew.people.items():
        jobs = [one for one in plan.jobs if name in one.people]
        if jobs:
            off = tuple(OFF if any(_meets(week, *span) for span in person.off) else NOTHING for week in weeks)
            yield ChartRow(label=person.name, cells=off, head=True)
            for one in jobs:
                cells = tuple(WORK if _meets(week, one.start, one.end) else NOTHING for week in weeks)
                yield ChartRow(label=f"{one.task.car}: {one.task.job.what}", cells=cells)
    if plan.readiness:
        numbers = {one.on: str(number) for number, one in enumerate(plan.readiness, 1)}
        due = tuple(next((sign for on, sign in numbers.items() if _meets(week, on, on)), NOTHING) for week in weeks)
        yield ChartRow(label="due", cells=due, head=True)


def month_heads(weeks: tuple[date, ...]) -> tuple[str, ...]:
    """The name of a month over the first of its weeks, empty over the others."""
    return tuple(
        MONTHS[week.month - 1][:3] if number == 0 or week.month != weeks[number - 1].month else ""
        for number, week in enumerate(weeks)
    )


def _meets(week: date, first: date, last: date) -> bool:
    """Whether some day of a week lies within two days, both included."""
    return first <= week + timedelta(days=6) and week <= last
