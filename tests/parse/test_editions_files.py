"""body.yaml, edition.yaml and pairs.yaml."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model.edition import (
    Body,
    Decision,
    DecisionRule,
    EditionHeader,
    Event,
    Governs,
    ObservedRounding,
    SettledPair,
)
from rulewatch.model.fault import Place, Source
from rulewatch.model.quantity import NumberStyle
from rulewatch.model.reading import Ties
from rulewatch.model.vocabulary import Component, Vocabulary
from rulewatch.parse.editions import check_previous, parse_body, parse_edition_header
from rulewatch.parse.pairs import parse_pairs

VOCABULARY = Vocabulary(quantities={}, components={"aero": Component(name="aero", label="Aerodynamics", system="aero")})
SALTMARSH = Body(
    id="saltmarsh",
    name="Saltmarsh Circuit Club",
    classes={"silhouette-a": "Silhouette A", "silhouette-b": "Silhouette B"},
    place=Place(path="body.yaml", line=1),
)


def body(text):
    """The body that a text gives, and what is told of its faults."""
    found, faults = parse_body(Source(path="body.yaml", text=text), "saltmarsh")
    return found, told(faults)


def edition(text):
    """The edition's header that a text gives, and what is told of its faults."""
    source = Source(path="edition.yaml", text=text)
    found, faults = parse_edition_header(source, body=SALTMARSH, season="2027", vocabulary=VOCABULARY)
    return found, told(faults)


def told(faults):
    """Line, column, code and message of each fault."""
    return [f"{each.place.line}:{each.place.column} {each.code} {each.message}" for each in faults]


# --- body.yaml --------------------------------------------------------------------------------------------------------


def test_a_body_says_how_its_books_are_read():
    """Every key of the format, in its usual form."""
    found, faults = body(
        """
name: Saltmarsh Circuit Club
classes: {silhouette-a: Silhouette A, silhouette-b: Silhouette B}
numbers: {decimal: ",", thousands: "."}
governs: metric
numbering: decimal numbers, then letters
decision: {rule: guarded, guard: 0.5 U, p: 0.9, rounding: limit, ties: up}
"""
    )
    assert faults == []
    assert found == replace(
        SALTMARSH,
        numbers=NumberStyle(decimal=",", thousands="."),
        governs=Governs.METRIC,
        decision=Decision(
            rule=DecisionRule.GUARDED,
            guard=Fraction("0.5"),
            p=Fraction("0.9"),
            rounding=ObservedRounding.LIMIT,
            ties=Ties.UP,
        ),
    )


def test_a_body_may_say_little():
    """Classes without titles are a list; numbers, governing unit and decision have defaults."""
    found, faults = body("name: Five Lakes Trophy\nclasses: [open, closed]\n")
    assert faults == []
    assert found.classes == {"open": "open", "closed": "closed"}
    assert (found.numbers, found.governs, found.decision) == (NumberStyle(), Governs.FIRST, Decision())


@pytest.mark.parametrize(
    ("written", "style"),
    [
        ('{decimal: ","}', NumberStyle(decimal=",", thousands=".")),
        ('{decimal: "."}', NumberStyle(decimal=".", thousands=",")),
        ('{thousands: " "}', NumberStyle(decimal=".", thousands=" ")),
        ('{thousands: ""}', NumberStyle(decimal=".", thousands="")),
        ('{decimal: ",", thousands: "\u202f"}', NumberStyle(decimal=",", thousands="\u202f")),
    ],
)
def test_the_signs_of_numbers_are_taken_as_quoted(written, style):
    """Spaces and nothing count; what parts thousands is the other sign where only one is given."""
    found, faults = body(f"name: x\nclasses: [a]\nnumbers: {written}\n")
    assert (found.numbers, faults) == (style, [])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["1:1 wrong-type nothing for `body.yaml`, expected a mapping of keys to values"]),
        ("- a\n", ["1:1 wrong-type a list for `body.yaml`, expected a mapping of keys to values"]),
        (
            "nmae: x\nclasses: [a]\n",
            [
                "1:1 unknown-key `nmae` in body.yaml; did you mean `name`?",
                "1:1 missing-key body.yaml without `name`; add `name:`",
            ],
        ),
        ("name: x\nclasses: {}\n", ["2:10 wrong-value no class; name at least one class"]),
        ("name: x\nclasses: [a, a]\n", ["2:14 duplicate-key the class `a` again; keep one of the two"]),
        (
            "name: x\nclasses: [../a]\n",
            ["2:11 name-unsafe `../a` as the name of a class, expected letters, digits and - _ . +"],
        ),
        (
            'name: x\nclasses: [a]\nnumbers: {decimal: ".", thousands: "."}\n',
            ["3:36 wrong-value `.` for both decimals and thousands, expected two different signs"],
        ),
        (
            "name: x\nclasses: [a]\nnumbers: {decimal: comma}\n",
            ["3:20 wrong-value 'comma' for `decimal`, expected a point or a comma"],
        ),
        (
            "name: x\nclasses: [a]\ngoverns: second\n",
            ["3:10 wrong-value `second` for `governs`, expected first or metric"],
        ),
        (
            "name: x\nclasses: [a]\ndecision: {p: 95, guard: 1 u}\n",
            [
                "3:26 wrong-value `1 u` for `guard`, expected a multiple of the expanded uncertainty, such as 1 U",
                "3:15 wrong-value `95` for `p`, expected a probability between 0 and 1, such as 0.95",
            ],
        ),
        ("name: x\nclasses: [a]\nname: y\n", ["3:1 duplicate-key `name` again (first on line 1); keep one of the two"]),
    ],
)
def test_what_is_wrong_with_a_body_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert body(text)[1] == expected


