"""A season gone through day by day: bulletins, rules for one event, papers that end, a change of class, drafts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from support import BODY, clause, confirm

from rulewatch import courses
from rulewatch.assess.season import Season
from rulewatch.assess.topics import Topics
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point
from rulewatch.pipeline import assess

EVENTS = """
events:
  - {id: spring, title: Spring meeting, on: 2027-04-10}
  - {id: summer, title: Summer meeting, on: 2027-06-19}
  - {id: autumn, title: Autumn meeting, on: 2027-10-02}
"""
WAIVER = "{clause: '5.1', limit: {wheels.rear.rim_width: {max: 10 in}}, until: 2027-06-19, paper: p. 11}"
SPRING, SUMMER, AUTUMN = date(2027, 4, 10), date(2027, 6, 19), date(2027, 10, 2)


def rim(most: str) -> str:
    """The one rule of the book."""
    return clause("5.1", f"Rims are at most {most} wide.", f"limit: {{wheels.rear.rim_width: {{max: {most}}}}}")


def bulletin(number: int, effective: str, text: str, more: str = "") -> str:
    """A bulletin that replaces the rule."""
    return f"---\nnumber: {number}\npublished: 2027-01-02\neffective: {effective}\n{more}---\n\n{text}"


Told = list[tuple[date | None, str, str, str]]


@pytest.fixture
def season(memory_workspace) -> Callable[..., Told]:
    """What a season says of a car with rims of 10 in: the day, the outcome, and the reason; `none` left out."""

    def told(
        new: str,
        *bulletins: str,
        old: str = rim("11 in"),
        entries: str = "{body: saltmarsh, class: silhouette-b}",
        header: str = EVENTS,
        before: str = "",
    ) -> Told:
        files = {
            "rulesets/saltmarsh/body.yaml": BODY,
            "rulesets/saltmarsh/2026/edition.yaml": f"title: Rules 2026\neffective: 2026-01-01\n{before}",
            "rulesets/saltmarsh/2026/05-wheels.md": old,
            "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\nprevious: 2026\n{header}",
            "rulesets/saltmarsh/2027/05-wheels.md": new,
            "cars/heron/car.yaml": f"name: Heron\nentries: [{entries}]\nspec: {{wheels.rear.rim_width: 10 in}}\n",
        }
        files |= {f"rulesets/saltmarsh/2027/bulletins/{number}.md": text for number, text in enumerate(bulletins, 1)}
        workspace = memory_workspace(files)
        old_book, new_book = (workspace.edition(Point(body="saltmarsh", season=name)) for name in ("2026", "2027"))
        assert old_book is not None
        assert new_book is not None
        stages = courses.stages(workspace, new_book)
        texts = {id(stage.edition): confirm(stage.edition) for stage in stages}
        walk = Season(
            before=confirm(old_book),
            stages=tuple(replace(stage, edition=texts[id(stage.edition)]) for stage in stages),
            compare=courses.comparing(compare_editions),
            topics=Topics(vocabulary=workspace.vocabulary),
        )
        reports = tuple(walk.reports(workspace.cars))
        assert workspace.faults == ()
        found = [(impact.on, report, impact) for report in reports for impact in report.impacts]
        assert all(on == report.on for on, report, _ in found)
        return [(on, one.outcome.value, one.entry.class_name, one.why) for on, _, one in found if one.outcome != "none"]

    return told


def test_limit_that_is_tight_until_a_bulletin_is_a_breach_until_then(season):
    """The book of the first event counts at the first event, whatever a later bulletin says."""
    found = season(rim("9 in"), bulletin(1, "2027-06-01", rim("12 in")))
    assert [each[:2] for each in found] == [(None, "breach"), (SUMMER, "cured")]


def test_limit_that_tightens_by_bulletin_is_a_breach_from_the_next_event_on(season):
    """Legal at the first event, with the smaller room that the season began with."""
    found = season(rim("10.5 in"), bulletin(1, "2027-05-01", rim("9 in")))
    assert [each[:2] for each in found] == [(None, "tighter"), (SUMMER, "breach")]


def test_rule_for_one_event_is_judged_at_that_event_alone(season):
    """It counts there, and no longer at the next."""
    found = season(rim("11 in"), bulletin(1, "2027-06-01", rim("9 in"), "events: [summer]\n"))
    assert [each[:2] for each in found] == [(SUMMER, "breach"), (AUTUMN, "cured")]


def test_entry_that_is_over_is_told_nothing_of_a_later_bulletin(season):
    """What comes after its last event is no matter of the car's."""
    short = "{body: saltmarsh, class: silhouette-b, until: 2027-06-30}"
    assert season(rim("11 in"), bulletin(1, "2027-07-01", rim("9 in")), entries=short) == []


