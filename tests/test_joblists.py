"""Jobs over the winters: which answers a change, what comes back, where a cause went, and what is added to a list."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from five_seasons import read
from winters import JOBS, SPEC, noise, rims, weights, winters

from rulewatch import pipeline
from rulewatch.model.impact import Outcome
from rulewatch.model.site import Worklist
from rulewatch.model.worklist import State, Trail
from rulewatch.publish.job_words import kept_words


@pytest.fixture
def listed(put) -> Callable[..., Worklist]:
    """The work list of a workspace's files, with the newest season against the one before."""

    def made(files: dict[str, str], **options: bool) -> Worklist:
        result = pipeline.worklist(put(files), **options)
        assert result.wrong == ()
        assert result.value is not None
        return result.value

    return made


def causes(root: Path) -> list[str]:
    """The causes that stand in the list of the car, in order."""
    return [line.partition("cause: ")[2] for line in (root / JOBS).read_text().splitlines() if "cause: " in line]


def said(worklist: Worklist) -> list[str]:
    """What is said of the crew's jobs beside the impacts."""
    return [text for report in worklist.reports for one in report.impacts if (text := kept_words(one, str.capitalize))]


QUIETER = {"2026": noise("4.3", "98 dB(A)") + rims("5.1", "11 in"), "2027": noise("4.3", "95 dB(A)") + rims("5.1", "11 in")}
CAUSE = "saltmarsh/2027 4.3 engine.exhaust.noise"


# --- Keeping ----------------------------------------------------------------------------------------------------------


def test_a_change_suggests_a_job_and_writes_nothing(listed, tmp_path):
    """Only `keep` writes; the job is due for the first event of the season."""
    worklist = listed(winters(QUIETER))
    (task,) = worklist.tasks
    assert (task.state, str(task.job.cause), task.outcome) == (State.SUGGESTED, CAUSE, Outcome.BREACH)
    assert (task.due, task.event, task.system) == (date(2027, 4, 10), "Spring meeting", "Engine")
    assert not (tmp_path / JOBS).exists()


def test_what_is_kept_is_kept_once(listed, tmp_path):
    """The second run finds the job of the first and leaves the file as it is."""
    files = winters(QUIETER, jobs="# what we do\n- what: Clutch  # soon\n")
    (kept,) = listed(files, keep=True).kept
    assert (kept.path, [job.id for job in kept.added]) == (JOBS, ["exhaust-noise"])
    written = (tmp_path / JOBS).read_bytes()
    assert written.startswith(b"# what we do\n- what: Clutch  # soon\n- id: exhaust-noise\n")
    again = listed({**files, JOBS: written.decode()}, keep=True)
    assert again.kept == ()
    assert [task.state for task in again.tasks] == [State.TO_DO, State.TO_DO]
    assert (tmp_path / JOBS).read_bytes() == written


def test_a_faulty_list_is_not_added_to(put):
    """The fault is told, and the file stays as it is."""
    root = put(winters(QUIETER, jobs="- {what: A}\n- {why: B}\n"))
    result = pipeline.worklist(root, keep=True)
    assert [fault.code for fault in result.wrong] == ["missing-key"]
    assert (root / JOBS).read_text() == "- {what: A}\n- {why: B}\n"


def test_two_classes_of_a_body_make_one_job(listed):
    """The car runs in both, and there is one silencer."""
    entries = "{body: saltmarsh, class: silhouette-b}, {body: saltmarsh, class: touring-c}"
    worklist = listed(winters(QUIETER, entries=entries), keep=True)
    assert [str(job.cause) for kept in worklist.kept for job in kept.added] == [CAUSE]
    assert len([one for report in worklist.reports for one in report.impacts if one.cause is not None]) == 2


def test_ids_are_short_and_never_taken_twice(listed):
    """A name that stands in the list already gets its season."""
    worklist = listed(winters(QUIETER, jobs="- {id: exhaust-noise, what: Ours}\n"), keep=True)
    assert [job.id for kept in worklist.kept for job in kept.added] == ["exhaust-noise-2027"]


