"""What a clause adds to the least weight of a car, and tables in steps of another quantity."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rulewatch.intake.suggest.draft import Part, write_amount
from rulewatch.intake.suggest.figures import Figure
from rulewatch.intake.suggest.limits import CHAPTER, HEADING, LEAST_SCORE, SENTENCE, Page
from rulewatch.intake.suggest.scope import find_classes
from rulewatch.intake.suggest.sentences import Cell, Stretch, find_tables
from rulewatch.intake.suggest.vocabulary_index import Mention
from rulewatch.model.quantity import Amount
from rulewatch.model.stated_numbers import StatedNumbers

WEIGHT = "car.weight"
MASS = "[mass]"
FURTHEST_APART = 60  # letters between the verb and what is added
FEWEST_ROWS = 3  # a head and two steps
_ADDS = re.compile(
    r"\b(?:adds?|added|plus|penalt(?:y|ies)|increased\s+by|raised\s+by|carr(?:y|ies)\s+an\s+additional|more\s+than\s+(?:its|their)\s+minimum|zuzüglich|erhöht\s+sich\s+um|zuschlag)\b",
    re.IGNORECASE,
)
_TAKES = re.compile(
    r"\b(?:reduced\s+by|lowered\s+by|decreased\s+by|deducts?|subtracts?|less\s+by|verringert\s+sich\s+um|vermindert\s+sich\s+um|reduziert\s+sich\s+um|abzug)\b",
    re.IGNORECASE,
)
_LEAST_WEIGHT = re.compile(
    r"\b(?:minimum|least|minimal)\s+(?:\w+\s+)?(?:weight|mass)\b|\bmindest(?:gewicht|masse)\w*", re.IGNORECASE
)
_NEXT_EVENT = re.compile(r"\b(?:winner|next\s+(?:event|race|meeting)|success|points?|sieger)\b", re.IGNORECASE)
_ROUNDED = re.compile(
    r"\brounded\s+(?:up\s+)?to\s+the\s+(?:nearest|next)\s+(?P<to>[^,.;]{1,20}?)(?=[,.;]|\s+(?:a|with|half)\b|\Z)", re.IGNORECASE
)
_HALF_UP = re.compile(r"\bhal(?:f|ves)\s+(?:\w+\s+)?up(?:wards)?\b", re.IGNORECASE)
_WITH_DRIVER = re.compile(
    r"\b(?:with|including)\s+(?:the|its|a)?\s*driver\b|\bdriver\s+(?:seated|aboard|on\s+board)\b|\bmit\s+fahrer\b",
    re.IGNORECASE,
)
_WITHOUT_DRIVER = re.compile(r"\b(?:without|excluding)\s+(?:the|its|a)?\s*driver\b|\bohne\s+fahrer\b", re.IGNORECASE)
_ABOVE = re.compile(r"\b(?:above|over|more\s+than|über|mehr\s+als)\b", re.IGNORECASE)
_UP_TO = re.compile(r"\b(?:up\s+to|to|not\s+(?:more|over|exceeding)|no\s+more\s+than|at\s+most|bis)\b|≤|<=", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adder:
    """What a sentence adds to the least weight, as a reading writes it."""

    lines: tuple[str, ...]
    parts: tuple[Part, ...]
    figure: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One column of a table in steps: the quantity that is bounded, its bound as YAML, and for which classes it stands.

    `name` is `car.weight` for the least weight. `head` is what stands over the column.
    """

    name: str
    bound: str
    classes: tuple[str, ...]
    parts: tuple[Part, ...]


def find_adder(page: Page, number: int) -> Adder | None:
    """What a sentence adds to the least weight of a car, or takes off it."""
    sentence = page.sentences[number]
    inside = page.text[sentence.start : sentence.end]
    if _NEXT_EVENT.search(inside):
        return None
    takes, adds = _TAKES.search(inside), _ADDS.search(inside)
    verb = takes or adds
    speaks_of_weight = _LEAST_WEIGHT.search(inside) or (adds and re.search(r"\bweight|mass\b|gewicht", inside, re.IGNORECASE))
    if verb is None or not speaks_of_weight:
        return None
    for figure in page.figures[number]:
        unit = figure.amount.unit
        is_share = unit.symbol == "%"
        near = figure.start - (sentence.start + verb.end()) if "more than" not in verb[0] else 0
        if near < 0 and verb[0].lower() == "added":
            near = sentence.start + verb.start() - figure.end  # "2.5 % of … is added"
        if figure.conditional or not (is_share or unit.dimension == MASS) or not 0 <= near < FURTHEST_APART:
            continue
        sign = "-" if takes and figure.amount.number > 0 else ""
        start = min(sentence.start + verb.start(), figure.start)
        part = Part(path="weight add", start=start, end=figure.end)
        written = write_amount(figure.amount, page.around.edition.body.numbers)
        return Adder(lines=(f"weight: {{add: {sign}{written}}}",), parts=(part,), figure=figure)
    return None


