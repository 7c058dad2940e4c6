"""A plain Markdown file as an edition, so that two downloaded books can be compared without a workspace."""

from __future__ import annotations

from rulewatch.model.edition import Body, Edition, EditionHeader, Point
from rulewatch.model.fault import Fault, Source
from rulewatch.parse.clauses import parse_book


def plain_edition(source: Source, name: str) -> tuple[Edition, tuple[Fault, ...]]:
    """A Markdown file as an edition without classes and readings, so that two downloaded books can be compared."""
    chapter = parse_book([source], plain=True)
    place = source.place(1)
    edition = Edition(
        point=Point(file=name),
        header=EditionHeader(body="", season="", title=name, place=place),
        body=Body(id="", name=name, classes={}, place=place),
        clauses=chapter.clauses,
        readings={},
    )
    return edition, chapter.faults
