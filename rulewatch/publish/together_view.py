"""The part of a car's page that has its entries side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rulewatch.model.impact import Verdict
from rulewatch.model.together import Together
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.car_parts import TogetherRow, TogetherSide
from rulewatch.publish.reading_words import capital
from rulewatch.publish.together_words import SideRow, option_rows, option_title, quantity_rows, quantity_title
from rulewatch.publish.words import VERDICTS, Term

# What a book says of an option, in the words and signs of the verdicts.
OPTIONS: dict[str, Term] = {
    "allowed": VERDICTS[Verdict.LEGAL],
    "forbidden": VERDICTS[Verdict.ILLEGAL],
    "waits": VERDICTS[Verdict.UNKNOWN],
}


def together_rows(atlas: Atlas, page: str, one: Together) -> Iterator[TogetherRow]:
    """What the books differ in or the season brought, then the options."""
    for shared in one.quantities:
        if shared.telling:
            title = quantity_title(shared, atlas.site.vocabulary.label(shared.subject))
            yield TogetherRow(what=title, sides=tuple(_sides(atlas, page, quantity_rows(shared, one.entries))))
    for option in one.options:
        yield TogetherRow(what=option_title(option), sides=tuple(_sides(atlas, page, option_rows(option, one.entries))))


def _sides(atlas: Atlas, page: str, rows: Iterable[SideRow]) -> Iterator[TogetherSide]:
    for row in rows:
        book = atlas.newest.get(row.entry.body)
        yield TogetherSide(
            entry=atlas.entry_title(row.entry.body, row.entry.class_name),
            term=OPTIONS.get(row.verdict) or VERDICTS[Verdict(row.verdict)],
            words=capital(atlas.in_words(row.words)),
            clauses=tuple(book.link(page, clause) for clause in row.clauses) if book is not None else (),
            tighter=row.tighter,
        )
