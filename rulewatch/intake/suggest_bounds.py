"""What a sentence says of each of its numbers: a least, a greatest, an exact value, a tolerance, a condition, or nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.intake.suggest_cues import (
    AFTERWARDS,
    AND,
    AND_OF,
    AT_LEAST_BEHIND,
    BREAK,
    BY_BEFORE,
    COMPARED,
    CONDITION_AFTER,
    CONDITION_OPENS,
    COUNTS,
    DASH,
    EXACT,
    HOLDS_FOR,
    LIKE_THAT,
    MAX,
    MIN,
    MODAL,
    NUMBER_WORD,
    OF_SOME,
    PASSED,
    RANGE_JOINS,
    RANGE_OPENS,
    REFERENCE,
    RELATIVE,
    RULES,
    MEASURE_BEHIND,
    SIZE_BEHIND,
    TIMES,
    WORD_NUMBERS,
    YEAR,
    Cue,
    Says,
    cue_before,
    cue_behind,
    goes_on,
    lead_cue,
    loose_cue,
)
from rulewatch.intake.suggest_sentences import Stretch, find_list
from rulewatch.model.amounts import FoundNumber
from rulewatch.model.quantity import Amount
from rulewatch.model.stated_numbers import StatedNumbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number of a sentence and what is said of it.

    `text[left:right]` is the part of the sentence that speaks of it; `cue` are the places of the words that say which way it
    bounds. `conditional` tells whether it is in the condition of the rule. `sure` is how plain the wording is, 0 to 1.
    """

    amount: Amount
    start: int
    end: int
    left: int
    right: int
    says: Says
    cue: tuple[int, int]
    sure: float
    conditional: bool = False
    in_words: bool = False
    joined: bool = False  # the second of `45 mm × 2.5 mm`
    of_item: bool = False  # in an item of a list


@dataclass(frozen=True, slots=True, kw_only=True)
class _Number:
    amount: Amount
    start: int
    end: int
    in_words: bool = False


def find_figures(stated: StatedNumbers, sentence: Stretch) -> tuple[Figure, ...]:
    """What a sentence says of its numbers, in order; the statement of a value that does not rule is left out."""
    text = stated.text
    numbers = _numbers(stated, sentence)
    figures: list[Figure] = []
    for index, number in enumerate(numbers):
        left = figures[-1].right if figures else sentence.start
        following = numbers[index + 1].start if index + 1 < len(numbers) else sentence.end
        right = _right(text, number.end, following, sentence.end)
        figures.append(_figure(text, sentence, number, (left, right), figures))
    return tuple(hung_on_lead(text, sentence, _with_ranges(text, figures)))


def _numbers(stated: StatedNumbers, sentence: Stretch) -> list[_Number]:
    """The numbers of a sentence in digits, those that rule, and in words behind words that bound."""
    digits = [
        _Number(amount=number.amount, start=number.start, end=number.end)
        for index, number in enumerate(stated.digits)
        if sentence.start <= number.start < sentence.end
        and index not in stated.twins
        and not _is_year(number)
        and not (not number.amount.unit.symbol and REFERENCE.search(stated.text, max(0, number.start - 60), number.start))
    ]
    words = []
    for match in NUMBER_WORD.finditer(stated.text, sentence.start, sentence.end):
        before = stated.text[max(sentence.start, match.start() - 40) : match.start()]
        is_bound = any(cue.search(before) for cue in (COMPARED, MAX, MIN, EXACT, RANGE_OPENS, COUNTS))
        is_bound = is_bound or AT_LEAST_BEHIND.match(stated.text, match.end(), sentence.end) is not None
        if is_bound:
            amount = Amount(number=Fraction(WORD_NUMBERS[match[0].lower()]))
            words.append(_Number(amount=amount, start=match.start(), end=match.end(), in_words=True))
    return sorted((*digits, *words), key=lambda number: number.start)


