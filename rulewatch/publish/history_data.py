"""The history of a car as plain data; the shape is described by `schema/history.schema.json`."""

from __future__ import annotations

from typing import Any

from rulewatch.model.alteration import Alteration, CarHistory
from rulewatch.model.timeline import Recorded
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.history_words import stated_words


def history_data(history: CarHistory, vocabulary: Vocabulary, *, names: bool) -> dict[str, Any]:
    """A history as data, from old to new. Who committed is left out unless `names` asks for it."""
    return {
        "car": history.car.id,
        "first": _recorded(history.first, names=names),
        "unknown": history.unknown or None,
        "alterations": [_alteration(one, vocabulary, names=names) for one in history.alterations],
        "rules": [
            {
                "day": one.day.isoformat(),
                "body": one.body,
                "season": one.season,
                "bulletin": one.bulletin or None,
                "effective": one.effective.isoformat() if one.effective is not None else None,
            }
            for one in history.issued
        ],
        "stale": [
            {
                "subject": one.subject,
                "label": vocabulary.label(one.subject),
                "counted": one.counted,
                "why": one.why,
                "todo": one.todo,
            }
            for one in history.doubts
        ],
    }


def _recorded(recorded: Recorded | None, *, names: bool) -> dict[str, Any] | None:
    if recorded is None:
        return None
    return {"commit": recorded.commit, "on": recorded.on.isoformat(), "by": recorded.by if names else None}


def _alteration(one: Alteration, vocabulary: Vocabulary, *, names: bool) -> dict[str, Any]:
    found, job = one.difference, one.job
    done = job.done if job is not None else None
    return {
        "day": one.day.isoformat() if one.day is not None else None,
        "subjects": list(one.subjects),
        "labels": [vocabulary.label(name) for name in one.subjects],
        "old": stated_words(found.old) if found is not None else None,
        "new": stated_words(found.new) if found is not None else None,
        "kind": one.kind.value,
        "recorded": _recorded(one.recorded, names=names),
        "job": None
        if job is None
        else {
            "id": job.id or None,
            "what": job.what,
            "done": done.on.isoformat() if done is not None and done.on is not None else None,
            "by": list(done.by if done is not None and done.by else job.by),
        },
        "answers": [
            {
                "body": answer.body,
                "season": answer.season,
                "clauses": list(answer.clauses),
                "class": answer.class_name or None,
                "bulletins": list(answer.bulletins),
                "opening": answer.opening,
                "said": answer.said,
                "why": answer.why,
            }
            for answer in one.answers
        ],
    }
