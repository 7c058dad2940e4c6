"""The page of jobs of a car: who does what by when, boxes to tick, and the way to the rule that caused each job."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from publish_example import SITE
from publish_pages import pages_of

from rulewatch.model.fault import Place
from rulewatch.model.impact import Outcome
from rulewatch.model.job import Cause, Choice, Decision, Done, Job
from rulewatch.model.work import Estimate
from rulewatch.model.worklist import State, Task, Trail
from rulewatch.publish.site import site_files

CHROMIUM = next((found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None)
PLACE = Place(path="cars/curlew/jobs.yaml")
RIMS = Cause(body="saltmarsh", season="2026", clause="5.1", quantity="wheels.rear.rim_width")
NOW = Trail(body="saltmarsh", season="2027", clause="5.1.1")


def task(what: str, state: State = State.TO_DO, **more: object) -> Task:
    """A job on the list of one car."""
    own = {key: more.pop(key) for key in ("by", "decision", "done", "cause", "hours", "note") if key in more}
    return Task(car="curlew", job=Job(what=what, place=PLACE, **own), state=state, **more)


TASKS = (
    task(
        "Narrower rims",
        by=("mara",),
        cause=RIMS,
        trail=NOW,
        system="Wheels",
        outcome=Outcome.BREACH,
        due=date(2027, 4, 17),
        event="Spring",
    ),
    task(
        "<b>Clutch</b>",
        by=("mara", "tam"),
        hours=Estimate.exactly(Fraction(5, 2)),
        due=date(2026, 11, 1),
        note="keep the old one",
    ),
    task(
        "Wing",
        State.SUGGESTED,
        cause=replace(RIMS, quantity="aero.rear_wing"),
        trail=NOW,
        system="Aerodynamics",
        outcome=Outcome.OPENING,
    ),
    task("Ask", State.ASK, decision=Decision(choice=Choice.ASK)),
    task("Gone", cause=RIMS, trail=replace(NOW, season="2026", clause="5.1", gone=True)),
    task("Lost", cause=replace(RIMS, clause="9.9"), lost=True),
    task(
        "Never",
        State.DECLINED,
        decision=Decision(choice=Choice.NEVER, by="mara", on=date(2026, 12, 1), why="no use."),
        outcome=Outcome.BREACH,
        asks="Bring rear rim width to: at most 9 in (5.1.1)",
    ),
    task("Ready", State.DONE, done=Done(on=date(2026, 12, 20), by=("tam",))),
)
FILES = site_files(replace(SITE, tasks=TASKS))
PAGE = FILES["jobs/curlew.html"].decode()


def items(part: str) -> list[str]:
    """What stands in the jobs of a part of the page, each folded to one line without tags."""
    found = re.findall(r'<li class="task.*?</li>', part, re.DOTALL)
    return [" ".join(re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", "", each, flags=re.DOTALL)).split()) for each in found]


def section(anchor: str) -> str:
    """A part of the page from its heading to the next of its kind."""
    return PAGE.partition(f'id="{anchor}"')[2].partition("<h2")[0]


def test_each_job_stands_under_who_does_it():
    """By the day it is due, in the order of the crew; what nobody has taken comes last."""
    people = section("people")
    assert re.findall(r"<h3[^>]*>(.*?)</h3>", people) == ["Mara Holm", "tam", "Nobody yet"]
    assert items(people)[:2] == [
        "&lt;b&gt;Clutch&lt;/b&gt; Overdue since 1 November 2026 2.5 h Keep the old one.",
        "Narrower rims Breach Due 17 April 2027, Spring Saltmarsh Circuit Club 2027, 5.1.1",
    ]


def test_each_job_stands_under_its_part_of_the_car():
    """With the people beside it; what is only suggested, or to be asked first, says so."""
    parts = section("parts")
    assert re.findall(r"<h3[^>]*>(.*?)</h3>", parts) == ["Aerodynamics", "Wheels", "No part of the car"]
    assert items(parts)[0].startswith("Wing Opening Suggested , not on the list yet")
    assert "Ask Ask first Somebody to be asked first." in items(parts)
    assert any("Mara Holm, tam" in item for item in items(parts))


def test_what_is_to_be_done_has_a_box_and_what_is_over_has_none():
    """Declined and done stand apart, below, with the reasons."""
    waiting, over = PAGE.split("<h2>Decided against</h2>")
    assert waiting.count('class="task boxed"') == len(items(waiting))
    assert 'class="task boxed"' not in over
    assert items(over) == [
        "Never Breach Declined in 2026 by Mara Holm because no use. The rules now: Bring rear rim width to: at most 9 in (5.1.1).",
        "Ready Done on 20 December 2026 by tam.",
    ]


def test_a_cause_leads_to_its_clause_as_it_is_now():
    """One that is gone or not found leads nowhere, and says so."""
    pages = pages_of(FILES)
    href = re.search(r'href="([^"]+)"[^>]*>Saltmarsh Circuit Club 2027, 5.1.1', PAGE)
    assert href is not None
    target, _, anchor = href[1].removeprefix("../").partition("#")
    assert f'id="{anchor}"' in FILES[target].decode()
    assert "saltmarsh 2026, 5.1, gone since" in PAGE
    assert "saltmarsh 2026, 9.9, which is not found" in PAGE
    assert "jobs/curlew.html" in pages


def test_the_page_of_a_car_leads_to_its_jobs():
    """With how many there are."""
    car = FILES["cars/curlew.html"].decode()
    assert (
        '<a href="../jobs/curlew.html">6 jobs to do, 1 of them only suggested, 1 to ask about first; 1 done, 1 declined</a>'
        in car
    )


def test_a_car_without_jobs_has_a_page_that_says_so():
    """Its link works."""
    assert "Nothing to do." in FILES["jobs/dunlin.html"].decode()


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed here")
@pytest.mark.parametrize(("paper", "width", "height"), [("A4", 595, 842), ("Letter", 612, 792)])
def test_boxes_print_on_the_paper_of_both_worlds(tmp_path, paper, width, height):
    """Each list begins a page of its own, and no page is wider than the paper. Sizes in points: ISO 216 and ANSI/ASME Y14.1, from memory."""
    for name, data in FILES.items():
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    style = tmp_path / "assets/site.css"
    style.write_text(style.read_text().replace("@page { ", f"@page {{ size: {paper}; "))
    printed = tmp_path / "jobs.pdf"
    subprocess.run(
        [
            str(CHROMIUM),
            "--headless",
            "--no-sandbox",
            "--no-first-run",
            f"--user-data-dir={tmp_path / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={printed}",
            (tmp_path / "jobs/curlew.html").as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", printed.read_bytes())
    assert len(boxes) >= 2
    assert all(abs(float(x) - width) < 1 and abs(float(y) - height) < 1 for x, y in boxes)


def test_the_page_of_a_car_tells_what_was_done_on_it():
    """The newest first, with what it altered and by whom; work without a day last; no such part where nothing was done."""
    past = (
        Task(car="curlew", state=State.DONE, job=Job(what="Dayless", place=PLACE, done=Done())),
        Task(
            car="curlew",
            state=State.DONE,
            trail=NOW,
            job=Job(
                what="Narrower <rims>",
                place=PLACE,
                cause=RIMS,
                alters=("wheels.rear.rim_width",),
                by=("tam",),
                done=Done(on=date(2027, 2, 20), by=("mara",)),
            ),
        ),
        Task(car="curlew", state=State.DONE, job=Job(what="Older", place=PLACE, done=Done(on=date(2026, 2, 20)))),
    )
    page = site_files(replace(SITE, tasks=(*TASKS, *past)))["cars/curlew.html"].decode()
    part = page.partition('id="history"')[2].partition("</section>")[0]
    assert part.index("Narrower &lt;rims&gt;") < part.index("Older") < part.index("Dayless")
    row = part.partition("Narrower")[2].partition("</tr>")[0]
    for text in ("20 February 2027", "Mara", "Rear rim width", "5.1.1"):
        assert text in row, text
    assert "day not written" in part.partition("Dayless")[2]
    assert 'href="#history"' in page or 'curlew.html#history"' in page
    assert 'id="history"' not in site_files(replace(SITE, tasks=TASKS[:1]))["cars/curlew.html"].decode()