def test_a_clause_to_read_is_kept_without_a_quantity(listed):
    """And found again."""
    text = "## 4.3 Noise\n\nThe exhaust must not annoy the neighbours of the track.\n"
    files = winters({"2026": noise("4.3", "98 dB(A)"), "2027": text})
    (kept,) = listed(files, keep=True).kept
    assert {str(job.cause) for job in kept.added} >= {"saltmarsh/2027 4.3"}
    jobs = "".join(f"- {{what: Read, cause: {job.cause}}}\n" for job in kept.added)
    assert listed({**files, JOBS: jobs}, keep=True).kept == ()


# --- What comes back --------------------------------------------------------------------------------------------------

AGAIN = {**QUIETER, "2028": noise("4.3", "92 dB(A)") + rims("5.1", "11 in")}


def test_what_was_done_and_is_work_again_is_a_new_job(listed, tmp_path):
    """With its own cause; the old one stays as it was."""
    old = f"- {{id: quiet, what: Silencer, cause: {CAUSE}, done: {{on: 2027-02-01, by: mara}}}}\n"
    files = winters(AGAIN, jobs=old)
    worklist = listed(files, keep=True)
    assert said(worklist) == ["done on 1 February 2027 by Mara, and work again: the rule asks for something since"]
    assert (tmp_path / JOBS).read_text().startswith(old)
    assert causes(tmp_path)[1:] == ["saltmarsh/2028 4.3 engine.exhaust.noise"]
    assert listed({**files, JOBS: (tmp_path / JOBS).read_text()}, keep=True).kept == ()


def test_what_was_done_for_this_season_is_no_new_job(listed):
    """Though the spec may not say so yet."""
    worklist = listed(winters(QUIETER, jobs=f"- {{what: Silencer, cause: {CAUSE}, done: 2027-02-01}}\n"), keep=True)
    assert worklist.kept == ()
    assert said(worklist) == ["done on 1 February 2027"]


def test_a_bulletin_after_it_was_done_makes_it_work_again(listed, tmp_path):
    """Within one season, what a later day asks for was not done before it."""
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{noise('4.3', '92 dB(A)')}"
    done = f"- {{what: Silencer, cause: {CAUSE}, done: 2027-02-01}}\n"
    quiet = SPEC.replace("96", "94")
    worklist = listed(winters(QUIETER, spec=quiet, jobs=done, bulletins={"2027": bulletin}), keep=True)
    (kept,) = worklist.kept
    assert [str(job.cause) for job in kept.added] == [CAUSE]
    text = (tmp_path / JOBS).read_text()
    again = listed(winters(QUIETER, spec=quiet, jobs=text, bulletins={"2027": bulletin}), keep=True)
    assert again.kept == ()


def test_what_was_done_before_the_day_it_is_asked_for_is_done(listed):
    """After its bulletin was published, and before the event at which it holds."""
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{noise('4.3', '92 dB(A)')}"
    done = f"- {{what: Silencer, cause: {CAUSE}, done: 2027-05-20}}\n"
    worklist = listed(winters(QUIETER, spec=SPEC.replace("96", "94"), jobs=done, bulletins={"2027": bulletin}), keep=True)
    assert (worklist.kept, set(said(worklist))) == ((), {"done on 20 May 2027"})


def test_what_was_done_after_the_new_book_was_published_is_done(listed):
    """Though the job is of the season before."""
    carried = "- {what: Silencer, cause: saltmarsh/2026 4.3 engine.exhaust.noise, done: 2027-02-10}\n"
    worklist = listed(winters(QUIETER, spec=SPEC.replace("96", "94"), jobs=carried), keep=True)
    assert (worklist.kept, said(worklist)) == ((), ["done on 10 February 2027"])


def test_done_without_a_day_is_done_for_the_season_of_its_rule(listed):
    """Nobody wrote down when: the next book asks again, the same one does not."""
    told = []
    for season in ("2026", "2027"):
        jobs = f"- {{what: Silencer, cause: saltmarsh/{season} 4.3 engine.exhaust.noise, done: yes}}\n"
        told += said(listed(winters(QUIETER, spec=SPEC.replace("96", "94"), jobs=jobs)))
    assert told == ["done, and work again: the rule asks for something since", "done"]


