"""A timeline as plain data for other programs; the shape is described by `schema/timeline.schema.json`."""

from __future__ import annotations

from typing import Any

from rulewatch.model.timeline import Habit, Line, Station, Timeline
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.data import effects_data
from rulewatch.publish.reading_words import condition_words
from rulewatch.publish.timeline_words import confirmations, value_words


def timeline_data(timeline: Timeline, vocabulary: Vocabulary) -> dict[str, Any]:
    """A timeline as data: stations from old to new, and for each value as many entries as there are stations."""
    return {
        "body": timeline.body.id,
        "rule": str(timeline.lineage),
        "clause": timeline.last.id,
        "stations": [_station(station) for station in timeline.stations],
        "values": [_line(line, vocabulary) for line in timeline.lines],
        "habits": [_habit(habit) for habit in timeline.habits],
    }


def _station(station: Station) -> dict[str, Any]:
    change = station.change
    return {
        "point": str(station.point),
        "day": station.day.isoformat() if station.day is not None else None,
        "bulletins": list(station.bulletins),
        "clause": station.clause.id if station.clause is not None else None,
        "text": station.clause.text if station.clause is not None else None,
        "kinds": [kind.value for kind in change.kinds] if change is not None else [],
        "wording_only": change is not None and change.wording_only,
        "old": [clause.id for clause in change.old] if change is not None else [],
        "new": [clause.id for clause in change.new] if change is not None else [],
        **effects_data(change if station.changed else None),
        "reinterpreted": list(change.reinterpreted) if change is not None else [],
        "confirmed": [{"by": by, "on": on.isoformat(), "counts": counts} for by, on, counts in confirmations(station)],
        "recorded": None
        if station.recorded is None
        else {"by": station.recorded.by, "on": station.recorded.on.isoformat(), "commit": station.recorded.commit},
    }


def _line(line: Line, vocabulary: Vocabulary) -> dict[str, Any]:
    return {
        "subject": line.subject,
        "sense": line.sense.value,
        "permitted": line.permitted,
        "classes": list(line.classes),
        "when": condition_words(line.when, vocabulary) if line.when is not None else "",
        "values": [None if value is None else value_words(value, vocabulary).replace("−", "-") for value in line.values],
    }


def _habit(habit: Habit) -> dict[str, Any]:
    return {
        "scope": habit.scope.value,
        "about": habit.about,
        "rules": habit.rules,
        "seasons": habit.seasons,
        "changes": habit.changes,
        "median": float(habit.median) if habit.median is not None else None,
        "freedoms": [
            {
                "clause": freedom.clause,
                "classes": list(freedom.classes),
                "since": str(freedom.since),
                "until": str(freedom.until) if freedom.until is not None else None,
                "days": freedom.days,
            }
            for freedom in habit.freedoms
        ],
    }
