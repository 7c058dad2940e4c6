"""`rulewatch inspection` as a crew uses it, and that an unknown is never shown as a pass."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch import pipeline
from rulewatch.assess.inspection import inspection_sheet
from rulewatch.assess.verdicts import judge
from rulewatch.cli import cli
from rulewatch.library import Library
from rulewatch.model.edition import Point, Selector
from rulewatch.model.impact import Verdict
from rulewatch.publish.data import schema_bytes
from rulewatch.publish.inspection_words import line_words, verdict_words

DEMO = Path(__file__).parents[2]
TODAY = ("--today", "2026-11-25")


def run(*args: str, root: Path = DEMO):
    """Run a command in this process."""
    done = CliRunner().invoke(cli, ["-C", str(root), *args], env={"COLUMNS": "110"})
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def test_each_entry_has_its_sheet_for_its_next_event():
    """The day's event under the day's rules; an entry that begins in the summer has the first event after that."""
    printed = run("inspection", "dunlin", *TODAY).output
    titles = re.findall(r"^Dunlin in (\S+) of \S+, 2027: for (\w+ meeting)", printed, re.MULTILINE)
    assert titles == [
        ("silhouette-b", "Spring meeting"),
        ("light-coupe", "Opening meeting"),
        ("grand-tourer", "Summer meeting"),
    ]
    assert re.findall(r"for (\w+ meeting)", run("inspection", "dunlin", "--today", "2027-09-01").output)[0] != "Spring meeting"


def test_what_runs_out_in_the_season_is_said_now():
    """An item that is good at the sheet's event, and too old for later ones, names them."""
    printed = " ".join(run("inspection", "dunlin", "--open", *TODAY).output.split())
    assert "good until 12 June 2027; not for Summer meeting (10 July 2027)" in printed


def test_what_stands_on_a_sheet():
    """Evidence, questions with their answers, waivers, blanks to fill in, a place to sign, and the cautions."""
    printed = " ".join(run("inspection", "dunlin", *TODAY).output.split())
    for part in (
        "evidence: scale slips of 7 November, crew folder",
        "Answered 9 February 2026 by technical committee",
        "Not answered yet: ask before the event.",
        "8.1: log book, page 7, until 31 August 2027",
        "Brake duct diameter (F.3.5): ____",
        "Seen by ____",
        "not that the part protects anyone",
        "Loose ballast can kill",
        "The official book and the event's inspectors decide.",
    ):
        assert part in printed


def test_open_leaves_out_what_is_settled():
    """With --open every line that is left is illegal, unknown or at risk, or too old for an event to come."""
    full, short = (run("inspection", "marram", *TODAY, *more).output for more in ((), ("--open",)))
    assert full.count("[ ]") > 3 * short.count("[ ]")
    assert not re.search(r"\[ \] Legal \d", short)


def test_sheets_as_data_follow_their_schema():
    """The same as JSON, of every car of the demo."""
    schema = json.loads(schema_bytes("inspection.schema.json"))
    for car in ("marram", "samphire", "dunlin"):
        data = json.loads(run("inspection", car, *TODAY, "--json").stdout)
        jsonschema.validate(data, schema)
        assert {sheet["verdict"] for sheet in data["sheets"]} == {"illegal"}
    at = json.loads(run("inspection", "marram", "--in", "saltmarsh/2027@event:autumn", "--json").stdout)["sheets"]
    assert [sheet["events"] for sheet in at] == [["autumn"]]


def test_when_entries_close(put):
    """The last day for entries stands on the sheet, before it and after."""
    root = put(
        {
            "rulesets/club/body.yaml": "name: Club\nclasses: [open]\n",
            "rulesets/club/2027/edition.yaml": "title: R\neffective: 2027-01-01\n"
            "events: [{id: spring, title: Spring, on: 2027-04-10, entries_close: 2027-03-01}]\n",
            "rulesets/club/2027/1.md": "# 1 Wheels\n\nWheels are round.\n",
            "cars/a/car.yaml": "name: A\nentries: [{body: club, class: open}]\n",
        }
    )
    assert "Entries for Spring close on 1 March 2027." in run("inspection", "a", "--today", "2027-02-01", root=root).output
    assert "Entries for Spring closed on 1 March 2027." in run("inspection", "a", "--today", "2027-03-02", root=root).output


