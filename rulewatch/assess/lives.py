"""Items with a life: belts, seats, nets, bottles, and paper; until when each is good, and whether that is enough for a day.

How long a life lasts is the rule's to say, and rules count in several ways: to the day or to the year's end, with the year of the
start as the first year or before it. A day on which something is exactly so old is still within its life.
"""

from __future__ import annotations

from calendar import isleap
from collections.abc import Iterator
from datetime import date

from rulewatch.assess.applied import Applied, Bench
from rulewatch.assess.logic import Truth, implies, to_verdict
from rulewatch.assess.words import show
from rulewatch.model.impact import Finding, Need, Sort
from rulewatch.model.reading import Counting, Dated, FirstYear


def good_until(start: date, item: Dated) -> date:
    """The last day of an item's life that began on a day.

    To the year's end, the year of the start is either the first of the years, or comes before them.
    """
    if item.until is Counting.LABEL:
        return start
    if item.until is Counting.YEAR_END:
        return date(start.year + item.years - (item.first_year is FirstYear.COUNTED), 12, 31)
    year = start.year + item.years
    is_no_day = (start.month, start.day) == (2, 29) and not isleap(year)
    return date(year, start.month, 28 if is_no_day else start.day)


def asked_of(one: Applied, bench: Bench) -> Iterator[Dated]:
    """The items with a life that a reading asks of this car; of what it does not have, none is asked."""
    if one.holds.truth is not False and one.replaced.truth is not True:
        yield from (item for item in one.reading.dated if bench.facts.of(item.item).present is not False)


def life_findings(bench: Bench) -> Iterator[Finding]:
    """One finding for each item with a life that the book asks of the car."""
    for one in bench.applied:
        yield from (_finding(one, item, bench) for item in asked_of(one, bench))


def _starts(item: Dated, bench: Bench) -> tuple[date, ...]:
    return tuple(start for start in bench.facts.of(item.counted).values if isinstance(start, date))


def _finding(one: Applied, item: Dated, bench: Bench) -> Finding:
    clause, fact, vocabulary = one.reading.clause, bench.facts.of(item.counted), bench.facts.vocabulary
    starts = _starts(item, bench)
    ends = min((good_until(start, item) for start in starts), default=None)
    held: Truth = None if ends is None else bench.last_day <= ends
    answer = implies(one.holds.truth, held)
    sure = one.confirmed or answer is not True
    alone = answer if sure else None
    whole = alone if one.replaced.truth is False else True if alone else None
    missing = tuple(dict.fromkeys((*one.holds.missing, *(() if starts else (item.counted,))))) if answer is None else ()
    needs = {Need.MEASURE} if missing else set()
    if not one.confirmed and whole is None:
        needs.add(Need.ASK if one.reading.is_open else Need.READ)
    elif whole is None and not needs:
        needs.add(Need.READ)
    value = fact.stale or " / ".join(show(start) for start in starts)
    why = f"{vocabulary.label(item.counted)}: {value or 'not stated'}, {in_words(item)}"
    return Finding(
        sort=Sort.DATED,
        subject=item.item,
        clauses=(clause,),
        verdict=to_verdict(whole),
        alone={clause: to_verdict(alone)},
        why="; ".join((why, *([f"good until {ends}"] if ends is not None else ()), *([] if one.confirmed else [_waits(one)]))),
        applies=one.holds.truth is not False,
        value=value,
        bound=in_words(item),
        needs=frozenset(needs),
        missing=missing,
        ends=ends,
        since=max(starts, default=None) if item.until is not Counting.LABEL else None,
    )


def _waits(one: Applied) -> str:
    return f"the officials were asked: {one.reading.ask}" if one.reading.is_open else "the reading is not confirmed"


def in_words(item: Dated) -> str:
    """A life as a rule says it."""
    if item.until is Counting.LABEL:
        return "good until the day on it"
    years = f"{item.years} year{'s' if item.years > 1 else ''}"
    end = "to the end of the last year" if item.until is Counting.YEAR_END else "to the day"
    first = ", the first one counted" if item.first_year is FirstYear.COUNTED else ""
    return f"no older than {years} from {item.since}, {end}{first}"