def test_a_bulletin_about_another_rule_does_not_undo_what_was_done(listed):
    """What the new book asks for was done in winter; what came since amends another clause, before the first event."""
    bulletin = "---\nnumber: 1\npublished: 2027-03-01\neffective: 2027-03-05\n---\n\n## 5.9 Be tidy in the paddock.\n"
    jobs = "- {what: Silencer, cause: saltmarsh/2026 4.3 engine.exhaust.noise, done: 2027-02-10}\n"
    worklist = listed(winters(QUIETER, spec=SPEC.replace("96", "94"), jobs=jobs, bulletins={"2027": bulletin}))
    assert "done on 10 February 2027" in said(worklist)


def test_a_breach_to_come_is_due_when_it_comes(listed):
    """The new book only leaves less room; the bulletin of June makes the car illegal, and the job says from when."""
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{noise('4.3', '92 dB(A)')}"
    (task,) = listed(winters(QUIETER, spec=SPEC.replace("96", "94"), bulletins={"2027": bulletin})).tasks
    assert (task.outcome, task.due) == (Outcome.BREACH, date(2027, 10, 2))
    assert task.job.what == "Bring exhaust noise to: at most 92 dB(A) (4.3), from 2027-10-02"


def test_a_limit_that_comes_down_twice_is_told_twice(listed):
    """One job says both, and from which day the second holds."""
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{noise('4.3', '92 dB(A)')}"
    (kept,) = listed(winters(QUIETER, bulletins={"2027": bulletin}), keep=True).kept
    assert [job.what for job in kept.added] == [
        "Bring exhaust noise to: at most 95 dB(A) (4.3); from 2027-10-02: Bring exhaust noise to: at most 92 dB(A) (4.3)"
    ]


def test_a_rule_that_goes_is_work_again_once(listed, tmp_path):
    """Its job is kept under the book that had it, and is due in the season of the one that has not."""
    wide = SPEC.replace("[10 in, 10 in]", "[12 in, 12 in]")
    books = {"2026": rims("5.1", "11 in") + noise("4.3", "98 dB(A)"), "2027": noise("4.3", "98 dB(A)")}
    job = "- {what: Rims, cause: saltmarsh/2026 5.1 wheels.rear.rim_width, done: 2026-02-01}\n"
    first = listed(winters(books, spec=wide, jobs=job), keep=True)
    assert [str(one.cause) for kept in first.kept for one in kept.added] == ["saltmarsh/2026 5.1 wheels.rear.rim_width"]
    assert [(task.state, task.due) for task in first.tasks] == [
        (State.DONE, date(2026, 4, 10)),
        (State.TO_DO, date(2027, 4, 10)),
    ]
    text = (tmp_path / JOBS).read_text().replace("- id: rear-rim-width", "- id: rear-rim-width\n  done: 2026-12-20")
    assert listed(winters(books, spec=wide, jobs=text), keep=True).kept == ()


@pytest.mark.parametrize(
    ("decision", "words"),
    [
        ("{choice: never, by: mara, on: 2026-12-01, why: too loud anyway}", "declined in 2026 by Mara because too loud anyway"),
        ("{choice: not now, by: mara}", "put off in 2027 by Mara"),
        ("{choice: ask, by: mara, on: 2026-12-01}", "somebody to be asked first, decided in 2026 by Mara"),
        ("never", "declined in 2027"),
    ],
)
def test_a_decision_lasts_and_is_shown(listed, decision, words):
    """The matter comes back a year later: no new job, and the decision beside the impact."""
    worklist = listed(winters(AGAIN, jobs=f"- {{what: Silencer, cause: {CAUSE}, decision: {decision}}}\n"), keep=True)
    assert worklist.kept == ()
    assert said(worklist) == [words]


