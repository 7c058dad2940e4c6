"""Bounds that are not one number: reckoned from a sheet or another quantity, in steps within a sentence, the greater of two."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from rulewatch.intake.suggest.cues import Says
from rulewatch.intake.suggest.draft import Item, Part, write_amount
from rulewatch.intake.suggest.figures import Figure
from rulewatch.intake.suggest.limits import LEAST_SCORE, Page
from rulewatch.intake.suggest.sentences import Stretch
from rulewatch.model.quantity import NUMBER, find_unit
from rulewatch.model.stated_numbers import PER, StatedNumbers
from rulewatch.model.vocabulary import Quantity, ValueKind

_HOMOLOGATED = r"recognition\s+(?:sheet|form)|homologat\w*|homologationsblatt"
_STANDARD = (
    r"donor\s+model|base\s+(?:car|model)|standard\s+(?:car|model|part)|production\s+(?:car|model)|original\w*|serien\w*|maker's"
)
_SHEET = re.compile(rf"\b(?:(?P<homologated>{_HOMOLOGATED})|(?P<standard>{_STANDARD}))\b", re.IGNORECASE)
_OVER_THAT = re.compile(
    r"\b(?:over|above|beyond|below|under)\s+(?:that|those|the\s+(?:size|value|dimension|figure))\b|\b(?:enlarged|increased|raised|reduced|altered|exceeds?|exceed\s+that|moved|differ\w*)\b",
    re.IGNORECASE,
)
_LESSENED = re.compile(r"\b(?:reduced|lowered|shortened|less|under|below)\b", re.IGNORECASE)
_SAME_AS = re.compile(r"\b(?:shall|must|is|are)\s+(?:be\s+|remain\s+)?(?:the\s+same\s+as|as|that|those)\b", re.IGNORECASE)
_WHICHEVER = re.compile(
    r"\bwhichever\s+(?:\w+\s+){0,2}?(?:the\s+)?(?P<way>greater|greatest|larger|higher|more|less|lesser|least|lower|smaller)\b|\bje\s+nachdem[^.]*?\b(?P<weg>größer|kleiner|höher|niedriger)",
    re.IGNORECASE,
)
_GREATER = {"greater", "greatest", "larger", "higher", "more", "größer", "höher"}
_ON_TOP = re.compile(r"\b(?:on\s+top|plus|more\s+than|added|zuzüglich|and)\b", re.IGNORECASE)
_UP_TO = re.compile(r"\b(?:up\s+to|bis(?:\s+zu)?)\b", re.IGNORECASE)
_ABOVE_THAT = re.compile(r"\s*(?:above(?:\s+that)?|beyond(?:\s+that)?|over\s+that|darüber)\b", re.IGNORECASE)
FEWEST_STEPS = 2
FURTHEST_TOP = 60  # letters behind a rate within which "on top" is said of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Related:
    """An item whose bound is reckoned, and the figures that it uses."""

    item: Item
    figures: tuple[Figure, ...]


def sheet_of(text: str, stretch: Stretch) -> str:
    """Which sheet of the car's model a stretch of text names: `homologated`, `standard`, or none."""
    match = _SHEET.search(text, stretch.start, stretch.end)
    return next((name for name, found in match.groupdict().items() if found), "") if match else ""


def over_sheet(page: Page, number: int, figure: Figure, item: Item) -> Item | None:
    """A bound that the text gives over or under the value of a sheet: "enlarged by no more than 1 mm over that on the sheet"."""
    sentence = page.sentences[number]
    sheet = sheet_of(page.text, sentence)
    if (
        not sheet
        or not _OVER_THAT.search(page.text, sentence.start, sentence.end)
        or figure.says not in {Says.MAX, Says.MIN, Says.BY}
    ):
        return None
    written = write_amount(figure.amount, page.around.edition.body.numbers)
    is_less = _LESSENED.search(page.text, sentence.start, sentence.end) is not None
    bound = f"{{of: {sheet}.{item.name}, plus: {'-' if is_less else ''}{written}}}"
    key = "min" if is_less or figure.says is Says.MIN else "max"
    return Item(name=item.name, range=((key, bound),), parts=item.parts, sure=item.sure * 0.9)


def same_as_sheet(page: Page, number: int) -> Item | None:
    """A quantity that must be as a sheet has it: "the wheelbase shall be that of the donor model"."""
    sentence = page.sentences[number]
    match = _SAME_AS.search(page.text, sentence.start, sentence.end)
    sheet = sheet_of(page.text, Stretch(start=match.end(), end=sentence.end)) if match else ""
    if match is None or not sheet:
        return None
    subject = [*page.far, *page.around.index.mentions(page.text, 1.0, sentence.start, match.start())]
    found = [one for one in page.around.index.look_up(subject, kind=ValueKind.AMOUNT) if one.score >= LEAST_SCORE + 0.2]
    if not found:
        return None
    name = found[0].name
    parts = tuple(Part(path=name, start=word.start, end=word.end) for word in found[0].words)
    spot = Part(path=name, start=match.start(), end=sentence.end)
    bound = f"{{of: {sheet}.{name}}}"
    return Item(name=name, range=(("min", bound), ("max", bound)), parts=(*parts, spot), sure=0.8)


