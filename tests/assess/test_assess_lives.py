"""Items with a life, and paper: until when each is good, counted as the rule says, and whether that is enough for a day.

How rules count differs from body to body and from year to year; the shapes here are those of rules that were published.
"""

from __future__ import annotations

from datetime import date

import pytest
from support import clause

from rulewatch.assess.lives import good_until
from rulewatch.model.fault import Place
from rulewatch.model.impact import Need, Sort, Verdict
from rulewatch.model.reading import Counting, Dated, FirstYear

HARNESS = clause(
    "8.1",
    "A harness may be used for 5 years.",
    "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}",
)
LICENCE = clause(
    "1.4",
    "The driver's licence must be valid.",
    "dated: {item: driver.licence, from: driver.licence.valid_until, until: label}",
)


def life(years: int, until: Counting, first_year: FirstYear = FirstYear.ON_TOP) -> Dated:
    """A life of some years from manufacture."""
    return Dated(
        item="safety.seat",
        years=years,
        since="manufacture",
        until=until,
        counted="safety.seat.made",
        first_year=first_year,
        place=Place(path="r.md"),
    )


# Published statements of when something made on a day ends, each as its book counts:
# a suit that must be recertified after five years: the year on the patch to the last day that it may be worn, in a sanctioning
# body's notice (2001 to 2005, 2002 to 2006, 2003 to 2007, 2004 to 2008);
# seats of a standard with five years: made in January or August 2014, good until 31 December 2019 (technical page of an
# international federation);
# seats of a standard with ten years: made from 1 January 2012 on, ended with 2021 by one page (the year of manufacture counts);
# webbing with a label that ends on 31 December of the second year after the date of manufacture (a club's bulletin).
@pytest.mark.parametrize(
    ("years", "first_year", "made", "ends"),
    [
        *((5, FirstYear.COUNTED, f"{year}-06-30", f"{year + 4}-12-31") for year in range(2001, 2005)),
        (5, FirstYear.ON_TOP, "2014-01-01", "2019-12-31"),
        (5, FirstYear.ON_TOP, "2014-08-31", "2019-12-31"),
        (10, FirstYear.COUNTED, "2012-01-01", "2021-12-31"),
        (2, FirstYear.ON_TOP, "2002-03-01", "2004-12-31"),
    ],
)
def test_both_counts_of_years_to_the_end_of_one(years, first_year, made, ends):
    """The year of manufacture is the first of the years, or comes before them."""
    item = life(years, Counting.YEAR_END, first_year)
    assert good_until(date.fromisoformat(made), item) == date.fromisoformat(ends)


@pytest.mark.parametrize(
    ("made", "years", "ends"),
    [
        ("2022-04-10", 5, "2027-04-10"),  # a thing that is exactly so old is no older than that
        ("2024-02-29", 4, "2028-02-29"),
        ("2024-02-29", 5, "2029-02-28"),
        ("2024-12-31", 1, "2025-12-31"),
    ],
)
def test_years_to_the_day(made, years, ends):
    """To the day, with the end of February where a year has no 29th."""
    assert good_until(date.fromisoformat(made), life(years, Counting.DAY)) == date.fromisoformat(ends)


def test_what_is_good_until_the_day_on_it():
    """Of a label with a last day nothing is counted."""
    assert good_until(date(2027, 5, 31), life(0, Counting.LABEL)) == date(2027, 5, 31)


@pytest.mark.parametrize(
    ("spec", "verdict"),
    [
        ("{safety.harness.made: 2022-04-10}", Verdict.LEGAL),
        ("{safety.harness.made: 2022-04-09}", Verdict.ILLEGAL),
        ("{safety.harness.made: [2026-01-01, 2022-04-09]}", Verdict.ILLEGAL),  # the oldest strap counts
        ("{safety.harness: present}", Verdict.UNKNOWN),
        ("{}", Verdict.UNKNOWN),
        ("{safety.harness: absent}", Verdict.LEGAL),
    ],
)
def test_item_on_a_day(case, spec, verdict):
    """Too old is illegal; of unknown age is unknown; what the car does not have has no age."""
    assert case(HARNESS, spec).judge().verdict is verdict


def test_what_the_finding_tells(case):
    """The day that it was made, what the rule asks, and the last day; where the day is missing, which."""
    (finding,) = case(HARNESS, "{safety.harness.made: 2022-05-01}").judge().findings
    assert (finding.sort, finding.subject, finding.ends) == (Sort.DATED, "safety.harness", date(2027, 5, 1))
    assert (
        finding.why == "Harness made on: 2022-05-01, no older than 5 years from manufacture, to the day; good until 2027-05-01"
    )
    (finding,) = case(HARNESS, "{}").judge().findings
    assert (finding.needs, finding.missing, finding.ends) == ({Need.MEASURE}, ("safety.harness.made",), None)


def test_unconfirmed_life_is_no_pass(case):
    """What nobody confirmed may say less than the rule: good by it is unknown, too old by it is illegal only for sure."""
    young, old = "{safety.harness.made: 2026-01-01}", "{safety.harness.made: 2012-01-01}"
    assert case(HARNESS, young, unconfirmed=("8.1",)).judge().verdict is Verdict.UNKNOWN
    assert case(HARNESS, old, unconfirmed=("8.1",)).judge().verdict is not Verdict.LEGAL


@pytest.mark.parametrize(("last", "verdict"), [("2027-04-11", Verdict.LEGAL), ("2027-04-10", Verdict.ILLEGAL)])
def test_until_the_last_day_of_an_event(case, last, verdict):
    """A licence that ends on the first of an event's two days is not good for the event."""
    header = "events: [{id: spring, on: 2027-04-10, until: 2027-04-11}]"
    assert case(LICENCE, f"{{driver.licence.valid_until: {last}}}", header=header).judge().verdict is verdict


@pytest.mark.parametrize(("last", "verdict"), [("2027-04-11", Verdict.LEGAL), ("2027-04-10", Verdict.ILLEGAL)])
def test_waiver_until_the_last_day_of_an_event(case, last, verdict):
    """So with a waiver."""
    rule = clause("5.1", "At most 10 in.", "limit: {wheels.rear.rim_width: {max: 10 in}}")
    waiver = f"[{{clause: '5.1', limit: {{wheels.rear.rim_width: {{max: 11 in}}}}, until: {last}, paper: W7}}]"
    header = "events: [{id: spring, on: 2027-04-10, until: 2027-04-11}]"
    judged = case(rule, "{wheels.rear.rim_width: 10.5 in}", header=header, waivers=waiver).judge()
    assert judged.verdict is verdict


def test_condition_of_a_life(case):
    """A life asked of some cars alone is no matter of others, and of unknown ones unknown."""
    rule = clause(
        "8.1",
        "In cars of more than 2000 cc a harness may be used for 5 years.",
        "when: {engine.capacity: {over: 2000 cc}}\n"
        "dated: {item: safety.harness, life: 5 years, from: manufacture, until: day}\nnoted: [2000 cc]",
    )
    old = "safety.harness.made: 2012-01-01"
    verdicts = [
        case(rule, f"{{{old}{more}}}").judge().verdict for more in ("", ", engine.capacity: 1600 cc", ", engine.capacity: 3 l")
    ]
    assert verdicts == [Verdict.UNKNOWN, Verdict.LEGAL, Verdict.ILLEGAL]
