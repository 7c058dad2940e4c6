"""The demo: the workspace that the project ships is without faults, and shows what it is there to show.

The tables say which clause shows which kind of change, effect, outcome and feature of readings. Clauses are named by the season
whose book is the newer one, and their number in it; what was repealed by its old number.
"""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from rulewatch import cli, pipeline
from rulewatch.assess.verdicts import judge
from rulewatch.library import Library
from rulewatch.model.amounts import read_amount
from rulewatch.model.change import Change, Comparison, Effect, Kind, Tie
from rulewatch.model.edition import BulletinStatus, Edition, Point
from rulewatch.model.impact import Assessment, Impact, Outcome, Verdict
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import (
    All,
    Any,
    Bound,
    Condition,
    Greatest,
    Least,
    Linear,
    Not,
    OneOf,
    Range,
    Reading,
    Sheet,
    Steps,
)
from rulewatch.model.reading import Test as Asked
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.parse.points import parse_point
from rulewatch.two_points import compare

ROOT = Path(__file__).parents[1]
START = ROOT / "rulewatch" / "data" / "start"
TODAY = date(2026, 11, 25)

MOVED, RENUMBERED, REWORDED = Kind.MOVE, Kind.RENUMBERING, Kind.SUBSTITUTION
JOINED, SPLIT, INSERTED, REPEALED = Kind.JOIN, Kind.SPLIT, Kind.INSERTION, Kind.REPEAL

# Every change of a season, with its bulletins, against the one before: by kinds, the old numbers > the new ones.
CHANGES = {
    "2026": {
        (
            INSERTED,
        ): ">1.10, >3.7, >4.12, >6.12, >7.2, >7.5, >7.6, >8.4, >8.18, >9, >9.3, >9.6, >9.11, >9.16, >9.18, >10.9, >11.6",
        (REPEALED,): "6.6>",
        (REWORDED,): """1.3>1.3, 1.7>1.7, 2.8>2.8, 3.1>3.1, 3.4>3.4, 3.5>3.5, 4.2>4.2, 4.5>4.5, 4.8>4.8, 4.10>4.10, 4.11>4.11,
            5.2>5.2, 5.3>5.3, 5.6>5.6, 5.7>5.7, 6.2>6.2, 8>8, 8.1>8.1, 8.3>8.3""",
        (RENUMBERED,): """3.8>3.9, 4.13>4.14, 6.7>6.6, 6.9>6.8, 6.10>6.9, 6.11>6.10, 6.12>6.11, 7.2>7.3, 7.5>7.8, 7.6>7.9,
            8.4>8.5, 8.5>8.6, 8.5(a)>8.6(a), 8.5(c)>8.6(c), 8.7>8.8, 8.8>8.9, 8.9>8.10, 8.10>8.11, 8.11>8.12, 8.16>8.17,
            9>10, 9.1>10.1, 9.2>10.2, 9.3>10.3, 9.4>10.4, 9.5>10.5, 9.6>10.6, 9.8>10.8,
            10>11, 10.1>11.1, 10.2>11.2, 10.3>11.3, 10.4>11.4, 10.5>11.5, 10.6>11.7""",
        (RENUMBERED, REWORDED): """3.7>3.8, 4.12>4.13, 4.14>4.15, 6.8>6.7, 7.3>7.4, 7.4>7.7, 8.5(b)>8.6(b), 8.6>8.7,
            8.12>8.13, 8.13>8.14, 8.14>8.15, 8.15>8.16, 9.7>10.7""",
        (MOVED,): "8.22>9.8, 8.23>9.9, 8.24>9.10, 8.25>9.12, 8.27>9.14, 8.28>9.15, 8.29>9.17",
        (MOVED, REWORDED): "8.17>9.1, 8.18>9.2, 8.26>9.13",
        (MOVED, SPLIT): "8.19>9.4 9.5",
        (MOVED, JOINED): "8.20 8.21>9.7",
    },
    "2027": {
        (INSERTED,): ">1.2, >4.5, >4.15, >5.8, >6.1, >6.13, >7.7, >7.8, >7.10, >8.18, >9.3, >10.10",
        (REPEALED,): "4.4>, 6.10>, 7.6>, 8.12>, 9.17>",
        (REWORDED,): """2.1(b)>2.1(b), 2.6>2.6, 3.1>3.1, 4.1>4.1, 4.2>4.2, 4.3>4.3, 4.6>4.6, 4.7>4.7, 4.9>4.9, 4.12>4.12,
            6.12>6.12, 7.1>7.1, 7.2>7.2, 7.3>7.3, 7.4>7.4, 8.5>8.5, 8.6(c)>8.6(c), 8.8>8.8, 8.10>8.10, 8.11>8.11, 9.2>9.2,
            10.4>10.4, 10.6>10.6, 10.7>10.7, 11.2>11.2, 11.5>11.5""",
        (RENUMBERED,): """1.2>1.3, 1.3>1.4, 1.4>1.5, 1.6>1.7, 1.7>1.8, 1.8>1.9, 1.9>1.10, 1.10>1.11, 3.5>3.7, 3.7>3.9, 3.8>3.10,
            3.9>3.11, 5.7>5.5, 5.8>5.6, 5.9>5.7, 6.7>6.8, 6.8>6.9, 7.7>7.6, 7.9>7.11, 8.13>8.12, 8.14>8.13, 8.16>8.15,
            8.17>8.16, 9.3>9.4, 9.4>9.5, 9.5>9.6, 9.7>9.8, 9.9>9.10, 9.11>9.12, 9.13>9.14, 9.14>9.15""",
        (RENUMBERED, REWORDED): """1.5>1.6, 3.6>3.8, 4.5>4.4, 4.15>4.16, 5.6>5.4, 6.1>6.2, 6.2>6.3, 6.3>6.4, 6.4>6.5, 6.5>6.6,
            6.6>6.7, 6.9>6.10, 7.8>7.9, 8.15>8.14, 8.18>8.17, 9.6>9.7, 9.8>9.9, 9.10>9.11, 9.12>9.13, 9.15>9.16, 9.16>9.17""",
        (MOVED,): "5.3>3.4",
        (RENUMBERED, SPLIT): "3.4>3.5 3.6",
        (RENUMBERED, JOINED): "5.4 5.5>5.3",
    },
}

