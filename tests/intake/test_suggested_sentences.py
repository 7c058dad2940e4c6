"""The list of sentences with the readings that they should give: that it can be used, whatever proposes readings."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from ruamel.yaml import YAML
from support import clause

from rulewatch.model.edition import Body
from rulewatch.model.fault import Place, Source
from rulewatch.model.quantity import NumberStyle
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.vocabulary import packaged_vocabulary

LIST = YAML(typ="safe").load((Path(__file__).parent / "suggested_sentences.yaml").read_text(encoding="utf-8"))
SAID = [entry for entry in LIST if entry["reading"] != "nothing"]


@pytest.mark.parametrize("entry", SAID, ids=lambda entry: entry["text"][:50])
def test_the_expected_reading_is_one(entry):
    """What a person would write for the sentence is a reading without a fault, and agrees with its numbers."""
    source = Source(
        path="list.md", text=clause("1", entry["text"], json.dumps(entry["reading"], default=str, ensure_ascii=False))
    )
    chapter = parse_chapter(source)
    reading, faults = parse_reading(chapter.blocks[0], source, vocabulary=packaged_vocabulary())
    assert not [*chapter.faults, *faults]
    decimal = entry.get("decimal", ".")
    numbers = NumberStyle(decimal=decimal, thousands="." if decimal == "," else ",")
    body = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={}, numbers=numbers, place=Place(path="body.yaml"))
    assert not check_against_text([reading], chapter.clauses[0], body=body, source=source)


def test_the_list_is_long_enough():
    """At least sixty sentences with a reading, fifteen that give none, and none twice."""
    texts = [entry["text"] for entry in LIST]
    assert len(set(texts)) == len(texts)
    assert len(SAID) >= 60
    assert len(LIST) - len(SAID) >= 15
