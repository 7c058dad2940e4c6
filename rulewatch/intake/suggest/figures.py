"""What a sentence says of each of its numbers: a least, a greatest, an exact value, a tolerance, a condition, or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rulewatch.intake.suggest.cues import (
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
    FORBIDDEN,
    HOLDS_FOR,
    LIKE_THAT,
    MAX,
    MEASURE_BEHIND,
    MIN,
    MODAL,
    NEGATED,
    NOT_PASSED_BEHIND,
    NUMBER_WORD,
    OF_ITSELF,
    OF_OTHERS,
    OF_SOME,
    PASSED,
    PERMITTED,
    RANGE_JOINS,
    RANGE_OPENS,
    REFERENCE,
    RELATIVE,
    RULES,
    SIZE_BEHIND,
    TIMES,
    VERB_FIRST,
    WORD_NUMBERS,
    YEAR,
    Cue,
    Says,
    cue_before,
    cue_behind,
    goes_on,
    loose_cue,
)
from rulewatch.intake.suggest.sentences import Stretch
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
    return tuple(_with_ranges(text, figures))


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
    if cue.says is Says.ASIDE and cue.start > left:
        left = cue.start  # what is in front of "measured at" is about something else
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


_OTHER_WAY = {Says.MIN: Says.UNDER, Says.MAX: Says.OVER, Says.OVER: Says.MAX, Says.UNDER: Says.MIN}


def _said(text: str, sentence: Stretch, number: _Number, left: int, before: Sequence[Figure]) -> Cue:
    """What is said of a number, the words that say it, and how plainly; of what is forbidden the other way round."""
    cue = _worded(text, sentence, number, left, before)
    if cue.says in _OTHER_WAY and _is_forbidden(text, sentence, number):
        return replace(cue, says=_OTHER_WAY[cue.says])
    if cue.says in {Says.OVER, Says.UNDER} and _is_free(text, sentence, number):
        return replace(cue, says=Says.ASIDE)
    return cue


def _is_free(text: str, sentence: Stretch, number: _Number) -> bool:
    """Whether a sentence only permits to go past a number: "it may be higher than 1,500 mm"."""
    ruling = [match[0].lower() for match in RULES.finditer(text, sentence.start, number.start)]
    return bool(ruling) and ruling[-1] in {"may", "can", "darf", "dürfen", "kann", "können"}


def _is_forbidden(text: str, sentence: Stretch, number: _Number) -> bool:
    """Whether a number is in what a sentence forbids: "two turbochargers or more are forbidden"."""
    return (
        FORBIDDEN.search(text, number.end, sentence.end) is not None
        and NEGATED.search(text, sentence.start, number.start) is None
        and RULES.search(text, sentence.start, number.start) is None
    )


def _worded(text: str, sentence: Stretch, number: _Number, left: int, before: Sequence[Figure]) -> Cue:
    """What the words around a number say of it, the plainest first."""
    here, rest = text[left : number.start], text[number.end : sentence.end]
    by = BY_BEFORE.search(here)
    if by and (by[0].lower().startswith("um") or PASSED.search(text, sentence.start, sentence.end)):
        return Cue(says=Says.BY, start=number.start, end=number.end, sure=0.9)
    denied = bool(before and before[-1].says in {Says.MIN, Says.MAX} and goes_on(here))
    if plain := cue_before(here, denied_before=denied):
        return Cue(says=plain.says, start=left + plain.start, end=number.start, sure=plain.sure)
    if behind := cue_behind(rest, in_words=number.in_words):
        return Cue(says=behind.says, start=number.end + behind.start, end=number.end + behind.end, sure=behind.sure)
    return _carried(here, number, before) or _loosely(text, sentence, number, left)


def _loosely(text: str, sentence: Stretch, number: _Number, left: int) -> Cue:
    """What is said of a number that no plain words bound."""
    here, rest = text[left : number.start], text[number.end : sentence.end]
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


def _is_permitted(text: str, sentence: Stretch, number: _Number) -> bool:
    """Whether a number says up to which size a thing is permitted: "tyres with no more than 125 N/mm are permitted"."""
    before = text[sentence.start : number.start]
    return (
        PERMITTED.search(text, number.end, sentence.end) is not None
        and OF_ITSELF.search(before) is not None
        and OF_OTHERS.search(before) is None
        and RULES.search(before) is None
        and NEGATED.search(before[-12:]) is not None
    )


def _is_conditional(text: str, sentence: Stretch, number: _Number, left: int) -> bool:
    """Whether a number stands in the condition of a rule: in front of the verb that rules, or behind "where" and the like."""
    if _is_forbidden(text, sentence, number) or _is_permitted(text, sentence, number):
        return False
    if _describes(text, sentence, number, left):
        return True
    modal = RULES.search(text, sentence.start, sentence.end) or MODAL.search(text, sentence.start, sentence.end)
    if modal and number.end <= modal.start():
        passed = NOT_PASSED_BEHIND.search(text, number.end, sentence.end)
        return passed is None and CONDITION_OPENS.search(text, sentence.start, number.start) is not None
    start = left
    for found in BREAK.finditer(text, left, number.start):
        start = found.end()
    return CONDITION_AFTER.search(text, start, number.start) is not None


def _describes(text: str, sentence: Stretch, number: _Number, left: int) -> bool:
    """Whether the words say with a number which cars or things are meant, wherever the verb stands."""
    opening = VERB_FIRST.match(text, sentence.start, sentence.end)
    ruling = RULES.search(text, sentence.start, sentence.end)
    modal = MODAL.search(text, sentence.start, sentence.end)
    first = min(number.start, modal.start() if modal else sentence.end)
    return (
        OF_SOME.search(text[left : number.start]) is not None
        or HOLDS_FOR.search(text, sentence.start, number.start) is not None
        or (opening is not None and number.end <= opening.end())
        # no sentence, but a thing with what it is like: "loading ramps that …"
        or (ruling is None and RELATIVE.search(text, sentence.start, first) is not None)
    )


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
