"""jobs.yaml as people write it: every form of a value, keys of their own, anchors; and the text of what is added."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model.fault import Place, Source
from rulewatch.model.job import Cause, Choice, Decision, Done, Job
from rulewatch.model.work import Booked, Estimate, Part
from rulewatch.parse.additions import add_jobs
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.vocabulary import packaged_vocabulary

VOCABULARY = packaged_vocabulary()


def read(text: str):
    """The jobs of a text, and what is wrong with it in words."""
    jobs, faults = parse_jobs(Source(path="jobs.yaml", text=text), vocabulary=VOCABULARY)
    return jobs, [f"{fault.place.line}:{fault.place.column} {fault.code}" for fault in faults]


def test_everything_that_can_be_said_of_a_job():
    """Each key in its longest form."""
    (job,), faults = read(
        "- id: noise\n  what: Fit the long silencer\n  cause: saltmarsh/2027 4.3 engine.exhaust.noise\n"
        "  decision: {choice: do, by: mara, on: 2026-12-01, why: it is on the shelf}\n  by: [tobin, ines]\n  due: spring\n"
        "  hours: 2.5\n  done: {on: 2027-02-20, by: [tobin]}\n  alters: [engine.exhaust.noise, aero.rear_wing]\n  note: x\n"
    )
    assert faults == []
    assert job == Job(
        id="noise",
        what="Fit the long silencer",
        cause=Cause(body="saltmarsh", season="2027", clause="4.3", quantity="engine.exhaust.noise"),
        decision=Decision(choice=Choice.DO, by="mara", on=date(2026, 12, 1), why="it is on the shelf"),
        by=("tobin", "ines"),
        due="spring",
        hours=Estimate.exactly(Fraction(5, 2)),
        done=Done(on=date(2027, 2, 20), by=("tobin",)),
        alters=("engine.exhaust.noise", "aero.rear_wing"),
        note="x",
        place=Place(path="jobs.yaml"),
    )


def test_everything_that_can_be_said_of_work():
    """Hours in three points, what is booked and left, who can do it, what comes first, and parts with their waits."""
    (job,), faults = read(
        "- what: Weld the tank\n  can: [tobin, ansel]\n  skills: welding\n  hours: {low: 4, likely: 6, high: 11}\n"
        "  booked: [1.5, {hours: 2, on: 2026-12-01, by: tobin}]\n  left: 3\n  after: [a, b]\n  equipment: engine hoist\n  wish: yes\n"
        "  parts:\n    - {what: Foam, lead: {low: 2 weeks, likely: 3 weeks, high: 40 days}, order: 2026-12-05, order_by: 2026-12-12, cost: 140}\n"
        "    - {what: Tube, on_hand: shed}\n    - {what: Cap, ordered: 2026-11-20, expected: 2026-12-04, arrived: 2026-12-03, paid: 2026-12-10}\n"
    )
    assert faults == []
    place = Place(path="jobs.yaml")
    assert job == Job(
        what="Weld the tank",
        can=("tobin", "ansel"),
        skills=("welding",),
        hours=Estimate(low=Fraction(4), likely=Fraction(6), high=Fraction(11)),
        booked=(
            Booked(hours=Fraction(3, 2)),
            Booked(hours=Fraction(2), on=date(2026, 12, 1), by=("tobin",)),
        ),
        left=Estimate.exactly(3),
        after=("a", "b"),
        equipment=("engine hoist",),
        wish=True,
        parts=(
            Part(
                what="Foam",
                lead=Estimate(low=Fraction(14), likely=Fraction(21), high=Fraction(40)),
                order=date(2026, 12, 5),
                order_by=date(2026, 12, 12),
                cost=Fraction(140),
                place=place,
            ),
            Part(what="Tube", on_hand="shed", place=place),
            Part(
                what="Cap",
                ordered=date(2026, 11, 20),
                expected=date(2026, 12, 4),
                arrived=date(2026, 12, 3),
                paid=date(2026, 12, 10),
                place=place,
            ),
        ),
        place=place,
    )


@pytest.mark.parametrize("text", ["", "# nothing to do", "---\n", "[]"])
def test_a_list_may_be_empty(text):
    """A file with nothing in it, or comments alone."""
    assert read(text) == ((), [])


@pytest.mark.parametrize(
    ("written", "done"),
    [
        ("yes", Done()),
        ("2027-02-20", Done(on=date(2027, 2, 20))),
        ("no", None),
        ("{on: 2027-02-20}", Done(on=date(2027, 2, 20))),
    ],
)
def test_done_in_each_form(written, done):
    """A word, a day, or a day with names."""
    (job,), faults = read(f"- {{what: A, done: {written}}}")
    assert (job.done, faults) == (done, [])


@pytest.mark.parametrize(
    ("written", "clause", "quantity"),
    [
        ("saltmarsh/2027 4.3 engine.exhaust.noise", "4.3", "engine.exhaust.noise"),
        ("saltmarsh/2027 4.3", "4.3", ""),
        ("saltmarsh/2027   4.2.1(a)  aero", "4.2.1(a)", "aero"),
        ("saltmarsh/2027 Anlage VIII/1.2 car.width", "Anlage VIII/1.2", "car.width"),
        ("saltmarsh/2027 § 36a", "§ 36a", ""),
        ("saltmarsh/2027 T.2.3", "T.2.3", ""),
        ("saltmarsh/2027 a.b", "a.b", ""),
    ],
)
def test_causes_with_labels_of_every_style(written, clause, quantity):
    """A clause's label may have blanks and points; a quantity is what the vocabulary knows, or looks like it."""
    (job,), faults = read(f'- what: A\n  cause: "{written}"')
    assert faults == []
    assert job.cause == Cause(body="saltmarsh", season="2027", clause=clause, quantity=quantity)