def least_weight(page: Page, bound: str) -> tuple[str, ...]:
    """The lines of a least weight, with how it is rounded and who is in the car where the clause says so."""
    extra: list[str] = []
    if match := _ROUNDED.search(page.text):
        to = match["to"].strip()
        to = (
            f"1 {'lb' if to.casefold() == 'pound' else 'kg'}"
            if to.casefold() in {"pound", "kilogram", "kilogramme", "kg"}
            else to
        )
        ties = ", ties: up" if _HALF_UP.search(page.text) else ""
        extra.append(f"  round: {{to: {to}{ties}, at: total}}")
    if _WITHOUT_DRIVER.search(page.text):
        extra.append("  with: car")
    elif _WITH_DRIVER.search(page.text):
        extra.append("  with: driver")
    return ("weight:", f"  minimum: {bound}", *extra) if extra else (f"weight: {{minimum: {bound}}}",)


# --- Tables -----------------------------------------------------------------------------------------------------------


def find_steps(page: Page, stated: StatedNumbers) -> Iterator[Table]:
    """The columns of tables whose first column has edges of a quantity, "up to 2,000 cm³", and whose others have values."""
    for rows in find_tables(page.text):
        head, body = rows[0], rows[1:]
        edges = [_single(stated, row[0]) for row in body]
        if len(rows) < FEWEST_ROWS or len(head) < 2 or any(edge is None for edge in edges):  # noqa: PLR2004
            continue
        by = _quantity(page, head[0], edges[0])
        if not by or not all(_is_edge(row[0], last=row is body[-1]) for row in body):
            continue
        for column in range(1, len(head)):
            yield from _column(page, stated, rows, column, by)


def _column(page: Page, stated: StatedNumbers, rows: tuple[tuple[Cell, ...], ...], column: int, by: str) -> Iterator[Table]:
    head, style = rows[0], page.around.edition.body.numbers
    steps: list[str] = []
    parts: list[Part] = []
    values: list[Amount] = []
    for row in rows[1:]:
        edge, value = _single(stated, row[0]), _single(stated, row[column]) if column < len(row) else None
        if edge is None or value is None:
            continue
        is_above = row is rows[-1] and _ABOVE.search(row[0].text) is not None
        steps.append(f"[{'above' if is_above else write_amount(edge, style)}, {write_amount(value, style)}]")
        parts += [Part(path="steps", start=cell.start, end=cell.end) for cell in (row[0], row[column])]
        values.append(value)
    if not values:
        return
    classes, named = find_classes(page.text, Stretch(start=head[column].start, end=head[column].end), page.around)
    dimension = values[0].unit.dimension
    name = WEIGHT if dimension == MASS and _LEAST_WEIGHT.search(f"{page.clause.heading} {page.text}") else ""
    name = name or _quantity(page, None if classes else head[column], values[0])
    if name:
        bound = f"{{by: {by}, steps: [{', '.join(steps)}]}}" if len(steps) > 1 else write_amount(values[0], style)
        yield Table(name=name, bound=bound, classes=classes, parts=(*named, *parts))


def _single(stated: StatedNumbers, cell: Cell) -> Amount | None:
    """The one amount of a cell."""
    inside = [number.amount for number in stated.digits if cell.start <= number.start and number.end <= cell.end]
    return inside[0] if len(inside) == 1 else None


def _is_edge(cell: Cell, *, last: bool) -> bool:
    """Whether a cell of the first column names an upper edge; "above" may stand in the last row only."""
    if _ABOVE.search(cell.text) and not _UP_TO.search(cell.text):
        return last
    return True


def _quantity(page: Page, head: Cell | None, amount: Amount | None) -> str:
    """The quantity that the head of a column speaks of, or, without one, the clause."""
    if amount is None:
        return ""
    index = page.around.index
    mentions: list[Mention] = list(page.far) if head is None else list(index.mentions(page.clause.heading, CHAPTER, own=False))
    if head is not None:
        mentions += index.mentions(page.text, 1.0, head.start, head.end)
    else:
        mentions += [
            one for sentence in page.sentences for one in index.mentions(page.text, SENTENCE, sentence.start, sentence.end)
        ]
        mentions += index.mentions(page.clause.heading, HEADING, own=False)
    matches = index.look_up(mentions, unit=amount.unit)
    return matches[0].name if matches and matches[0].score >= LEAST_SCORE else ""
