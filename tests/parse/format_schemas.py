"""The JSON Schemas of our file formats, and files as an editor reads them.

That is by the core schema of YAML 1.2.2 (10.3), in which dates are texts, `no` is one too, and numbers are numbers.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.constructor import SafeConstructor

from rulewatch.model.edition import Body
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.cars import parse_car, parse_crew
from rulewatch.parse.clauses import ReadingBlock, parse_chapter
from rulewatch.parse.editions import parse_body, parse_edition_header
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.options import parse_options
from rulewatch.parse.pairs import parse_pairs
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.site import parse_site
from rulewatch.parse.tracks import parse_track
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary

SCHEMAS: dict[str, dict[str, Any]] = {
    file.name.removesuffix(".schema.json"): json.loads(file.read_text(encoding="utf-8"))
    for file in sorted(files("rulewatch.data").joinpath("schema").iterdir(), key=lambda file: file.name)
}


class CoreConstructor(SafeConstructor):
    """Plain values by the core schema of YAML 1.2, which has no dates."""


CoreConstructor.add_constructor("tag:yaml.org,2002:timestamp", SafeConstructor.construct_yaml_str)


def load(text: str) -> Any:
    """One YAML document as JSON would hold it."""
    yaml = YAML(typ="safe", pure=True)
    yaml.Constructor = CoreConstructor
    yaml.allow_duplicate_keys = True  # a fault of its own, which no schema sees
    return json.loads(json.dumps(yaml.load(text)))


def front_matter(text: str) -> str:
    """What stands between the first two fences of a bulletin."""
    return re.split(r"^---$", text, flags=re.MULTILINE)[1]


def reading_blocks(text: str) -> tuple[ReadingBlock, ...]:
    """Every reading of a chapter or bulletin."""
    return parse_chapter(Source(path="chapter.md", text=text)).blocks


def errors(schema: str, data: object) -> list[ValidationError]:
    """What a schema finds wrong, with what lies behind it: the errors of each of several forms that it might have been."""
    validator = Draft202012Validator(SCHEMAS[schema], format_checker=FormatChecker(["date"]))
    return [error for top in validator.iter_errors(data) for error in behind(top)]


def behind(error: ValidationError) -> Iterator[ValidationError]:
    """An error and all that it comes from."""
    yield error
    for part in error.context or ():
        yield from behind(part)


def parts(schema: Any, pointer: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """The schemas within a schema, each with its JSON Pointer."""
    if isinstance(schema, dict):
        yield pointer, schema
        for key, value in schema.items():
            yield from parts(value, f"{pointer}/{key}")
    elif isinstance(schema, list):
        for number, value in enumerate(schema):
            yield from parts(value, f"{pointer}/{number}")


def at(schema: str, pointer: str) -> dict[str, Any]:
    """The part of a schema at a JSON Pointer."""
    return dict(parts(SCHEMAS[schema]))[pointer]


# --- The parsers, and the places where a format has keys ----------------------------------------------------------------

BODY = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={"silhouette-b": "B"}, place=Place(path="body.yaml"))


def read_reading(source: Source) -> tuple[Fault, ...]:
    """A reading by itself."""
    block = ReadingBlock(clause="5.2.1", text=source.text, place=source.place(1), first_line=1, indent=0)
    return parse_reading(block, source, vocabulary=packaged_vocabulary())[1]


PARSERS: dict[str, Callable[[Source], tuple[Fault, ...]]] = {
    "body": lambda source: parse_body(source, "saltmarsh")[1],
    "bulletin": lambda source: parse_bulletin(source, vocabulary=packaged_vocabulary())[1],
    "car": lambda source: parse_car(source, "marram", vocabulary=packaged_vocabulary())[1],
    "crew": lambda source: parse_crew(source)[1],
    "edition": lambda source: parse_edition_header(source, body=BODY, season="2027", vocabulary=packaged_vocabulary())[1],
    "jobs": lambda source: parse_jobs(source, vocabulary=packaged_vocabulary())[1],
    "options": lambda source: parse_options(source, vocabulary=packaged_vocabulary())[1],
    "pairs": lambda source: parse_pairs(source)[1],
    "reading": read_reading,
    "site": lambda source: parse_site(source)[1],
    "track": lambda source: parse_track(source, "reach", vocabulary=packaged_vocabulary())[1],
    "vocabulary": lambda source: parse_vocabulary(source)[1],
}


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A place of a format that has keys: where the schema describes it, and a text in which PROBE stands for a key there.

    `beside` are keys with values that the parser wants to see there before it looks at the others.
    """

    schema: str
    pointer: str
    text: str
    beside: Mapping[str, str]

    def __str__(self) -> str:
        """Schema and pointer."""
        return self.schema + self.pointer