def test_a_key_of_ones_own_is_pointed_out_and_stays():
    """With the nearest that is known; the job is read."""
    jobs, faults = parse_jobs(Source(path="jobs.yaml", text="- {what: A, desicion: never}"), vocabulary=VOCABULARY)
    assert [(fault.warning, fault.message) for fault in faults] == [
        (True, "`desicion` in a job; did you mean `decision`?"),
    ]
    assert jobs[0].decision is None


def test_anchors_aliases_and_merge_keys_say_what_they_stand_for():
    """What a job says itself goes before what is merged into it, and the first of several before the others."""
    jobs, faults = read(
        "- &one {what: A, by: mara, decision: &no {choice: never}}\n- {<<: *one, what: B, hours: 1}\n"
        "- {<<: [{due: spring}, *one], what: C, decision: *no}\n"
    )
    assert faults == []
    assert [(job.what, job.by, job.decision) for job in jobs] == [
        (what, ("mara",), Decision(choice=Choice.NEVER)) for what in ("A", "B", "C")
    ]
    assert jobs[2].due == "spring"


def test_an_alias_in_what_it_names_is_a_fault():
    """It would have no end."""
    assert read("- &a {what: A, note: *a}")[1] == ["1:22 yaml-alias"]


NEW = (
    Job(
        id="new",
        what='Say: "50 %" # no',
        cause=Cause(body="saltmarsh", season="2027", clause="4.3"),
        place=Place(path="jobs.yaml"),
    ),
)
LINES = '- id: new\n  what: "Say: \\"50 %\\" # no"\n  cause: saltmarsh/2027 4.3\n'
FLOW = '{id: new, what: "Say: \\"50 %\\" # no", cause: saltmarsh/2027 4.3}'


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", LINES),
        ("# ours", f"# ours\n{LINES}".removesuffix("\n")),
        ("- what: A\n# end\n", f"- what: A\n# end\n{LINES}"),
        ("- what: A", f"- what: A\n{LINES}".removesuffix("\n")),
        ("---\n- what: A\n...\n# after\n", f"---\n- what: A\n{LINES}...\n# after\n"),
        ("- what: A\r\n", f"- what: A\n{LINES}".replace("\n", "\r\n")),
        ("  - what: A\n", "  - what: A\n" + "".join(f"  {line}\n" for line in LINES.splitlines())),
        ("[]", f"[{FLOW}]"),
        ("[{what: A}]\n", f"[{{what: A}}, {FLOW}]\n"),
        ("[{what: A}, ] # end", f"[{{what: A}}, {FLOW} ] # end"),
        ("[\n  {what: A}  # first\n]\n", f"[\n  {{what: A}},  # first\n  {FLOW}\n]\n"),
        ("[ # ours\n]", f"[ # ours\n  {FLOW}\n]"),
    ],
)
def test_what_is_added_takes_the_style_of_the_file(before, after):
    """Behind the last, at its depth, with its line ends; between brackets where the list has them."""
    assert add_jobs("jobs.yaml", before, NEW, VOCABULARY) == after


def test_a_text_that_is_no_list_is_left():
    """The fault is that of reading it."""
    faults = add_jobs("jobs.yaml", "jobs: none\n", NEW, VOCABULARY)
    assert not isinstance(faults, str)
    assert [fault.code for fault in faults] == ["wrong-type"]


def test_what_does_not_come_back_as_meant_is_not_written():
    """A job whose id is taken would be read as another; the fault says that nothing was touched."""
    faults = add_jobs("jobs.yaml", "- {id: new, what: A}\n", NEW, VOCABULARY)
    assert not isinstance(faults, str)
    assert [fault.code for fault in faults] == ["edit-failed"]
