"""How often suggested readings say what a person lists: `python -m bench.suggestions`, in the folder `tests`; the tables of the reference.

The German law is measured where the environment variable RULEWATCH_CORPORA names the folder that has it.
"""

from __future__ import annotations

import csv
import json
import os
import re
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from ruamel.yaml import YAML

HERE = Path(__file__).parents[1]
sys.path[:0] = [str(HERE), str(HERE / "intake")]

from suggestion_scores import Score, Statement, read, statements  # noqa: E402 - lies in another folder of tests
from support import clause as chapter_of  # noqa: E402

from rulewatch.intake.suggest import Surroundings, suggest  # noqa: E402
from rulewatch.library import Library  # noqa: E402
from rulewatch.model.amounts import read_amount  # noqa: E402
from rulewatch.model.clause import Clause  # noqa: E402
from rulewatch.model.edition import Edition, Point  # noqa: E402
from rulewatch.model.fault import Source  # noqa: E402
from rulewatch.model.quantity import Amount, NumberStyle  # noqa: E402
from rulewatch.model.reading import Reading  # noqa: E402
from rulewatch.model.vocabulary import Vocabulary  # noqa: E402
from rulewatch.parse.clauses import parse_chapter  # noqa: E402
from rulewatch.parse.readings import parse_reading  # noqa: E402
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary  # noqa: E402
from rulewatch.plain_book import plain_edition  # noqa: E402

GERMAN = NumberStyle(decimal=",", thousands=".")
NUMBERS = frozenset({"min", "max", "over", "under", "equals", "minimum", "add"})
BOOKS = {"saltmarsh": ("2025", "2026", "2027"), "five-lakes": ("2026", "2027")}
SEEN = 4  # the passages of the law that were read while the rules of language were written; the rest was not


def is_number(statement: Statement) -> bool:
    """Whether a statement is of a number, and not of a part or of words."""
    return statement[1] in NUMBERS


def total(scores: Iterable[Score]) -> Score:
    """Several counts together."""
    found = list(scores)
    return Score(
        right=sum(one.right for one in found),
        suggested=sum(one.suggested for one in found),
        listed=sum(one.listed for one in found),
    )


def compared(found: set[Statement], listed: set[Statement]) -> Score:
    """What is right of what one clause suggests."""
    return Score(right=len(found & listed), suggested=len(found), listed=len(listed))


# --- The list of sentences --------------------------------------------------------------------------------------------


def sentences(half: int | None = None, *, numbers: bool = True) -> Score:
    """The list of invented sentences; the even ones were read while rules were written (`half` 0), the odd ones not (1)."""
    entries = YAML(typ="safe").load((HERE / "intake" / "suggested_sentences.yaml").read_text(encoding="utf-8"))
    vocabulary = packaged_vocabulary()
    base, _ = plain_edition(Source(path="x.md", text="1 x"), "x.md")
    first = Surroundings(edition=base, vocabulary=vocabulary)
    return total(_sentence(entry, first, numbers=numbers) for at, entry in enumerate(entries) if half is None or at % 2 == half)


def _sentence(entry: dict[str, object], first: Surroundings, *, numbers: bool) -> Score:
    decimal = str(entry.get("decimal", "."))
    style = NumberStyle(decimal=decimal, thousands="." if decimal == "," else ",")
    clause = parse_chapter(Source(path="list.md", text=f"1.1 {entry['text']}\n")).clauses[0]
    edition = replace(first.edition, clauses=(clause,), body=replace(first.edition.body, numbers=style))
    around = Surroundings(edition=edition, vocabulary=first.vocabulary)
    found = said(clause, around, numbers=numbers)
    others = entry.get("or") or []
    texts = [] if entry["reading"] == "nothing" else [entry["reading"], *(others if isinstance(others, list) else [others])]
    listed = [
        {one for one in statements(_readings(str(entry["text"]), text, first.vocabulary)) if not numbers or is_number(one)}
        for text in texts
    ]
    return compared(found, max(listed, key=lambda one: (len(one & found), -len(one)), default=set()))


def _readings(text: str, reading: object, vocabulary: Vocabulary) -> list[Reading]:
    source = Source(path="list.md", text=chapter_of("1", text, json.dumps(reading, default=str, ensure_ascii=False)))
    found, _ = parse_reading(parse_chapter(source).blocks[0], source, vocabulary=vocabulary)
    return [found] if found is not None else []


def said(clause: Clause, around: Surroundings, *, numbers: bool = True) -> set[Statement]:
    """What the suggestion for a clause says."""
    readings, _, _ = read(suggest(clause, around), clause, around.vocabulary)
    return {one for one in statements(readings) if not numbers or is_number(one)}


# --- The demo ---------------------------------------------------------------------------------------------------------


def demo(body: str, *, numbers: bool = True) -> Score:
    """The books of one body of the demo against the readings that its crew wrote, each wording of a clause once."""
    seen: set[str] = set()
    scores: list[Score] = []
    with Library(HERE.parent) as library:
        workspace = library.workspace()
        for season in BOOKS[body]:
            edition = library.edition(Point(body=body, season=season))
            around = Surroundings(edition=edition, vocabulary=workspace.vocabulary)
            for clause in edition.clauses:
                if clause.text not in seen and not edition.only_holds(clause):
                    seen.add(clause.text)
                    listed = statements(edition.readings.get(clause.id, ()))
                    listed = {one for one in listed if not numbers or is_number(one)}
                    scores.append(compared(said(clause, around, numbers=numbers), listed))
    return total(scores)


