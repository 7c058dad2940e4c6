"""A list of technical limits made by reading: that it is of the law's text, and that each value stands where it says.

Source: StVZO (German regulation on the licensing of vehicles), gesetze-im-internet.de, an official work; the text is read from the
folder that the environment variable RULEWATCH_CORPORA names. How the list was made stands at its head.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from pathlib import Path

import pytest

from rulewatch.model.fault import Source
from rulewatch.model.vocabulary import ValueKind
from rulewatch.parse.clauses import parse_book
from rulewatch.parse.vocabulary import parse_vocabulary

HERE = Path(__file__).parent
CORPORA = os.environ.get("RULEWATCH_CORPORA", "")
BOUNDS = frozenset({"min", "max", "over", "under", "equals", "add", "absent", "present", "range"})


def rows():
    """The rows of the list as mappings."""
    lines = [line for line in (HERE / "stvzo_limits.tsv").read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    names = lines[0].split("\t")
    return [dict(zip(names, line.split("\t"), strict=True)) for line in lines[1:]]


def passages():
    """The first and the last clause of each passage that was read completely."""
    text = (HERE / "stvzo_limits.tsv").read_text(encoding="utf-8")
    return re.findall(r"^# passage +(.+) to (.+)$", text, re.MULTILINE)


def vocabulary():
    """The vocabulary that the list uses, without a fault."""
    path = HERE / "stvzo_vocabulary.yaml"
    made, faults = parse_vocabulary(Source(path=path.name, text=path.read_text(encoding="utf-8")))
    assert not faults
    return made


def test_the_list_is_of_the_vocabulary():
    """Every limit names quantities of the vocabulary with a value, or parts of it that are there or not."""
    words = vocabulary()
    for row in rows():
        assert row["kind"] in {"limit", "unit", "open", "other"}
        names = row["quantity"].split(" / ") if row["quantity"] else []
        if row["kind"] == "other":
            assert not names
            assert not row["bound"]
            continue
        assert row["bound"] in BOUNDS
        assert bool(row["value"]) == (row["bound"] not in {"present", "absent"})
        for name in names:
            if row["kind"] != "unit":
                assert words.knows(name), name
            if row["kind"] == "limit" and row["value"]:
                assert words.quantities[name].kind is ValueKind.AMOUNT


def test_the_list_is_long_enough():
    """At least ninety limits, from whole passages, with numbers that limit nothing beside them."""
    kinds = Counter(row["kind"] for row in rows())
    assert kinds["limit"] >= 90
    assert kinds["other"] >= 60
    assert len(passages()) >= 5


@pytest.mark.skipif(not CORPORA, reason="RULEWATCH_CORPORA does not name the folder of the texts")
def test_each_value_stands_in_its_clause():
    """Every value of the list is printed in the clause that it is listed for, and every clause lies in a passage."""
    path = Path(CORPORA) / "vehicle-licensing" / "stvzo-2021-07.md"
    clauses = parse_book([Source(path=path.name, text=path.read_text(encoding="utf-8"))], plain=True).clauses
    texts = {clause.id: " ".join(clause.text.split()) for clause in clauses}
    order = {clause.id: at for at, clause in enumerate(clauses)}
    spans = [(order[first], order[last]) for first, last in passages()]
    for row in rows():
        text = texts[row["clause"]]
        for value in row["value"].split("; ") if row["value"] else ():
            assert re.search(rf"(?<![\d,.]){re.escape(value)}(?!\w|,\d)", text), (row["clause"], value)
        assert any(first <= order[row["clause"]] <= last for first, last in spans), row["clause"]


@pytest.mark.skipif(not CORPORA, reason="RULEWATCH_CORPORA does not name the folder of the texts")
def test_no_number_of_the_passages_was_passed_over():
    """Each length, weight, speed and power printed in a passage is in the list, as a limit or as none."""
    path = Path(CORPORA) / "vehicle-licensing" / "stvzo-2021-07.md"
    clauses = parse_book([Source(path=path.name, text=path.read_text(encoding="utf-8"))], plain=True).clauses
    order = {clause.id: at for at, clause in enumerate(clauses)}
    listed = {(row["clause"], value) for row in rows() for value in row["value"].split("; ")}
    amount = re.compile(
        r"(?<![\d,.])\d+(?: \d{3})*(?:,\d+)? (?:mm|cm|m|t|kg|km/h|kW|W|Hz|J|Grad|Prozent|dB\(A\)|N/mm)(?![\w/]| \d)"
    )
    missing = []
    for first, last in passages():
        for clause in clauses[order[first] : order[last] + 1]:
            text = " ".join(clause.text.split())
            missing += [(clause.id, found) for found in amount.findall(text) if (clause.id, found) not in listed]
    assert not missing