def test_entry_that_begins_late_is_held_against_the_season_before(season):
    """With the book of its own first event."""
    late = "{body: saltmarsh, class: silhouette-b, from: 2027-06-01}"
    found = season(rim("11 in"), bulletin(1, "2027-05-01", rim("9 in")), entries=late)
    assert [each[:2] for each in found] == [(SUMMER, "breach")]


def test_bulletin_after_the_last_event_has_its_own_day(season):
    """It is the book that the next season begins with."""
    assert [each[:2] for each in season(rim("11 in"), bulletin(1, "2027-11-01", rim("9 in")))] == [
        (date(2027, 11, 1), "breach")
    ]


def test_season_without_events_goes_by_the_days_of_its_bulletins(season):
    """Its first day is the one on which it takes effect."""
    found = season(rim("10.5 in"), bulletin(1, "2027-05-01", rim("9 in")), header="")
    assert [each[:2] for each in found] == [(None, "tighter"), (date(2027, 5, 1), "breach")]


def test_class_that_changes_in_the_season_is_held_against_the_one_before(season):
    """What the new class asks and the old did not is told from its first event on, with that reason."""
    rules = rim("11 in").replace("limit:", "classes: [silhouette-b]\nlimit:") + clause(
        "5.2", "Rims are at most 9 in wide.", "classes: [touring-c]\nlimit: {wheels.rear.rim_width: {max: 9 in}}"
    )
    entries = "{body: saltmarsh, class: silhouette-b, until: 2027-05-31}, {body: saltmarsh, class: touring-c, from: 2027-06-01}"
    assert season(rules, old=rules, entries=entries) == [
        (
            SUMMER,
            "breach",
            "touring-c",
            "in touring-c, no longer in silhouette-b: Rear rim width: 10 in, must be at most 9 in",
        )
    ]


@pytest.mark.parametrize(
    ("scope", "why"),
    [("from: 2027-06-01", "5.1 holds from 2027-06-01"), ("from: 2027-10-02", "5.1 holds from 2027-10-02")],
)
def test_reading_that_begins_in_the_season_is_told_with_its_day(season, scope, why):
    """At the first event on or after it, though no word of the book changed that day."""
    rules = rim("9 in").replace("limit:", f"{scope}\nlimit:")
    (found,) = season(rules, old=rules.replace("2027", "2028"))
    assert found[:2] == (SUMMER if "06" in scope else AUTUMN, "breach")
    assert found[3].startswith(f"{why}: ")


def test_waiver_that_ends_is_a_breach_at_the_next_event(season):
    """The day of the event counts, and the paper is named."""
    entry = f"{{body: saltmarsh, class: silhouette-b, waivers: [{WAIVER}]}}"
    (found,) = season(rim("9 in"), old=rim("9 in"), entries=entry)
    assert found[:2] == (AUTUMN, "breach")
    assert found[3].startswith("waiver p. 11 ended on 2027-06-19: ")


@pytest.mark.parametrize(("until", "day"), [("2027-06-30", SUMMER), ("2027-12-31", date(2027, 7, 1))])
def test_entry_stands_under_the_last_text_that_it_saw(memory_workspace, until, day):
    """A bulletin that comes when it is over is none of its own."""
    files = {
        "rulesets/saltmarsh/body.yaml": BODY,
        "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\n{EVENTS}",
        "rulesets/saltmarsh/2027/05-wheels.md": rim("11 in"),
        "rulesets/saltmarsh/2027/bulletins/1.md": bulletin(1, "2027-07-01", rim("9 in")),
        "cars/heron/car.yaml": (
            f"name: Heron\nentries: [{{body: saltmarsh, class: silhouette-b, until: {until}}}]\nspec: {{wheels.rear.rim_width: 10 in}}\n"
        ),
    }
    workspace = memory_workspace(files)
    edition = workspace.edition(Point(body="saltmarsh", season="2027"))
    (found,) = assess(edition, workspace.cars, workspace)
    assert found.day == day
    verdict = next(finding.verdict for finding in found.findings if finding.subject == "wheels.rear.rim_width")
    assert verdict.value == ("unknown" if day == SUMMER else "illegal")  # nobody confirmed the reading that it keeps to