# --- The German law ---------------------------------------------------------------------------------------------------


def law_text() -> Path | None:
    """Where the text of the law lies, if it is there."""
    folder = os.environ.get("RULEWATCH_CORPORA", "")
    return Path(folder) / "vehicle-licensing" / "stvzo-2021-07.md" if folder else None


def law(path: Path, first: int = 0, last: int | None = None, *, numbers: bool = True) -> Score:
    """Passages of the law against the list of its limits; with `numbers` false, its parts that must be there or must not."""
    head = (HERE / "published" / "stvzo_limits.tsv").read_text(encoding="utf-8")
    passages = re.findall(r"^# passage +(.+) to (.+)$", head, re.MULTILINE)[first:last]
    lines = [line for line in head.splitlines() if not line.startswith("#")]
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
        rows.setdefault(row["clause"], []).append(row)
    edition = _law(path)
    place = HERE / "published" / "stvzo_vocabulary.yaml"
    vocabulary, _ = parse_vocabulary(Source(path=place.name, text=place.read_text(encoding="utf-8")))
    around = Surroundings(edition=edition, vocabulary=vocabulary)
    order = {clause.id: at for at, clause in enumerate(edition.clauses)}
    clauses = [clause for one, other in passages for clause in edition.clauses[order[one] : order[other] + 1]]
    return total(_clause(clause, around, rows.get(clause.id, ()), numbers=numbers) for clause in clauses)


def _law(path: Path) -> Edition:
    edition, _ = plain_edition(Source(path=path.name, text=path.read_text(encoding="utf-8")), path.name)
    return replace(edition, body=replace(edition.body, numbers=GERMAN))


def _clause(clause: Clause, around: Surroundings, rows: Sequence[dict[str, str]], *, numbers: bool) -> Score:
    """A row may name either of two quantities; what a careful reader may list or not counts neither way."""
    readings, _, _ = read(suggest(clause, around), clause, around.vocabulary)
    everything = statements(readings)
    permitted = {one for one in everything if one[0].startswith("allow ")}
    found = everything - permitted | {(name.removeprefix("allow "), *rest) for name, *rest in permitted if rest[0] in NUMBERS}
    found = {one for one in found if (one[1] in NUMBERS if numbers else one[1] in {"present", "absent"})}
    listed = [either for row in rows if row["kind"] == "limit" for either in _row(row, numbers=numbers)]
    open_ones = {
        one for row in rows if row["kind"] in {"open", "unit"} for either in _row(row, numbers=numbers) for one in either
    }
    right = sum(bool(either & found) for either in listed)
    used = {one for either in listed for one in either & found}
    return Score(right=right, suggested=len(used) + len(found - used - open_ones), listed=len(listed))


def _row(row: dict[str, str], *, numbers: bool) -> Iterator[set[Statement]]:
    names = row["quantity"].split(" / ")
    if row["bound"] in {"present", "absent"}:
        if not numbers:
            yield {(name, row["bound"], None) for name in names}
        return
    amounts = [read_amount(value, GERMAN) for value in row["value"].split("; ")]
    ends = ["min", "max"] if row["bound"] == "range" else [row["bound"]]
    if numbers:
        for end, amount in zip(ends, amounts, strict=False):  # one bound may stand for several values
            if isinstance(amount, Amount):
                yield {(name, end, amount.base) for name in names}


def speed(clauses: int = 1000) -> float:
    """Seconds for a book of so many clauses, made of the demo's, with what is prepared once for a book."""
    with Library(HERE.parent) as library:
        edition = library.edition(Point(body="saltmarsh", season="2027"))
        vocabulary = library.workspace().vocabulary
    own = [clause for clause in edition.clauses if not edition.only_holds(clause)]
    many = [own[at % len(own)] for at in range(clauses)]
    times = [0.0]
    for _ in range(3):
        start = time.process_time()
        around = Surroundings(edition=edition, vocabulary=vocabulary)
        for clause in many:
            suggest(clause, around)
        times.append(times[-1] + time.process_time() - start)
    return min(later - earlier for earlier, later in pairwise(times))


def main() -> None:
    """Print every figure."""
    print(f"sentences, numbers, seen half: {sentences(0)}; the other half: {sentences(1)}")  # noqa: T201
    print(f"sentences, everything, seen half: {sentences(0, numbers=False)}; the other: {sentences(1, numbers=False)}")  # noqa: T201
    for body in BOOKS:
        print(f"{body}, numbers: {demo(body)}; everything: {demo(body, numbers=False)}")  # noqa: T201
    if (path := law_text()) is not None:
        for name, span in (("seen passages", (0, SEEN)), ("the others", (SEEN, None)), ("all", (0, None))):
            print(f"law, {name}, numbers: {law(path, *span)}; parts: {law(path, *span, numbers=False)}")  # noqa: T201
    print(f"1000 clauses: {speed():.2f} s")  # noqa: T201


if __name__ == "__main__":
    main()
