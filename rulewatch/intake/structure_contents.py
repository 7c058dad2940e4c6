"""Contents pages: they announce the clauses, are left out, and tell which clauses ought to be found."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from rulewatch.intake.document import Block, Kind, Line, Spot
from rulewatch.intake.structure_looks import bare, clean, labelled
from rulewatch.intake.structure_markdown import BULLET
from rulewatch.intake.structure_parts import At, Contents, Draft, Entry, Part
from rulewatch.model.clause import fold
from rulewatch.parse.clause_contents import FEWEST, without_contents
from rulewatch.parse.labels import AS_ANNEX, AS_RELATIVE, IN_HEADING, read_label

LEADER = re.compile(r"(?:\.{3,}|…+|(?:\s\.){3,}|(?:\.\s){3,}|_{3,}|\t)[\s.…_]*(?:\d{1,4}|[ivxl]{1,7})\s*\Z")
LED = re.compile(r"(?P<title>.*[^\W\d_].*?)\s+(?P<page>\d{1,4})\s*\Z")  # without a leader, below the name of a contents page
NAME = re.compile(
    r"\s*(?:table of contents|contents|list of (?:tables|figures)|inhalt(?:sverzeichnis|sübersicht)?|sommaire|table des matières"
    r"|indice|inhoud|innehåll)\s*:?\s*\Z",
    re.IGNORECASE,
)
LONGEST = 300  # characters of an entry
FURTHEST = 2  # lines without a page number between two entries
GAP = 2  # entries between announced ones that nothing of their number follows: they are entries too
SHARE = 0.8  # of a table's rows that must be entries


def without_leaders(blocks: Sequence[Block], file: int) -> tuple[list[Block], list[Contents]]:
    """The blocks of a file without the lines that lead to a page number, and those between them, and its tables of such."""
    named = _named(blocks)
    rows = [
        (number, line, named.get(number, {}).get(at, text))
        for number, block in enumerate(blocks)
        for at, (line, text) in enumerate(_lines(block, whole=number in named))
    ]
    runs = list(_runs([at for at, (_, _, text) in enumerate(rows) if LEADER.search(text)]))
    if not runs:
        return list(blocks), []
    gone = {at for run in runs for at in run}
    left: dict[int, list[Line]] = {number: [] for number, _, _ in rows}
    for at, (number, line, _) in enumerate(rows):
        if at not in gone:
            left[number].append(line)
    touched = {rows[at][0] for at in gone}
    kept = []
    for number, block in enumerate(blocks):
        names = block.kind is Kind.TEXT and NAME.match(block.text) and touched & {number + 1, number + 2}
        if number not in touched and not names:
            kept.append(block)
        elif left.get(number) and not names:
            kept.append(Block(kind=Kind.TEXT, spot=left[number][0].spot, lines=tuple(left[number])))
    entries = [_joined((rows[at][1].spot, rows[at][2]) for at in run) for run in runs]
    return kept, [Contents(file=file, entries=tuple(_entries(each, file))) for each in entries]


def _named(blocks: Sequence[Block]) -> dict[int, dict[int, str]]:
    """The entries right below the name of a contents page that no leader leads to their pages, as if one did.

    By the number of their block, and that of their line or row in it. Their pages do not go down.
    """
    found: dict[int, dict[int, str]] = {}
    for name in (number for number, block in enumerate(blocks) if block.kind is Kind.TEXT and NAME.match(block.text)):
        run: dict[int, dict[int, str]] = {}
        last, count = 0, 0
        for number in range(name + 1, len(blocks)):
            lines = list(_lines(blocks[number], whole=True))
            led = [LED.match(text) for _, text in lines]
            pages = [int(match["page"]) for match in led if match]
            if not lines or len(pages) < len(lines) or sorted([last, *pages]) != [last, *pages]:
                break
            run[number] = {at: f"{match['title']}\t{match['page']}" for at, match in enumerate(led) if match}
            last, count = pages[-1], count + len(pages)
        if count >= FEWEST:
            found |= run
    return found


def _runs(leading: Sequence[int]) -> Iterator[range]:
    """The lines of each table of contents, from the numbers of those that lead to a page."""
    begun = 0
    for number in range(1, len(leading) + 1):
        if number == len(leading) or leading[number] - leading[number - 1] > FURTHEST + 1:
            if number - begun >= FEWEST:
                yield range(leading[begun], leading[number - 1] + 1)
            begun = number


def _lines(block: Block, *, whole: bool = False) -> Iterator[tuple[Line, str]]:
    """The lines of a block as they may be entries; of a table that is one of contents (any, if `whole`) its rows."""
    if block.kind is Kind.TEXT:
        yield from ((line, line.text) for line in labelled(block) if block.lines)
    elif block.kind is Kind.TABLE:
        rows = [[line for cell in row for line in cell] for row in block.rows]
        texts = [" ".join(line.text.strip() for line in row) for row in rows]
        if whole or sum(LEADER.search(text) is not None for text in texts) >= SHARE * len(rows):
            yield from (
                (replace(row[0], runs=tuple(run for line in row for run in line.runs)), text)
                for row, text in zip(rows, texts, strict=True)
                if row
            )


def _joined(lines: Iterable[tuple[Spot, str]]) -> Iterator[tuple[Spot, str]]:
    """Entries whose titles take several lines, whole: the page number stands on the last."""
    begun: tuple[Spot, str] | None = None
    for spot, text in lines:
        if begun and read_label(bare(clean(text)), 0, IN_HEADING) is not None:
            yield begun
            begun = None
        begun = (begun[0], f"{begun[1]} {text.strip()}") if begun else (spot, text.strip())
        if LEADER.search(text):
            yield begun
            begun = None
    if begun:
        yield begun


def _entries(lines: Iterable[tuple[Spot, str]], file: int) -> Iterator[Entry]:
    annex = ""
    for spot, line in lines:
        text = bare(clean(LEADER.sub("", line)))
        label = read_label(text, 0, IN_HEADING)
        if label is None:
            yield Entry(spot=spot, file=file, label="", id="", title=fold(text))
            continue
        if label.form is AS_ANNEX:
            annex = label.core
        name = label.core if label.form is AS_ANNEX or not annex else f"{annex}/{label.core}"
        if label.form is AS_RELATIVE:
            name = ""
        yield Entry(spot=spot, file=file, label=label.printed, id=name, title=fold(text[label.end :]))


def announced(draft: Draft) -> tuple[set[At], list[Contents]]:
    """Where the clauses begin that only announce those that come later, by `parse`'s own rule, and what they announce.

    A lone one among them that nothing follows is an entry whose clause was not found.
    """
    kept = {id(part): part for part in _without(draft.parts)}
    entries = [number for number, part in enumerate(draft.parts) if id(part) not in kept]
    between = [
        number
        for before, after in pairwise(entries)
        if 1 < after - before <= GAP + 1 and draft.parts[before].at.file == draft.parts[after].at.file
        for number in range(before + 1, after)
    ]
    runs: list[list[Part]] = []
    for number in sorted([*entries, *between]):
        part = draft.parts[number]
        if runs and runs[-1][-1] is draft.parts[number - 1]:
            runs[-1].append(part)
        else:
            runs.append([part])
    return {part.at for run in runs for part in run}, [_contents(run) for run in runs]


def entries_around(files: Sequence[Sequence[Block]], dropped: set[At]) -> set[At]:
    """The lines of the items of lists that go on with entries, or stand between two: each begins with a bullet and a number."""
    found: set[At] = set()
    for file, blocks in enumerate(files):
        begun = sorted({at.block for at in dropped if at.file == file})
        for number in begun:
            ahead = number + 1
            while ahead < len(blocks) and (
                _is_item(blocks[ahead]) or (ahead + 1 < len(blocks) and _is_item(blocks[ahead + 1]))
            ):
                if len(blocks[ahead].text) > LONGEST or ahead in begun:
                    break
                found.update(At(file, ahead, line) for line in range(len(blocks[ahead].lines)))
                ahead += 1
    return found - dropped


def _is_item(block: Block) -> bool:
    text = clean(block.text.split("\n", 1)[0]) if block.kind is Kind.TEXT and not block.level else ""
    return BULLET.match(text) is not None and read_label(bare(text), 0, IN_HEADING) is not None


def _without(parts: Sequence[Part]) -> list[Part]:
    """The clauses without the announced ones; the words of all stay as they are."""
    pieces = [list(part.pieces) for part in parts]
    kept = without_contents(parts)
    for part, own in zip(parts, pieces, strict=True):
        part.pieces = own
    return kept


def _contents(run: Sequence[Part]) -> Contents:
    entries = (
        Entry(spot=part.spot, file=part.at.file, label=part.node.label.printed, id=part.node.id, title=fold(part.text))
        for part in run
    )
    return Contents(file=run[0].at.file, entries=tuple(entries))
