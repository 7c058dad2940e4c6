"""What a clause says of all that it asks: as a least weight, with tolerances, how it is measured, exceptions, other numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from rulewatch.intake.suggest.cues import Says
from rulewatch.intake.suggest.draft import Draft, Part, write_amount
from rulewatch.intake.suggest.limits import Page
from rulewatch.intake.suggest.weight import WEIGHT, least_weight
from rulewatch.model.stated_numbers import StatedNumbers

_NOTWITHSTANDING = re.compile(
    r"\b(?:notwithstanding|in\s+deviation\s+from|instead\s+of|in\s+place\s+of|by\s+way\s+of\s+derogation\s+from|abweichend\s+von)\b",
    re.IGNORECASE,
)
_EXCEPTION = re.compile(
    r"\b(?:except|unless|save\s+(?:for|that)|other\s+than|ausgenommen|außer|es\s+sei\s+denn)\b", re.IGNORECASE
)
_DRIVER_IN = re.compile(
    r"\bwith\s+(?:the\s+|a\s+|its\s+)?driver\b(?!\W+(?:seated\s+)?outside)|\bdriver\s+(?:seated|aboard|on\s+board|in\s+it)\b|\bmit\s+fahrer\b",
    re.IGNORECASE,
)
_DRIVER_OUT = re.compile(r"\bwithout\s+(?:the\s+|a\s+|its\s+)?driver\b|\bohne\s+fahrer\b", re.IGNORECASE)
_NO_FUEL = re.compile(
    r"\bwithout\s+(?:any\s+)?fuel\b|\b(?:fuel\s+)?tank\s+empty\b|\bempty\s+(?:fuel\s+)?tank\b|\bohne\s+kraftstoff\b",
    re.IGNORECASE,
)
_MEASURED = re.compile(r"\b(?:measured|weighed|taken|gemessen|gewogen)\b", re.IGNORECASE)
UNUSED = "{} is only noted: look whether it limits something"
EXCEPTION = "the clause makes an exception: “{}”"


def as_least_weight(page: Page, draft: Draft) -> Draft:
    """A limit on the least weight of the car as `weight`."""
    item = next((item for item in draft.limit if item.name == WEIGHT and [key for key, _ in item.range] == ["min"]), None)
    if item is None or draft.weight:
        return draft
    parts = tuple(replace(part, path="weight minimum") for part in item.parts)
    rest = tuple(one for one in draft.limit if one is not item)
    weighed = least_weight(page, item.range[0][1])
    return replace(draft, limit=rest, weight=weighed, parts=(*draft.parts, *parts), sure=draft.sure * item.sure)


def with_tolerance(page: Page, draft: Draft) -> Draft:
    """The draft with the tolerance that the text grants on its limits."""
    quantities = page.around.vocabulary.quantities
    units = {unit.dimension for item in draft.limit if item.name in quantities and (unit := quantities[item.name].unit)}
    for figure in (figure for figures in page.figures for figure in figures):
        if figure.says is Says.TOLERANCE and figure.amount.unit.dimension in units and figure.amount.number > 0:
            written = write_amount(figure.amount, page.around.edition.body.numbers)
            part = Part(path="tolerance", start=figure.cue[0], end=figure.end)
            return replace(draft, tolerance=f"±{written}", parts=(*draft.parts, part))
    return draft


def with_measuring(page: Page, draft: Draft) -> Draft:
    """The draft with the conditions of measuring that the clause states."""
    if not draft.limit or not (verb := _MEASURED.search(page.text)):
        return draft
    words = (("driver: no", _DRIVER_OUT), ("driver: yes", _DRIVER_IN), ("fuel: none", _NO_FUEL))
    found = [(text, match) for text, pattern in words if (match := pattern.search(page.text, verb.end()))]
    if not found:
        return draft
    driver = [text for text, _ in found if text.startswith("driver")][:1]
    texts = [*driver, *(text for text, _ in found if text.startswith("fuel"))]
    parts = tuple(Part(path="measured", start=match.start(), end=match.end()) for _, match in found)
    return replace(draft, measured=f"{{{', '.join(texts)}}}", parts=(*draft.parts, *parts))


def with_exceptions(page: Page, draft: Draft) -> Draft:
    """The draft with the clauses that it stands in place of, and with less certainty where the text makes exceptions."""
    if match := _NOTWITHSTANDING.search(page.text):
        behind = page.text[match.end() : match.end() + 80]
        clauses = tuple(name for name in page.clause.references if name.rpartition("/")[2] in behind)
        part = Part(path="instead_of", start=match.start(), end=match.end())
        return replace(draft, instead_of=clauses, sure=draft.sure * 0.9, parts=(*draft.parts, part) if clauses else draft.parts)
    if match := _EXCEPTION.search(page.text):
        words = " ".join(page.text[match.start() : match.start() + 50].split())
        return replace(draft, sure=draft.sure * 0.75, doubts=(*draft.doubts, EXCEPTION.format(words)))
    return draft


def with_noted(page: Page, stated: StatedNumbers, drafts: Sequence[Draft]) -> tuple[Draft, ...]:
    """The drafts, the last of which notes every number with a unit that none of them uses."""
    if not drafts:
        return ()
    style = page.around.edition.body.numbers
    written = "\n".join(draft.write() for draft in drafts)
    aside = {figure.start for figures in page.figures for figure in figures if figure.says is Says.ASIDE}
    noted: list[str] = []
    parts: list[Part] = []
    doubts: list[str] = []
    for index, number in enumerate(stated.digits):
        text = write_amount(number.amount, style)
        is_used = re.search(rf"(?<![\w.]){re.escape(text)}(?!\w)", written) is not None
        twins = {index, *(other for other, ruling in stated.twins.items() if ruling == index)}
        if not number.amount.unit.symbol or is_used or index in stated.twins or len(twins) < 1:
            continue
        noted.append(text)
        parts.append(Part(path="noted", start=number.start, end=number.end))
        if number.start not in aside:
            doubts.append(UNUSED.format(text))
    last = drafts[-1]
    once = tuple(dict.fromkeys(noted))
    sure = last.sure * (0.7 if doubts else 1.0)
    noted_last = replace(
        last, noted=once, parts=(*last.parts, *parts), sure=sure, doubts=(*last.doubts, *dict.fromkeys(doubts))
    )
    return (*drafts[:-1], noted_last)
