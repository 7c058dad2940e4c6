"""Jobs added to the text of a `jobs.yaml`: only ever by inserting, so that everything a person wrote stays as it is.

Where something goes is found by YAML's own tokens; what came out is read back, and must say exactly what was meant.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.tokens import (
    BlockEntryToken,
    BlockMappingStartToken,
    DocumentEndToken,
    FlowEntryToken,
    FlowMappingEndToken,
    FlowMappingStartToken,
    FlowSequenceEndToken,
    FlowSequenceStartToken,
    ScalarToken,
    StreamEndToken,
)

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.job import Job
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.nodes import OTHER_BREAKS
from rulewatch.parse.yaml_text import scalar

Insertion = tuple[int, str]  # at which character of the text, and what


def add_jobs(path: str, text: str, jobs: Sequence[Job], vocabulary: Vocabulary) -> str | tuple[Fault, ...]:
    """The text of a `jobs.yaml` with jobs added at its end; `text` is without byte order mark, its lines end as in the file.

    Jobs to add have an id, say what they are, and may have a cause. Faults: those of the text, else edit-failed.
    """
    before, wrong = _read(path, text, vocabulary)
    if any(not fault.warning for fault in wrong):
        return wrong
    try:
        insertions = _insertions(text, jobs)
    except MarkedYAMLError:
        insertions = ()
    new = text
    for at, what in sorted(insertions, reverse=True):
        new = new[:at] + what + new[at:]
    after, faults = _read(path, new, vocabulary)
    if after == (*before, *jobs) and len(faults) == len(wrong):
        return new
    found = "the jobs could not be added without touching what is written here"
    remedy = "write the list as items behind dashes, in lines of their own, with nothing behind it"
    return (Fault(code="edit-failed", place=Place(path=path), found=found, remedy=remedy),)


def _read(path: str, text: str, vocabulary: Vocabulary) -> tuple[tuple[Job, ...], tuple[Fault, ...]]:
    return parse_jobs(Source(path=path, text=text.replace("\r\n", "\n")), vocabulary=vocabulary)


# --- Where ------------------------------------------------------------------------------------------------------------


def _insertions(text: str, jobs: Sequence[Job]) -> tuple[Insertion, ...]:
    """What to insert and where; none for a text that is no list."""
    # A break that only YAML sees is none for us: a blank instead keeps every place as it is.
    tokens = list(YAML(typ="safe", pure=True).scan(OTHER_BREAKS.sub(" ", text)))
    content = (BlockEntryToken, FlowSequenceStartToken, BlockMappingStartToken, FlowMappingStartToken, ScalarToken)
    first = next((number for number, token in enumerate(tokens) if isinstance(token, content)), None)
    end = next(token.start_mark.index for token in tokens if isinstance(token, DocumentEndToken | StreamEndToken))
    if first is None:
        return (_behind(text, end, jobs, 0),)
    if isinstance(tokens[first], BlockEntryToken):
        return (_behind(text, end, jobs, tokens[first].start_mark.column),)
    if isinstance(tokens[first], FlowSequenceStartToken):
        return tuple(_within(text, tokens[first:], jobs))
    return ()


def _behind(text: str, end: int, jobs: Sequence[Job], column: int) -> Insertion:
    """Items in lines of their own, where the document ends."""
    line_end = "\r\n" if "\r\n" in text else "\n"
    lines = [" " * column + line for job in jobs for line in _item(job)]
    whole = line_end.join(lines)
    if end and text[end - 1] != "\n":
        return end, line_end + whole  # as the last line was, so is ours
    return end, whole + line_end


def _within(text: str, tokens: Sequence[Any], jobs: Sequence[Job]) -> Iterator[Insertion]:
    """Items between the brackets of a list, in lines of their own where the bracket stands in one."""
    closing = _closing(tokens)
    last, bracket = tokens[closing - 1], tokens[closing].start_mark
    empty, ended = isinstance(last, FlowSequenceStartToken), isinstance(last, FlowEntryToken)
    between = text[last.end_mark.index : bracket.index]
    items = [f"{{{', '.join(_pairs(job))}}}" for job in jobs]
    if "\n" not in between:
        separator = "" if empty else " " if ended else ", "
        yield last.end_mark.index, separator + ", ".join(items)
        return
    if not (empty or ended):
        yield last.end_mark.index, ","
    line_end = "\r\n" if "\r\n" in between else "\n"
    column = bracket.column + 2 if empty else max(tokens[1].start_mark.column, 1)
    lines = f",{line_end}".join(" " * column + item for item in items)
    yield bracket.index - bracket.column, lines + line_end


def _closing(tokens: Sequence[Any]) -> int:
    """Which token closes the list that the first one opens."""
    depth = 0
    for number, token in enumerate(tokens):
        depth += isinstance(token, FlowSequenceStartToken | FlowMappingStartToken)
        depth -= isinstance(token, FlowSequenceEndToken | FlowMappingEndToken)
        if not depth:
            return number
    return len(tokens) - 1


# --- What -------------------------------------------------------------------------------------------------------------


def _item(job: Job) -> list[str]:
    first, *others = _pairs(job)
    return [f"- {first}", *(f"  {pair}" for pair in others)]


def _pairs(job: Job) -> list[str]:
    found = {"id": job.id, "what": job.what, "cause": str(job.cause) if job.cause is not None else ""}
    return [f"{key}: {scalar(value)}" for key, value in found.items() if value]