def spot(schema: str, pointer: str, text: str, /, **beside: str) -> Spot:
    """A place; `from_` stands for the key `from`."""
    return Spot(schema=schema, pointer=pointer, text=text, beside={key.rstrip("_"): value for key, value in beside.items()})


DAY = "2027-01-01"
CORNERS = "{front_left: 1 kg, front_right: 1 kg, rear_left: 1 kg, rear_right: 1 kg}"
SPOTS = (
    spot("body", "", "{PROBE}", name="B", classes="b"),
    spot("body", "/properties/numbers", "numbers: {PROBE}"),
    spot("body", "/properties/decision", "decision: {PROBE}"),
    spot("bulletin", "", "---\n{PROBE}\n---\n", number="1", published=DAY, effective=DAY),
    spot("car", "", "{PROBE}", name="C"),
    spot("car", "/$defs/entry", "entries: {PROBE}", body="b", class_="c"),
    spot("car", "/$defs/waiver", "entries: {waivers: {PROBE}}", clause="5.1", limit="{car.width: 1 mm}", until=DAY, paper="p"),
    spot("car", "/$defs/known", "spec: {car.width: {PROBE}}", value="1 mm", on=DAY),
    spot("car", "/$defs/repeated", "spec: {car.width: {readings: [1 mm, 2 mm], PROBE}}", on=DAY),
    spot("car", "/$defs/balance", "balance: {PROBE}"),
    spot("car", "/$defs/weighed", "balance: {weighed: {PROBE}}", on=DAY, scales="{u: 1 kg}", corners=CORNERS),
    spot(
        "car", "/$defs/aboard", f"balance: {{weighed: {{on: {DAY}, scales: {{u: 1 kg}}, corners: {CORNERS}, with: {{PROBE}}}}}}"
    ),
    spot(
        "car",
        "/$defs/corners",
        f"balance: {{weighed: {{on: {DAY}, scales: {{u: 1 kg}}, corners: {{PROBE}}}}}}",
        **dict.fromkeys(("front_left", "front_right", "rear_left", "rear_right"), "1 kg"),
    ),
    spot("car", "/$defs/scales-by-u", "balance: {inspection: {u: 1 kg, PROBE}}"),
    spot("car", "/$defs/scales-by-class", "balance: {inspection: {e: 1 kg, PROBE}}", class_="III"),
    spot(
        "car",
        "/$defs/raised",
        f"balance: {{weighed: {{on: {DAY}, scales: {{u: 1 kg}}, corners: {CORNERS}, raised: {{PROBE}}}}}}",
        axle="rear",
        by="300 mm",
        other="500 kg",
    ),
    spot("car", "/$defs/fuel", "balance: {fuel: {PROBE}}"),
    spot("car", "/$defs/targets", "balance: {targets: {PROBE}}"),
    spot("car", "/$defs/ballast", "balance: {ballast: {PROBE}}", block="1 kg", places="{}"),
    spot(
        "car",
        "/$defs/ballast-place",
        "balance: {ballast: {block: 1 kg, places: {floor: {PROBE}}}}",
        at="[1 mm, 1 mm, 1 mm]",
        most="1 kg",
    ),
    spot("car", "/$defs/air", "balance: {air: {PROBE}}", speeds="100 km/h"),
    spot("car", "/$defs/surface", "balance: {air: {speeds: 100 km/h, downforce: {wing: {PROBE}}}}", area="1 m2", at="1 mm"),
    spot(
        "car",
        "/$defs/pace",
        "pace: {PROBE}",
        power="{1 rpm: 1 kW, 2 rpm: 2 kW}",
        gears="1",
        final_drive="1",
        tyre_radius="1 m",
        grip="{longitudinal: 1, lateral: 1}",
    ),
    spot("car", "/$defs/grip", "pace: {grip: {PROBE}}", longitudinal="1", lateral="1"),
    spot("crew", "", "{PROBE}", people="{}"),
    spot("crew", "/$defs/person", "people: {mara: {PROBE}}", name="Mara"),
    spot("crew", "/$defs/days/anyOf/1", "people: {mara: {off: {PROBE}}}", from_=DAY, until=DAY),
    spot("crew", "/$defs/thing/anyOf/1", "people: {}\nequipment: {PROBE}", name="hoist", count="1"),
    spot("edition", "", "{PROBE}", title="T"),
    spot("edition", "/$defs/closed/anyOf/1", "closed: {PROBE}", scope="aero"),
    spot("edition", "/$defs/event", "events: {PROBE}", id="e", on=DAY),
    spot("jobs", "/$defs/job", "- {PROBE}", what="W"),
    spot("jobs", "/$defs/decision", "- {what: W, decision: {PROBE}}", choice="do"),
    spot("jobs", "/$defs/done", "- {what: W, done: {PROBE}}", on=DAY),
    spot("jobs", "/$defs/hours-in-three", "- {what: W, hours: {PROBE}}", low="1", likely="2", high="3"),
    spot("jobs", "/$defs/booked", "- {what: W, booked: {PROBE}}", hours="1"),
    spot("jobs", "/$defs/part", "- {what: W, parts: {PROBE}}", what="P"),
    spot(
        "jobs",
        "/$defs/lead",
        "- {what: W, parts: {what: P, lead: {PROBE}}}",
        **dict.fromkeys(("low", "likely", "high"), "1 week"),
    ),
    spot("options", "", "{PROBE}", options="{}"),
    spot("options", "/$defs/option", "options: {rims: {PROBE}}", what="W", alter="{car.width: 1 mm}"),
    spot(
        "options",
        "/$defs/amounts-in-three",
        "options: {rims: {what: W, alter: {car.width: 1 mm}, mass: {PROBE}}}",
        low="1 kg",
        likely="2 kg",
        high="3 kg",
    ),
    spot(
        "options",
        "/$defs/numbers-in-three",
        "options: {rims: {what: W, alter: {car.width: 1 mm}, cost: {PROBE}}}",
        low="1",
        likely="2",
        high="3",
    ),
    spot("options", "/$defs/part", "options: {rims: {what: W, alter: {car.width: 1 mm}, parts: [{PROBE}]}}", what="W"),
    spot(
        "options",
        "/$defs/lead",
        "options: {rims: {what: W, alter: {car.width: 1 mm}, parts: [{what: W, lead: {PROBE}}]}}",
        low="1 day",
        likely="2 days",
        high="3 days",
    ),
    spot("options", "/$defs/conditioned", "options: {rims: {alter: {car.width: {PROBE}}}}", value="1 mm"),
    spot("pairs", "/$defs/pair", "- {PROBE}", old="5.1", new="5.1"),
    spot("reading", "", "{PROBE}", ask="Why", limit="{car.width: 1 mm}"),
    spot("reading", "/$defs/minimum", "weight: {PROBE}", minimum="1 kg"),
    spot("reading", "/$defs/minimum/properties/round", "weight: {minimum: 1 kg, round: {PROBE}}", to="1 kg"),
    spot("reading", "/$defs/adder", "weight: {add: 1 kg, PROBE}"),
    spot("reading", "/$defs/dated", "dated: {PROBE}", item="safety.seat", life="5 years", from_="manufacture", until="day"),
    spot("reading", "/properties/answered", "answered: {PROBE}", on=DAY, by="b"),
    spot("reading", "/properties/confirmed", "confirmed: {PROBE}", by="b", on=DAY, text="5f1c09aa"),
    spot("site", "", "{PROBE}"),
    spot("track", "", "{PROBE}", name="R", parts="{straight: 1 m}"),
    spot("track", "/$defs/straight", "parts: {straight: 1 m, PROBE}"),
    spot("track", "/$defs/arc", "parts: {PROBE}", radius="1 m", turn="1 °"),
    spot("vocabulary", "", "{PROBE}"),
    spot("vocabulary", "/$defs/component", "components: {tow: {PROBE}}", label="L"),
    spot(
        "vocabulary", "/$defs/quantity", "{components: {tow: {label: T}}, quantities: {tow.x: {PROBE}}}", label="L", type="mass"
    ),
    *(
        spot(schema, f"/$defs/{form}", f"{before}{text}{after}", **beside)
        for schema, before, after in (("reading", "limit: ", ""), ("car", "entries: {waivers: {limit: ", "}}"))
        for form, text, beside in (
            ("range", "{car.width: {PROBE}}", {}),
            ("steps", "{car.width: {max: {by: engine.capacity, PROBE}}}", {"steps": "[[1 cc, 1 mm]]"}),
            ("linear", "{car.width: {max: {of: car.length, PROBE}}}", {}),
            ("greatest", "{car.width: {max: {greatest: 1 mm, PROBE}}}", {}),
            ("least", "{car.width: {max: {least: 1 mm, PROBE}}}", {}),
        )
    ),
)