@pytest.mark.parametrize(
    ("rules", "entry", "day"),
    [
        (rim("9 in"), "{body: saltmarsh, class: silhouette-b, from: 2027-03-01}", date(2027, 3, 1)),
        (
            rim("9 in"),
            f"{{body: saltmarsh, class: silhouette-b, waivers: [{WAIVER}]}}",
            date(2027, 6, 20),
        ),
        (
            rim("9 in").replace("limit:", "from: 2027-06-01\nlimit:"),
            "{body: saltmarsh, class: silhouette-b}",
            date(2027, 6, 1),
        ),
    ],
    ids=["entry begins", "waiver ends", "reading begins"],
)
def test_season_without_events_is_gone_through_too(season, rules, entry, day):
    """An entry that begins, a paper that ends and a reading that begins have days of their own."""
    found = season(rules, entries=entry, header="")
    assert found[-1][:2] == (day, "breach")


def test_breach_of_the_season_before_is_no_new_one(season):
    """The older side is judged as the car ended that season, whenever in it a rule began; no word of the rule changed since."""
    old = rim("9 in").replace("limit:", "from: 2026-06-30\nlimit:")
    found = season(rim("9 in"), old=old, before=EVENTS.replace("2027", "2026"))
    assert found == []


def test_waiver_that_ends_is_the_reason_though_a_bulletin_gave_more_room(season):
    """The rule became looser that day, and yet the car breaks it: it is the paper that is missing."""
    entry = f"{{body: saltmarsh, class: silhouette-b, waivers: [{WAIVER.replace('06-19', '05-31')}]}}"
    (found,) = season(rim("9 in"), bulletin(1, "2027-06-01", rim("9.5 in")), old=rim("9 in"), entries=entry)
    assert found[:2] == (SUMMER, "breach")
    assert found[3] == "waiver p. 11 ended on 2027-05-31: Rear rim width: 10 in, must be at most 9.5 in"


@pytest.mark.parametrize(
    ("old_scope", "new_scope", "why"),
    [
        ("classes: [silhouette-b]\n", "classes: [touring-c]\n", "in touring-c, no longer in silhouette-b: "),
        ("classes: [silhouette-b, touring-c]\n", "", ""),  # the rule is for both, so that the class has no part in it
    ],
)
def test_class_that_changes_is_the_reason_though_a_bulletin_came_between(season, old_scope, new_scope, why):
    """Where what decides is not for both classes, the class is named before whatever the bulletin changed."""

    def other(most: str) -> str:
        return clause("5.2", f"Rims: {most}.", f"{new_scope}limit: {{wheels.rear.rim_width: {{max: {most}}}}}")

    own = rim("11 in").replace("limit:", f"{old_scope}limit:")
    entries = "{body: saltmarsh, class: silhouette-b, until: 2027-05-31}, {body: saltmarsh, class: touring-c, from: 2027-06-01}"
    last = other("9 in" if new_scope else "12 in")
    found = season(own + last, bulletin(1, "2027-06-01", other("8 in")), old=own + last, entries=entries)
    assert [each[:3] for each in found] == [(SUMMER, "breach", "touring-c")]
    assert found[0][3] == f"{why}Rear rim width: 10 in, must be at most 8 in"


def test_reading_that_ends_is_the_reason_though_a_bulletin_came_between(season):
    """A clause that gave more room until a day does so no longer."""
    until = clause(
        "5.1",
        "Rims are at most 11 in wide until the end of May 2027, then 9 in.",
        "until: 2027-05-31\nlimit: {wheels.rear.rim_width: {max: 11 in}}",
        "from: 2027-06-01\nlimit: {wheels.rear.rim_width: {max: 9 in}}",
    )
    tidy = until.replace("then 9 in.", "then 9.5 in.").replace("9 in}", "9.5 in}")
    (found,) = season(until, bulletin(1, "2027-06-01", tidy), old=until)
    assert found[3].startswith("5.1 held until 2027-05-31: ")


@pytest.mark.parametrize("of_season", ["", "season: '2026', "])
@pytest.mark.parametrize("most", ["9 in", "9.5 in"])
def test_waiver_does_not_go_with_a_rule_that_gets_another_number(season, of_season, most):
    """A waiver names a number: where the rule has another one, that is said, and the rule that has its number has no part in it."""

    def books(width: str, rear: str, front: str) -> str:
        rims = clause(rear, f"The rear rims are at most {width} wide.", f"limit: {{wheels.rear.rim_width: {{max: {width}}}}}")
        return "".join(sorted((rims, clause(front, "The badge is on the left.", "concerns: paperwork"))))

    paper = WAIVER.replace("{clause", f"{{{of_season}clause").replace("2027-06-19", "2027-12-31")
    entry = f"{{body: saltmarsh, class: silhouette-b, waivers: [{paper}]}}"
    (found,) = season(books(most, "5.2", "5.1"), old=books("9 in", "5.1", "5.2"), entries=entry)
    assert found[1] == "breach"
    assert found[3] == f"waiver p. 11 names 5.1, which is 5.2 now: Rear rim width: 10 in, must be at most {most}"
