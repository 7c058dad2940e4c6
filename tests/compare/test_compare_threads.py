"""Threads: one rule through five seasons and a bulletin, its values, and how often such rules change."""

from __future__ import annotations

from fractions import Fraction

import pytest
from five_seasons import BOOKS, files, rims, threads, words

from rulewatch.model.amounts import read_amount
from rulewatch.model.edition import Point
from rulewatch.model.timeline import Fitting, Scope, Sense, value_key
from rulewatch.parse.points import parse_point


@pytest.fixture(scope="module")
def five(memory_workspace):
    """The rules of the five seasons."""
    workspace = memory_workspace(files())
    found = threads(workspace)
    assert [str(fault) for fault in workspace.faults] == []
    return found


@pytest.fixture(scope="module")
def timeline(five):
    """The timeline of a number at a point, or at the newest that has it."""

    def made(number: str, point: str = ""):
        found = five.find("saltmarsh", number, parse_point(f"saltmarsh/{point}") if point else None)
        assert found is not None, (number, point)
        return five.timeline(found)

    return made


def course(timeline) -> list[str]:
    """The stations in short: where, under which number, and which kinds of change led there."""
    return [
        " ".join(
            (
                str(station.point).rpartition("/")[2].removesuffix("@published"),
                station.clause.id if station.clause else "-",
                *(station.change.kinds if station.change else ()),
            )
        )
        for station in timeline.stations
    ]


def test_there_is_a_station_for_each_season_and_each_day_of_a_bulletin(timeline):
    """Numbers then, kinds of change, days, and the bulletins that came into force."""
    rule = timeline("6.1", "2023")
    assert course(rule) == [
        "2023 6.1",
        "2024 6.2 renumbering substitution",
        "2024@2024-07-01 6.2 substitution",
        "2025 6.2 substitution",
        "2026 5.4 move",
        "2027 - repeal",
    ]
    assert [str(station.day) for station in rule.stations][1:3] == ["2024-01-01", "2024-07-01"]
    assert [station.bulletins for station in rule.stations[:3]] == [(), (), ("1",)]
    assert str(rule.lineage) == "2023/6.1"
    assert rule.last.id == "5.4"


def test_every_number_that_a_rule_ever_had_finds_it(timeline):
    """Whatever the season, and for a season also as published or by a day in it; else the newest that has the number."""
    for number, point in (
        ("6.2", "2024"),
        ("6.2", "2025"),
        ("5.4", "2026"),
        ("6.2", "2024@published"),
        ("6.2", "2024@2024-08-01"),
    ):
        assert str(timeline(number, point).lineage) == "2023/6.1"
    assert str(timeline("5.4").lineage) == "2023/6.1"
    assert str(timeline("6.2", "2026").lineage) == str(timeline("6.2").lineage) == "2023/6.2"


def test_what_is_not_there_is_not_found(five):
    """A number of another season, a season that is not there, and another body."""
    assert five.find("saltmarsh", "6.3", Point(body="saltmarsh", season="2026")) is None
    assert five.find("saltmarsh", "6.1", Point(body="saltmarsh", season="2022")) is None
    assert five.find("five-lakes", "6.1") is None
    assert five.find("saltmarsh", "9.9") is None


def test_splits_and_joins(timeline):
    """Of a split the surest child goes on and the other begins; of a join one goes on and the other ends."""
    assert course(timeline("5.1")) == [
        *("2023 5.1", "2024 5.1 split", "2024@2024-07-01 5.1", "2025 5.1", "2026 5.1 join", "2027 5.1"),
    ]
    assert course(timeline("5.2", "2024")) == ["2024 5.2 split", "2024@2024-07-01 5.2", "2025 5.2", "2026 - join"]


def values(line) -> list[str]:
    """A line's values as text."""
    return ["-" if value is None else str(value) for value in line.values]


def test_limits_for_each_class(timeline):
    """Classes with the same course stand together, others apart; what is gone says nothing."""
    b, c = timeline("6.1", "2023").lines
    assert (b.subject, b.sense, b.classes) == ("wheels.rear.rim_width", Sense.MOST, ("silhouette-b",))
    assert values(b) == ["9 in", "10 in", "9.5 in", "11 in", "-", "-"]
    assert c.classes == ("touring-c",)
    assert values(c) == ["9 in", "10 in", "9.5 in", "11 in", "11 in", "-"]


