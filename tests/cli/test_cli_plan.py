"""`rulewatch plan` as a user runs it: on paper, as data, and as a calendar file."""

from __future__ import annotations

import json
from pathlib import Path

import icalendar
import jsonschema
import pytest
from click.testing import CliRunner
from support import BODY, clause

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

DEMO = Path(__file__).parents[2]
DAY = ("--today", "2026-11-25")


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args], env={"COLUMNS": "100"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


@pytest.fixture
def workshop(put):
    """A small workspace with two people and a job list."""

    def made(jobs: str, crew: str = "{people: {ina: {name: Ina Thorpe, hours: 7}, ole: {name: Ole Marsh, hours: 14}}}") -> Path:
        return put(
            {
                "rulesets/saltmarsh/body.yaml": BODY,
                "rulesets/saltmarsh/2027/edition.yaml": (
                    "title: Rules 2027\neffective: 2027-01-01\nevents: [{id: opener, title: Opening meeting, on: 2027-01-16}]\n"
                ),
                "rulesets/saltmarsh/2027/05-wheels.md": clause("5.1", "Rims are at most 10 in wide."),
                "cars/crew.yaml": crew,
                "cars/heron/car.yaml": "name: Heron\nentries: [{body: saltmarsh, class: silhouette-b}]\n",
                "cars/heron/jobs.yaml": jobs,
            }
        )

    return made


def test_the_demo_s_winter():
    """A part must be ordered by a day, a wish has no time, money goes by month, and what is not known is not called ready."""
    printed = " ".join(run("plan", "marram", *DAY).output.split())
    assert "No time for 1 wish: marram: A shorter shift linkage; no plan keeps more wishes." in printed
    assert "1 Dec 26 14 Dec 26 (late) 6 Feb 27 264 crowns Synchromesh rings, one set" in printed
    assert "2026-12 300 0 0 264 72" in printed
    assert "1 the work due on 1 March 2027: 86 %" in printed
    assert "Spring meeting, 17 April 2027: unknown: 5 jobs without a plan" in printed
    assert "with Synchromesh rings, one set ordered today: 1: over 99 %" in printed
    assert "The official book and the event's inspectors decide." in printed


def test_the_same_day_gives_the_same_plan(tmp_path):
    """Text, data and calendar, byte for byte; the data is what its schema says."""
    files = [tmp_path / "a.ics", tmp_path / "b.ics"]
    first, second = (run("plan", *DAY, "--json", "--ics", str(file)).stdout for file in files)
    assert first == second
    assert files[0].read_bytes() == files[1].read_bytes()
    data = json.loads(first)
    jsonschema.validate(data, json.loads(schema_bytes("plan.schema.json")))
    assert data["cars"] == ["dunlin", "marram", "samphire"]


def test_what_is_asked_of_a_car_that_is_not_there():
    """It is a fault, and no plan is made of the others."""
    done = run("plan", "marram", "maram")
    assert done.exit_code == 2
    assert "unknown-car no car `maram`" in done.output


def test_when_it_cannot_be_done(workshop):
    """The days missing are told, with the proof that no plan has fewer."""
    jobs = "- {id: a, what: Paint, by: ina, hours: 60, due: opener}\n- {what: Think, decision: ask}\n- {what: Polish, by: ole, hours: 3}\n"
    printed = run("plan", *DAY, root=workshop(jobs)).output
    assert "8 days too few for heron: Paint, due for Opening meeting, 16 Jan 27." in printed
    assert "Late by 8 days in all; no plan is less late." in printed
    assert "Opening meeting, 16 January 2027: under 1 %" in printed
    assert "Not planned: somebody must be asked before it is decided\n  heron: Think\n" in printed


def test_nothing_to_do(workshop, tmp_path):
    """An empty list is an empty plan, and no calendar, which could not be without an entry."""
    done = run("plan", *DAY, "--ics", str(tmp_path / "a.ics"), root=workshop("[]"))
    assert done.exit_code == 0
    assert "nothing to do, so there is no calendar to write" in done.stderr
    assert not (tmp_path / "a.ics").exists()


def test_jobs_that_wait_for_each_other(workshop):
    """They are named and have no place in the plan; `verify` has the fault."""
    jobs = "- {id: a, what: A, hours: 1, after: b}\n- {id: b, what: B, hours: 1, after: a}\n"
    root = workshop(jobs)
    assert "it waits for itself: heron/a → heron/b → heron/a" in run("plan", *DAY, root=root).output
    done = run("verify", root=root)
    assert done.exit_code == 2
    assert "jobs-in-circle" in done.output


# --- The calendar file ------------------------------------------------------------------------------------------------

JOBS = (
    '- {id: rings, what: "Rings, seals; and a \\"very\\" long name: größere Ölwanne für den zweiten Satz Dichtungen \\\\ Federn",'
    " by: ina, hours: 7, due: opener, parts: {what: Rings, lead: 2 weeks, cost: 12.5}}\n"
    "- {id: paint, what: Paint, by: ole, hours: 3, due: 2027-01-10}\n"
    "- {what: Think, decision: ask, due: 2027-01-10}\n"
    "- {what: Late, by: ole, hours: 14, due: 2026-11-26}\n"
)


@pytest.fixture
def written(workshop, tmp_path) -> bytes:
    """The bytes of a calendar file."""
    run("plan", *DAY, "--ics", str(tmp_path / "plan.ics"), root=workshop(JOBS))
    return (tmp_path / "plan.ics").read_bytes()


def test_the_calendar_is_read_by_a_library(written):
    """Events and last days for orders as VEVENT, jobs as VTODO, with every sign as it was written (RFC 5545, 3.3.11)."""
    found = icalendar.Calendar.from_ical(written)
    assert found.errors == []
    events = {str(one["SUMMARY"]): one.decoded("DTSTART").isoformat() for one in found.walk("VEVENT")}
    assert events == {"Opening meeting": "2027-01-16", "Last day to order: Rings": "2026-12-26"}
    todos = {str(one["SUMMARY"]): one for one in found.walk("VTODO")}
    assert set(todos) == {
        'heron: Rings, seals; and a "very" long name: größere Ölwanne für den zweiten Satz Dichtungen \\ Federn',
        "heron: Late",
        "heron: Paint",
        "heron: Think",
    }
    description = next(str(one["DESCRIPTION"]) for one in found.walk("VEVENT") if "order" in str(one["SUMMARY"]))
    assert description.endswith("\nCost: 12.50")
    assert len({str(one["UID"]) for one in found.walk() if "UID" in one}) == 6


def test_due_is_the_first_day_on_which_it_is_overdue(written):
    """RFC 5545, 3.6.2: due on a date is overdue from that day's midnight; so an event's own day, and the day after one that counts."""
    todos = {str(one["SUMMARY"]).split(",")[0]: one for one in icalendar.Calendar.from_ical(written).walk("VTODO")}
    due = {name: one.decoded("DUE").isoformat() for name, one in todos.items()}
    assert due == {
        "heron: Rings": "2027-01-16",
        "heron: Paint": "2027-01-11",
        "heron: Think": "2027-01-11",
        "heron: Late": "2026-11-27",
    }
    for one in todos.values():
        assert "DURATION" not in one  # never beside DUE
        assert "DTSTART" not in one or one.decoded("DTSTART") < one.decoded("DUE")
    assert "DTSTART" in todos["heron: Paint"]


def test_lines_are_folded_at_75_octets(written):
    """RFC 5545, 3.1: no line is longer, each ends with CRLF, and unfolding gives whole letters."""
    lines = written.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in written.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode()  # no letter is parted, which a strict reader would not take
    unfolded = written.replace(b"\r\n ", b"").decode()
    assert (
        'SUMMARY:heron: Rings\\, seals\\; and a "very" long name: größere Ölwanne für den zweiten Satz Dichtungen \\\\ Federn'
        in unfolded
    )


def test_every_component_has_its_stamp_and_a_lasting_name(written, workshop, tmp_path):
    """DTSTAMP and UID once (3.6.1, 3.6.2); another day changes the stamp and no name."""
    run("plan", "--today", "2026-11-27", "--ics", str(tmp_path / "later.ics"), root=workshop(JOBS))
    later = icalendar.Calendar.from_ical((tmp_path / "later.ics").read_bytes())
    now = icalendar.Calendar.from_ical(written)
    for kind in ("VEVENT", "VTODO"):
        assert {str(one["UID"]) for one in now.walk(kind)} == {str(one["UID"]) for one in later.walk(kind)}
        assert {one.decoded("DTSTAMP").isoformat() for one in now.walk(kind)} == {"2026-11-25T00:00:00+00:00"}
        assert {one.decoded("DTSTAMP").isoformat() for one in later.walk(kind)} == {"2026-11-27T00:00:00+00:00"}
