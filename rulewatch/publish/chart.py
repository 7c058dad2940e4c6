"""Charts of a value over time, as SVG that stands inside a page: drawn by position alone, so that colour says nothing.

Each different value has its height, amounts to scale, and its name at the left; the line runs where the value holds. Style is
the site's: the picture has classes and no colours, so that the page's policy and dark paper both suit it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from markupsafe import Markup

from rulewatch.model.quantity import Amount
from rulewatch.model.timeline import Line, Value, distinct, value_key
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.scale import places, spaced
from rulewatch.publish.timeline_words import value_words

# All in pixels, which the page scales down where it is narrower.
WIDE, TOP, FOOT = 340, 12, 20
ROW, LEAST_SPAN = 17, 34
# How wide a letter is at most in the usual fonts, at the size of the labels.
LETTER, NARROW, BROAD = 7.8, 4.8, 12.0
NARROW_LETTERS, BROAD_LETTERS = frozenset("fijlrtI .,:;()'|/-"), frozenset("mwMW@%")
LONGEST_NAME, LONGEST_LABEL = 18, 14


def line_chart(line: Line, labels: Sequence[str], days: Sequence[date | None], title: str, vocabulary: Vocabulary) -> Markup:
    """One value over time; `labels` and `days` are those of the stations, and `title` says what it is, for those who hear it."""
    values = distinct(line.values)
    names = {key: _cut(value_words(value, vocabulary), LONGEST_NAME) for key, value in values.items()}
    heights = _heights(values)
    left = max(map(_wide, names.values())) + 8
    columns = [left + place * (WIDE - left - 8) for place in places(days, 9 / (WIDE - left))]
    bottom = max(heights.values()) + 10
    parts = [
        *_rules(names, heights, left),
        *_axis(labels, columns, bottom),
        *_course([value_key(value) for value in line.values], columns, heights),
    ]
    picture = Markup('<svg class="chart" role="img" aria-label="{}" viewBox="0 0 {} {}" width="{}" height="{}">{}</svg>')
    high = _px(bottom + FOOT)
    return picture.format(f"{title}: {told(line, labels, vocabulary)}", WIDE, high, WIDE, high, Markup("").join(parts))


def told(line: Line, labels: Sequence[str], vocabulary: Vocabulary) -> str:
    """The chart in words: `10 in from 2026, 11 in from 2027`."""
    keys = [value_key(value) for value in line.values]
    return ", ".join(
        f"{value_words(value, vocabulary) if value is not None else 'nothing'} from {label}"
        for at, (value, label) in enumerate(zip(line.values, labels, strict=True))
        if at == 0 or keys[at] != keys[at - 1]
    )


def _heights(found: Mapping[object, Value]) -> Mapping[object, float]:
    """How far down each value lies: amounts of one dimension to scale, a row apart at least, the greatest at the top."""
    amounts = {key: value.base for key, value in found.items() if isinstance(value, Amount)}
    if len(amounts) < len(found) or len({value.unit.dimension for value in found.values() if isinstance(value, Amount)}) > 1:
        return {key: TOP + ROW * at for at, key in enumerate(found)}
    high, low = max(amounts.values()), min(amounts.values())
    span = max(ROW * (len(amounts) - 1), LEAST_SPAN)
    heights: dict[object, float] = {}
    lowest = float(TOP - ROW)
    for key in sorted(amounts, key=lambda one: -amounts[one]):
        wanted = TOP + float(span * (high - amounts[key]) / (high - low)) if high > low else TOP
        lowest = heights[key] = max(wanted, lowest + ROW)
    return heights


def _rules(names: Mapping[object, str], heights: Mapping[object, float], left: float) -> Iterator[Markup]:
    for key, name in names.items():
        down = heights[key]
        yield Markup('<path class="rule" d="M{} {}H{}"/>').format(_px(left), _px(down), WIDE)
        yield Markup('<text x="{}" y="{}" text-anchor="end">{}</text>').format(_px(left - 8), _px(down + 4), name)


def _axis(labels: Sequence[str], columns: Sequence[float], bottom: float) -> Iterator[Markup]:
    """A tick for each station, and the labels that do not run into each other: those of seasons before those of bulletins."""
    short = [_cut(label, LONGEST_LABEL) for label in labels]
    for column in columns:
        yield Markup('<path class="tick" d="M{} {}v-5"/>').format(_px(column), _px(bottom))
    for at, place in spaced([column - 2 for column in columns], [_wide(label) for label in short], WIDE, gap=4):
        yield Markup('<text x="{}" y="{}">{}</text>').format(_px(place), _px(bottom + 13), short[at])


def _course(keys: Sequence[object], columns: Sequence[float], heights: Mapping[object, float]) -> Iterator[Markup]:
    """The line from value to value, a point where each begins, a bar where it ends with nothing after it."""
    path = ""
    for at, key in enumerate(keys):
        here = heights.get(key)
        before = heights.get(keys[at - 1]) if at else None
        if here is None:
            if before is not None:
                yield Markup('<path class="end" d="M{} {}v12"/>').format(_px(columns[at]), _px(before - 6))
            continue
        end = columns[at + 1] if at + 1 < len(keys) else WIDE - 8
        path += f"{'V' + _px(here) if before is not None else f'M{_px(columns[at])} {_px(here)}'}H{_px(end)}"
        if before != here:
            yield Markup('<circle cx="{}" cy="{}" r="4"/>').format(_px(columns[at]), _px(here))
    yield Markup('<path class="run" d="{}"/>').format(path)
    last = heights.get(keys[-1])
    if last is not None:
        yield Markup('<path class="on" d="M{} {}l8 5l-8 5z"/>').format(_px(WIDE - 9), _px(last - 5))


def _wide(text: str) -> float:
    return sum(NARROW if letter in NARROW_LETTERS else BROAD if letter in BROAD_LETTERS else LETTER for letter in text)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


def _px(number: float) -> str:
    """A length with at most one decimal."""
    return f"{number:.1f}".removesuffix(".0")
