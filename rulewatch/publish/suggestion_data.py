"""Suggested readings as plain data, described by `schema/suggest.schema.json`."""

from __future__ import annotations

from typing import Any

from rulewatch.model.clause import Clause
from rulewatch.model.suggestion import SuggestedBook, SuggestedReading, Suggestion


def suggestion_data(book: SuggestedBook) -> dict[str, Any]:
    """What is suggested for the clauses of a book, as data."""
    return {"point": str(book.edition.point), "suggestions": [_clause(*pair) for pair in book.clauses]}


def _clause(clause: Clause, suggestion: Suggestion) -> dict[str, Any]:
    return {
        "clause": clause.id,
        "path": clause.place.path,
        "line": clause.place.line,
        "text": clause.text,
        "readings": [_reading(one) for one in suggestion.readings],
        "why_not": suggestion.why_not,
        "nearest": list(suggestion.nearest),
    }


def _reading(one: SuggestedReading) -> dict[str, Any]:
    return {
        "reading": one.yaml,
        "from": [{"part": each.part, "words": each.words, "start": each.start, "end": each.end} for each in one.origins],
        "certainty": one.certainty,
        "doubts": list(one.doubts),
    }