def test_a_breach_that_was_declined_is_not_out_of_sight(listed):
    """The lists show it apart: the car is illegal all the same."""
    worklist = listed(winters(AGAIN, jobs=f"- {{what: Silencer, cause: {CAUSE}, decision: never}}\n"))
    assert [(task.state, task.outcome, task.unresolved) for task in worklist.tasks] == [
        (State.DECLINED, Outcome.STILL_IN_BREACH, True)
    ]


OPENED = "- {{what: A louder exhaust, cause: saltmarsh/2026 4.3 engine.exhaust.noise, decision: {}}}\n"


def test_a_no_to_something_else_is_no_answer_to_a_breach(listed, tmp_path):
    """The car was legal then; the new work is suggested once, and the decision is told beside it."""
    files = winters(QUIETER, jobs=OPENED.format("{choice: never, by: mara, on: 2026-01-05, why: too dear}"))
    worklist = listed(files, keep=True)
    assert said(worklist) == ["declined in 2026 by Mara because too dear, but that was before the rule made the car illegal"]
    assert [(task.state, task.outcome) for task in worklist.tasks] == [(State.DECLINED, None), (State.TO_DO, Outcome.BREACH)]
    assert causes(tmp_path)[1:] == [CAUSE]
    assert listed({**files, JOBS: (tmp_path / JOBS).read_text()}, keep=True).kept == ()


@pytest.mark.parametrize(
    ("decision", "added"),
    [
        ("{choice: not now, on: 2026-12-01}", 0),  # once the new book was known
        ("{choice: do, on: 2026-12-01}", 0),
        ("{choice: do, on: 2026-01-05}", 1),
        ("never", 1),
    ],
)
def test_a_decision_counts_for_what_was_known_then(listed, decision, added):
    """A job of an earlier book that says something else answers a breach only where it was decided since."""
    kept = listed(winters(QUIETER, jobs=OPENED.format(decision)), keep=True).kept
    assert sum(len(one.added) for one in kept) == added


def test_what_a_bulletin_breaks_was_not_declined_before_it(listed):
    """Within one season, too."""
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{noise('4.3', '92 dB(A)')}"
    jobs = f"- {{what: Louder, cause: {CAUSE}, decision: {{choice: never, on: 2027-01-05}}}}\n"
    files = winters(QUIETER, spec=SPEC.replace("96", "94"), jobs=jobs, bulletins={"2027": bulletin})
    assert [task.state for task in listed(files).tasks] == [State.DECLINED, State.SUGGESTED]


def test_a_kept_job_is_shown_with_what_the_rules_ask_now(listed):
    """Where it says something else; where it says just that, once is enough."""
    asks = "Bring exhaust noise to: at most 95 dB(A) (4.3)"
    jobs = f"- {{what: Silencer, cause: {CAUSE}}}\n"
    assert [task.asks for task in listed(winters(QUIETER, jobs=jobs)).tasks] == [asks]
    jobs = f"- {{what: '{asks}', cause: {CAUSE}}}\n"
    assert [task.asks for task in listed(winters(QUIETER, jobs=jobs)).tasks] == [""]


def test_what_is_to_be_done_and_is_not_done_stays_one_job(listed):
    """However often the rule changes meanwhile."""
    worklist = listed(winters(AGAIN, jobs=f"- {{what: Silencer, cause: {CAUSE}, decision: do}}\n"), keep=True)
    assert worklist.kept == ()
    assert [task.state for task in worklist.tasks] == [State.TO_DO]


def test_another_quantity_or_rule_is_another_matter(listed):
    """What was declined of one says nothing of another."""
    jobs = "- {what: A, cause: saltmarsh/2027 4.3 engine.power, decision: never}\n- {what: B, cause: saltmarsh/2027 5.1 engine.exhaust.noise}\n"
    worklist = listed(winters(QUIETER, jobs=jobs), keep=True)
    assert [str(job.cause) for kept in worklist.kept for job in kept.added] == [CAUSE]


# --- Where a cause went -----------------------------------------------------------------------------------------------


