"""The block of a reading altered in one thing, everything else as it was written: comments, order, blanks.

A block is its lines, the fences included, without the indent of the place where it stands. Places within it count from 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rulewatch.model.fault import Source
from rulewatch.model.proposal import Replacement
from rulewatch.model.quantity import NUMBER, Amount
from rulewatch.model.reading import Confirmation, Reading
from rulewatch.model.step import Block
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.yaml_text import scalar

PLAIN_NUMBER = re.compile(r"[A-Za-z0-9§][\w.()/§ -]*[\w.)]|\w")
NO_TEXT = "00000000"  # a digest that no text has: whatever it stands in counts as unconfirmed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Span:
    """Columns of one line of a block (both from 0), and what is to stand there instead."""

    line: int
    start: int
    end: int
    text: str


def followed(block: Sequence[str], became: Mapping[str, Sequence[str]]) -> tuple[Block, tuple[tuple[str, str], ...]]:
    """The block with the clauses that it names in `instead_of` by their new numbers, and which were replaced.

    `became` gives what each old number became; one that is gone, or still the same, stays as it is.
    """
    root = _read(block)
    named = root.get("instead_of") if root is not None else None
    items = named.items if isinstance(named, ListNode) else (named,) if named is not None else ()
    spans, replaced = [], []
    for item in items:
        if not isinstance(item, ScalarNode) or item.place.line != item.end.line:
            continue
        new = tuple(became.get(item.text, ()))
        if new and new != (item.text,):
            spans.append(_over(item, _in_list(item, new, block, alone=item is named)))
            replaced.append((item.text, ", ".join(new)))
    return _replaced(block, spans), tuple(replaced)


def _in_list(item: ScalarNode, new: tuple[str, ...], block: Sequence[str], *, alone: bool) -> str:
    """What one number became; several stand in brackets, or in lines of their own where the list has lines."""
    written = [number if PLAIN_NUMBER.fullmatch(number) else scalar(number) for number in new]
    before = block[item.place.line - 1][: item.place.column - 1]
    if len(new) > 1 and re.fullmatch(r"\s*-\s+", before):
        return f"\n{before}".join(written)
    return f"[{', '.join(written)}]" if len(new) > 1 and alone else ", ".join(written)


def with_numbers(block: Sequence[str], reading: Reading, replacements: Iterable[Replacement]) -> Block:
    """The block with numbers replaced; `reading` is the one that was read from it, and knows where they stand."""
    root = _read(block)
    scalars = {(node.place.line, node.place.column): node for node in _scalars(root)} if root is not None else {}
    spans = []
    for one in replacements:
        place = one.number.place
        node = scalars.get((place.line - reading.place.line + 1, place.column - reading.place.column + 1))
        if node is not None and node.place.line == node.end.line:
            spans.append(_over(node, _spelled(node, one, block)))
    return _replaced(block, spans)


def _spelled(node: ScalarNode, one: Replacement, block: Sequence[str]) -> str:
    """The new number as the old one is written: with its sign ±, its quotation marks, its word behind."""
    written = block[node.place.line - 1][node.place.column - 1 : node.end.column - 1]
    was = one.number.value
    if isinstance(was, Amount) and was.unit == NUMBER:  # `5 years` is read as the number 5
        return re.sub(r"[\d.,/]+", one.now_written, written, count=1)
    return written.replace(str(was), one.now_written, 1)


def confirmed_by(block: Sequence[str], confirmation: Confirmation) -> Block | None:
    """The block with who confirmed it, when and against which text; None where it cannot be said without touching more."""
    said = {"by": scalar(confirmation.by), "on": confirmation.on.isoformat(), "text": confirmation.text}
    root = _read(block)
    confirmed = root.get("confirmed") if root is not None else None
    if confirmed is None:
        return _with_line(block, f"confirmed: {{{', '.join(f'{key}: {value}' for key, value in said.items())}}}")
    nodes = {key: confirmed.get(key) if isinstance(confirmed, MapNode) else None for key in said}
    if not all(isinstance(node, ScalarNode) and node.place.line == node.end.line for node in nodes.values()):
        return None
    return _replaced(block, [_over(node, said[key]) for key, node in nodes.items() if isinstance(node, ScalarNode)])


def without_confirmation(block: Sequence[str]) -> Block:
    """The block with a confirmation that names a text which there is not: who looked and when stays."""
    root = _read(block)
    confirmed = root.get("confirmed") if root is not None else None
    text = confirmed.get("text") if isinstance(confirmed, MapNode) else None
    return _replaced(block, [_over(text, NO_TEXT)]) if isinstance(text, ScalarNode) else tuple(block)


def asking(block: Sequence[str], question: str) -> Block | None:
    """The block with a question for the officials; None where it has one."""
    root = _read(block)
    if root is None or root.get("ask") is not None:
        return None
    return _with_line(block, f"ask: {scalar(question)}")


def new_block(*lines: str) -> Block:
    """A block with these lines between its fences."""
    return ("```reading", *lines, "```")


def _with_line(block: Sequence[str], line: str) -> Block | None:
    """The block with a line more at its end; None where its YAML is not written in lines."""
    root = _read(block)
    if root is None:
        return None
    first = block[root.place.line - 1]
    if first[root.place.column - 1 :].startswith("{"):
        return None
    return (*block[:-1], " " * (root.place.column - 1) + line, block[-1])


def _over(node: ScalarNode, text: str) -> _Span:
    return _Span(line=node.place.line - 1, start=node.place.column - 1, end=node.end.column - 1, text=text)


def _read(block: Sequence[str]) -> MapNode | None:
    """The YAML of a block, its places counted from the opening fence."""
    root: Node | None
    root, _ = read_yaml(Source(path="", text="\n".join(block)), text="\n".join(block[1:-1]), first_line=2)
    return root if isinstance(root, MapNode) else None


def _scalars(node: Node) -> Iterator[ScalarNode]:
    """Every value of a tree that is one word or number."""
    if isinstance(node, ScalarNode):
        yield node
    for child in (
        node.items if isinstance(node, ListNode) else (value for _, value in node) if isinstance(node, MapNode) else ()
    ):
        yield from _scalars(child)


def _replaced(block: Sequence[str], spans: Sequence[_Span]) -> Block:
    """The block with spans replaced, the last first, so that columns hold."""
    new = list(block)
    for span in sorted(spans, key=lambda one: (one.line, one.start), reverse=True):
        new[span.line] = new[span.line][: span.start] + span.text + new[span.line][span.end :]
    return tuple("\n".join(new).split("\n"))