# What the changes of a season do to each car; the weight's own impact is `weight`, a repeal has its old number and `>`, and what
# a day of the season brings has that day. Whatever is not named here is without effect.
OUTCOMES = {
    ("2026", "marram"): {
        Outcome.BREACH: "4.3 2026-06-20",
        Outcome.STILL_IN_BREACH: "6.2",
        Outcome.CURED: "5.2, 5.3, 7.2, 7.5, 4.3 2026-10-03",
        Outcome.OPENING: "6.6>, 7.6",
        Outcome.TIGHTER: "weight, 3.4, 3.5, 4.8, 5.6, 5.7, 6.7, 7.4, 8.1, 8.6(b), 8.18, 9.1, 9.2, 9.3, 9.13, 9.18 2026-06-20",
        Outcome.ROOMIER: "4.5, 4.11, 4.13, 8.14",
    },
    ("2026", "samphire"): {
        Outcome.BREACH: "4.3 2026-06-20",
        Outcome.STILL_IN_BREACH: "7.2, 7.3, 8.8, 8.11",
        Outcome.AT_RISK: "8.3",
        Outcome.CURED: "4.5, 5.2, 5.3, 7.5, 8.16, 4.3 2026-10-03",
        Outcome.OPENING: "6.6>, 7.6",
        Outcome.TIGHTER: "weight, 4.2, 4.8, 5.6, 7.4, 8.1, 8.6(b), 8.13, 8.18, 9.1, 9.2, 9.3, 9.13, 9.18 2026-06-20",
        Outcome.ROOMIER: "4.11, 4.13, 8.14",
    },
    ("2027", "marram"): {
        Outcome.BREACH: "4.3, 9.9, 8.2 2027-10-02, 9.3 2027-10-02",
        Outcome.STILL_IN_BREACH: "4.3 2027-06-19, 4.3 2027-10-02",
        Outcome.MEASURE: "7.4",
        Outcome.READ: "3.5 3.6, 8.5, 9.2",
        Outcome.AT_RISK: "8.17",
        Outcome.CURED: "6.3",
        Outcome.OPENING: "7.3, 7.10",
        Outcome.TIGHTER: "weight, 2.6, 4.5, 4.9, 4.16, 5.4, 6.5, 8.6(c), 8.8, 8.14, 9.3, 9.11, 9.16",
        Outcome.ROOMIER: "2.1(b), 4.7, 6.10, 6.10>, 7.2, 8.11",
    },
    ("2027", "samphire"): {
        Outcome.BREACH: "weight, 2.6, 4.5, 8.6(c), 4.2 2027-06-19, 4.3 2027-06-19, 6.7 2027-10-02",
        Outcome.STILL_IN_BREACH: "7.2",
        Outcome.MEASURE: "6.1, 7.4",
        Outcome.READ: "3.5 3.6, 8.5, 9.2",  # it carries no ballast, but the question about it is open
        Outcome.CURED: "4.1, 7.3, 7.7, 7.8, 8.8, 8.11, 4.3 2027-10-02",
        Outcome.OPENING: "7.10",
        Outcome.CLOSING: "6.13 2027-06-19",
        Outcome.TIGHTER: "4.2, 4.3, 4.9, 4.16, 5.4, 6.5, 8.14, 8.17, 9.3, 9.9, 9.11, 9.16, 9.3 2027-10-02",
        Outcome.ROOMIER: "4.7, 6.3, 6.10, 6.10>",
    },
}

# What is left open on purpose: the code, the file, and what it is about.
OPEN = {
    ("unmeasured", "cars/marram/car.yaml", "car.ground_clearance"),
    ("unmeasured", "cars/samphire/car.yaml", "car.ground_clearance"),
    ("unmeasured", "cars/samphire/car.yaml", "wheels.centre_lock.spring"),
    ("unpaired", "rulesets/saltmarsh/2027/05-drivetrain.md", "5.4, 5.5"),
    ("unanswered", "rulesets/saltmarsh/2027/03-weights.md", "3.6"),
    ("unconfirmed", "rulesets/saltmarsh/2027/09-safety.md", "9.2"),
    ("unread", "rulesets/saltmarsh/2027/08-chassis.md", "8.5"),
    ("unread", "rulesets/saltmarsh/2027/08-chassis.md", "8.18"),
    ("draft", "rulesets/saltmarsh/2027/bulletins/3.md", "bulletin 3"),
}
OURS = ("cars/marram/", "cars/samphire/", "rulesets/saltmarsh/", "rulesets/vocabulary.yaml")