def test_a_cause_is_followed_through_numbers_and_chapters(listed):
    """4.3 of 2026 became 7.1, and then 8.2, while 4.3 was given to another rule."""
    books = {
        "2026": noise("4.3", "98 dB(A)") + rims("5.1", "11 in"),
        "2027": rims("4.3", "11 in") + noise("7.1", "98 dB(A)"),
        "2028": rims("4.3", "10.5 in") + noise("8.2", "97 dB(A)"),
    }
    jobs = "- {what: Silencer, cause: saltmarsh/2026 4.3 engine.exhaust.noise, decision: never}\n"
    worklist = listed(winters(books, jobs=jobs), keep=True)
    assert worklist.tasks[0].trail == Trail(body="saltmarsh", season="2028", clause="8.2")
    assert said(worklist) == ["declined in 2026"]
    assert [str(job.cause) for kept in worklist.kept for job in kept.added] == ["saltmarsh/2028 4.3 wheels.rear.rim_width"]


def test_weight_is_one_matter_whatever_the_clause(listed):
    """The minimum stands in another rule than it did; the body's weight was decided on."""
    books = {"2026": weights("3.1", "1000 kg") + rims("5.1", "11 in"), "2027": weights("9.9", "1040 kg") + rims("5.1", "11 in")}
    jobs = "- {what: Ballast, cause: saltmarsh/2026 3.1 car.weight, decision: not now}\n"
    worklist = listed(winters(books, spec="car.weight: 1050 kg\n  wheels.rear.rim_width: 10 in", jobs=jobs), keep=True)
    assert worklist.kept == ()
    assert said(worklist) == ["put off in 2026"]


def test_a_pairing_settled_later_moves_the_job_with_it(listed):
    """Two rules alike changed places; by itself each would go on with its own number."""
    books = {"2026": rims("5.1", "11 in") + rims("5.2", "12 in"), "2027": rims("5.1", "12 in") + rims("5.2", "11 in")}
    jobs = "- {what: Rims, cause: saltmarsh/2026 5.1 wheels.rear.rim_width}\n"
    settled = "- {old: 5.1, new: 5.1}\n- {old: 5.2, new: 5.2}\n", "- {old: 5.1, new: 5.2}\n- {old: 5.2, new: 5.1}\n"
    found = [listed(winters(books, jobs=jobs, pairs={"2027": each})).tasks[0].trail for each in settled]
    assert [trail.clause for trail in found if trail is not None] == ["5.1", "5.2"]


STAMP = "A rim carries the date stamp of its maker on the inner face, to be read with the tyre mounted."


def test_a_number_that_a_bulletin_gave_away_is_no_new_matter(listed, tmp_path):
    """5.1 moves to 5.4 in June and becomes another rule: the job is kept with the number at the season's end, once."""
    stamp = read("5.1", f"Stamps\n\n{STAMP}", "concerns: paperwork")
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{stamp}{rims('5.4', '8 in')}"
    files = winters({"2026": rims("5.1", "11 in"), "2027": rims("5.1", "9 in")}, bulletins={"2027": bulletin})
    listed(files, keep=True)
    assert causes(tmp_path) == ["saltmarsh/2027 5.4 wheels.rear.rim_width"]
    assert listed({**files, JOBS: (tmp_path / JOBS).read_text()}, keep=True).kept == ()


def test_a_cause_by_the_number_of_the_book_is_found_when_that_number_was_given_away(listed):
    """People write what stands in the book; the clause that speaks of the quantity is meant."""
    stamp = read("5.1", f"Stamps\n\n{STAMP}", "concerns: paperwork")
    bulletin = f"---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n{stamp}{rims('5.4', '8 in')}"
    jobs = "- {what: Rims, cause: saltmarsh/2027 5.1 wheels.rear.rim_width}\n"
    books = {"2026": rims("5.1", "11 in"), "2027": rims("5.1", "9 in")}
    worklist = listed(winters(books, jobs=jobs, bulletins={"2027": bulletin}), keep=True)
    assert worklist.kept == ()
    assert [task.trail for task in worklist.tasks] == [Trail(body="saltmarsh", season="2027", clause="5.4")]


