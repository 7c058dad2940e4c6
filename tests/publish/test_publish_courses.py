"""The history of clauses on the pages of chapters: quiet where nothing happened, whole where something did."""

from __future__ import annotations

import posixpath
import re
from dataclasses import replace
from itertools import pairwise
from urllib.parse import unquote

import pytest
from five_seasons import files as five_files
from five_seasons import threads
from publish_example import SITE
from publish_pages import Page, pages_of

from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.lineage import lineages
from rulewatch.model.change import Effect
from rulewatch.model.site import SiteInput
from rulewatch.model.timeline import Recorded, Scope
from rulewatch.publish.site import site_files

CHART = '<svg class="chart"'


@pytest.fixture(scope="module")
def site(memory_workspace) -> SiteInput:
    """The five seasons as a site."""
    found = threads(memory_workspace(five_files()))
    course = found.course
    ends = [at for at, point in enumerate(course.points) if point.season != "2024" or point.day is not None]
    editions = tuple(course.editions[at] for at in ends)
    return replace(
        SITE,
        bodies=(editions[0].body,),
        editions=editions,
        comparisons=(),
        cars=(),
        assessments=(),
        impacts=(),
        timelines=tuple(one for one in map(found.timeline, found.all) if one.has_history),
        lineages=lineages(editions, [compare_editions(old, new) for old, new in pairwise(editions)]),
    )


@pytest.fixture(scope="module")
def made(site) -> dict[str, bytes]:
    """Its files."""
    return site_files(site)


@pytest.fixture(scope="module")
def five(made) -> dict[str, Page]:
    """Its pages."""
    return pages_of(made)


def clause(files: dict[str, bytes], page: str, number: str) -> str:
    """The HTML of one clause."""
    body = files[f"rules/saltmarsh/{page}.html"].decode()
    return body.partition(f'id="c-{number.replace(".", "_")}"')[2].partition("</article>")[0]


def test_a_rule_shows_its_history_once_on_the_newest_page_that_has_it(made):
    """The limit on rims moved each year and was last seen as 5.4 in 2026; older pages only lead there."""
    assert CHART in clause(made, "2026/05", "5.4")
    assert clause(made, "2026/05", "5.4").count(CHART) == 2
    for page, number in (("2023/06", "6.1"), ("2024/06", "6.2"), ("2025/06", "6.2")):
        old = clause(made, page, number)
        assert CHART not in old
        assert ">5.4 in 2026</a>" in old
    assert "now" not in re.sub(r"<[^>]*>", "", clause(made, "2026/05", "5.4").partition("</header>")[0])


def test_every_number_leads_to_the_rule_as_it_stands(made, five):
    """The link of an old number ends at the clause's own anchor."""
    page = "rules/saltmarsh/2023/05.html"
    links = [address for tag, address in five[page].addresses if "2027/05.html#c-5_1" in address]
    assert links
    target, _, anchor = links[0].partition("#")
    assert anchor in five[posixpath.normpath(posixpath.join(posixpath.dirname(page), target))].ids


def test_what_never_changed_is_quiet(made):
    """A clause that stands since the first book as it is, and a new one of the last, have no chart; the latter says it is new."""
    assert CHART not in clause(made, "2027/07", "7.2")
    assert "History: new in 2027" in clause(made, "2027/07", "7.2")
    assert "History" not in clause(made, "2023/07", "7.1")


def test_the_table_behind_the_chart_has_every_station(made):
    """Seasons and bulletins with number, change, effect, value and who confirmed; how often such rules change below."""
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", clause(made, "2026/05", "5.4")))
    for words in (
        "History: 5 changes since 2023",
        "2023 from 1 January 2023 6.1 First known",
        "2024 from 1 January 2024 6.2 Reworded, renumbered loosened for all classes: rear rim width looser",
        "Bulletin 1 from 1 July 2024 6.2 Reworded tightened for all classes",
        "2026 from 1 January 2026 5.4 Moved",
        "2027 from 1 January 2027 Repealed",
        "Reading confirmed by ina, 1 February 2023",
        "Rear rim width, at most; silhouette-b: 9.5 in",
        "3 freedoms given, 2 taken again after 6 months to 12 months",
    ):
        assert words in text, words


def test_how_long_a_new_freedom_may_last_stands_in_the_open(site, made):
    """Where the last change loosened a rule, before its history; elsewhere behind it only."""
    shown = [
        (f"{one.point.season}/{one.clause.chapter}", one.clause.id)
        for timeline in site.timelines
        for one in [next(station for station in reversed(timeline.stations) if station.clause is not None)]
        if (last := next(station for station in reversed(timeline.stations) if station.changed))
        and Effect.LOOSENED in last.effects.values()
        and any(habit.freedoms for habit in timeline.habits if habit.scope is not Scope.CLAUSE)
    ]
    assert shown
    for page, number in shown:
        before, _, _ = clause(made, page, number).partition("<details>")
        assert "How long such freedoms last." in before
        assert "given" in before
    assert sum(body.count(b"How long such freedoms last.") for body in made.values()) == len(shown)


def test_unchanged_stations_say_so_in_two_words(made):
    """A bulletin that left the rule alone repeats neither the effect nor the confirmation."""
    row = clause(made, "2027/07", "7.1").partition("Bulletin 1")[2].partition("</tr>")[0]
    assert "As before" in row
    assert "confirmed" not in row
    assert "loosened" not in row


def test_links_ids_and_headings_hold(made, five):
    """Every link of the histories leads somewhere, no id stands twice, and nothing is inline."""
    for path, page in five.items():
        assert len(page.ids) == len(set(page.ids)), path
        assert all(after <= before + 1 for before, after in pairwise(page.levels)), path
        assert not {name for _, attrs in page.tags for name in attrs if name == "style" or name.startswith("on")}, path
        for _, address in page.addresses:
            file, _, anchor = address.partition("#")
            target = posixpath.normpath(posixpath.join(posixpath.dirname(path), unquote(file))) if file else path
            assert target in made, f"{path}: {address}"
            assert not anchor or anchor in five[target].ids, f"{path}: {address}"


def test_same_input_gives_same_bytes(site, made):
    """A second run gives the same bytes."""
    assert site_files(site) == made


def test_who_recorded_it_never_reaches_the_site(site, made):
    """A name from the workspace's git history is on no page, even if it was asked for."""
    stranger = Recorded(by="Commit Ter", on=SITE.day, commit="0" * 40)
    told = tuple(
        replace(one, stations=tuple(replace(station, recorded=stranger) for station in one.stations)) for one in site.timelines
    )
    assert site_files(replace(site, timelines=told)) == made


def test_a_hand_made_comparison_has_histories_too(files, pages):
    """Two seasons without a bulletin's own station; a repealed clause has its history in the older book."""
    body = files["rules/saltmarsh/2027/05-wheels.html"].decode()
    assert "10.5 in from 2026, 10 in from 2027" in body
    assert "Repealed" in pages["rules/saltmarsh/2026/06-aerodynamics.html"].text
