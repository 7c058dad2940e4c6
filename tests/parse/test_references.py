"""References between clauses: what counts as one, and which clause it means."""

from __future__ import annotations

import pytest

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book
from rulewatch.parse.references import find_references, reference_spans

KNOWN = frozenset(
    [
        "1.3",
        "2k",
        "4",
        "4.2.1",
        "4.2.1(a)",
        "4.2.1(a)(i)",
        "4b3a",
        "5.2",
        "5.2.1",
        "5.2.2",
        "5.2.3",
        "5.3",
        "A2",
        "Annex A",
        "Annex A/1.2",
        "Anlage VIII",
        "Anlage VIII/3.1.4",
        "Article 6",
        "§ 36",
        "§ 36(3)",
        "§ 36a",
        "§ 36a(2)",
        "§ 36a(2)(1)",
        "§ 36a(2)(1)(b)",
        "§ 36a(3)",
    ]
)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("see 4.2.1.", ["4.2.1"]),
        ("as in 1.3, but", ["1.3"]),
        ("article 5.2", ["5.2"]),
        ("articles 5.2 and 5.3", ["5.2", "5.3"]),
        ("Articles 5.2, 5.3 or 4.2.1", ["5.2", "5.3", "4.2.1"]),
        ("article 6", ["Article 6"]),
        ("section 4", ["4"]),
        ("clause 4.2.1(a)", ["4.2.1(a)"]),
        ("clause 4.2.1 (a)(i)", ["4.2.1(a)(i)"]),
        ("clause 4.2.1(c)", ["4.2.1"]),
        ("Regulation 4b3a", ["4b3a"]),
        ("[Regulation 2k](regulations:regulation:2k)", ["2k"]),
        ("Regulations A2, 2k and 4b3a", ["A2", "2k", "4b3a"]),
        ("§ 36a Absatz 2 Satz 1", ["§ 36a(2)"]),
        ("§ 36a Absatz 2 Nummer 1 Buchstabe b", ["§ 36a(2)(1)(b)"]),
        ("§\n36a Absatz 9", ["§ 36a"]),
        ("1.2 of Annex A", ["Annex A/1.2", "Annex A"]),
        ("Nummer 3.1.4 der Anlage VIII", ["Anlage VIII/3.1.4", "Anlage VIII"]),
        ("5.2.1 to 5.2.3", ["5.2.1", "5.2.2", "5.2.3"]),
        ("5.2 mm of clearance", []),
        ("reduced by 5.2 kg", []),
        ("a ratio of 1.3 %", []),
        ("version 5.2", []),
        ("4 wheels", []),
        ("5.2.10 and 15.2.1", []),
        ("https://rules.example/4.2.1", []),
        ("§ 36 der Straßenordnung", []),
        ("section 4 of the Road Act", []),
        ("9.9.9", []),
    ],
)
def test_reference(text, expected):
    """References are found with their details, as far as the book has such a clause, and amounts are none."""
    assert list(find_references(text, KNOWN)) == expected


def test_within_its_own_clause():
    """A paragraph that is named alone is one of the same clause; numbers in an annex are first of all the annex's own."""
    assert find_references("nach Absatz 2 Nummer 1", KNOWN, clause="§ 36a(3)") == ("§ 36a(2)(1)",)
    assert find_references("Nummer 3.1.4", KNOWN, clause="Anlage VIII/1", annex="Anlage VIII") == ("Anlage VIII/3.1.4",)
    assert find_references("see 4.2.1", KNOWN, clause="4.2.1") == ()


def test_spans():
    """Spans cover the number with its details, not the word before it."""
    text = "See clause 4.2.1 (a), § 36a Absatz 2 and Annex A."
    assert [(text[start:end], id_) for start, end, id_ in reference_spans(text, KNOWN)] == [
        ("4.2.1 (a)", "4.2.1(a)"),
        ("36a Absatz 2", "§ 36a(2)"),
        ("Annex A", "Annex A"),
    ]


def test_over_the_whole_book():
    """References reach into other chapters, forwards and back."""
    book = parse_book([Source(path="a.md", text="1.1 See 2.1."), Source(path="b.md", text="2.1 See 1.1, 2.1 and 3.1.")])
    assert [clause.references for clause in book.clauses] == [("2.1",), ("1.1",)]