SEASONS = ("2025", "2026", "2027")


def point(text: str) -> Point:
    """A point that is known to be one."""
    found = parse_point(text)
    assert isinstance(found, Point)
    return found


@pytest.fixture(scope="module")
def everything() -> SiteInput:
    """What the demo is checked for, on the day of its story."""
    result = pipeline.site(ROOT, TODAY, timelines=False)
    assert result.faults == ()
    assert result.value is not None
    return result.value


@pytest.fixture(scope="module")
def editions(everything: SiteInput) -> dict[str, Edition]:
    """The club's books by season, with every bulletin."""
    return {one.point.season: one for one in everything.editions if one.point.body == "saltmarsh"}


@pytest.fixture(scope="module")
def comparisons() -> dict[str, Comparison]:
    """The club's books by season, each compared with the one before."""
    found = {}
    for old, new in (("2025", "2026"), ("2026", "2027")):
        value = compare(ROOT, point(f"saltmarsh/{old}"), point(f"saltmarsh/{new}")).value
        assert value is not None
        found[new] = value
    return found


@pytest.fixture(scope="module")
def reports() -> dict[str, tuple[ImpactReport, ...]]:
    """What each season does to the cars, by season: its book against the one before, then day by day, then its drafts."""
    found = {}
    for old, new in (("2025", "2026"), ("2026", "2027")):
        value = pipeline.impact(ROOT, old=point(f"saltmarsh/{old}"), new=point(f"saltmarsh/{new}")).value
        assert value is not None
        found[new] = value
    return found


@pytest.fixture(scope="module")
def impacts(reports: dict[str, tuple[ImpactReport, ...]]) -> dict[tuple[str, str], dict[str, Impact]]:
    """What the changes of a season do, its drafts left out, by season and car, and by name as in the table above."""
    found: dict[tuple[str, str], dict[str, Impact]] = {}
    for season, each in reports.items():
        for impact in (one for report in each if not report.draft for one in report.impacts):
            found.setdefault((season, impact.car), {})[name(impact)] = impact
    return found


def name(impact: Impact) -> str:
    """The name of an impact in the table above."""
    clauses = " ".join(impact.new) or f"{' '.join(impact.old)}>"
    return ("weight" if impact.subject == "car.weight" else clauses) + (f" {impact.on}" if impact.on else "")


def numbers(change: Change) -> tuple[str, str]:
    """The old and the new numbers of a change, each in a row."""
    old, new = (" ".join(clause.id for clause in side) for side in (change.old, change.new))
    return old, new


def listed(text: str) -> list[str]:
    """The parts of a list with commas."""
    return [" ".join(part.split()) for part in text.split(",")]


def change_of(comparison: Comparison, clause: str) -> Change:
    """The change that gave the clause of a new number, or took one away (`4.4>`)."""
    side = 0 if clause.endswith(">") else 1
    wanted = clause.rstrip(">")
    return next(one for one in comparison.changes if wanted in numbers(one)[side].split() and (side or not one.new))


def amount(text: str) -> Amount:
    """An amount that is known to be one."""
    found = read_amount(text)
    assert isinstance(found, Amount)
    return found


def assessment(everything: SiteInput, car: str) -> Assessment:
    """A car's entry with the club, judged by the new book."""
    (one,) = (each for each in everything.assessments if each.car.id == car and each.entry.body == "saltmarsh")
    return one


# --- Faults and open points -------------------------------------------------------------------------------------------


def test_exactly_the_open_points_that_it_is_meant_to_show(everything: SiteInput) -> None:
    """Of the open points of the club's rules and the two cars none is missing and none is there by mistake."""
    ours = [fault for fault in everything.open_points if fault.place.path.startswith(OURS)]
    left = {(fault.code, fault.place.path, name) for fault in ours for name in [about(fault.found)]}
    assert left == OPEN
    assert len(ours) == len(OPEN)


def about(found: str) -> str:
    """The quantity or clause of the list above that an open point speaks of."""
    return next((name for _, _, name in OPEN if f"{name} " in found), found)


def test_what_start_writes_is_without_faults_and_open_points() -> None:
    """A newcomer's workspace is in order before anything is changed in it."""
    result = pipeline.site(START, TODAY)
    assert result.faults == ()
    assert result.value is not None
    assert result.value.open_points == ()
    assert [one.verdict for one in result.value.assessments] == [Verdict.LEGAL]


@pytest.mark.parametrize(("season", "rules", "chapters"), [("2025", 116, 10), ("2026", 131, 11), ("2027", 138, 11)])
def test_each_season_has_the_size_of_a_real_book(editions: dict[str, Edition], season: str, rules: int, chapters: int) -> None:
    """Chapter headings left out, each book has 80 to 150 clauses, over ten chapters or more."""
    edition = editions[season]
    headings = [clause for clause in edition.clauses if "." not in clause.id]
    assert (len(edition.clauses) - len(headings), len(headings)) == (rules, chapters)
    assert 80 <= rules <= 150


def test_readings_are_confirmed_by_people_of_the_crew(everything: SiteInput, editions: dict[str, Edition]) -> None:
    """The four who have raced with the club from the start have confirmed readings of each season, and nobody else has."""
    for edition in editions.values():
        by = {one.confirmed.by for found in edition.readings.values() for one in found if one.confirmed is not None}
        assert by == {"ansel", "ines", "mara", "tobin"} <= set(everything.crew.people)