def test_amounts_of_a_text_that_nobody_has_read(timeline):
    """They follow the text; a second unit for the same amount is left out."""
    (line,) = timeline("5.2").lines
    assert (line.subject, line.sense) == ("", Sense.STATED)
    assert values(line) == ["60 l", "70 l", "70 l", "70 l", "65 l", "65 l"]
    assert line.moves


def test_permission_and_prohibition_are_one_line(timeline):
    """A part that is forbidden, permitted and forbidden again."""
    (line,) = timeline("7.1").lines
    assert line.subject == "aero.rear_wing"
    assert line.values == (
        *(Fitting.FORBIDDEN, Fitting.PERMITTED, Fitting.PERMITTED, Fitting.PERMITTED),
        *(Fitting.FORBIDDEN, Fitting.FORBIDDEN),
    )


def test_effects_and_confirmations_of_each_station(timeline):
    """What a change meant for each class then, and the readings that stood."""
    rule = timeline("6.1", "2023")
    assert [dict(station.effects) for station in rule.stations[:3]] == [
        {},
        dict.fromkeys(("silhouette-b", "touring-c"), "loosened"),
        dict.fromkeys(("silhouette-b", "touring-c"), "tightened"),
    ]
    assert all(reading.confirmed.by == "ina" for station in rule.stations[:5] for reading in station.readings)
    assert rule.stations[5].readings == ()


def test_habits_of_rule_chapter_and_quantity(timeline):
    """Rules, the seasons that they lived through, changes of a rule (not of numbers alone), and freedoms with their length."""
    rule = timeline("7.1")
    own, chapter, wing = rule.habits
    assert (own.scope, own.rules, own.seasons, own.changes) == (Scope.CLAUSE, 1, 5, 2)
    assert (chapter.scope, chapter.about, chapter.rules, chapter.seasons, chapter.changes) == (Scope.CHAPTER, "07", 2, 6, 3)
    assert (wing.scope, wing.about, wing.changes) == (Scope.QUANTITY, "aero.rear_wing", 2)
    (freedom,) = wing.freedoms
    assert (freedom.clause, str(freedom.since), str(freedom.until)) == (
        *("7.1", "saltmarsh/2024@published", "saltmarsh/2026@published"),
    )
    assert freedom.days == 731  # from 1 January 2024, a leap year, to 1 January 2026


def test_a_freedom_ends_where_any_rule_takes_of_it_and_what_only_moved_is_none(timeline):
    """In 2026 a new clause narrows what 6.2 gave in 2025; the old one, now for one class, gives nothing that day."""
    rims_habit = timeline("6.1", "2023").habits[2]
    assert [(each.clause, str(each.since)[10:], each.until and str(each.until)[10:]) for each in rims_habit.freedoms] == [
        ("6.2", "2024@published", "2024@2024-07-01"),
        ("6.2", "2025@published", "2026@published"),
        ("5.3", "2027@published", None),
    ]
    assert rims_habit.taken == (182, 365)
    assert rims_habit.standing == (0,)
    assert rims_habit.median is None


def test_the_median_needs_three_cases(memory_workspace):
    """Up and down each winter: with three freedoms taken again there is a median."""
    widths = ["9 in", "10 in", "9 in", "10 in", "9 in", "10 in", "9 in"]
    books = {str(2020 + n): {"06": rims("6.1", width) + words("6.2", "Wheels are round.")} for n, width in enumerate(widths)}
    found = threads(memory_workspace(files(books)))
    habit = found.timeline(found.find("saltmarsh", "6.1")).habits[0]
    assert habit.taken == (365, 365, 365)
    assert habit.median == 365
    assert habit.changes == 6
    assert habit.rate == Fraction(6, 7)


def test_an_unchanged_rule_has_no_history(memory_workspace):
    """Nor has any rule of a body with one season."""
    one = {"2023": BOOKS["2023"], "2024": BOOKS["2023"]}
    for books in (one, {"2023": BOOKS["2023"]}):
        found = threads(memory_workspace(files(books)))
        assert [found.timeline(each).has_history for each in found.all] == [False] * len(found.all) != []


def test_the_same_size_in_other_units_is_no_move():
    """10 in and 254 mm are one value of a line."""
    assert value_key(read_amount("10 in")) == value_key(read_amount("254 mm")) != value_key(read_amount("255 mm"))
