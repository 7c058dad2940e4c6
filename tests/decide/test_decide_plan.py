"""Plans of small crews: who does what, what must give, what is ordered when, and the chance to be ready."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest

from rulewatch.decide.readiness import plan
from rulewatch.model.car import Crew, Person
from rulewatch.model.fault import Place
from rulewatch.model.impact import Outcome
from rulewatch.model.job import Choice, Decision, Done, Job
from rulewatch.model.work import Booked, Estimate, Part
from rulewatch.model.worklist import State, Task

TODAY = date(2026, 11, 25)
PLACE = Place(path="jobs.yaml")
INA = Person(id="ina", name="Ina", skills=("welding",), hours=Fraction(7))
OLE = Person(id="ole", name="Ole", hours=Fraction(14))
CREW = Crew(people={"ina": INA, "ole": OLE}, equipment={"hoist": 1})


def hours(low: int, likely: int | None = None, high: int | None = None) -> Estimate:
    """Hours, or days: one figure or three."""
    return Estimate(low=Fraction(low), likely=Fraction(likely or low), high=Fraction(high or likely or low))


def task(job: str, *, due: date | None = None, event: str = "", outcome: Outcome | None = None, **keys) -> Task:
    """A job of the car heron, whose id is what it is."""
    state = State.DONE if keys.get("done") else State.DECLINED if keys.get("decision") else State.TO_DO
    one = Job(id=job, what=job, place=PLACE, **keys)
    return Task(car="heron", job=one, state=state, due=due, event=event, outcome=outcome)


def part(what: str = "part", **keys) -> Part:
    """A part."""
    return Part(what=what, place=PLACE, **keys)


def made(*tasks: Task, crew: Crew = CREW, **keys):
    """The plan of some tasks."""
    return plan(tasks, ["heron"], crew, TODAY, **keys)


def days(found) -> dict[str, tuple[tuple[str, ...], int, int]]:
    """Who does each job, and from which to which day, counted from today."""
    return {one.task.job.id: (one.people, (one.start - TODAY).days, (one.end - TODAY).days) for one in found.jobs}


def test_hours_in_a_week_are_spread_over_its_days():
    """7 h for 7 h in a week take a week, half of it with 14 h; two people who do a job together add up."""
    found = made(
        task("weld", hours=hours(7), skills=("welding",)),
        task("paint", hours=hours(7), by=("ole",)),
        task("both", hours=hours(3), by=("ina", "ole"), after=("weld",)),
    )
    assert days(found) == {"weld": (("ina",), 0, 6), "paint": (("ole",), 0, 3), "both": (("ina", "ole"), 7, 7)}


def test_days_off_hold_work_up():
    """Work rests on a day off, and goes on after it; nobody starts on one."""
    off = ((TODAY + timedelta(days=2), TODAY + timedelta(days=3)), (TODAY + timedelta(days=9), TODAY + timedelta(days=9)))
    crew = Crew(people={"ina": Person(id="ina", name="Ina", hours=Fraction(7), off=off)})
    found = made(task("first", hours=hours(7)), task("second", hours=hours(1), after=("first",)), crew=crew)
    assert days(found) == {"first": (("ina",), 0, 8), "second": (("ina",), 10, 10)}


def test_shared_equipment_is_had_by_one_job_at_a_time():
    """Two people who both need the hoist work one after the other; with two hoists side by side."""
    tasks = [task(name, hours=hours(7), by=(who,), equipment=("hoist",)) for name, who in (("a", "ina"), ("b", "ole"))]
    alone = made(*tasks)
    assert max(one.end for one in alone.jobs) == TODAY + timedelta(days=10)
    two = made(*tasks, crew=Crew(people=CREW.people, equipment={"hoist": 2}))
    assert max(one.end for one in two.jobs) == TODAY + timedelta(days=6)


def test_necessary_work_comes_before_wishes():
    """What the car is illegal without is done first, and a wish that has no time then is named."""
    due = TODAY + timedelta(days=7)
    found = made(
        task("wish", hours=hours(7), by=("ina",), due=due, event="Opener", wish=True),
        task("need", hours=hours(7), by=("ina",), due=due, event="Opener", outcome=Outcome.BREACH),
    )
    assert days(found) == {"need": (("ina",), 0, 6)}
    assert [(one.task.job.id, one.dropped) for one in found.unplanned] == [("wish", True)]
    assert found.late == 0
    assert found.kept_proved


def test_what_comes_before_necessary_work_is_necessary_too():
    """A wish cannot be left out where necessary work waits for it."""
    due = TODAY + timedelta(days=3)
    found = made(
        task("first", hours=hours(7), by=("ina",), wish=True),
        task("second", hours=hours(7), by=("ole",), after=("first",), due=due),
    )
    assert [(one.task.job.id, one.necessary, one.missing) for one in found.jobs] == [("first", True, 0), ("second", True, 7)]
    assert (found.late, found.late_proved) == (7, True)


def test_the_fewest_wishes_are_dropped():
    """One long wish goes, so that two short ones stay."""
    due = TODAY + timedelta(days=6)
    wishes = [task(name, hours=hours(size), by=("ina",), due=due, wish=True) for name, size in (("a", 6), ("b", 3), ("c", 4))]
    found = made(*wishes)
    assert sorted(days(found)) == ["b", "c"]


def test_an_event_is_ready_before_its_morning_and_a_day_at_its_evening():
    """Seven days of work are in time for the evening of the seventh day and for an event on the eighth."""
    for event, on, missing in (("", 6, 0), ("Opener", 7, 0), ("Opener", 6, 1), ("", 5, 1)):
        found = made(task("a", hours=hours(7), by=("ina",), due=TODAY + timedelta(days=on), event=event))
        assert found.jobs[0].missing == missing
        assert found.readiness[0].chance == float(not missing)


@pytest.mark.parametrize(
    ("job", "why"),
    [
        ({}, "it says no hours"),
        ({"hours": hours(3), "by": ("una",)}, "una gives no hours"),
        ({"hours": hours(3), "skills": ("upholstery",)}, "nobody who can do it gives hours"),
        ({"hours": hours(3), "equipment": ("press",)}, "there is no press"),
        ({"hours": hours(3), "after": ("other",)}, "it comes after other, which is not on the list"),
        ({"hours": hours(3), "after": ("never",)}, "it comes after never, which was declined"),
        ({"hours": hours(3), "after": ("blank",)}, "it waits for heron/blank"),
        ({"hours": hours(3), "after": ("a",)}, "it waits for itself: heron/a → heron/a"),
        ({"hours": hours(3), "parts": (part("Rings"),)}, "it is not known how long Rings takes to come"),
        (
            {"hours": hours(3), "booked": (Booked(hours=Fraction(3)),)},
            "more hours are booked than it was thought to take: say what is left",
        ),
    ],
)
def test_what_cannot_be_planned_says_why(job, why):
    """It is listed, and what it is necessary for can only be less sure than what is said."""
    found = made(
        task("a", due=TODAY + timedelta(days=30), event="Opener", **job),
        task("never", decision=Decision(choice=Choice.NEVER)),
        task("blank"),
    )
    assert next(one.why for one in found.unplanned if one.task.job.id == "a") == why
    assert (found.readiness[0].open, found.readiness[0].ready) == (1, None)


def test_what_is_done_holds_nothing_up():
    """A job after one that is done can begin at once."""
    found = made(task("b", hours=hours(7), by=("ina",), after=("a",)), task("a", done=Done()))
    assert days(found) == {"b": (("ina",), 0, 6)}


def test_hours_booked_update_the_rest():
    """What is left is the mean of what the whole can still be; a figure for what is left wins."""
    found = made(
        task("a", hours=hours(4, 6, 11), booked=(Booked(hours=Fraction(2)),), by=("ina",)),
        task("b", hours=hours(4, 6, 11), booked=(Booked(hours=Fraction(8)),), left=hours(5), by=("ole",)),
    )
    assert {one.task.job.id: one.hours for one in found.jobs} == {"a": Fraction(5), "b": Fraction(5)}


def test_the_last_day_for_an_order_leaves_the_longest_wait():
    """Due after 60 days, with a week of work and a wait of 20 to 40 days: 60 - 7 - 40 days from now, or when the supplier closes."""
    rings = part(lead=hours(20, 24, 40), order=TODAY + timedelta(days=10))
    found = made(task("a", hours=hours(7), by=("ina",), due=TODAY + timedelta(days=60), event="Opener", parts=(rings,)))
    (one,) = found.purchases
    assert [(day - TODAY).days for day in (one.order, one.arrives, one.latest)] == [10, 38, 13]
    assert (found.jobs[0].start - TODAY).days == 38
    closing = part(lead=hours(20, 24, 40), order_by=TODAY + timedelta(days=5))
    found = made(task("a", hours=hours(7), by=("ina",), due=TODAY + timedelta(days=60), event="Opener", parts=(closing,)))
    assert found.purchases[0].latest == TODAY + timedelta(days=5)


def test_parts_on_hand_and_arrived_are_not_waited_for():
    """They are not on the shopping list either; one that is on order comes on the day that the supplier says."""
    parts = (
        part("shelf", on_hand="the shelf", lead=hours(90), cost=Fraction(5)),
        part("here", lead=hours(90), arrived=TODAY),
        part("coming", ordered=TODAY - timedelta(days=9), expected=TODAY + timedelta(days=4)),
    )
    found = made(task("a", hours=hours(7), by=("ina",), parts=parts))
    assert days(found) == {"a": (("ina",), 4, 10)}
    assert [one.part.what for one in found.purchases] == ["coming"]


def test_money_by_month_against_the_budget():
    """Paid, ordered and to be ordered, each in its month; what a month leaves is there in the next; nothing for parts on hand."""
    parts = (
        part("paid", cost=Fraction(30), ordered=date(2026, 10, 1), arrived=date(2026, 10, 20), paid=date(2026, 11, 2)),
        part("ordered", cost=Fraction(50), ordered=date(2026, 11, 20), expected=date(2026, 12, 9)),
        part("later", cost=Fraction(70), order=date(2027, 1, 5), lead=hours(3)),
        part("shelf", cost=Fraction(999), on_hand="the shelf"),
        part("unknown", lead=hours(3)),
    )
    crew = Crew(people=CREW.people, budget={"2026-11": Fraction(100), "2026-12": Fraction(10)})
    found = made(task("a", hours=hours(7), parts=parts), crew=crew)
    assert [(one.month, *map(int, (one.budget, one.spent, one.committed, one.to_come, one.left))) for one in found.months] == [
        ("2026-11", 100, 30, 50, 0, 20),
        ("2026-12", 10, 0, 0, 0, 30),
        ("2027-01", 0, 0, 0, 70, -40),
    ]
    assert found.unpriced == 1


def test_another_decision_changes_the_chance():
    """A helper and an earlier order make it likelier, a later order less likely; the same seed gives the same figures."""
    rings = part("Rings", lead=hours(10, 20, 40), order=TODAY + timedelta(days=14))
    job = task("a", hours=hours(5, 8, 20), by=("ina",), due=TODAY + timedelta(days=52), event="Opener", parts=(rings,))
    found = made(job)
    chance = found.readiness[0].chance
    what_if = {one.what: one.chances[0] for one in found.what_ifs}
    assert 0.2 < chance < 0.9
    assert what_if["a helper beside Ina, with as many hours"] > chance
    assert what_if["Rings ordered today"] > chance
    assert what_if["Rings ordered 7 days later"] < chance
    assert made(job) == found
    assert made(job, seed=2).readiness[0].chance != chance


def test_an_empty_list_is_an_empty_plan():
    """Nothing to do, nothing to say."""
    found = made()
    assert (found.jobs, found.readiness, found.months, found.late, found.over) == ((), (), (), 0, None)