def in_steps(page: Page, number: int, quantity: Quantity) -> Related | None:
    """Steps in a sentence: "no more than 36 mm up to a capacity of 2,000 cm³ and 33 mm above"."""
    figures, text, style = page.figures[number], page.text, page.around.edition.body.numbers
    dimension = quantity.unit.dimension if quantity.unit else ""
    values = [one for one in figures if one.amount.unit.dimension == dimension]
    edges = [one for one in figures if one.amount.unit.dimension != dimension and one.says is Says.MAX]
    edges = [
        one for one in edges if any(_UP_TO.search(text, value.end, one.start) and value.end <= one.start for value in values)
    ]
    if len(values) < FEWEST_STEPS or len(values) - len(edges) not in {0, 1} or not edges:
        return None
    if len({edge.amount.unit.dimension for edge in edges}) > 1:
        return None
    pairs: list[str] = []
    for index, value in enumerate(values):
        following = values[index + 1].start if index + 1 < len(values) else page.sentences[number].end
        edge = next((one for one in edges if value.end <= one.start < following), None)
        if edge is None and not (index == len(values) - 1 and _ABOVE_THAT.match(text, value.end)):
            return None
        pairs.append(f"[{write_amount(edge.amount, style) if edge else 'above'}, {write_amount(value.amount, style)}]")
    mentions = [
        *page.far,
        *page.around.index.mentions(text, 1.0, values[0].end, edges[0].start),
        *page.sentence_mentions(number),
    ]
    by = page.around.index.look_up(mentions, unit=edges[0].amount.unit)
    key = values[0].says.value if values[0].says in {Says.MAX, Says.MIN} else ""
    if not by or by[0].score < LEAST_SCORE or not key:
        return None
    bound = f"{{by: {by[0].name}, steps: [{', '.join(pairs)}]}}"
    parts = (
        Part(
            path=f"{quantity.name} {key}", start=min(values[0].cue[0], values[0].start), end=max(values[-1].end, edges[-1].end)
        ),
    )
    return Related(item=Item(name=quantity.name, range=((key, bound),), parts=parts, sure=0.85), figures=(*values, *edges))


def greater_of(page: Page, number: int, item: Item, figure: Figure, others: Sequence[tuple[Figure, Item]]) -> Related | None:
    """The greater or less of two bounds: "1,700 mm or the front track with 120 mm on top, whichever is the greater"."""
    sentence = page.sentences[number]
    match = _WHICHEVER.search(page.text, sentence.start, sentence.end)
    other = next((pair for pair in others if pair[0].start > figure.start), None)
    if match is None or other is None or figure.says not in {Says.MAX, Says.MIN}:
        return None
    style = page.around.edition.body.numbers
    second = write_amount(other[0].amount, style)
    if other[1].name != item.name:
        plus = f", plus: {second}" if _ON_TOP.search(page.text, figure.end, match.start()) else ""
        second = f"{{of: {other[1].name}{plus}}}"
        if not plus:
            return None
    word = (match["way"] or match["weg"]).casefold()
    way = "greatest" if word in _GREATER else "least"
    bound = f"{{{way}: [{write_amount(figure.amount, style)}, {second}]}}"
    parts = (*item.parts, *other[1].parts, Part(path=f"{item.name} {figure.says.value}", start=match.start(), end=match.end()))
    new = Item(name=item.name, range=((figure.says.value, bound),), parts=parts, sure=min(item.sure, other[1].sure) * 0.9)
    return Related(item=new, figures=(figure, other[0]))


def with_rate(page: Page, stated: StatedNumbers, number: int, item: Item, figure: Figure) -> Related | None:
    """A bound that grows with another quantity: "25 L, with 0.02 L for each cm³ of engine capacity on top"."""
    style = page.around.edition.body.numbers
    for other in page.figures[number]:
        if not _ON_TOP.search(page.text, figure.end, max(figure.end, other.end + FURTHEST_TOP)):
            continue
        per = PER.match(page.text, other.end)
        if other is figure or per is None or other.start < figure.start:
            continue
        rates = [
            one
            for one in stated.says
            if one.parts and stated.digits[one.parts[0]].start == other.start and "/" in one.amount.unit.symbol
        ]
        if not rates or other.amount.unit.dimension != figure.amount.unit.dimension:
            continue
        below = rates[0].amount.unit.symbol.rpartition("/")[2]
        end = page.sentences[number].end
        mentions = list(page.around.index.mentions(page.text, 1.0, per.end(), min(end, per.end() + 60)))
        of = [one for one in page.around.index.look_up(mentions, unit=find_unit(below) or NUMBER) if one.score >= LEAST_SCORE]
        if not of or figure.says not in {Says.MAX, Says.MIN}:
            continue
        bound = f"{{of: {of[0].name}, rate: {rates[0].amount.plain}, plus: {write_amount(figure.amount, style)}}}"
        part = Part(path=f"{item.name} {figure.says.value}", start=figure.start, end=per.end())
        return Related(
            item=Item(name=item.name, range=((figure.says.value, bound),), parts=(*item.parts, part), sure=item.sure * 0.85),
            figures=(figure, other),
        )
    return None