def _is_year(number: FoundNumber) -> bool:
    """Whether a plain number is more likely a year than a count."""
    return not number.amount.unit.symbol and YEAR.fullmatch(number.amount.printed) is not None


def _right(text: str, end: int, following: int, stop: int) -> int:
    """Where the part of a sentence about a number ends: before the next comma or "and", or at its end."""
    last = min(stop, following)
    is_last = following >= stop
    afterwards = AFTERWARDS.match(text, end, last)
    bound = BREAK.search(text, end, last)
    if afterwards:
        inner = BREAK.search(text, end, afterwards.end())
        return inner.start() if inner else afterwards.end()
    if bound:
        return bound.start()
    return last if is_last else end  # what leads to the next number is about that


def _figure(text: str, sentence: Stretch, number: _Number, span: tuple[int, int], before: Sequence[Figure]) -> Figure:
    left, right = span
    cue = _said(text, sentence, number, left, before)
    conditional = cue.says is not Says.ASIDE and _is_conditional(text, sentence, number, left)
    return Figure(
        amount=number.amount,
        start=number.start,
        end=number.end,
        left=left,
        right=right,
        says=cue.says,
        cue=(cue.start, cue.end),
        sure=cue.sure,
        conditional=conditional,
        in_words=number.in_words,
    )


def _said(text: str, sentence: Stretch, number: _Number, left: int, before: Sequence[Figure]) -> Cue:
    """What is said of a number, the words that say it, and how plainly."""
    here, rest = text[left : number.start], text[number.end : sentence.end]
    by = BY_BEFORE.search(here)
    if by and (by[0].lower().startswith("um") or PASSED.search(text, sentence.start, sentence.end)):
        return Cue(says=Says.BY, start=number.start, end=number.end, sure=0.9)
    denied = bool(before and before[-1].says in {Says.MIN, Says.MAX} and goes_on(here))
    plain = cue_before(here, denied_before=denied)
    if plain is not None:
        return Cue(says=plain.says, start=left + plain.start, end=number.start, sure=plain.sure)
    behind = cue_behind(rest, in_words=number.in_words)
    if behind is not None:
        return Cue(says=behind.says, start=number.end + behind.start, end=number.end + behind.end, sure=behind.sure)
    carried = _carried(here, number, before)
    if carried is not None:
        return carried
    if LIKE_THAT.search(here) and SIZE_BEHIND.match(rest):
        return Cue(says=Says.ASIDE, start=number.start, end=number.end, sure=0.8)
    if MEASURE_BEHIND.match(rest):
        return Cue(says=Says.EXACTLY, start=number.start, end=number.end, sure=0.6)
    loose = loose_cue(text[sentence.start : number.start], here)
    if loose.start < 0:
        return Cue(says=loose.says, start=number.start, end=number.end, sure=loose.sure)
    return Cue(says=loose.says, start=sentence.start + loose.start, end=sentence.start + loose.end, sure=loose.sure)


def _carried(here: str, number: _Number, before: Sequence[Figure]) -> Cue | None:
    """What was said of the number before and goes on: "no more than 1,610 mm at the front and 1,630 mm at the rear"."""
    last = before[-1] if before else None
    if last is None or last.says not in {Says.MIN, Says.MAX, Says.EXACTLY}:
        return None
    alike = last.amount.unit.dimension == number.amount.unit.dimension
    if (alike and last.says is not Says.EXACTLY and AND.search(here)) or AND_OF.fullmatch(here):
        return Cue(says=last.says, start=last.cue[0], end=last.cue[1], sure=0.8)
    return None


