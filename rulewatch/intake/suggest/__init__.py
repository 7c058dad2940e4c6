"""Suggested readings: the usual sentences of rule books, English and German, with the vocabulary's words, as readings.

Make `Surroundings` once for a book and ask `suggest` for each clause. What comes out is an offer for a person to confirm; it
is no reading until then.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rulewatch.intake.suggest.additions import with_noted
from rulewatch.intake.suggest.cues import Says
from rulewatch.intake.suggest.draft import Draft, Part
from rulewatch.intake.suggest.limits import Page, open_page
from rulewatch.intake.suggest.matters import find_matter
from rulewatch.intake.suggest.readings import find_drafts
from rulewatch.intake.suggest.surroundings import Surroundings
from rulewatch.model.clause import Clause, written_at
from rulewatch.model.stated_numbers import stated_numbers
from rulewatch.model.suggestion import Origin, SuggestedReading, Suggestion

__all__ = ["Origin", "SuggestedReading", "Suggestion", "Surroundings", "suggest"]

MOST_NEAREST = 5
NO_QUANTITY = "it limits something, but no quantity of the vocabulary is near enough to what it names"
NOTHING_ASKED = "no sentence of it has a form that is known"


def suggest(clause: Clause, around: Surroundings) -> Suggestion:
    """The readings that a clause's words suggest, with where each part came from; why there are none, where there are none."""
    stated = stated_numbers(clause.plain, around.edition.body)
    page = open_page(clause, around, stated)
    drafts = find_drafts(page, stated)
    bounded = any(one.amount.unit.symbol and one.says is not Says.ASIDE for figures in page.figures for one in figures)
    if not drafts and not bounded and (matter := find_matter(page)):
        drafts = with_noted(page, stated, (matter,))
    if not drafts:
        return _nothing(page)
    return Suggestion(clause=clause.id, readings=tuple(_finished(draft, clause) for draft in drafts))


def _finished(draft: Draft, clause: Clause) -> SuggestedReading:
    return SuggestedReading(
        yaml=draft.write(),
        origins=tuple(_origins(draft.all_parts, clause)),
        certainty=draft.certainty,
        doubts=draft.doubts,
    )


def _origins(parts: Iterable[Part], clause: Clause) -> Iterator[Origin]:
    for part in parts:
        start, end = written_at(clause.text, part.start), written_at(clause.text, part.end)
        yield Origin(part=part.path, start=start, end=end, words=clause.text[start:end])


def _nothing(page: Page) -> Suggestion:
    """Why nothing is suggested, with the entries of the vocabulary that are nearest."""
    index = page.around.index
    figures = [(number, one) for number, found in enumerate(page.figures) for one in found]
    matches = [match for number, one in figures for match in index.look_up(page.mentions(number, one), unit=one.amount.unit)]
    matches = matches or [
        match for number in range(len(page.sentences)) for match in index.look_up(page.sentence_mentions(number))
    ]
    names = dict.fromkeys(match.name for match in sorted(matches, key=lambda match: -match.score))
    why = NO_QUANTITY if figures else NOTHING_ASKED
    return Suggestion(clause=page.clause.id, why_not=why, nearest=tuple(names)[:MOST_NEAREST])
