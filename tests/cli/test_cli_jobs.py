"""`impact --keep` and the job lists, as a crew runs them: what is printed, what is written, and what a kill leaves."""

from __future__ import annotations

import json
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from five_seasons import read
from winters import JOBS, noise, rims, winters

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

BOOKS = {
    "2026": noise("4.3", "98 dB(A)") + rims("5.1", "11 in"),
    "2027": noise("4.3", "95 dB(A)") + rims("5.1", "10.5 in"),
}
OURS = """\
# what we do this winter
- what: Clutch   # slips
  by: mara
  due: 2027-02-20
  hours: 2.5
- {what: Wing, cause: saltmarsh/2027 5.1 wheels.rear.rim_width, decision: {choice: not now, by: ina, on: 2026-12-01, why: no money}}
"""


def run(root: Path, *args: str):
    """Run `impact` in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), "impact", *args])
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


@pytest.fixture
def root(put, monkeypatch):
    """A workspace with a list of the crew's own."""
    monkeypatch.setenv("COLUMNS", "100")
    return put(winters(BOOKS, jobs=OURS))


def test_keep_says_what_it_added_and_where(root):
    """And the second time that there is nothing to add."""
    assert run(root, "--keep").stdout.splitlines()[-1] == "cars/heron/jobs.yaml: 1 job added: exhaust-noise"
    assert (root / JOBS).read_text() == OURS + (
        '- id: exhaust-noise\n  what: "Bring exhaust noise to: at most 95 dB(A) (4.3)"\n'
        "  cause: saltmarsh/2027 4.3 engine.exhaust.noise\n"
    )
    before = (root / JOBS).stat()
    last = run(root, "--keep").stdout.splitlines()[-1]
    assert last == "Nothing to add: every job that the changes suggest is on its list, or was decided."
    assert (root / JOBS).stat().st_mtime_ns == before.st_mtime_ns


def test_a_decision_stands_under_its_impact(root):
    """In words, with the name of crew.yaml."""
    assert "= put off in 2026 by Ina because no money" in run(root).stdout


def test_list_by_person(root):
    """Each under who does it; what nobody has taken last, and how many there are."""
    lines = run(root, "--by-person", "--today", "2027-03-01").stdout.splitlines()
    assert lines == [
        "Mara Fenwright",
        "  [ ] heron: Clutch",
        "        overdue since 20 February 2027; 2.5 h; the crew's own",
        "",
        "Nobody yet",
        "  [+] heron: Bring exhaust noise to: at most 95 dB(A) (4.3)",
        "        breach; due 10 April 2027, Spring meeting",
        "        saltmarsh 2027, 4.3",
        "",
        "2 jobs to do, 1 of them only suggested; 1 declined",
        "[+] is suggested by a change and not in jobs.yaml: `rulewatch impact --keep` adds it.",
    ]


def test_list_by_system(root):
    """Each under its part of the car; what is about none last."""
    headings = [line for line in run(root, "--by-system").stdout.splitlines() if line and not line.startswith((" ", "[", "2"))]
    assert headings == ["Engine", "No part of the car"]


def test_list_by_day(root):
    """The earliest first, with what is overdue on the day."""
    due = run(root, "--due", "--today", "2027-02-20").stdout.splitlines()
    assert [line for line in due if "2027" in line and line[0] != " "] == ["20 February 2027", "10 April 2027, Spring meeting"]
    assert "20 February 2027: overdue" in run(root, "--due", "--today", "2027-02-21").stdout.splitlines()


def test_of_two_lists_the_last_asked_for_is_printed(root):
    """There is one list at a time."""
    assert run(root, "--due", "--by-person").stdout == run(root, "--by-person").stdout


def test_a_breach_that_was_declined_stands_apart(put):
    """With the decision, below what is to be done."""
    jobs = "- {what: Silencer, cause: saltmarsh/2027 4.3 engine.exhaust.noise, decision: never}\n"
    lines = run(put(winters(BOOKS, jobs=jobs)), "--by-person").stdout.splitlines()
    at = lines.index("Decided against or done, and by its values the car is illegal all the same")
    assert lines[at + 1 : at + 6] == [
        "      heron: Silencer",
        "        breach; due 10 April 2027, Spring meeting",
        "        saltmarsh 2027, 4.3",
        "        declined in 2027",
        "        the rules now: Bring exhaust noise to: at most 95 dB(A) (4.3)",
    ]


def test_what_is_done_and_leaves_a_breach_is_not_out_of_sight(put):
    """Somebody has still to enter what was measured after."""
    jobs = "- {what: Silencer, cause: saltmarsh/2027 4.3 engine.exhaust.noise, done: {on: 2027-02-01, by: ina}}\n"
    lines = run(put(winters(BOOKS, jobs=jobs)), "--due").stdout.splitlines()
    at = lines.index("Decided against or done, and by its values the car is illegal all the same")
    assert lines[at + 1] == "      heron: Silencer"
    assert lines[at + 4] == "        done on 1 February 2027 by Ina"


def test_a_lost_cause_is_told_with_the_impacts(put):
    """It stays in the list."""
    root = put(winters(BOOKS, jobs="- {id: old, what: A, cause: saltmarsh/2027 9.9 car.width}\n"))
    assert "heron: the cause of the job old is not found: saltmarsh/2027 9.9 car.width" in run(root).stdout
    assert "saltmarsh 2027, 9.9, which is not found" in run(root, "--by-person").stdout