# --- Kinds of change --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("season", list(CHANGES))
def test_every_change_is_found_with_its_kinds(comparisons: dict[str, Comparison], season: str) -> None:
    """Pairing gives exactly the changes that were written into a season."""
    expected = {pair: set(kinds) for kinds, pairs in CHANGES[season].items() for pair in listed(pairs)}
    assert {">".join(numbers(change)): set(change.kinds) for change in comparisons[season].changed} == expected


@pytest.mark.parametrize(
    ("season", "clause", "kinds"),
    [
        ("2027", "4.5", {INSERTED}),  # the oil catch tank
        ("2027", "4.4>", {REPEALED}),  # a starter
        ("2027", "4.3", {REWORDED}),  # noise
        ("2027", "1.3", {RENUMBERED}),  # engine capacity, behind a new definition
        ("2026", "10.1", {RENUMBERED}),  # a whole chapter got another number
        ("2027", "3.4", {MOVED}),  # sequential gearboxes, from the drivetrain to the weights
        ("2026", "9.5", {MOVED, SPLIT}),  # dress, into helmet and suit
        ("2026", "9.7", {MOVED, JOINED}),  # the seat and its mounts
        ("2026", "9.1", {MOVED, REWORDED}),  # harness: into the new chapter, and with a strap more
        ("2027", "6.3", {RENUMBERED, REWORDED}),  # rear rims
    ],
)
def test_a_clause_shows_each_kind(comparisons: dict[str, Comparison], season: str, clause: str, kinds: set[Kind]) -> None:
    """Of the closed list of kinds, and of several at once, the demo shows each."""
    assert set(change_of(comparisons[season], clause).kinds) == kinds


@pytest.mark.parametrize(
    ("season", "clause"),
    [
        ("2027", "4.4"),  # other quotation marks
        ("2027", "6.2"),  # a reference that was renumbered with its target
        ("2027", "7.1"),
    ],
)
def test_a_clause_changed_in_wording_only(comparisons: dict[str, Comparison], season: str, clause: str) -> None:
    """Quotation marks and renumbered references change no rule."""
    change = change_of(comparisons[season], clause)
    assert change.wording_only
    assert set(change.effects.values()) == {Effect.SAME}


def test_nothing_else_is_wording_only(comparisons: dict[str, Comparison]) -> None:
    """Words that only say the same in another way (2.8, 11.2) are a substitution all the same: a comma can change a rule."""
    found = [">".join(numbers(change)) for each in comparisons.values() for change in each.changed if change.wording_only]
    assert found == ["4.5>4.4", "6.1>6.2", "7.1>7.1"]


@pytest.mark.parametrize(("season", "clause"), [("2027", "4.5"), ("2027", "5.3"), ("2026", "9.1"), ("2026", "6.6")])
def test_a_number_is_used_again_for_another_rule(comparisons: dict[str, Comparison], season: str, clause: str) -> None:
    """What stood under a number and what stands there now are not taken for the same."""
    comparison = comparisons[season]
    assert clause in comparison.old.by_id
    assert clause not in numbers(change_of(comparison, clause))[0].split()


@pytest.mark.parametrize(
    ("season", "clause", "values", "by"),
    [
        ("2027", "6.4", "17 in → 431.8 mm", "0 mm"),  # the same value
        ("2027", "5.4", "184 mm → 7.25 in", "0.15 mm"),  # nearly the same
        ("2027", "9.9", "50 mm → 2 in", "0.8 mm"),
        ("2026", "8.14", "2 in → 50 mm", "-0.8 mm"),
    ],
)
def test_another_unit_is_the_same_value_or_not(
    comparisons: dict[str, Comparison], season: str, clause: str, values: str, by: str
) -> None:
    """A limit in another unit is compared as a value: what is not quite the same is another limit."""
    change = change_of(comparisons[season], clause)
    moved = {f"{one.old} → {one.new}": one.new.base - one.old.base for one in change.values if one.old and one.new}
    assert moved[values] == amount(by).base
    assert (set(change.effects.values()) == {Effect.SAME}) == (moved[values] == 0)


@pytest.mark.parametrize(
    ("season", "definition", "term", "touched"),
    [("2026", "1.3", "Rim width", ["6.1"]), ("2027", "1.6", "Bodywork", ["4.11", "6.11"])],
)
def test_a_definition_reaches_the_clauses_that_use_its_term(
    comparisons: dict[str, Comparison], season: str, definition: str, term: str, touched: list[str]
) -> None:
    """A clause that did not change itself, and uses a term whose definition did, is touched."""
    found = [
        change.key
        for change in comparisons[season].touched
        for touch in change.touched_by
        if touch.path == (definition, change.key) and touch.reasons[0].tie in {Tie.DEFINITION, Tie.REFERENCE}
    ]
    assert found == touched
    assert term in comparisons[season].new.by_id[definition].text


def test_settled_pairs_are_marked(comparisons: dict[str, Comparison]) -> None:
    """The pairs that a person settled are 7.3 and two splits, and nothing else."""
    settled = [numbers(change) for each in comparisons.values() for change in each.changes if change.settled]
    assert settled == [("8.19", "9.4 9.5"), ("3.4", "3.5 3.6"), ("7.3", "7.3")]