@pytest.fixture(scope="module")
def demo():
    """Every book and car of the demo, read once."""
    with Library(DEMO) as library:
        workspace = library.workspace()
        books = [
            workspace.edition(Point(body=body, season="2027", selector=Selector.ALL)) for body in ("saltmarsh", "five-lakes")
        ]
        return workspace, books


@settings(max_examples=40, deadline=None, derandomize=True)
@given(draw=st.randoms(use_true_random=False), share=st.floats(0, 1))
def test_an_unknown_is_never_shown_as_a_pass(demo, draw, share):
    """Cars of the demo with values taken away: no line that is not legal has a word of passing, nor has the sheet.

    Nor does a value that is gone make anything legal that is not known without it, unless what goes is what broke a rule.
    """
    workspace, books = demo
    car = draw.choice(workspace.cars)
    kept = {name: stated for name, stated in car.spec.items() if draw.random() >= share}
    car = replace(car, spec=kept)
    for book in books:
        for entry in car.entries:
            if entry.body != book.body.id:
                continue
            judged = judge(book, car, entry, entry.since or date(2027, 7, 10), workspace.vocabulary)
            sheet = inspection_sheet(judged, workspace.vocabulary, float(workspace.crew.p))
            lines = [*(line for system in sheet.systems for line in system.lines), *sheet.lives]
            for line in lines:
                words = line_words(line, sheet, workspace.vocabulary)
                assert words.verdict.startswith(
                    {"legal": "Legal", "illegal": "Illegal", "unknown": "Unknown"}[line.finding.verdict]
                )
                if line.finding.missing:
                    assert line.finding.verdict is not Verdict.LEGAL
            shown = {id(line.finding) for line in lines} | {id(one) for one in (*sheet.idle, *sheet.unread)}
            assert shown == {id(one) for one in judged.findings}
            assert all(one.verdict is Verdict.LEGAL for one in sheet.idle)
            unknown = sum(one.verdict is Verdict.UNKNOWN for one in judged.findings)
            assert f", {unknown} unknown" in verdict_words(sheet)
            if unknown:
                assert judged.verdict is not Verdict.LEGAL


def test_every_command_and_page_that_shows_a_verdict(tmp_path):
    """A car of which nothing is known: no output and no page of it says that anything about it passes."""
    from shutil import copytree

    copytree(DEMO / "rulesets", tmp_path / "rulesets")
    (tmp_path / "cars" / "ghost").mkdir(parents=True)
    (tmp_path / "cars" / "ghost" / "car.yaml").write_text("name: Ghost\nentries: [{body: saltmarsh, class: silhouette-b}]\n")
    sheet = run("inspection", "ghost", *TODAY, root=tmp_path).output
    judged = json.loads(run("inspection", "ghost", *TODAY, "--json", root=tmp_path).stdout)["sheets"][0]
    assert judged["verdict"] == "unknown"
    stated = [line for line in judged["requirements"] if line["verdict"] == "legal"]
    assert all(not line["value"] for line in stated)
    assert sheet.count("[ ] Unknown") == sum(
        line["verdict"] == "unknown" for line in (*judged["requirements"], *judged["lives"])
    )
    site = pipeline.site(tmp_path, date(2026, 11, 25)).value
    assert {one.verdict for one in site.assessments} == {Verdict.UNKNOWN}


CLUB = {
    "rulesets/club/body.yaml": "name: Club\nclasses: [open]\n",
    "rulesets/club/2026/edition.yaml": "title: R\neffective: 2026-01-01\nevents: [{id: midsummer, title: Midsummer, on: 2026-06-20}]\n",
    "rulesets/club/2026/1.md": "# 1 Width\n\nAt most 1900 mm.\n\n```reading\nlimit: {car.width: {max: 1900 mm}}\n```\n",
    "rulesets/club/2027/edition.yaml": "title: R\neffective: 2027-01-01\nprevious: 2026\n"
    "events: [{id: spring, title: Spring, on: 2027-04-17, until: 2027-04-18}, {id: autumn, title: Autumn, on: 2027-10-02}]\n",
    "rulesets/club/2027/1.md": "# 1 Width\n\nAt most 1900 mm, and a harness of 5 years.\n\n```reading\nlimit: {car.width: {max: 1900 mm}}\n"
    "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}\n```\n",
}


def car_of(spec="{car.width: 1890 mm}", entry="", rest=""):
    """A car of the club."""
    return {"cars/a/car.yaml": f"name: A\nentries: [{{body: club, class: open{entry}}}]\nspec: {spec}\n{rest}"}