def test_what_does_not_parse_gives_its_fault_alone():
    """Nothing else is told of a file that is no YAML; what an empty list or name stands for is told as such."""
    assert body("name: [\n")[0] is None
    assert [each.split()[1] for each in body("name: [\n")[1]] == ["yaml-syntax"]
    assert [each.split()[1] for each in edition("title: [\n")[1]] == ["yaml-syntax"]
    assert [each.split()[1] for each in pairs("- {old: [\n")[1]] == ["yaml-syntax"]
    assert edition("- title\n") == (None, ["1:1 wrong-type a list for `edition.yaml`, expected a mapping of keys to values"])


def test_a_guard_band_may_let_a_value_be_beyond_the_limit():
    """Some inspectors reject only what is surely beyond it: a guard below zero."""
    found, faults = body("name: x\nclasses: [a]\ndecision: {rule: guarded, guard: -1 U}\n")
    assert (found.decision.guard, faults) == (Fraction(-1), [])


# --- edition.yaml -----------------------------------------------------------------------------------------------------


def test_an_edition_says_when_it_holds_and_for_whom():
    """Every key of the format, in its usual form; a season is a name, whatever it looks like."""
    found, faults = edition(
        """title: Rules 2027
published: 2026-11-15
effective: 2027-01-01
previous: 2026
classes: [silhouette-b]
closed: [aero, {scope: aero, clause: 7.10}]
tolerance: [±5 mm, 1 kg]
events:
  - {id: spring, title: Spring meeting, on: 2027-04-17, until: 2027-04-18, track: long-bank}
  - {id: finale, on: 2027-10-02}
"""
    )
    assert faults == []
    assert (found.body, found.season, found.title, found.previous) == ("saltmarsh", "2027", "Rules 2027", "2026")
    assert (found.published, found.effective) == (date(2026, 11, 15), date(2027, 1, 1))
    assert found.previous_place == Place(path="edition.yaml", line=4, column=11)
    assert found.classes == ("silhouette-b",)
    assert [(each.scope, each.clause, each.place.column) for each in found.closed] == [("aero", "", 10), ("aero", "7.10", 24)]
    assert [(each.number, each.unit.symbol) for each in found.tolerances] == [(5, "mm"), (1, "kg")]
    assert found.events == (
        Event(id="spring", title="Spring meeting", on=date(2027, 4, 17), until=date(2027, 4, 18), track="long-bank"),
        Event(id="finale", title="finale", on=date(2027, 10, 2)),
    )


def test_an_edition_needs_no_more_than_a_title():
    """All of the body's classes, nothing closed, nothing before it."""
    found, faults = edition("title: '2027'\n")
    assert faults == []
    assert found == EditionHeader(body="saltmarsh", season="2027", title="2027", place=Place(path="edition.yaml"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("published: 2026-11-15\n", ["1:1 missing-key edition.yaml without `title`; add `title:`"]),
        (
            "title: x\npublished: 15.11.2026\n",
            ["2:12 bad-date `15.11.2026` for `published`, expected a date such as 2027-05-01"],
        ),
        (
            "title: x\neffective: 2027-02-29\n",
            ["2:12 bad-date `2027-02-29` for `effective`, expected a day that the calendar has"],
        ),
        (
            "title: x\nprevious: ../2026\n",
            ["2:11 name-unsafe `../2026` as the name of a season, expected letters, digits and - _ . +"],
        ),
        (
            "title: x\nclasses: [silhouete-a]\n",
            ["2:11 unknown-class `silhouete-a` is no class of Saltmarsh Circuit Club; did you mean `silhouette-a`?"],
        ),
        ("title: x\nclosed: [areo]\n", ["2:10 unknown-quantity `areo` is not in the vocabulary; did you mean `aero`?"]),
        ("title: x\nclosed: [{clause: 7.1}]\n", ["2:10 missing-key closed without `scope`; add `scope:`"]),
        ("title: x\ntolerance: 0 mm\n", ["2:12 wrong-value `0 mm` as a tolerance, expected more than nothing"]),
        (
            "title: x\ntolerance: [5 mm, ±1 cm]\n",
            ["2:19 wrong-value a second tolerance of its dimension, `1 cm`; keep one of the two"],
        ),
        ("title: x\nevents: [{id: a}]\n", ["2:10 missing-key an event without `on`; add `on:`"]),
        (
            "title: x\nevents: [{id: a, on: 2027-05-02, until: 2027-05-01}]\n",
            ["2:41 wrong-value until 2027-05-01, on 2027-05-02, expected an end after the start"],
        ),
        (
            "title: x\nevents: [{id: a, on: 2027-05-02}, {id: a, on: 2027-05-03}]\n",
            ["2:40 duplicate-key the event `a` again; give it an id of its own"],
        ),
        (
            "title: x\nevents: [{id: round 1, on: 2027-05-02}]\n",
            ["2:15 name-unsafe `round 1` as the name of an event, expected letters, digits and - _ . +"],
        ),
    ],
)
def test_what_is_wrong_with_an_edition_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert edition(text)[1] == expected