# --- Bulletins --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("season", "clause", "number"),
    [
        ("2025", "4.3", "1"),  # a limit that moved in mid-season
        ("2026", "9.18", "1"),  # a clause that was added, and stands in the next book
        ("2027", "4.2", "1"),
        ("2027", "6.13", "1"),
    ],
)
def test_a_bulletin_amends_the_book_in_mid_season(editions: dict[str, Edition], season: str, clause: str, number: str) -> None:
    """Each season has a final bulletin that takes effect between its first event and its last."""
    edition = editions[season]
    assert edition.amended_by[clause] == number
    (bulletin,) = (one for one in edition.applied if one.number == number)
    days = [event.on for event in edition.header.events]
    assert min(days) < bulletin.effective < max(days)


@pytest.mark.parametrize(
    ("season", "event", "clause", "words"),
    [
        ("2025", "autumn", "8.30", "two headlights that work"),
        ("2026", "midsummer", "4.3", "92 dB(A)"),
        ("2027", "midsummer", "4.3", "92 dB(A)"),
    ],
)
def test_a_bulletin_holds_for_one_event_alone(season: str, event: str, clause: str, words: str) -> None:
    """What was issued for an event is in the book of that event, and in no other."""
    with Library(ROOT) as library:
        for where in ("", "@event:spring", f"@event:{event}"):
            edition = library.edition(point(f"saltmarsh/{season}{where}"))
            assert edition is not None
            found = edition.by_id.get(clause)
            assert (found is not None and words in found.plain.replace("\n", " ")) == where.endswith(event)


@pytest.mark.parametrize(("season", "number", "clause"), [("2025", "3", "7.2"), ("2027", "3", "8.4")])
def test_a_draft_counts_for_nothing(editions: dict[str, Edition], season: str, number: str, clause: str) -> None:
    """What is only proposed stands apart, and the clause stays as it is."""
    edition = editions[season]
    (draft,) = edition.drafts
    assert (draft.number, draft.status, [one.number for one in draft.amendments]) == (number, BulletinStatus.DRAFT, [clause])
    assert clause in edition.by_id
    assert clause not in edition.amended_by


# --- Effects ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("season", "clause", "effect"),
    [
        ("2027", "5.3", Effect.SAME),
        ("2026", "6.2", Effect.SAME),
        ("2027", "2.1(b)", Effect.LOOSENED),
        ("2027", "4.1", Effect.LOOSENED),  # a permission at the price of weight, as are 4.6, 6.3, 7.3 and 8.10
        ("2027", "4.6", Effect.LOOSENED),
        ("2027", "6.3", Effect.LOOSENED),
        ("2027", "7.2", Effect.LOOSENED),
        ("2027", "7.3", Effect.LOOSENED),
        ("2027", "8.10", Effect.LOOSENED),
        ("2026", "5.3", Effect.LOOSENED),
        ("2027", "4.2", Effect.TIGHTENED),
        ("2027", "4.3", Effect.TIGHTENED),
        ("2027", "4.5", Effect.TIGHTENED),
        ("2027", "9.9", Effect.TIGHTENED),  # by the change of its unit
        ("2027", "4.9", Effect.SHIFTED),  # more lift of one valve, less of the other
        ("2027", "8.8", Effect.SHIFTED),  # both ends of a range moved
        ("2027", "8.5", Effect.UNREAD),
        ("2027", "9.2", Effect.UNREAD),
        ("2027", "7.4", Effect.UNDECIDED),  # how it is measured is no property of a car
    ],
)
def test_a_clause_shows_each_effect(comparisons: dict[str, Comparison], season: str, clause: str, effect: Effect) -> None:
    """Limits that moved say which way; a clause without a confirmed reading says that it is unread."""
    assert change_of(comparisons[season], clause).effects["silhouette-b"] is effect


@pytest.mark.parametrize(
    ("clause", "alone", "by"),
    [
        ("2.1(b)", Effect.LOOSENED, "3.1"),  # more capacity, for which the old 3.1 had no minimum weight
        ("7.7", Effect.TIGHTENED, "7.3"),  # where a wing may stand, while wings were forbidden
        ("7.8", Effect.TIGHTENED, "7.3"),
    ],
)
def test_a_change_is_masked_by_another_clause(comparisons: dict[str, Comparison], clause: str, alone: Effect, by: str) -> None:
    """A change that does something by itself does nothing in the whole book, because of another clause."""
    change = change_of(comparisons["2027"], clause)
    assert change.effects["silhouette-b"] is alone
    assert change.in_book["silhouette-b"] is Effect.SAME
    assert by in change.masked_by["silhouette-b"]


def test_a_car_shows_each_effect(comparisons: dict[str, Comparison]) -> None:
    """Of wider rims the witness is a car of the crew with half an inch more, and what is legal on neither side is not shown."""
    comparison = comparisons["2027"]
    (witness,) = change_of(comparison, "6.3").witness["silhouette-a"]
    assert str(witness) == "a car like samphire with rear rim width 10.5 in was not legal and is"
    assert (witness.gained, witness.alone, witness.in_book) == (True, True, True)
    claims = {Effect.LOOSENED, Effect.TIGHTENED, Effect.SHIFTED}
    for change in comparison.changed:
        assert {name for name, effect in change.effects.items() if effect in claims} <= set(change.witness)


