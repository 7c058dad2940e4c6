"""What came of taking in a book as plain data; the shape is described by `schema/intake.schema.json`."""

from __future__ import annotations

from typing import Any

from rulewatch.model.taken_in import TakenIn
from rulewatch.publish.confirm_data import carriage_data


def taken_data(taken: TakenIn) -> dict[str, Any]:
    """A book that was taken in, with the places to look at in the order of its chapters."""
    return {
        "edition": str(taken.point),
        "bulletin": taken.bulletin or None,
        "title": taken.title,
        "written": not taken.dry,
        "files": list(taken.files),
        "chapters": [{"path": one.path, "title": one.title, "clauses": one.clauses} for one in taken.chapters],
        "clauses": taken.clauses,
        "amendments": taken.amendments,
        "numbering": [{"example": one.example, "clauses": one.clauses} for one in taken.styles],
        "pages": taken.pages,
        "contents": taken.contents,
        "tables": taken.tables,
        "notes": taken.notes,
        "words": {"struck": taken.struck, "inserted": taken.inserted},
        "doubts": [
            {
                "path": one.path,
                "line": one.line,
                "clause": one.clause or None,
                "book": one.book,
                "page": one.page or None,
                "book_line": one.book_line,
                "why": one.why,
            }
            for one in taken.doubts
        ],
        "readings": carriage_data(taken.carriage) if taken.carriage is not None else None,
    }