REAR, FRONT = (
    "A rear rim is no wider than {} between its bead seats.",
    "A front rim is no wider than {} between its bead seats.",
)


def _one(number: str, rear: str, front: str) -> str:
    limit = f"{{wheels.rear.rim_width: {{max: {rear}}}, wheels.front.rim_width: {{max: {front}}}}}"
    return read(number, f"Rims\n\n{REAR.format(rear)} {FRONT.format(front)}", f"limit: {limit}")


def _two(rear: str, front: str) -> str:
    first = read("5.1", f"Rims\n\n{REAR.format(rear)}", f"limit: {{wheels.rear.rim_width: {{max: {rear}}}}}")
    return first + read("5.2", f"Rims\n\n{FRONT.format(front)}", f"limit: {{wheels.front.rim_width: {{max: {front}}}}}")


@pytest.mark.parametrize(
    ("books", "trails"),
    [
        ({"2026": _one("5.1", "11 in", "9 in"), "2027": _two("10.5 in", "8.5 in")}, ["5.1", "5.2"]),
        (
            {"2026": _one("5.1", "11 in", "9 in"), "2027": _two("11 in", "9 in"), "2028": _two("10.5 in", "8.5 in")},
            ["5.1", "5.2"],
        ),
        ({"2026": _two("11 in", "9 in"), "2027": _one("5.1", "10.5 in", "8.5 in")}, ["5.1", "5.1"]),
    ],
)
def test_each_part_of_a_split_or_join_goes_on_with_its_own_jobs(listed, books, trails):
    """The one that speaks of the quantity inherits what was decided about it."""
    spec = "wheels.rear.rim_width: 10 in\n  wheels.front.rim_width: 8 in"
    front = "5.2" if trails[0] == trails[1] else "5.1"
    jobs = (
        "- {what: A, cause: saltmarsh/2026 5.1 wheels.rear.rim_width, decision: {choice: not now, why: the rear}}\n"
        f"- {{what: B, cause: saltmarsh/2026 {front} wheels.front.rim_width, decision: {{choice: not now, why: the front}}}}\n"
    )
    worklist = listed(winters(books, spec=spec, jobs=jobs), keep=True)
    assert worklist.kept == ()
    assert [task.trail.clause for task in worklist.tasks if task.trail is not None] == trails
    assert [task.outcome for task in worklist.tasks] == [Outcome.TIGHTER, Outcome.TIGHTER]


def test_a_rule_that_went_is_the_matter_of_the_one_that_decides_now(listed, tmp_path):
    """Two clauses that nobody paired tell one breach, once; when they are paired later, both jobs are shown, the decision first."""
    other = "The distance between bead seats of any wheel on the driven axle must not be greater than 9 in."
    new = read("6.7", f"Wheels\n\n{other}", "limit: {wheels.rear.rim_width: {max: 9 in}}")
    books = {"2026": rims("5.1", "11 in"), "2027": new}
    first = listed(winters(books), keep=True)
    assert causes(tmp_path) == ["saltmarsh/2027 6.7 wheels.rear.rim_width"]
    assert [task.outcome for task in first.tasks] == [Outcome.BREACH]
    old = "- {id: ours, what: Rims, cause: saltmarsh/2026 5.1 wheels.rear.rim_width, decision: {choice: ask, by: mara, on: 2026-02-01}}\n"
    files = winters(books, jobs=old + (tmp_path / JOBS).read_text(), pairs={"2027": "- {old: 5.1, new: 6.7}\n"})
    second = listed(files, keep=True)
    assert second.kept == ()
    assert said(second) == ["ours: somebody to be asked first, decided in 2026 by Mara; rear-rim-width: on the list"]