# --- Outcomes ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("season", "car"), list(OUTCOMES))
def test_every_change_has_its_outcome_for_each_car(
    reports: dict[str, tuple[ImpactReport, ...]],
    impacts: dict[tuple[str, str], dict[str, Impact]],
    season: str,
    car: str,
) -> None:
    """Each change does to each car what it was written to do, or nothing."""
    expected = {name: outcome for outcome, names in OUTCOMES[season, car].items() for name in listed(names)}
    found = {name: one.outcome for name, one in impacts[season, car].items() if one.outcome is not Outcome.NONE}
    assert found == expected
    changed = {new or f"{old}>" for old, new in map(numbers, reports[season][0].comparison.changed)}
    assert changed <= set(impacts[season, car])


def test_a_draft_is_told_apart(reports: dict[str, tuple[ImpactReport, ...]]) -> None:
    """Were the clause on older roll cages repealed, the older car would need another one."""
    told = [one for report in reports["2027"] if report.draft for one in report.impacts if one.car == "marram"]
    assert [(one.outcome, one.old, one.new) for one in told if one.change is not None] == [(Outcome.BREACH, ("8.4",), ())]


@pytest.mark.parametrize(
    ("outcome", "car", "clause", "why"),
    [
        (Outcome.BREACH, "marram", "4.3", "Exhaust noise: 96.4 dB(A), must be at most 95 dB(A)"),
        (Outcome.BREACH, "samphire", "weight", "weighs 902 kg, at least 930 kg asked"),
        (Outcome.BREACH, "marram", "9.3 2027-10-02", "9.3 held until 2027-06-30: Extinguishing nozzles: 2, must be at least 3"),
        (Outcome.STILL_IN_BREACH, "samphire", "7.2", "Splitter projection: 80 mm, must be at most 75 mm"),
        (Outcome.MEASURE, "samphire", "6.1", "Safety spring at the wheel nut: not stated"),
        (Outcome.MEASURE, "marram", "7.4", "taken with driver no (the book asks yes)"),
        (Outcome.READ, "marram", "8.5", "8.5 of 2027 has no reading"),
        (Outcome.CLOSING, "samphire", "6.13 2027-06-19", "no longer allowed"),
        (Outcome.AT_RISK, "marram", "8.17", "Front disc diameter: 354.6 mm, must be at most 355 mm"),
        (Outcome.CURED, "marram", "6.3", "Rear rim width: 10.5 in / 10.5 in, must be at most 11 in"),
        (Outcome.OPENING, "marram", "7.3", "A rear wing of one element above the boot lid: was not allowed"),
        (Outcome.TIGHTER, "marram", "8.8", "margin before: 66 mm, now: 36 mm"),
        (Outcome.ROOMIER, "marram", "4.7", "margin before: 0.2 mm, now: 0.6 mm"),
        (Outcome.NONE, "marram", "8.18", "speaks of what the car does not have: air jacks"),
    ],
)
def test_a_clause_shows_each_outcome(
    impacts: dict[tuple[str, str], dict[str, Impact]], outcome: Outcome, car: str, clause: str, why: str
) -> None:
    """Between the two cars the demo shows every outcome, with its reason in numbers."""
    found = impacts["2027", car][clause]
    assert found.outcome is outcome
    assert why in found.why


def test_every_outcome_of_a_change_occurs(impacts: dict[tuple[str, str], dict[str, Impact]]) -> None:
    """Between its cars the demo shows every outcome."""
    assert {one.outcome for found in impacts.values() for one in found.values()} == set(Outcome)


def test_the_wing_is_allowed_at_a_price(everything: SiteInput) -> None:
    """870 kg, 1.5 % for the gearbox, 25 kg for the engine's place, 2.5 % for the wing: 929.8 kg, rounded to 930 kg."""
    sheet = assessment(everything, "samphire").weight
    assert sheet is not None
    assert [line.clause for line in sheet.lines if line.clause != "3.1"] == ["3.4", "4.1", "7.3"]
    assert (str(sheet.least), str(sheet.greatest), str(sheet.car)) == ("930 kg", "930 kg", "902 kg")


def test_wide_rims_are_allowed_at_a_price(impacts: dict[tuple[str, str], dict[str, Impact]]) -> None:
    """The minimum rose from 995 kg to 1025 kg, so that 6 kg are left of 36 kg."""
    weight = impacts["2027", "marram"]["weight"]
    assert (str(weight.before.margin), str(weight.after.margin)) == ("36 kg", "6 kg")


def test_the_restrictor_is_legal_until_the_bulletin() -> None:
    """At the first event 33 mm still hold, and 0.5 mm of room is left; from May on the bulletin asks for 32 mm."""
    result = pipeline.impact(ROOT, old=point("saltmarsh/2026"), new=point("saltmarsh/2027@event:spring"), car="samphire")
    assert result.value is not None
    (report,) = result.value
    (restrictor,) = (one for one in report.impacts if one.new == ("4.2",))
    assert restrictor.outcome is Outcome.TIGHTER
    assert str(restrictor.after.margin) == "0.5 mm"


def test_an_older_car_keeps_its_cage(everything: SiteInput) -> None:
    """8.4 stands instead of 8.3 for a car built before 2020."""
    found = assessment(everything, "marram").about(["cage.main_hoop.tube_diameter"])
    assert [(one.clauses, one.applies, one.verdict) for one in found] == [
        (("8.3",), False, Verdict.LEGAL),
        (("8.4",), True, Verdict.LEGAL),
    ]