def test_the_data_of_lists_and_impacts_are_those_of_their_schemas(root):
    """With and without what was kept; the impact names its cause and the crew's job."""
    for args, schema in (
        (("--by-person",), "jobs"),
        (("--due", "--keep"), "jobs"),
        (("--keep",), "impact"),
        ((), "impact"),
    ):
        data = json.loads(run(root, "--json", *args).stdout)
        jsonschema.validate(data, json.loads(schema_bytes(f"{schema}.schema.json")))
        assert ("kept" in data) == ("--keep" in args)
    rims_impact = next(one for one in data["impacts"] if one["subject"] == "wheels.rear.rim_width")
    assert rims_impact["cause"] == "saltmarsh/2027 5.1 wheels.rear.rim_width"
    assert rims_impact["kept"]["decision"] == {"choice": "not now", "by": "ina", "on": "2026-12-01", "why": "no money"}


def test_keeping_fails_on_outcomes_as_before(root):
    """What is asked for with --fail-on ends with status 1; the job is kept all the same."""
    assert run(root, "--keep", "--fail-on", "breach").exit_code == 1
    assert "exhaust-noise" in (root / JOBS).read_text()
    assert run(root, "--keep", "--fail-on", "closing").exit_code == 0


def test_a_list_at_fault_ends_with_status_2(put):
    """With file, line and column, and nothing written."""
    root = put(winters(BOOKS, jobs="- what: A\n  done: nearly\n"))
    done = run(root, "--keep")
    assert done.exit_code == 2
    assert "cars/heron/jobs.yaml:2:9: wrong-type `nearly` for `done`" in done.stderr
    assert (root / JOBS).read_text() == "- what: A\n  done: nearly\n"


@pytest.mark.parametrize(
    "text",
    [
        b"\xef\xbb\xbf# list\r\n- what: Clutch\r\n",
        b"- &c\n  what: Clutch\n  decision: &d {choice: never}\n- {<<: *c, what: Other}\n",
        b"[{what: Clutch,\tmine: kept}, # one\n]",
        b"--- # ours\n    - what: Clutch\n      colour: blue\n...\n# end",
        b"",
    ],
)
def test_whatever_people_wrote_stays_byte_for_byte(root, text):
    """Byte order mark, line ends, anchors, merge keys, flow style, keys of their own, markers of the document."""
    (root / JOBS).write_bytes(text)
    assert "added" in run(root, "--keep").stdout
    rest = iter((root / JOBS).read_bytes())
    assert all(byte in rest for byte in text)
    assert (root / JOBS).read_bytes()[:3] == text[:3] or not text
    assert "Nothing to add" in run(root, "--keep").stdout


# --- Real runs --------------------------------------------------------------------------------------------------------


def keeping(root: Path) -> subprocess.Popen[bytes]:
    """A run of the program of its own."""
    command = [sys.executable, "-m", "rulewatch", "-C", str(root), "impact", "--keep"]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def test_a_kill_leaves_the_old_list_or_the_new_one(root):
    """Runs are killed all along their way; the list is one of the two each time, and the next run goes on from there."""
    run(root, "--keep")
    new = (root / JOBS).read_text()
    moments = random.Random(7)  # noqa: S311 - the moments need no secrecy, only variety
    for _ in range(5):
        (root / JOBS).write_text(OURS)
        begun = time.monotonic()
        with keeping(root) as whole:
            assert whole.wait() == 0
        lasts = time.monotonic() - begun
        assert (root / JOBS).read_text() == new
        (root / JOBS).write_text(OURS)
        with keeping(root) as killed:
            time.sleep(lasts * moments.uniform(0.5, 1))
            killed.send_signal(signal.SIGKILL)
        assert (root / JOBS).read_text() in {OURS, new}
    run(root, "--keep")
    assert (root / JOBS).read_text() == new
    assert {file.name for file in (root / "cars/heron").iterdir()} == {"car.yaml", "jobs.yaml"}


def test_runs_at_once_keep_each_job_once(root):
    """Four at a time, and a person's line is not lost."""
    runs = [keeping(root) for _ in range(4)]
    assert [one.wait() for one in runs] == [0, 0, 0, 0]
    text = (root / JOBS).read_text()
    assert text.startswith(OURS)
    assert text.count("id: exhaust-noise") == 1


def test_what_was_decided_stands_under_the_work_that_it_is_about(put):
    """And above what the same change does beside it."""
    both = "limit: {{engine.exhaust.noise: {{max: {}}}, wheels.rear.rim_width: {{max: {}}}}}"
    text = "Noise and rims\n\nThe exhaust noise is at most {0}, and a rear rim is no wider than {1}."
    limits = {"2026": ("98 dB(A)", "11 in"), "2027": ("95 dB(A)", "9 in")}
    books = {season: read("4.3", text.format(*each), both.format(*each)) for season, each in limits.items()}
    jobs = "- {what: Silencer, cause: saltmarsh/2027 4.3 engine.exhaust.noise, decision: never}\n"
    lines = [line.strip() for line in run(put(winters(books, jobs=jobs))).stdout.splitlines()]
    at = lines.index("= declined in 2027")
    assert lines[at - 1].startswith("→ Bring exhaust noise to")
    assert lines[at + 1].startswith("also breach: Rear rim width")