def test_a_number_that_stood_only_until_a_bulletin_is_found(listed):
    """The cause names a clause as published, which no season's end has."""
    bulletin = "---\nnumber: 1\npublished: 2027-05-01\neffective: 2027-06-01\n---\n\n## 4.3 repeal\n"
    jobs = f"- {{what: Silencer, cause: {CAUSE}, decision: never}}\n"
    (task, *_) = listed(winters(QUIETER, jobs=jobs, bulletins={"2027": bulletin})).tasks
    assert task.trail == Trail(body="saltmarsh", season="2027", clause="4.3", gone=True)
    assert not task.lost


def test_a_rule_that_went_is_gone_and_not_lost(listed):
    """Its last number and season are told."""
    books = {**QUIETER, "2028": rims("5.1", "11 in")}
    (task, *_) = listed(winters(books, jobs=f"- {{what: Silencer, cause: {CAUSE}}}\n")).tasks
    assert task.trail == Trail(body="saltmarsh", season="2027", clause="4.3", gone=True)


@pytest.mark.parametrize("cause", ["saltmarsh/2027 4.9 engine.exhaust.noise", "saltmarsh/2019 4.3", "five-lakes/2027 4.3"])
def test_a_cause_that_is_not_found_is_told_and_stays(put, cause):
    """`verify` has it among what is open, with its place; nothing is taken out of the file."""
    root = put(winters(QUIETER, jobs=f"- what: Silencer\n  cause: {cause}\n"))
    worklist = pipeline.worklist(root, keep=True)
    assert worklist.value is not None
    assert worklist.value.tasks[0].lost
    assert causes(root) == [cause, CAUSE]
    site = pipeline.site(root, date(2027, 1, 1), timelines=False)
    assert site.value is not None
    (point,) = (point for point in site.value.open_points if point.code == "cause-lost")
    assert (point.place.path, point.place.line, point.place.column) == (JOBS, 2, 10)


# --- What holds across files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("job", "code"),
    [
        ("{what: A, by: [ina, tobni]}", "unknown-person"),
        ("{what: A, decision: {choice: do, by: tobni}}", "unknown-person"),
        ("{what: A, done: {on: 2027-01-01, by: tobni}}", "unknown-person"),
        ("{what: A, can: tobni}", "unknown-person"),
        ("{what: A, booked: {hours: 2, by: tobni}}", "unknown-person"),
        ("{what: A, skills: wielding}", "unknown-skill"),
        ("{what: A, equipment: hoist}", "unknown-equipment"),
        ("{what: A, after: b}", "unknown-job"),
        ("{what: A, id: a, after: b}\n- {what: B, id: b, after: a}", "jobs-in-circle"),
        ("{what: A, due: summer}", "unknown-event"),
    ],
)
def test_names_in_a_list_are_known(put, job, code):
    """People stand in crew.yaml, events in an edition of a body that the car is entered in."""
    result = pipeline.site(put(winters(QUIETER, jobs=f"- {job}\n")), date(2027, 1, 1), timelines=False)
    assert [(fault.code, fault.place.path) for fault in result.wrong] == [(code, JOBS)]


def test_an_event_is_that_of_the_newest_season_or_of_the_cause(listed):
    """The crew's own job is due this year; what a rule of last year caused was due then."""
    jobs = f"- {{what: A, due: autumn}}\n- {{what: B, due: autumn, cause: {CAUSE}}}\n- {{what: C, due: 2028-02-01}}\n- {{what: D}}\n"
    days = [(task.due, task.event) for task in listed(winters(AGAIN, jobs=jobs)).tasks]
    assert days == [
        (date(2028, 10, 2), "Autumn meeting"),
        (date(2027, 10, 2), "Autumn meeting"),
        (date(2028, 2, 1), ""),
        (None, ""),
    ]


