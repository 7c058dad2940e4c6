"""A clause's text cut into its heading, sentences and tables, each a stretch `text[start:end]`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_ABBREVIATION = re.compile(
    r"(?:\b(?:[A-Za-z]|Nr|Nrn|Abs|Art|ABl|BGBl|S|Anl|Buchst|zul|ca|bzw|vgl|ggf|inkl|max|min|approx|no|nos|incl|excl|fig|cl|para|sq|cu|dia|"
    r"Mr|Dr|St|usw|etc|e\.g|i\.e|z\.\s?B|d\.\s?h))\Z",
    re.IGNORECASE,
)
_END = re.compile(r"[.!?](?=[)\]\"'”’*_]*(?:\s|\Z))|;(?=\s)|\n[^\S\n]*\n")
_LIST = re.compile(r":\s*\Z|:\s*\n\s*(?:[*+-]|\(?[\da-z]{1,3}[.)])\s")  # a lead and the items that hang on it
_MARK = re.compile(r"\n[^\S\n]*(?:[*+-]|\(?[\da-z]{1,3}[.)])(?=\s)")
_WITHIN_LIST = re.compile(  # another item, or a paragraph that is set in as far as an item's text
    r"\s*(?:[*+-]|\(?[\da-z]{1,3}[.)])\s|\n[^\S\n]*\n(?:[^\S\n]*\n)*[^\S\n]{4}"
)
_MONTH = re.compile(r"\s*(?:jan|feb|mär|mar|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])", re.IGNORECASE)
_OPEN_END = re.compile(r"[^\W_]\s*\Z")  # a line that ends without a stop
_ITEM = re.compile(r"\s*(?:[*+-]|\(?[\da-z]{1,3}[.)])\s")
_TABLE = re.compile(r"(?:^[^\S\n]*\|[^\n]*(?:\n|\Z)){2,}", re.MULTILINE)
_ROW_RULE = re.compile(r"[\s|:\-–]+")
_FENCE = re.compile(r"^[^\S\n]*(`{3,}|~{3,})[^\n]*\n.*?(?:^[^\S\n]*\1[^\n]*$|\Z)", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of a text."""

    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of a table, without the white space around its words."""

    text: str
    start: int
    end: int


def find_tables(text: str) -> tuple[tuple[tuple[Cell, ...], ...], ...]:
    """The tables with bars of a text: rows of cells, the heads first, the row of dashes left out."""
    found = []
    for table in _TABLE.finditer(text):
        rows = tuple(row for line in _lines(text, table.start(), table.end()) if (row := _cells(text, *line)))
        if len(rows) > 1:
            found.append(rows)
    return tuple(found)


def find_list(text: str, sentence: Stretch) -> tuple[Stretch, ...]:
    """The items of the list that a sentence ends in, each without its mark; none where it has no list."""
    marks = [match for match in _MARK.finditer(text, sentence.start, sentence.end) if match.start() > sentence.start]
    if not marks:
        return ()
    ends = [*(mark.start() for mark in marks[1:]), sentence.end]
    return tuple(Stretch(start=mark.end(), end=max(mark.end(), end)) for mark, end in zip(marks, ends, strict=True))


def find_sentences(text: str, heading: str = "") -> tuple[Stretch, ...]:
    """The sentences behind the heading, tables and code left out; a semicolon ends one too."""
    first = len(heading) if heading and text.startswith(heading) and text[len(heading) :].strip() else 0
    apart = sorted((*_TABLE.finditer(text), *_FENCE.finditer(text)), key=lambda match: match.start())
    found: list[Stretch] = []
    for block in apart:
        found += _sentences(text, first, max(first, block.start()))
        first = max(first, block.end())
    return (*found, *_sentences(text, first, len(text)))


def _sentences(text: str, start: int, end: int) -> Iterator[Stretch]:
    position = start
    while position < end:
        stop = _stop(text, position, end)
        if whole := _trimmed(text, position, stop):
            yield whole
        position = stop


def _stop(text: str, position: int, end: int) -> int:
    """Where the sentence that begins at a place ends, its full stop included."""
    is_list = False
    for match in _END.finditer(text, position, end):
        goes_on = match[0].isspace() and _OPEN_END.search(text, position, match.start()) and _ITEM.match(text, match.end())
        is_list = is_list or _LIST.search(text, position, match.end()) is not None or bool(goes_on)
        if match[0] != "." and is_list and _WITHIN_LIST.match(text, match.end() if match[0] == ";" else match.start()):
            continue
        is_abbreviated = match[0] == "." and _ABBREVIATION.search(text, max(position, match.start() - 12), match.start())
        after = text[match.end() :].lstrip(" \n)]\"'”’*_")[:1]
        is_ordinal = (
            match[0] == "."
            and text[match.start() - 1 : match.start()].isdigit()
            and (not after.isupper() or _MONTH.match(text, match.end()) is not None)
        )
        if not (is_abbreviated and after) and not (is_ordinal and after):
            return match.end()
    return end


def _trimmed(text: str, start: int, end: int) -> Stretch | None:
    inside = text[start:end]
    start += len(inside) - len(inside.lstrip())
    end = start + len(inside.strip())
    return Stretch(start=start, end=end) if end > start else None


def _lines(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    while start < end:
        stop = text.find("\n", start, end)
        stop = end if stop < 0 else stop
        yield start, stop
        start = stop + 1


def _cells(text: str, start: int, end: int) -> tuple[Cell, ...]:
    line = text[start:end]
    if _ROW_RULE.fullmatch(line):
        return ()
    cells: list[Cell] = []
    position = start + line.index("|") + 1
    while position < end:
        stop = text.find("|", position, end)
        stop = end if stop < 0 else stop
        if stop < end or text[position:stop].strip():
            inside = _trimmed(text, position, stop)
            at, to = (inside.start, inside.end) if inside else (position, position)
            cells.append(Cell(text=text[at:to], start=at, end=to))
        position = stop + 1
    return tuple(cells)
