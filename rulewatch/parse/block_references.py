"""What a reading's block is altered in when it is carried: the numbers of other clauses, and nothing else."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rulewatch.model.fault import Source
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode, read_yaml

PLAIN = re.compile(r"[A-Za-z0-9§][\w.()/§ -]*[\w.)]|\w")
NO_TEXT = "00000000"  # a digest that no text has: whatever it stands in counts as unconfirmed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Span:
    """Columns of one line of a block (from 0), and what is to stand there instead; `before` other lines that stand above it."""

    line: int
    start: int
    end: int
    text: str


def followed(lines: Sequence[str], became: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """The lines of a block with the clauses that it names in `instead_of` by their new numbers, and which were replaced.

    `became` gives what each old number became; one that is gone, or still the same, stays as it is.
    """
    root = _read(lines)
    named = root.get("instead_of") if root is not None else None
    items = named.items if isinstance(named, ListNode) else (named,) if named is not None else ()
    spans, replaced = [], []
    for item in items:
        if not isinstance(item, ScalarNode) or item.place.line != item.end.line:
            continue
        new = tuple(became.get(item.text, ()))
        if new and new != (item.text,):
            spans.append(_span(item, new, lines, alone=item is named))
            replaced.append((item.text, ", ".join(new)))
    return _replaced(lines, spans), tuple(replaced)


def _span(item: ScalarNode, new: tuple[str, ...], lines: Sequence[str], *, alone: bool) -> _Span:
    """One number with what it became; several stand in brackets, or in lines of their own where the list has lines."""
    line, start, end = item.place.line - 1, item.place.column - 1, item.end.column - 1
    written = [_written(number) for number in new]
    text = ", ".join(written)
    if len(new) > 1:
        before = lines[line][:start]
        dash = re.fullmatch(r"\s*-\s+", before)
        if dash:
            text = f"\n{before}".join(written)
        elif alone:
            text = f"[{text}]"
    return _Span(line=line, start=start, end=end, text=text)


def without_confirmation(lines: Sequence[str]) -> tuple[str, ...]:
    """The lines of a block whose confirmation names a text that there is not: who looked and when stays."""
    root = _read(lines)
    confirmed = root.get("confirmed") if root is not None else None
    text = confirmed.get("text") if isinstance(confirmed, MapNode) else None
    if not isinstance(text, ScalarNode):
        return tuple(lines)
    span = _Span(line=text.place.line - 1, start=text.place.column - 1, end=text.end.column - 1, text=NO_TEXT)
    return _replaced(lines, [span])


def _read(lines: Sequence[str]) -> MapNode | None:
    """The YAML of a block, its places counted from the opening fence."""
    root: Node | None
    root, _ = read_yaml(Source(path="", text="\n".join(lines)), text="\n".join(lines[1:-1]), first_line=2)
    return root if isinstance(root, MapNode) else None


def _replaced(lines: Sequence[str], spans: Sequence[_Span]) -> tuple[str, ...]:
    """The lines with spans replaced, the last first, so that columns hold."""
    new = list(lines)
    for span in sorted(spans, key=lambda one: (one.line, one.start), reverse=True):
        new[span.line] = new[span.line][: span.start] + span.text + new[span.line][span.end :]
    return tuple("\n".join(new).split("\n"))


def _written(number: str) -> str:
    """A clause's number as YAML takes it anywhere."""
    return number if PLAIN.fullmatch(number) else '"' + number.replace("\\", "\\\\").replace('"', '\\"') + '"'