def test_the_next_event_may_be_of_the_season_that_still_runs(put):
    """The new book is out while the old season is not over."""
    root = put({**CLUB, **car_of()})
    assert "2026: for Midsummer, Saturday 20 June 2026" in run("inspection", "a", "--today", "2026-05-01", root=root).output


def test_entries_that_are_over_and_seasons_without_an_event_left(put):
    """Of an entry that ended there is no sheet; after the last event the sheet says that there is none left."""
    over = put({**CLUB, **car_of(entry=", until: 2027-06-30")})
    assert "for Spring" in run("inspection", "a", "--today", "2027-04-01", root=over).output
    assert "is entered in no class" in run("inspection", "a", "--today", "2027-07-15", root=over).output
    after = put({**CLUB, **car_of()})
    assert (
        "No event of this entry is left after 1 December 2027"
        in run("inspection", "a", "--today", "2027-12-01", root=after).output
    )


def test_waivers_that_do_not_hold(put):
    """One that ends on the first of two days, or is of another season, says so; one that is too short for a later event names it."""
    papers = (
        "{clause: '1', limit: {car.width: {max: 1950 mm}}, until: 2027-04-17, paper: short}, "
        "{clause: '1', limit: {car.width: {max: 1950 mm}}, until: 2027-12-31, paper: old, season: '2026'}, "
        "{clause: '1', limit: {car.width: {max: 1950 mm}}, until: 2027-06-30, paper: good}"
    )
    root = put({**CLUB, **car_of(entry=f", waivers: [{papers}]")})
    printed = " ".join(run("inspection", "a", "--today", "2027-04-01", root=root).output.split())
    assert "1: short, until 17 April 2027; does not hold here: over by then" in printed
    assert "1: old, until 31 December 2027; does not hold here: for the rules of 2026" in printed
    assert "1: good, until 30 June 2027; not for Autumn (2 October 2027)" in printed


def test_a_life_that_begins_after_the_inspection(put):
    """A slip of the pen is no pass: nobody knows how old the item is; and verify tells of it."""
    root = put({**CLUB, **car_of("{car.width: 1890 mm, safety.harness.made: 2029-06-01}")})
    printed = " ".join(run("inspection", "a", "--today", "2027-04-01", root=root).output.split())
    assert "Unknown 1 Harness" in printed
    assert "2029-06-01 is after the day of the inspection" in printed
    assert "values-disagree" in run("verify", root=root).output


def test_the_mean_of_readings_has_its_own_uncertainty(put):
    """Not that of the instrument alone."""
    spec = "{car.width: {readings: [1890.2 mm, 1890.9 mm, 1891.3 mm], u: 0.5 mm, on: 2027-01-01}}"
    root = put({**CLUB, **car_of(spec)})
    assert "mean of 3 readings, ± 0.815 mm" in " ".join(
        run("inspection", "a", "--today", "2027-04-01", root=root).output.split()
    )


def test_a_value_that_the_body_s_rule_keeps_from_its_limit(put):
    """Inside the limit and illegal is not called room to spare."""
    guarded = {**CLUB, "rulesets/club/body.yaml": "name: Club\nclasses: [open]\ndecision: {rule: guarded}\n"}
    root = put({**guarded, **car_of("{car.width: {value: 1899.2 mm, u: 1 mm, on: 2027-01-01}}")})
    printed = " ".join(run("inspection", "a", "--today", "2027-04-01", root=root).output.split())
    assert "inside the limit, too near for the body's rule" in printed
    assert "to spare" not in printed


def test_spec_and_corners_that_disagree(put):
    """The weight of the spec and the sum of the corners of the same day are held against each other."""
    corners = "{front_left: 220 kg, front_right: 215 kg, rear_left: 215 kg, rear_right: 216 kg}"
    rest = f"balance: {{weighed: {{on: 2027-03-01, with: {{driver: yes}}, scales: {{u: 0.5 kg}}, corners: {corners}}}}}\n"
    spec = "{car.width: 1890 mm, car.weight: {value: 880 kg, u: 1 kg, on: 2027-03-01, with: {driver: yes}}}"
    assert (
        "a weighs 880 kg by its spec, and 866 kg by its corners"
        in run("verify", root=put({**CLUB, **car_of(spec, rest=rest)})).output
    )
