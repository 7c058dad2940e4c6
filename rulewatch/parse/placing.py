"""Reading blocks put under clauses of chapters, which stay as they are: what comes out is read back and must say so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Source
from rulewatch.model.splice import Splice
from rulewatch.parse.clauses import Chapter, parse_book
from rulewatch.parse.reading_lines import QUOTE, fitted, indent_of
from rulewatch.parse.splicing import spliced


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A block of lines, fences included, and the clause that it is to stand under."""

    clause: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The texts that changed, by path; what was put in before which line of them; and what could not be placed."""

    texts: Mapping[str, str]
    insertions: Mapping[str, tuple[Splice, ...]]
    left: tuple[Placement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """All blocks of one clause, in order: they are placed together or not at all. `at` counts the clauses of the chapter."""

    at: int
    clause: Clause
    blocks: tuple[Placement, ...]


def place_blocks(chapters: Sequence[Source], placements: Sequence[Placement]) -> Placed:
    """Put blocks under the clauses of a book, behind what the clause says itself, and in front of the clauses under it.

    Where that would alter what any clause says, or which clause the block is read under, the block is left out.
    """
    meant: dict[str, list[Placement]] = {}
    for placement in placements:
        meant.setdefault(placement.clause, []).append(placement)
    groups: dict[str, list[_Group]] = {}
    counted: Counter[str] = Counter()
    for clause in parse_book(chapters).clauses:
        path = clause.place.path
        if clause.id in meant:
            groups.setdefault(path, []).append(_Group(at=counted[path], clause=clause, blocks=tuple(meant[clause.id])))
        counted[path] += 1
    texts, insertions, left = {}, {}, []
    for source in chapters:
        made, out = _settle(source, groups.get(source.path, ()))
        left += [block for group in out for block in group.blocks]
        if made:
            texts[source.path] = spliced(source.text, made)
            insertions[source.path] = made
    return Placed(texts=texts, insertions=insertions, left=tuple(left))


def _settle(source: Source, groups: Sequence[_Group]) -> tuple[tuple[Splice, ...], list[_Group]]:
    """The insertions of one chapter that leave it as it was, all together where they can; else as many as can."""
    if not groups:
        return (), []
    before = parse_book([source])
    made: dict[int, Splice] = {}
    taken: list[_Group] = []
    out: list[_Group] = []

    def take(some: Sequence[_Group]) -> None:
        for outdented in (False, True):
            tried = made | {group.at: _insertion(group, source, outdented=outdented) for group in some}
            if _holds(source, before, [*taken, *some], tried.values()):
                made.update(tried)
                taken.extend(some)
                return
        if len(some) == 1:
            out.extend(some)
            return
        take(some[: len(some) // 2])
        take(some[len(some) // 2 :])

    take(groups)
    return tuple(made[at] for at in sorted(made)), out


def _insertion(group: _Group, source: Source, *, outdented: bool) -> Splice:
    """The blocks of a clause with an empty line before each, and one behind the last where text follows at once.

    In a quotation there is none: a sign of quotation alone in its line would be text.
    """
    indent = "" if outdented else indent_of(group.clause, source)
    gap = () if QUOTE in indent else ("",)
    last = group.clause.last_line
    lines: list[str] = []
    for block in group.blocks:
        lines += [*gap, *fitted(block.lines, indent)]
    follows = last < len(source.lines) and bool(source.lines[last].strip())
    return Splice(line=last + 1, lines=(*lines, *(gap if follows else ())))


def _holds(source: Source, before: Chapter, groups: Sequence[_Group], made: Iterable[Splice]) -> bool:
    """Whether a chapter with insertions says what it said, and has the blocks where they are meant to be."""
    after = parse_book([Source(path=source.path, text=spliced(source.text, made))])
    if after.clauses != before.clauses or len(after.faults) != len(before.faults):
        return False
    meant = [(group.at, "\n".join(block.lines[1:-1])) for group in groups for block in group.blocks]
    return sorted(_blocks(after)) == sorted([*_blocks(before), *meant])


def _blocks(chapter: Chapter) -> list[tuple[int, str]]:
    """The blocks of a chapter, each with which of its clauses it stands under."""
    at = {clause.id: number for number, clause in enumerate(chapter.clauses)}
    return [(at[block.clause], block.text.removesuffix("\n")) for block in chapter.blocks]