def _two_bodies(order: str) -> dict[str, str]:
    """A car entered in two clubs, in an order, that both hold a spring meeting."""
    first, second = ("{body: saltmarsh, class: silhouette-b}", "{body: five-lakes, class: open}")
    entries = f"{first}, {second}" if order == "saltmarsh" else f"{second}, {first}"
    files = winters(QUIETER, entries=entries, jobs="- {what: Shakedown, due: spring}\n- {what: Tyres, due: autumn}\n")
    header = "title: Lakes\npublished: 2026-11-01\neffective: 2027-01-01\nevents:\n  - {id: spring, title: Lakes opener, on: 2027-03-20}\n"
    files["rulesets/five-lakes/body.yaml"] = "name: Five Lakes Trophy\nclasses: {open: Open}\n"
    files["rulesets/five-lakes/2027/edition.yaml"] = header
    files["rulesets/five-lakes/2027/01-rules.md"] = rims("2.1", "11 in")
    return files


@pytest.mark.parametrize("order", ["saltmarsh", "five-lakes"])
def test_of_two_events_with_one_id_the_earlier_is_taken_and_told(put, order):
    """Whatever the order of the entries; `verify` has it among what is open, and not the event that only one body has."""
    root = put(_two_bodies(order))
    worklist = pipeline.worklist(root)
    assert worklist.value is not None
    assert [(task.due, task.event) for task in worklist.value.tasks[:2]] == [
        (date(2027, 3, 20), "Lakes opener"),
        (date(2027, 10, 2), "Autumn meeting"),
    ]
    site = pipeline.site(root, date(2027, 1, 1), timelines=False)
    assert site.value is not None
    (point,) = (point for point in site.value.open_points if point.code == "event-of-several")
    assert (point.place.path, point.place.line) == (JOBS, 1)


def _lakes(files: dict[str, str], seasons: dict[str, str]) -> dict[str, str]:
    """The files with a second club, by what its books say of each season."""
    files["rulesets/five-lakes/body.yaml"] = "name: Five Lakes Trophy\nclasses: {open: Open}\n"
    previous = ""
    for season, rules in seasons.items():
        header = f"title: Lakes {season}\npublished: {int(season) - 1}-11-01\neffective: {season}-01-01\n{previous}"
        files[f"rulesets/five-lakes/{season}/edition.yaml"] = header
        files[f"rulesets/five-lakes/{season}/01-rules.md"] = rules
        previous = f"previous: {season}\n"
    return files


@pytest.mark.parametrize(
    ("lakes", "more"),
    [
        ("9 in", "; five-lakes asks for more: at most 9 in (2.1)"),
        ("9.8 in", ""),  # it asks for less
        ("10.5 in", ""),  # the car is legal there
    ],
)
def test_a_breach_tells_of_the_other_club_that_asks_for_more(listed, tmp_path, lakes, more):
    """Who narrows the rims to 9.5 in would have to narrow them again; the second run has nothing to add."""
    entries = "{body: saltmarsh, class: silhouette-b}, {body: five-lakes, class: open}"
    files = winters({"2026": rims("5.1", "11 in"), "2027": rims("5.1", "9.5 in")}, entries=entries)
    files = _lakes(files, {"2026": rims("2.1", "11 in"), "2027": rims("2.1", lakes)})
    jobs = {task.job.cause.body: task.job.what for task in listed(files, keep=True).tasks if task.job.cause is not None}
    assert jobs["saltmarsh"] == f"Bring rear rim width to: at most 9.5 in (5.1){more}"
    assert "saltmarsh" in jobs.get("five-lakes", "") or lakes != "9.8 in"
    assert listed({**files, JOBS: (tmp_path / JOBS).read_text()}, keep=True).kept == ()


def test_bounds_of_two_directions_are_not_compared(listed):
    """One club wants the rims narrower, the other wider: neither asks for more of the same."""
    wider = read("2.1", "Rims\n\nA rear rim is at least 10.5 in wide.", "limit: {wheels.rear.rim_width: {min: 10.5 in}}")
    entries = "{body: saltmarsh, class: silhouette-b}, {body: five-lakes, class: open}"
    files = winters({"2026": rims("5.1", "11 in"), "2027": rims("5.1", "9.8 in")}, entries=entries)
    files = _lakes(files, {"2026": rims("2.1", "11 in"), "2027": wider})
    assert [task.job.what for task in listed(files).tasks if "asks for more" in task.job.what] == []
