"""The documentation: complete, up to date, with examples that work and links that lead somewhere."""

from __future__ import annotations

import json
import re
import runpy
import shlex
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import click
import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch import cli
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Body
from rulewatch.model.fault import CODES, Fault, Place, Source
from rulewatch.model.quantity import find_unit
from rulewatch.parse import cars, editions, readings, site, stated, tracks
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.clauses import ReadingBlock, parse_book
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.options import parse_options
from rulewatch.parse.pairs import parse_pairs
from rulewatch.parse.points import parse_point
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary
from rulewatch.publish.data import SCHEMAS, schema_bytes

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "CHANGELOG.md", *sorted((ROOT / "docs").rglob("*.md"))]
DATA = ROOT / "docs/reference/data.md"
FORMATS = ROOT / "docs/reference/formats.md"
GENERATED = runpy.run_path(str(ROOT / "docs/generate.py"))["PAGES"]

FENCE = re.compile(
    r"^(?P<indent> *)(?P<marks>`{3,})(?P<info>[^`\n]*)\n(?P<text>.*?)^(?P=indent)(?P=marks)$", re.MULTILINE | re.DOTALL
)
BODY = Body(
    id="saltmarsh",
    name="Saltmarsh Circuit Club",
    classes={"silhouette-a": "Silhouette A", "silhouette-b": "Silhouette B"},
    place=Place(path="body.yaml"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A fenced block of a page: what it holds (its info string), where it stands, and its text."""

    info: str
    where: str
    text: str

    @property
    def source(self) -> Source:
        """The block as a file of its own."""
        return Source(path=self.where, text=self.text)


def name(page: Path) -> str:
    """A page's path from the top."""
    return page.relative_to(ROOT).as_posix()


def examples(page: Path) -> Iterator[Example]:
    """The fenced blocks of a page, their indentation taken off."""
    text = page.read_text()
    for found in FENCE.finditer(text):
        indent = found["indent"]
        lines = [line.removeprefix(indent) for line in found["text"].splitlines(keepends=True)]
        where = f"{name(page)}:{text.count(chr(10), 0, found.start()) + 1}"
        yield Example(info=found["info"].strip(), where=where, text="".join(lines))


# --- Examples parse ---------------------------------------------------------------------------------------------------


def read_reading(example: Example) -> tuple[Fault, ...]:
    """A reading by itself."""
    place = example.source.place(1)
    block = ReadingBlock(clause="5.2.1", text=example.text, place=place, first_line=1, indent=0)
    return readings.parse_reading(block, example.source, vocabulary=packaged_vocabulary())[1]


def read_chapter(example: Example) -> tuple[Fault, ...]:
    """A chapter with the readings in it, which must agree with its text."""
    chapter = parse_book([example.source])
    clauses: dict[str, Clause] = {clause.id: clause for clause in chapter.clauses}
    faults = list(chapter.faults)
    for block in chapter.blocks:
        reading, found = readings.parse_reading(block, example.source, vocabulary=packaged_vocabulary())
        faults += found
        if reading is not None:
            faults += check_against_text([reading], clauses[block.clause], body=BODY, source=example.source)
    assert clauses, example.where
    return tuple(faults)


def read_spec(example: Example) -> tuple[Fault, ...]:
    """Some lines of a car's spec."""
    text = "name: X\nspec:\n" + "".join(f"  {line}\n" for line in example.text.splitlines())
    return cars.parse_car(Source(path=example.where, text=text), "x", vocabulary=packaged_vocabulary())[1]


def read_data(example: Example) -> tuple[Fault, ...]:
    """JSON that a published schema describes."""
    schema = json.loads(schema_bytes(example.info.removeprefix("json ")))
    jsonschema.validate(json.loads(example.text), schema)
    return ()


READERS: dict[str, Callable[[Example], tuple[Fault, ...]]] = {
    "reading": read_reading,
    "markdown chapter": read_chapter,
    "markdown bulletin": lambda example: parse_bulletin(example.source, vocabulary=packaged_vocabulary())[1],
    "yaml body.yaml": lambda example: editions.parse_body(example.source, "saltmarsh")[1],
    "yaml edition.yaml": lambda example: editions.parse_edition_header(
        example.source, body=BODY, season="2027", vocabulary=packaged_vocabulary()
    )[1],
    "yaml pairs.yaml": lambda example: parse_pairs(example.source)[1],
    "yaml vocabulary.yaml": lambda example: parse_vocabulary(example.source, packaged_vocabulary())[1],
    "yaml car.yaml": lambda example: cars.parse_car(example.source, "marram", vocabulary=packaged_vocabulary())[1],
    "yaml options.yaml": lambda example: parse_options(example.source, vocabulary=packaged_vocabulary())[1],
    "yaml jobs.yaml": lambda example: parse_jobs(example.source, vocabulary=packaged_vocabulary())[1],
    "yaml track.yaml": lambda example: tracks.parse_track(example.source, "reach", vocabulary=packaged_vocabulary())[1],
    "yaml crew.yaml": lambda example: cars.parse_crew(example.source)[1],
    "yaml site.yaml": lambda example: site.parse_site(example.source)[1],
    "yaml spec": read_spec,
    "json compare.schema.json": read_data,
    "json impact.schema.json": read_data,
    "json jobs.schema.json": read_data,
    "json verify.schema.json": read_data,
    "json amend.schema.json": read_data,
    "json suggest.schema.json": read_data,
    "json intake.schema.json": read_data,
    "json carry.schema.json": read_data,
    "json confirm.schema.json": read_data,
    "json weigh.schema.json": read_data,
    "json pace.schema.json": read_data,
    "json plan.schema.json": read_data,
    "json tradeoff.schema.json": read_data,
    "json inspection.schema.json": read_data,
    "json nearest.schema.json": read_data,
    "json timeline.schema.json": read_data,
    "json history.schema.json": read_data,
    "json room.schema.json": read_data,
}
# Blocks that show something else than an input of ours.
OTHERS = {"text", "sh", "console"}
EXAMPLES = [example for page in PAGES for example in examples(page)]


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.where)
def test_every_example_in_the_docs_is_read_without_a_fault(example):
    """Each block says what it is, and what is an input of ours parses."""
    if example.info in OTHERS:
        return
    assert example.info in READERS, f"{example.where}: a block `{example.info}`, which no reader is known for"
    assert [str(fault) for fault in READERS[example.info](example)] == []


def test_every_format_has_an_example():
    """The pages of formats and of data show each kind of file and of output."""
    shown = {example.info for page in (FORMATS, DATA) for example in examples(page)}
    assert set(READERS) - {"yaml spec"} <= shown


def test_every_key_is_documented():
    """A key that a format knows stands on the page of formats."""
    keys = {
        *editions.BODY_KEYS,
        *editions.EDITION_KEYS,
        *readings.SAYS,
        *readings.SCOPE,
        *readings.STATE,
        *readings.CONCERNS,
        *stated.MEASURED_KEYS,
        *stated.SHEETS,
        *stated.STATES,
        *site.KEYS,
    }
    text = FORMATS.read_text()
    assert {key for key in keys if f"`{key}`" not in text} == set()


def test_every_key_of_the_data_is_documented():
    """A key that a schema knows, or that `verify` prints, stands on the page of data, and the example has all of them."""
    text = DATA.read_text()
    schemas = [
        json.loads(schema_bytes(name))
        for name in (
            *SCHEMAS,
            *(
                f"{name}.schema.json"
                for name in (
                    "amend",
                    "suggest",
                    "carry",
                    "confirm",
                    "weigh",
                    "pace",
                    "plan",
                    "tradeoff",
                    "inspection",
                    "nearest",
                    "timeline",
                    "history",
                    "room",
                )
            ),
        )
    ]
    parts = [part for schema in schemas for part in (schema, *schema["$defs"].values())]
    keys = {key for part in parts for key in part.get("properties", {})}
    printed = json.loads(CliRunner().invoke(cli.cli, ["-C", str(ROOT), "verify", "--json"]).stdout)
    keys |= {*printed, *(key for found in printed["open"] for key in found)}
    assert {key for key in keys if f"`{key}`" not in text} == set()
    shown = json.loads(next(example.text for example in examples(DATA) if example.info == "json verify.schema.json"))
    assert (shown.keys(), shown["open"][0].keys()) == (printed.keys(), printed["open"][0].keys())


def test_every_unit_in_the_docs_is_known():
    """The table of units lists only what is taken."""
    table = FORMATS.read_text().partition("| dimension | units")[2].partition("\n\n")[0]
    units = re.findall(r"`([^`]+)`", table)
    assert len(units) > 30
    assert [unit for unit in units if find_unit(unit) is None] == []


def test_every_point_in_the_docs_is_one():
    """The table of points lists only what is taken."""
    table = FORMATS.read_text().partition("## Points")[2]
    points = [point for row in re.findall(r"^\| (`.*?) \|", table, re.MULTILINE) for point in re.findall(r"`([^`]+)`", row)]
    assert len(points) == 7
    assert [str(found) for found in map(parse_point, points) if isinstance(found, Fault)] == []


# --- Shown sessions ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("example", [each for each in EXAMPLES if each.info == "console"], ids=lambda example: example.where)
def test_what_a_shown_command_prints_is_what_it_prints(example, monkeypatch):
    """The parts between the dots stand in the real output in that order, line by line."""
    monkeypatch.setenv("COLUMNS", "100")
    command, *lines = example.text.splitlines()
    assert command.startswith("$ rulewatch ")
    printed = CliRunner().invoke(cli.cli, ["-C", str(ROOT), *shlex.split(command)[2:]]).output
    for part in re.split(r"^…\n", "\n".join([*lines, ""]), flags=re.MULTILINE):
        assert part in printed, f"{example.where}: no longer printed:\n{part}"
        printed = printed[printed.index(part) + len(part) :]


# --- Generated pages --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", GENERATED)
def test_a_page_made_from_the_code_is_up_to_date(page):
    """`make docs` writes it anew."""
    assert (ROOT / "docs/reference" / page).read_text() == GENERATED[page]()


def test_the_list_of_faults_is_that_of_the_code():
    """Every fault that is made has its sentence, and none is listed that nothing makes."""
    code = "".join(file.read_text() for file in sorted((ROOT / "rulewatch").rglob("*.py")) if file.name != "fault.py")
    made = set(re.findall(r"(?:\bfault\(\s*|\bcode=)\"([a-z0-9-]+)\"", code))
    assert made - set(CODES) == set()
    assert {each for each in CODES if not re.search(rf"\"{each}[\" ]", code)} == set()


def test_every_command_is_documented_in_words():
    """Each has a help text, and each of its options too."""
    top = click.Context(cli.cli)
    for command_name in cli.cli.list_commands(top):
        command = cli.cli.get_command(top, command_name)
        assert command is not None
        assert command.help, command_name
        for option in command.params:
            assert not isinstance(option, click.Option) or option.help, f"{command_name} {option.name}"


# --- The rooms --------------------------------------------------------------------------------------------------------


def test_the_table_of_rooms_is_the_one_that_the_imports_are_held_to():
    """The page of the architecture and the test of the layers say the same."""
    rooms = runpy.run_path(str(ROOT / "tests/test_layers.py"))["ROOMS"]
    rows = re.findall(r"^\| `(\w+)(?:/|\.py)` \|[^|]*\| (.*?) \|$", (ROOT / "docs/architecture.md").read_text(), re.MULTILINE)
    said = {room: set() if may.startswith("nothing") else set(may.split(", ")) for room, may in rows}
    assert said == {room: {"all"} if room == "cli" else may for room, may in rooms.items()}


# --- Links ------------------------------------------------------------------------------------------------------------


def anchors(page: Path) -> set[str]:
    """The anchors of a page's headings, as the usual hosts make them."""
    text = FENCE.sub("", page.read_text())
    titles = re.findall(r"^#+ (.*)$", text, re.MULTILINE)
    return {re.sub(r"[^\w -]", "", title.lower()).replace(" ", "-") for title in titles}


@pytest.mark.parametrize("page", PAGES, ids=name)
def test_every_link_inside_the_docs_leads_somewhere(page):
    """To a file that is there, and to a heading in it."""
    text = FENCE.sub("", page.read_text())
    broken = []
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if re.match(r"https?:", target):
            continue
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        if not file.exists() or (anchor and anchor not in anchors(file)):
            broken.append(target)
    assert broken == []


@pytest.mark.parametrize("page", [ROOT / "DEVELOPERS.md", ROOT / "docs/architecture.md"], ids=name)
def test_every_module_that_is_named_is_there(page):
    """A path in the text is one from the top or from the package."""
    paths = re.findall(r"`((?:[\w.]+/)*[\w]+\.py)`", FENCE.sub("", page.read_text()))
    assert paths
    assert [path for path in paths if not (ROOT / path).exists() and not (ROOT / "rulewatch" / path).exists()] == []


def test_every_page_is_reached_from_the_index():
    """Nothing is written for nobody."""
    index = (ROOT / "docs/index.md").read_text()
    pages = {page.relative_to(ROOT / "docs").as_posix() for page in (ROOT / "docs").rglob("*.md")} - {"index.md"}
    assert {page for page in pages if f"({page})" not in index} == set()
