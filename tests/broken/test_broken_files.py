"""Broken files, and the faults that each must give: all of them, at these places, in these words.

In the files of the folders beside this one, a line `^ code: message` says what is wrong with the line above it (or, with more
carets below each other, the nearest line above that is none): the caret stands under the column. Such lines are taken out
before the file is read. The folder says how: see `READERS`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from rulewatch.model.edition import Body
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.cars import parse_car, parse_crew
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.editions import parse_body, parse_edition_header
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.nodes import read_yaml
from rulewatch.parse.options import parse_options
from rulewatch.parse.pairs import parse_pairs
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.vocabulary import packaged_vocabulary

HERE = Path(__file__).parent
SALTMARSH = Body(
    id="saltmarsh",
    name="Saltmarsh Circuit Club",
    classes={"silhouette-a": "Silhouette A", "silhouette-b": "Silhouette B"},
    place=Place(path="body.yaml"),
)
EXPECTED = re.compile(r" *\^ (?P<code>[a-z0-9-]+): (?P<message>.*)")


def read_nodes(source: Source) -> tuple[Fault, ...]:
    """YAML of any kind."""
    return read_yaml(source)[1]


def read_rules(source: Source) -> tuple[Fault, ...]:
    """A chapter with its readings, checked against their clauses."""
    chapter = parse_chapter(source)
    faults = list(chapter.faults)
    found = [(block.clause, *parse_reading(block, source, vocabulary=packaged_vocabulary())) for block in chapter.blocks]
    for _, _, its_faults in found:
        faults.extend(its_faults)
    for clause in chapter.clauses:
        readings = [reading for name, reading, _ in found if name == clause.id]
        if None not in readings:
            faults.extend(check_against_text(readings, clause, body=SALTMARSH, source=source))
    return in_order(faults)


def read_edition(source: Source) -> tuple[Fault, ...]:
    """The header of an edition of an invented body."""
    return parse_edition_header(source, body=SALTMARSH, season="2027", vocabulary=packaged_vocabulary())[1]


READERS: dict[str, Callable[[Source], tuple[Fault, ...]]] = {
    "bodies": lambda source: parse_body(source, "saltmarsh")[1],
    "bulletins": lambda source: parse_bulletin(source, vocabulary=packaged_vocabulary())[1],
    "cars": lambda source: parse_car(source, "marram", vocabulary=packaged_vocabulary())[1],
    "crews": lambda source: parse_crew(source)[1],
    "editions": read_edition,
    "jobs": lambda source: parse_jobs(source, vocabulary=packaged_vocabulary())[1],
    "options": lambda source: parse_options(source, vocabulary=packaged_vocabulary())[1],
    "pairs": lambda source: parse_pairs(source)[1],
    "readings": read_rules,
    "yaml": read_nodes,
}

FILES = sorted(file for folder in READERS for file in (HERE / folder).iterdir())


def split(annotated: str) -> tuple[str, list[str]]:
    """The text without its annotations, and what these expect: `line:column: code message`."""
    lines: list[str] = []
    expected: list[str] = []
    for line in annotated.split("\n"):
        if match := EXPECTED.fullmatch(line):
            expected.append(f"{len(lines)}:{line.index('^') + 1}: {match['code']} {match['message']}")
        else:
            lines.append(line)
    return "\n".join(lines), expected


@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_every_fault_is_found_where_it_is(file: Path) -> None:
    """A broken file gives exactly the faults written into it, with line, column and message."""
    text, expected = split(file.read_text(encoding="utf-8"))
    faults = READERS[file.parent.name](Source(path=file.name, text=text))
    found = [f"{fault.place.line}:{fault.place.column}: {fault.code} {fault.message}" for fault in faults]
    assert "\n".join(sorted(found)) == "\n".join(sorted(expected))
    assert expected, "a broken file must expect a fault"


def test_no_folder_is_forgotten() -> None:
    """Every folder of broken files has a reader."""
    assert {folder.name for folder in HERE.iterdir() if folder.is_dir() and folder.name != "__pycache__"} == set(READERS)