@pytest.mark.parametrize(
    ("car", "quantity", "last"),
    [
        ("marram", "car.width", date(2027, 6, 30)),  # the paper that lets it be 12 mm too wide
        ("marram", "safety.extinguishing_system.nozzles", date(2027, 6, 30)),  # two nozzles will do until then
        ("samphire", "wheels.material", date(2027, 6, 30)),  # and magnesium
    ],
)
def test_what_ends_in_mid_season(car: str, quantity: str, last: date) -> None:
    """A waiver, and a reading that is bound to dates, hold to their last day and no longer."""
    with Library(ROOT) as library:
        workspace, edition = library.workspace(), library.edition(point("saltmarsh/2027"))
        assert workspace is not None
        assert edition is not None
        found = workspace.car(car)
        assert found is not None
        entry = next(one for one in found.entries if one.body == "saltmarsh")
        on_the_day, after = (
            Verdict.every(one.verdict for one in judge(edition, found, entry, day, workspace.vocabulary).about([quantity]))
            for day in (last, last.replace(month=7, day=1))
        )
    assert (on_the_day, after) == (Verdict.LEGAL, Verdict.ILLEGAL)


# --- What readings can say --------------------------------------------------------------------------------------------


def asked_in(condition: Condition | None) -> Iterator[Asked]:
    """Every test of a condition, at whatever depth."""
    if isinstance(condition, Asked):
        yield condition
    elif isinstance(condition, Not):
        yield from asked_in(condition.part)
    elif condition is not None:
        for part in condition.parts:
            yield from asked_in(part)


def conditions(condition: Condition | None) -> Iterator[Condition]:
    """A condition and all that is in it."""
    if condition is None:
        return
    yield condition
    for part in (
        (condition.part,) if isinstance(condition, Not) else condition.parts if isinstance(condition, All | Any) else ()
    ):
        yield from conditions(part)


def bounds(reading: Reading) -> Iterator[Bound]:
    """The bounds of a reading's limits and of its minimum weight, those within others too."""
    waiting: list[Bound] = [reading.minimum.bound] if reading.minimum is not None else []
    for constraint in (test.constraint for test in reading.limits):
        if isinstance(constraint, Range):
            waiting += [bound for bound in (constraint.low, constraint.high) if bound is not None]
    while waiting:
        bound = waiting.pop()
        yield bound
        if isinstance(bound, Greatest | Least):
            waiting += bound.bounds
        elif isinstance(bound, Steps):
            waiting += [one for _, one in bound.steps]


def limits(reading: Reading, **wanted: bool) -> bool:
    """Whether a limit or a condition of a reading has a range whose fields are given (True) or not."""
    ranges = [test.constraint for test in (*reading.limits, *asked_in(reading.when)) if isinstance(test.constraint, Range)]
    return any(all(bool(getattr(one, field)) is is_given for field, is_given in wanted.items()) for one in ranges)


def has_bound(reading: Reading, kind: type[Bound], **wanted: object) -> bool:
    """Whether a reading has a bound of a kind with some fields."""
    return any(
        isinstance(one, kind) and all(getattr(one, field) == value for field, value in wanted.items())
        for one in bounds(reading)
    )


def adds(reading: Reading, *, share: bool, negative: bool) -> bool:
    """Whether a reading adds a share or a mass to the minimum weight, or takes it off."""
    adder = reading.adder
    if adder is None:
        return False
    size = adder.share if share else adder.amount.number if adder.amount is not None else None
    return size is not None and (size < 0) is negative


