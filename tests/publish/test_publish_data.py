"""Comparisons, impacts and faults as data, against their schemas."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from jsonschema import Draft202012Validator, ValidationError
from publish_example import COMPARISON, IMPACTS, SITE

from rulewatch.model.change import ClassEffect, Effect, Kind, Witness
from rulewatch.model.fault import CODES, Fault, Source
from rulewatch.model.impact import PRECEDENCE
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.publish.data import comparison_data, impact_data, json_bytes, schema_bytes, verify_data


def validator(name: str) -> Draft202012Validator:
    """The validator of a packaged schema, which is checked itself against JSON Schema 2020-12's own."""
    schema = json.loads(schema_bytes(name))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("unchanged", [False, True])
def test_comparison_meets_its_schema(unchanged):
    """Changed clauses alone, and all of them."""
    data = comparison_data(COMPARISON, unchanged=unchanged)
    validator("compare.schema.json").validate(json.loads(json_bytes(data)))
    assert len(data["changes"]) == (18 if unchanged else 8)


def test_impacts_meet_their_schema():
    """In the order given."""
    data = impact_data(SITE.impacts)
    validator("impact.schema.json").validate(json.loads(json_bytes(data)))
    assert [each["outcome"] for each in data["impacts"]] == [each.outcome.value for each in IMPACTS]


def test_published_files_meet_their_schemas(files):
    """What the site publishes is what the command line prints."""
    compare = json.loads(files["data/compare-saltmarsh-2026-2027.json"])
    impact = json.loads(files["data/impact-saltmarsh-2026-2027.json"])
    validator("compare.schema.json").validate(compare)
    validator("impact.schema.json").validate(impact)
    assert compare == json.loads(json_bytes(comparison_data(COMPARISON)))
    assert files["data/compare.schema.json"] == schema_bytes("compare.schema.json")


def test_shape_of_a_change():
    """Kinds, both sides, effects by class, certainty, words, and values with an ASCII minus."""
    rims = next(each for each in comparison_data(COMPARISON)["changes"] if each["new"] == ["5.1.2"])
    assert rims["kinds"] == ["substitution"]
    assert rims["effects"] == {"silhouette-b": "tightened", "silhouette-a": "tightened", "open-saloon": "same"}
    assert rims["words"][1] == ["drop", "10.5 in (266.7 mm)"]
    assert rims["values"][0] == {"old": "10.5 in", "new": "10 in", "delta": "-0.5 in"}
    assert rims["in_book"] == {"silhouette-b": "tightened", "silhouette-a": "same", "open-saloon": "same"}
    assert rims["masked_by"] == {"silhouette-a": ["5.3", "6.4"]}
    (lost,) = rims["witness"]["silhouette-b"]
    assert (lost["car"], lost["differs"], lost["supposed"]) == ("curlew", ["wheels.rear.rim_width"], ["aero.rear_wing"])


def test_schemas_know_every_word_of_the_closed_lists():
    """Kinds and outcomes of the schemas are those of the program, the outcomes in order of precedence."""
    compare, impact = json.loads(schema_bytes("compare.schema.json")), json.loads(schema_bytes("impact.schema.json"))
    assert set(compare["$defs"]["kind"]["enum"]) == {kind.value for kind in Kind}
    assert impact["$defs"]["outcome"]["enum"] == [outcome.value for outcome in PRECEDENCE]


def test_schema_refuses_what_is_not_data_of_ours():
    """An unknown key, a certainty beyond 1 and a kind outside the list do not pass."""
    check = validator("compare.schema.json")
    for wrong in ({"extra": 1}, {"certainty": 1.2}, {"kinds": ["edited"]}):
        data = comparison_data(COMPARISON)
        data["changes"][0] |= wrong
        with pytest.raises(ValidationError):
            check.validate(data)


def test_witness_is_text_by_quantity():
    """Whatever a witness holds is given as text, an amount with an ASCII minus."""
    offset = Amount(number=Fraction(-5), unit=find_unit("mm"))
    witness = Witness(
        gained=True,
        alone=True,
        in_book=False,
        values={"wheels.offset": offset, "car.built": date(2026, 1, 1)},
        differs=("wheels.offset",),
        says="a car like heron with offset −5 mm",
        car="heron",
    )
    effect = ClassEffect(effect=Effect.LOOSENED, witnesses=(witness,), unread=("8.7",))
    changed = replace(COMPARISON.changed[0], witness={"silhouette-b": (witness,)})
    data = comparison_data(replace(COMPARISON, changes=(changed,), classes={"silhouette-b": effect}))
    validator("compare.schema.json").validate(json.loads(json_bytes(data)))
    (shown,) = data["changes"][0]["witness"]["silhouette-b"]
    assert shown["values"] == {"wheels.offset": "-5 mm", "car.built": "2026-01-01"}
    assert shown["says"] == "a car like heron with offset −5 mm was not legal and is"
    assert data["classes"]["silhouette-b"] == {"effect": "loosened", "unread": ["8.7"], "witness": [shown]}


def test_shape_of_faults():
    """Each with its code, place and words, under what is wrong, worth a look, or open; a fault of a whole file has line 0."""
    source = Source(path="cars/heron/car.yaml", text="nmae: Heron")
    wrong = source.fault("unknown-key", 1, 1, "`nmae` in car.yaml", remedy="did you mean `name`?")
    data = verify_data([wrong], [], [replace(wrong, code="unread", place=replace(wrong.place, line=0, column=0))])
    validator("verify.schema.json").validate(json.loads(json_bytes(data)))
    assert data["faults"] == [
        {
            "code": "unknown-key",
            "path": "cars/heron/car.yaml",
            "line": 1,
            "column": 1,
            "found": "`nmae` in car.yaml",
            "expected": "",
            "remedy": "did you mean `name`?",
        }
    ]
    assert data["warnings"] == []
    assert (data["open"][0]["code"], data["open"][0]["line"]) == ("unread", 0)


def test_schema_of_faults_takes_every_code_and_no_other_shape():
    """Each code of the list passes; a word that is no code, a line below 0, or a point without a key does not."""
    check = validator("verify.schema.json")
    place = Source(path="car.yaml", text="").place(1)
    check.validate(verify_data([Fault(code=code, place=place, found="it") for code in CODES], [], []))
    point = verify_data([], [], [Fault(code="unread", place=place, found="it")])["open"][0]
    for wrong in (point | {"code": "Not one"}, point | {"line": -1}, point | {"extra": 1}, {**point, "line": "1"}, {}):
        with pytest.raises(ValidationError):
            check.validate({"faults": [], "warnings": [], "open": [wrong]})
