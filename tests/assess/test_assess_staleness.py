"""Stale values: what was measured before work that altered it is never a pass, and measuring again cures it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import BODY, clause, confirm

from rulewatch.assess.facts import Facts
from rulewatch.assess.verdicts import judge
from rulewatch.model.edition import Point
from rulewatch.model.impact import Need, Verdict

WIDTH = "wheels.rear.rim_width"
BOOK = {
    "rulesets/saltmarsh/body.yaml": BODY,
    "rulesets/saltmarsh/2027/edition.yaml": "title: 2027\npublished: 2026-11-01\nclosed: [aero]\n",
    "rulesets/saltmarsh/2027/1.md": (
        clause("1", "A rear rim shall be no wider than 10 in.", f"limit: {{{WIDTH}: {{max: 10 in}}}}")
        + clause("2", "A car shall weigh at least 1000 kg.", "weight: {minimum: 1000 kg}")
        + clause("3", "A splitter may project by up to 50 mm.", "allow: {aero.splitter.projection: {max: 50 mm}}")
    ),
}
CAR = """\
name: Marram
entries: [{body: saltmarsh, class: silhouette-b}]
spec:
  wheels.rear.rim_width: {value: 9.5 in, on: 2026-05-01, u: 0.02 in}
  car.weight: {value: 1010 kg, on: 2026-05-01}
  aero.splitter.projection: {value: 40 mm, on: 2026-05-01}
"""


@pytest.fixture
def judged(memory_workspace):
    """Judge the car with some jobs, by the subject of each finding."""

    def made(jobs: str, car: str = CAR):
        workspace = memory_workspace({**BOOK, "cars/marram/car.yaml": car, "cars/marram/jobs.yaml": jobs})
        edition = confirm(workspace.edition(Point(body="saltmarsh", season="2027")))
        (one,) = workspace.cars
        assert workspace.faults == ()
        found = judge(edition, one, one.entries[0], date(2027, 1, 1), workspace.vocabulary).findings
        return {finding.subject: finding for finding in found}

    return made


def job(alters: str, on: str) -> str:
    """One job that is done."""
    return f"- {{what: New rims, id: rims, alters: {alters}, done: {on}}}\n"


@pytest.mark.parametrize("alters", [WIDTH, "wheels.rear", "wheels"])
def test_a_value_measured_before_it_was_altered_is_unknown(judged, alters):
    """By its own name or that of a component above it; the reason gives both days and the job, and it must be measured."""
    found = judged(job(alters, "2026-06-01"))[WIDTH]
    assert found.verdict is Verdict.UNKNOWN
    assert found.needs == {Need.MEASURE}
    assert found.missing == (WIDTH,)
    assert found.margin is found.doubt is None
    assert "9.5 in, measured on 2026-05-01, and altered on 2026-06-01 (job rims), must be at most 10 in" in found.why


@pytest.mark.parametrize("done", ["2026-05-01", "2026-04-30", "yes", "no"])
def test_work_of_the_same_day_or_before_or_of_no_known_day_makes_nothing_stale(judged, done):
    """A car is measured after the day's work."""
    assert judged(job(WIDTH, done))[WIDTH].verdict is Verdict.LEGAL


def test_other_parts_stay_known(judged):
    """Only what a job says it alters: the weight does not go stale with the wheels."""
    found = judged(job("wheels", "2026-06-01"))
    assert found["car.weight"].verdict is Verdict.LEGAL
    assert judged(job("wheels.front", "2026-06-01"))[WIDTH].verdict is Verdict.LEGAL


def test_a_stale_weight_and_a_stale_permission_wait_to_be_measured(judged):
    """The minimum weight and a closed scope ask for the value too."""
    found = judged(job("[car.weight, aero.splitter]", "2026-06-01"))
    for name, was in (("car.weight", "1010 kg"), ("aero.splitter.projection", "40 mm")):
        assert found[name].verdict is Verdict.UNKNOWN
        assert found[name].needs == {Need.MEASURE}
        assert found[name].missing == (name,)
        assert f"{was}, measured on 2026-05-01, and altered on 2026-06-01 (job rims)" in found[name].why


def test_a_value_that_is_only_declared_has_no_day_and_is_not_stale(judged):
    """Who writes a value down after the work has declared what it is now."""
    declared = CAR.replace("{value: 9.5 in, on: 2026-05-01, u: 0.02 in}", "9.5 in")
    assert judged(job(WIDTH, "2026-06-01"), declared)[WIDTH].verdict is Verdict.LEGAL


DAYS = st.dates(date(2026, 1, 1), date(2026, 12, 31))


@settings(deadline=None, max_examples=60, derandomize=True)
@given(taken=DAYS, days=st.lists(DAYS, max_size=4))
def test_only_a_measurement_after_all_work_counts_and_one_cures(memory_workspace, taken, days):
    """Stale exactly where some work came later; measured again on the last day of work it is known, and never the reverse."""
    jobs = "".join(job(WIDTH, day.isoformat()).replace("id: rims", f"id: rims{n}") for n, day in enumerate(days))
    spec = CAR.replace(f"{WIDTH}: {{value: 9.5 in, on: 2026-05-01", f"{WIDTH}: {{value: 9.5 in, on: {taken}")
    workspace = memory_workspace({**BOOK, "cars/marram/car.yaml": spec, "cars/marram/jobs.yaml": jobs})
    (car,) = workspace.cars
    known = Facts(car=car, vocabulary=workspace.vocabulary).of(WIDTH)
    late = [day for day in days if day > taken]
    assert bool(known.stale) is bool(late)
    assert bool(known.values) is not bool(late)
    assert (str(max(late)) in known.stale) if late else True
    stated = car.spec[WIDTH]
    again = replace(stated, measurement=replace(stated.measurement, on=max([taken, *days])))
    cured = Facts(car=replace(car, spec={**car.spec, WIDTH: again}), vocabulary=workspace.vocabulary).of(WIDTH)
    assert (cured.stale, cured.values) == ("", stated.values)
