"""The history of a clause on its page: its values over time, the table behind them, and where its other numbers lead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from rulewatch.model.change import Effect
from rulewatch.model.clause import Clause
from rulewatch.model.timeline import Scope, Station, Timeline
from rulewatch.publish.atlas import Atlas, Book
from rulewatch.publish.change_parts import EffectView
from rulewatch.publish.chart import line_chart
from rulewatch.publish.effect_views import Effects
from rulewatch.publish.effect_words import showings
from rulewatch.publish.page_parts import ClauseLink, Link
from rulewatch.publish.reading_words import capital
from rulewatch.publish.rules_parts import ChartView, CourseView, StationView
from rulewatch.publish.timeline_words import (
    confirmations,
    freedom_words,
    habit_name,
    habit_words,
    line_words,
    state_words,
    station_effects,
    station_words,
    value_words,
)
from rulewatch.publish.words import count_words, day_words, listed

NO_BREAK, SHORT = "\u00a0", 16  # a number and its unit stay on one line


class Courses:
    """The timelines of a site, by the places where their rules stand."""

    def __init__(self, atlas: Atlas) -> None:
        self.atlas, self.vocabulary = atlas, atlas.site.vocabulary

    @cached_property
    def places(self) -> Mapping[tuple[str, str, str], tuple[Timeline, tuple[str, str]]]:
        """For a clause of a season, by body, season and number: its timeline, and the newest season and number it stands under."""
        found = {}
        for timeline in self.atlas.site.timelines:
            standing = [(station.point.season, station.clause.id) for station in _at_ends(timeline) if station.clause]
            for season, number in standing:
                found[timeline.body.id, season, number] = (timeline, standing[-1])
        return found

    def now(self, path: str, book: Book, clause: Clause) -> Link | None:
        """Where a rule of an older book stands in the newest that has it."""
        known = self.places.get((book.body, book.edition.header.season, clause.id))
        if known is None or known[1] == (book.edition.header.season, clause.id):
            return None
        season, number = known[1]
        newest = self.atlas.by_season.get((book.body, season))
        return Link(text=f"{number} in {season}", href=newest.href(path, number) if newest else "")

    def of(self, path: str, book: Book, clause: Clause) -> CourseView | None:
        """A rule's history, on the page of the newest book that it stands in."""
        known = self.places.get((book.body, book.edition.header.season, clause.id))
        if known is None or known[1] != (book.edition.header.season, clause.id):
            return None
        timeline = known[0]
        changes = sum(station.changed for station in timeline.stations[1:])
        since = timeline.stations[0].point.season
        return CourseView(
            summary=f"{count_words(changes, 'change')} since {since}" if changes else f"new in {since}",
            charts=tuple(self.charts(timeline)),
            stations=tuple(self.stations(path, timeline)),
            habits=tuple(self.habits(timeline)),
            outlook=self.outlook(timeline),
        )

    def charts(self, timeline: Timeline) -> Iterator[ChartView]:
        """A chart for each value that moved."""
        labels = [station_words(station) for station in timeline.stations]
        days = [station.day for station in timeline.stations]
        for line in timeline.lines:
            if line.moves:
                title = line_words(line, self.vocabulary, timeline.body.classes)
                yield ChartView(title=title, picture=line_chart(line, labels, days, title, self.vocabulary))

    def stations(self, path: str, timeline: Timeline) -> Iterator[StationView]:
        """The rows of the table."""
        shown = {(one.point.season, one.clause.id) for one in _at_ends(timeline) if one.clause is not None}
        for at, station in enumerate(timeline.stations):
            book = self.atlas.by_season.get((timeline.body.id, station.point.season))
            number = station.clause.id if station.clause is not None else ""
            done = [
                f"{self.atlas.person_name(by)}, {day_words(on)}{'' if counts else ' (against other words)'}"
                for by, on, counts in (confirmations(station) if at == 0 or _told(station) else ())
            ]
            yield StationView(
                label=station_words(station),
                since=f"from {day_words(station.day)}" if station.day is not None else "",
                number=Link(text=number, href=book.href(path, number) if book and (book.season, number) in shown else ""),
                state=capital(state_words(station, first=at == 0)),
                values=tuple(self.values(timeline, at)),
                effects=tuple(self.effects(path, timeline, station)),
                confirmed=listed(done),
            )

    def values(self, timeline: Timeline, at: int) -> Iterator[str]:
        """What the rule says at a station; what a value is stands before it where there are several."""
        for line in timeline.lines:
            if line.values[at] is not None:
                value = value_words(line.values[at], self.vocabulary)
                value = value.replace(" ", NO_BREAK) if len(value) <= SHORT else value
                title = line_words(line, self.vocabulary, timeline.body.classes)
                yield f"{title}: {value}" if len(timeline.lines) > 1 else value

    def effects(self, path: str, timeline: Timeline, station: Station) -> Iterator[EffectView]:
        """What a station's change meant for each class, with cars that show it."""
        found = Effects(atlas=self.atlas, path=path, body=timeline.body.id, link=lambda number: ClauseLink(number=number))
        if station.change is not None:
            for group in station_effects(station):
                yield found.group(group, tuple(station.effects), showings(station.change.witness, group.classes))

    def habits(self, timeline: Timeline) -> Iterator[str]:
        """How often such rules change, and how long freedoms last, in sentences; the rule's own is what the table shows."""
        for habit in timeline.habits:
            if habit.scope is not Scope.CLAUSE:
                name = habit_name(habit, timeline, self.vocabulary)
                yield " ".join(filter(None, (habit_words(habit, name), freedom_words(habit))))

    def outlook(self, timeline: Timeline) -> str:
        """Where the last change loosened the rule: how long freedoms of its quantities last, or else those of its chapter."""
        last = next((station for station in reversed(timeline.stations) if station.changed), None)
        if last is None or Effect.LOOSENED not in last.effects.values():
            return ""
        wide = [habit for habit in timeline.habits if habit.freedoms and habit.scope is not Scope.CLAUSE]
        near = [habit for habit in wide if habit.scope is Scope.QUANTITY] or wide
        return " ".join(f"{capital(habit_name(habit, timeline, self.vocabulary))}: {freedom_words(habit)}" for habit in near)


def _told(station: Station) -> bool:
    """Whether a station is more than the one before it once again."""
    return station.changed or (station.change is not None and bool(station.change.reinterpreted))


def _at_ends(timeline: Timeline) -> Iterator[Station]:
    """The stations at the end of their season, which are the books that the site shows."""
    for at, station in enumerate(timeline.stations):
        if at + 1 == len(timeline.stations) or timeline.stations[at + 1].point.season != station.point.season:
            yield station