# --- Which edition came before ----------------------------------------------------------------------------------------


def headers(**previous):
    """Editions of one body, each with the season that it names as its previous one."""
    found = {}
    for name, before in previous.items():
        season = name.removeprefix("s")
        place = Place(path=f"{season}/edition.yaml", line=4, column=11)
        found[season] = EditionHeader(
            body="saltmarsh", season=season, title=season, place=place, previous=before, previous_place=place
        )
    return found


def test_editions_in_a_row_are_well():
    """Each names the one before, the first none; a later one may skip a season."""
    assert check_previous(headers(s2025="", s2026="2025", s2027="2026", s2028="2026")) == ()


def test_a_previous_edition_that_is_not_there_is_a_fault():
    """It points at the name, and offers the seasons that are there."""
    faults = check_previous(headers(s2024="", s2026="", s2027="2025"))
    assert [str(each) for each in faults] == [
        "2027/edition.yaml:4:11: previous-missing saltmarsh has no edition `2025`; name one of 2024, 2026"
    ]


def test_the_previous_edition_is_one_of_the_same_body():
    """Another body's season of that name does not count."""
    other = {"x": replace(headers(s2026="")["2026"], body="five-lakes")}
    (fault,) = check_previous({**headers(s2027="2026"), **other})
    assert (fault.code, fault.remedy) == ("previous-missing", "add that edition, or leave `previous` out")


@pytest.mark.parametrize(
    ("previous", "found"),
    [
        ({"s2026": "2026"}, ["2026/edition.yaml:4:11: previous-cycle 2026 → 2026"]),
        (
            {"s2025": "2027", "s2026": "2025", "s2027": "2026"},
            ["2025/edition.yaml:4:11: previous-cycle 2025 → 2027 → 2026 → 2025"],
        ),
        ({"s2024": "2025", "s2025": "2026", "s2026": "2025"}, ["2025/edition.yaml:4:11: previous-cycle 2025 → 2026 → 2025"]),
    ],
)
def test_a_circle_of_editions_is_one_fault(previous, found):
    """It names the way round, at its first season; editions that only lead into it are not at fault."""
    told_of = [str(each) for each in check_previous(headers(**previous))]
    assert told_of == [f"{each}; name the edition before each, or none" for each in found]


# --- pairs.yaml -------------------------------------------------------------------------------------------------------


def pairs(text):
    """The pairs that a text gives, and what is told of its faults."""
    found, faults = parse_pairs(Source(path="pairs.yaml", text=text))
    return found, told(faults)


def test_pairs_are_settled_by_number():
    """One to one, one to several, several to one, and no counterpart at all."""
    found, faults = pairs(
        """- {old: 4.2.1, new: 4.3.10}
- old: 5.1
  new: [5.1, "5.2(a)"]
  note: the second sentence became a clause of its own
- {old: [6.1, 6.2], new: Annex A/1}
- {old: 7.1}
- {old: [], new: 7.2}
"""
    )
    assert faults == []
    at = Place(path="pairs.yaml", line=1)
    assert found == (
        SettledPair(old=("4.2.1",), new=("4.3.10",), place=at),
        SettledPair(old=("5.1",), new=("5.1", "5.2(a)"), place=at, note="the second sentence became a clause of its own"),
        SettledPair(old=("6.1", "6.2"), new=("Annex A/1",), place=at),
        SettledPair(old=("7.1",), new=(), place=at),
        SettledPair(old=(), new=("7.2",), place=at),
    )
    assert [each.place.line for each in found] == [1, 2, 5, 6, 7]


def test_an_empty_file_settles_nothing():
    """A file of comments alone is fine."""
    assert pairs("# nothing yet\n") == ((), [])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("- {note: x}\n", ["1:3 missing-key a pair without clauses, expected `old`, `new`, or both"]),
        ("- {odl: 1, new: 2}\n", ["1:4 unknown-key `odl` in a pair; did you mean `old`?"]),
        ("- 4.1\n", ["1:3 wrong-type `4.1` for `a pair`, expected a mapping of keys to values"]),
        (
            "- {old: 4.1, new: 4.2}\n- {old: [4.3, 4.1], new: 4.4}\n",
            ["2:15 duplicate-key the old clause `4.1` again (first on line 1); keep one of the two"],
        ),
        ("- {old: {id: 4.1}, new: 4.2}\n", ["1:9 wrong-type a mapping for `old`, expected a text"]),
    ],
)
def test_what_is_wrong_with_pairs_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert pairs(text)[1] == expected