def _is_conditional(text: str, sentence: Stretch, number: _Number, left: int) -> bool:
    """Whether a number stands in the condition of a rule: in front of the verb that rules, or behind "where" and the like."""
    here = text[left : number.start]
    if OF_SOME.search(here) or HOLDS_FOR.search(text, sentence.start, number.start):
        return True
    ruling = RULES.search(text, sentence.start, sentence.end)
    modal = ruling or MODAL.search(text, sentence.start, sentence.end)
    if ruling is None and RELATIVE.search(text, sentence.start, min(number.start, modal.start() if modal else sentence.end)):
        return True  # no sentence, but a thing with what it is like: "loading ramps that …"
    if modal and number.end <= modal.start():
        rest = text[number.end : sentence.end]
        if re.search(r"\bnot\s+be\s+exceeded|nicht\s+(?:über|unter)schritten", rest):
            return False
        return bool(CONDITION_OPENS.search(text, sentence.start, number.start))
    start = left
    for found in BREAK.finditer(text, left, number.start):
        start = found.end()
    return bool(CONDITION_AFTER.search(text, start, number.start))


def hung_on_lead(text: str, sentence: Stretch, figures: Sequence[Figure]) -> Iterator[Figure]:
    """The figures, those of a list with what its lead says of them: "shall not exceed: front 9 in, rear 10 in".

    A figure that is an item by itself is wholly about what the lead is about. In a list that has such figures, those of
    another kind between them say for which cars the next one is.
    """
    items = find_list(text, sentence)
    lead = Stretch(start=sentence.start, end=items[0].start) if items else sentence
    said = lead_cue(text[lead.start : lead.end])
    inside = {figure.start: item for figure in figures for item in items if item.start <= figure.start < item.end}
    bare = {start for figure in figures if (start := figure.start) in inside and _is_bare(text, inside[start], figure)}
    kinds = {figure.amount.unit.dimension for figure in figures if figure.start in bare}
    for figure in figures:
        item = inside.get(figure.start)
        if item is None or said is None:
            yield figure
        elif bare and (figure.start not in bare or figure.amount.unit.dimension not in kinds):
            yield replace(figure, conditional=True, of_item=True)
        else:
            own = figure.says in {Says.MIN, Says.MAX, Says.OVER, Says.UNDER} and item.start <= figure.cue[0]
            cue = figure.cue if own else (lead.start + said.start, lead.start + said.end)
            span = lead if figure.start in bare else item
            yield replace(
                figure,
                says=figure.says if own else said.says,
                cue=cue,
                sure=max(figure.sure, 0.9),
                left=span.start,
                right=span.end,
                conditional=figure.conditional and figure.start not in bare,
            )


def _is_bare(text: str, item: Stretch, figure: Figure) -> bool:
    """Whether a figure is all that an item of a list says."""
    rest = text[item.start : figure.start] + text[figure.end : item.end]
    return re.search(r"[^\W\d_]{2}", rest) is None


def _with_ranges(text: str, figures: Sequence[Figure]) -> list[Figure]:
    """Two numbers that are the ends of one range, or the two sizes of one profile, made to say so."""
    found = list(figures)
    for index in range(len(found) - 1):
        one, other = found[index], found[index + 1]
        if one.amount.unit.dimension != other.amount.unit.dimension:
            continue
        between = text[one.end : other.start]
        opens = RANGE_OPENS.search(text[one.left : one.start])
        is_range = (opens and RANGE_JOINS.fullmatch(between)) or (
            DASH.fullmatch(between) and one.amount.base < other.amount.base
        )
        if is_range:
            cue = (one.left + opens.start() if opens else one.start, one.start)
            low, high = sorted((one, other), key=lambda figure: figure.amount.base)
            ends = ((low, Says.MIN), (high, Says.MAX))
            found[index : index + 2] = [
                replace(end, says=says, left=one.left, right=other.right, cue=cue, sure=0.95, conditional=one.conditional)
                for end, says in ends
            ]
        elif TIMES.fullmatch(between):
            found[index] = replace(one, right=other.right)
            found[index + 1] = replace(
                other, left=one.left, says=one.says, cue=one.cue, sure=one.sure, conditional=one.conditional, joined=True
            )
    return found