FEATURES: dict[str, tuple[str, str, Callable[[Reading], bool]]] = {
    "max": ("2027", "4.3", partial(limits, high=True, high_strict=False)),
    "min": ("2027", "4.5", partial(limits, low=True, low_strict=False)),
    "over": ("2027", "6.3", partial(limits, low=True, low_strict=True)),
    "under": ("2027", "4.10", partial(limits, high=True, high_strict=True)),
    "min and max": ("2027", "8.8", partial(limits, low=True, high=True)),
    "one of": ("2027", "5.1", lambda one: any(isinstance(test.constraint, OneOf) for test in one.limits)),
    "classes": ("2027", "7.3", lambda one: one.classes == ("touring-c",)),
    "when": ("2027", "6.1", lambda one: one.when is not None),
    "any": ("2027", "3.4", lambda one: any(isinstance(part, Any) for part in conditions(one.when))),
    "not": ("2027", "4.2", lambda one: any(isinstance(part, Not) for part in conditions(one.when))),
    "older cars": ("2027", "8.4", lambda one: any(test.subject == "car.built" for test in asked_in(one.when))),
    "newer cars": ("2027", "9.13", lambda one: any(test.subject == "car.built" for test in asked_in(one.when))),
    "steps": ("2027", "3.1", partial(has_bound, kind=Steps, above=None)),
    "steps and above": ("2027", "4.10", lambda one: any(isinstance(b, Steps) and b.above is not None for b in bounds(one))),
    "of, rate and plus": ("2027", "4.13", partial(has_bound, kind=Linear, of="engine.capacity", sheet=Sheet.CAR)),
    "greatest": ("2027", "7.5", partial(has_bound, kind=Greatest)),
    "least": ("2027", "7.8", partial(has_bound, kind=Least)),
    "homologated": ("2027", "4.7", partial(has_bound, kind=Linear, sheet=Sheet.HOMOLOGATED)),
    "standard": ("2027", "8.1", partial(has_bound, kind=Linear, sheet=Sheet.STANDARD)),
    "allow": ("2027", "7.2", lambda one: bool(one.allows)),
    "instead of": ("2027", "8.4", lambda one: one.instead_of == ("8.3",)),
    "minimum weight, rounded": ("2027", "3.1", lambda one: one.minimum is not None and one.minimum.rounding is not None),
    "adds a share": ("2027", "3.4", partial(adds, share=True, negative=False)),
    "adds a mass": ("2027", "4.6", partial(adds, share=False, negative=False)),
    "takes off a share": ("2027", "3.8", partial(adds, share=True, negative=True)),
    "takes off a mass": ("2027", "3.9", partial(adds, share=False, negative=True)),
    "dated to the day": ("2027", "9.4", lambda one: [item.until for item in one.dated] == ["day"]),
    "dated to the year's end": ("2027", "9.1", lambda one: [item.until for item in one.dated] == ["year-end"]),
    "tolerance": ("2027", "4.8", lambda one: one.tolerance is not None),
    "measured": ("2027", "7.4", lambda one: one.measured == (("driver", "yes"),)),
    "concerns paperwork": ("2027", "1.1", lambda one: one.concerns == "paperwork"),
    "concerns the driver": ("2027", "9.5", lambda one: one.concerns == "driver"),
    "concerns the event": ("2027", "10.5", lambda one: one.concerns == "event"),
    "concerns the officials": ("2027", "11.1", lambda one: one.concerns == "officials"),
    "noted": ("2027", "4.3", lambda one: bool(one.noted)),
    "from": ("2027", "9.3", lambda one: one.since is not None),
    "until": ("2027", "6.7", lambda one: one.until is not None),
    "asked": ("2027", "3.6", lambda one: one.is_open),
    "answered": ("2026", "3.4", lambda one: one.answered is not None),
    "confirmed against other words": ("2027", "9.2", lambda one: one.confirmed is not None),
}


@pytest.mark.parametrize("feature", list(FEATURES))
def test_a_clause_shows_each_thing_that_a_reading_can_say(editions: dict[str, Edition], feature: str) -> None:
    """Whatever the format of readings offers is used somewhere in the demo."""
    season, clause, is_shown = FEATURES[feature]
    assert any(is_shown(one) for one in editions[season].readings[clause])


# --- The tutorial -----------------------------------------------------------------------------------------------------

# What the crew does to its files before each session that the tutorial shows as text: the file, what stood there, what is
# written instead. The sessions on the files as they are shipped are checked with the rest of the documentation.
SLIP = [("rulesets/saltmarsh/2027/04-engine.md", "{max: 95 dB(A)}", "{max: 97 dB(A)}")]
WINTER = [
    ("rulesets/saltmarsh/2027/04-engine.md", "{max: 97 dB(A)}", "{max: 95 dB(A)}"),
    ("cars/samphire/car.yaml", "  wheels.centre_lock: present\n", "  wheels.centre_lock: present\n  <spring>"),
    ("rulesets/saltmarsh/2027/03-weights.md", 'thicker bolts?"\n', 'thicker bolts?"\n<answer>'),
    (
        "rulesets/saltmarsh/2027/09-safety.md",
        "limit: {safety.extinguishing_system.content: {min: 4.0 kg}}\nconfirmed: {by: ines, on: 2026-01-18, text: 6ac855ee}\n",
        "<gauge>",
    ),
    (
        "rulesets/saltmarsh/2027/08-chassis.md",
        "flame or liquid through.\n",
        "flame or liquid through.\n\n```reading\n<firewall>```\n",
    ),
    ("rulesets/saltmarsh/2027/pairs.yaml", "- {old: 7.3", "<pair>- {old: 7.3"),
]


def test_the_tutorial_tells_what_happens(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever does what the crew does sees what the crew sees."""
    monkeypatch.setenv("COLUMNS", "100")
    for folder in ("rulesets", "cars"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    shown = re.compile(r"^```(?:text|reading|yaml pairs\.yaml)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
    blocks = shown.findall((ROOT / "docs/tutorial.md").read_text())
    written = {
        "spring": starting(blocks, "wheels.centre_lock.spring"),
        "answer": starting(blocks, "ask:").partition("\n")[2],
        "gauge": starting(blocks, "limit:\n  safety.extinguishing_system"),
        "firewall": starting(blocks, "limit:\n  chassis.firewall"),
        "pair": starting(blocks, "- {old: [5.4, 5.5]"),
    }
    sessions = [block for block in blocks if block.startswith("$ rulewatch ")]
    for edits, session in zip((SLIP, WINTER), sessions, strict=True):
        for name, old, new in edits:
            file = tmp_path / name
            text = file.read_text()
            assert text.count(old) == 1, (name, old)
            file.write_text(text.replace(old, re.sub(r"<(\w+)>\n?", lambda found: written[found[1]], new)))
        command, _, lines = session.partition("\n")
        printed = CliRunner().invoke(cli.cli, ["-C", str(tmp_path), *shlex.split(command)[2:]]).output
        for part in lines.split("…\n"):
            assert part in printed


def starting(blocks: list[str], words: str) -> str:
    """The one block that begins with some words."""
    (block,) = (each for each in blocks if each.startswith(words))
    return block
