"""Terms that published rule books define, against the lists in those books as a person reads them.

The texts are not ours to ship: RULEWATCH_CORPORA names a folder with `vehicle-licensing/stvzo-2021-07.md`, the German vehicle
licensing regulation (StVZO 2012, official work) of July 2021, and `cube-competition/2023-08-01.md`, a
sport's competition regulations of that day from a public git repository (CC BY-SA 4.0). What they define was looked up by hand.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rulewatch.compare.terms import defined, uses
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

FOLDER = Path(os.environ.get("RULEWATCH_CORPORA", "/nowhere"))
STVZO, CUBE = FOLDER / "vehicle-licensing/stvzo-2021-07.md", FOLDER / "cube-competition/2023-08-01.md"
pytestmark = pytest.mark.skipif(
    not STVZO.exists() or not CUBE.exists(), reason="RULEWATCH_CORPORA does not name the folder of the texts"
)


def clauses(path: Path):
    """The clauses of a plain book."""
    return parse_book([Source(path=path.name, text=path.read_text())], plain=True).clauses


def test_the_lists_of_definitions_of_a_regulation_are_found_whole():
    """Every entry of three lists, in four styles (quoted, titled, with a colon, as a sentence), and nothing besides."""
    found = defined(clauses(STVZO))
    lists = {
        "Anlage XIV/2": ["Schadstoffklassen", "Geräuschklassen", "EEV Klassen", "Partikelminderungsklassen"],
        "Anlage XVI/2": ["Dieselmotor", "Kaltstarteinrichtung", "Trübungsmessgerät"],  # the fourth is longer than any use of it
        "Anlage XXIII/1.2": [
            *("Abgasemissionen", "Bezugsmasse", "Emissionsmindernde Bauteile", "Emissionsrelevante Bauteile"),
            *("Fahrzeuglebensdauer im Sinne dieser Anlage", "Fahrzeugtyp", "Gesamtmasse", "Kraftstoffsystem"),
            *("Kurbelgehäuse", "Kurbelgehäuseemissionen", "Leermasse", "Luftverunreinigende Gase"),
            *("Luftverunreinigende Partikel", "Tankatmungsverluste", "Verdunstungsemissionen"),
        ],
    }
    for place, terms in lists.items():
        named = [term for clause, several in found.items() if clause.startswith((f"{place}.", f"{place}(")) for term in several]
        assert named == terms
    others = [clause for clause in found if not clause.startswith(tuple(lists))]
    assert len(others) < 10  # of 3,781 clauses


def test_definitions_among_the_rules_are_found_and_so_are_their_uses():
    """`Definition:` in the middle of a rule, and a list below `Definitions:`; a term is used wherever its words stand."""
    book = clauses(CUBE)
    found = {clause: terms[0] for clause, terms in defined(book).items()}
    for clause, term in {
        "5b6": "part",
        "7f1a": "Stackmat",
        "7f1b": "Mat",
        "7f1c": "Timer",
        "7f1d": "Surface",
        "7h2": "Competitor Waiting Area",
        "12i": "move",
    }.items():
        assert found[clause] == term
    used = uses(book, ["Stackmat"])["Stackmat"]
    assert set(used) == {clause.id for clause in book if "stackmat" in clause.text.lower()}
