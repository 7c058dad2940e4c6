"""Two texts of a clause compared word by word, so that a reader sees what was struck and what came.

Texts are compared with white space folded, as printed: what stayed and what was dropped give the old text back, what stayed
and what was added the new one, letter by letter.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from itertools import pairwise

from rulewatch.compare.amount_changes import amount_changes
from rulewatch.compare.moved_sentences import Run, cut, moved, put_back
from rulewatch.compare.typography import followed, same_but_for_typography
from rulewatch.compare.words import WORD
from rulewatch.model.amounts import find_amounts
from rulewatch.model.change import Mark, ValueChange
from rulewatch.model.clause import fold
from rulewatch.model.quantity import NumberStyle, find_unit

# Above so many words times words the faster matcher is taken; it finds as much in common, in smaller pieces.
LARGE = 200_000
# A kept run of at most so many words between two changes is taken into them, or the text would read in shreds.
SHREDS = 2
# A word of so few letters is one even where the changes around it are no longer than itself.
SHORT_WORD = 3
# What stands in one of the texts alone, or in another place there.
GONE, CAME = (Mark.DROP, Mark.LEFT, Mark.OLD_NUMBER), (Mark.ADD, Mark.CAME, Mark.NEW_NUMBER)

_UNIT = re.compile(r"(?: \d+[/⁄]\d+)? ?([^\s\d.,;:()\[\]]+(?:\([A-Z]\))?)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """What became of the words: runs in order, a dropped run before the added one that replaces it.

    A sentence that moved within the text, and a reference renumbered with its target, are marked as such and as no other change.

    `same`: equal but for white space and line breaks. `wording_only`: differs by nothing beyond the closed list of
    differences that change no rule; true where `same` is.
    """

    words: tuple[tuple[Mark, str], ...]
    same: bool
    wording_only: bool


def difference(old: str, new: str, renumbered: Mapping[str, str] | None = None) -> Wording:
    """Compare two texts. `renumbered` gives the new number of each old clause, for references that only followed theirs."""
    if old == new or fold(old) == fold(new):
        new = fold(new)
        return Wording(words=((Mark.KEEP, new),) if new else (), same=True, wording_only=True)
    old, new = fold(old), fold(new)
    words = tuple(differing(old, new, renumbered or {})) if old and new else ((Mark.DROP, old) if old else (Mark.ADD, new),)
    gone, came = ("".join(text for mark, text in words if mark in marks) for marks in (GONE, CAME))
    only = same_but_for_typography(old, new, renumbered or {}, gone, came)
    return Wording(words=words, same=False, wording_only=only)


def differing(old: str, new: str, renumbered: Mapping[str, str]) -> Iterator[Run]:
    """The runs of two folded texts that both say something, and not the same."""
    went = moved(old, new)
    (old_rest, left), (new_rest, came) = cut(old, went), cut(new, went)
    return put_back(renumberings(runs(old_rest, new_rest), old_rest, renumbered), left, came)


def renumberings(told: Iterable[Run], old: str, renumbered: Mapping[str, str]) -> Iterator[Run]:
    """Runs in which a number that was replaced by its clause's new one is marked as no more than that."""
    numbers = {start: (end, number) for start, end, number in followed(old, renumbered)}
    row = [*told, (Mark.KEEP, "")]
    at, skip = 0, False
    for (mark, text), (next_mark, following) in pairwise(row):
        if skip:
            skip = False
            continue
        reference = numbers.get(at) if mark is Mark.DROP and next_mark is Mark.ADD else None
        if reference and is_renumbered(text, following, old[at : reference[0]], reference[1]):
            yield from ((Mark.OLD_NUMBER, text), (Mark.NEW_NUMBER, following))
            skip = True
        else:
            yield mark, text
        at += len(text) if mark.in_old else 0


def is_renumbered(dropped: str, added: str, number: str, new_number: str) -> bool:
    """Whether the words that were replaced are a clause's number, or all of it but the part in brackets that stayed."""
    behind = number.removeprefix(dropped)
    return number.startswith(dropped) and new_number == added + behind and (not behind or behind[0] in "(.")


def runs(old: str, new: str) -> Iterator[Run]:
    """The runs of kept, dropped and added words of two folded texts; none is empty."""
    before, after = pieces(old), pieces(new)
    kept = ""
    for block in merged(blocks(before, after)):
        stayed, dropped, added = ("".join(part) for part in (block.kept, block.dropped, block.added))
        kept += stayed
        # The blank before a word that another one replaces belongs to neither.
        if dropped[:1] == added[:1] == " ":
            kept, dropped, added = kept + " ", dropped[1:], added[1:]
        if dropped or added:
            yield from ((mark, text) for mark, text in ((Mark.KEEP, kept), (Mark.DROP, dropped), (Mark.ADD, added)) if text)
            kept = ""
    if kept:
        yield Mark.KEEP, kept


def pieces(text: str) -> list[str]:
    """The words of a folded text, each with the blank before it, a number together with its unit."""
    found = []
    at = 0
    for match in WORD.finditer(text):
        if match.start() < at:
            continue
        end = match.end()
        if match[0][0].isdigit() and (unit := _UNIT.match(text, end)) and is_unit(unit[1]):
            end = unit.end()
        found.append(text[at:end])
        at = end
    return found


@cache
def is_unit(symbol: str) -> bool:
    """Whether a word is the symbol of a unit."""
    return find_unit(symbol) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Pieces that stayed, and then those that were replaced; each may be empty."""

    kept: Sequence[str]
    dropped: Sequence[str]
    added: Sequence[str]


def blocks(old: Sequence[str], new: Sequence[str]) -> Iterator[Block]:
    """What stayed and what changed, in turn."""
    at_old = at_new = 0
    kept: Sequence[str] = ()
    for start_old, start_new, length in common_runs(old, new):
        if start_old > at_old or start_new > at_new:
            yield Block(kept=kept, dropped=old[at_old:start_old], added=new[at_new:start_new])
            kept = ()
        at_old, at_new = start_old + length, start_new + length
        kept = (*kept, *old[start_old:at_old])
    yield Block(kept=kept, dropped=old[at_old:], added=new[at_new:])


def common_runs(old: Sequence[str], new: Sequence[str]) -> Iterator[tuple[int, int, int]]:
    """Where a run of pieces stands in both, and how long it is; most clauses change little, so both ends go first."""
    shorter = min(len(old), len(new))
    head = next((i for i in range(shorter) if old[i] != new[i]), shorter)
    tail = next((i for i in range(shorter - head) if old[-1 - i] != new[-1 - i]), shorter - head)
    inner_old, inner_new = old[head : len(old) - tail], new[head : len(new) - tail]
    yield 0, 0, head
    if len(inner_old) * len(inner_new) < LARGE:
        found = [tuple(one) for one in SequenceMatcher(None, inner_old, inner_new, autojunk=False).get_matching_blocks()]
    else:
        from rapidfuzz.distance import Indel

        found = [tuple(one) for one in Indel.opcodes(inner_old, inner_new).as_matching_blocks()]
    for start_old, start_new, length in found:
        if length:
            yield head + start_old, head + start_new, length
    yield len(old) - tail, len(new) - tail, tail


def merged(found: Iterator[Block]) -> list[Block]:
    """Blocks with the shreds between two changes taken into the changes."""
    out: list[Block] = []
    before = None
    for block in found:
        if before and is_shred(block.kept, before, block):
            last = out.pop()
            dropped, added = (*last.dropped, *block.kept, *block.dropped), (*last.added, *block.kept, *block.added)
            out.append(Block(kept=last.kept, dropped=dropped, added=added))
        else:
            out.append(block)
        before = block
    return out


def is_shred(kept: Sequence[str], before: Block, after: Block) -> bool:
    """Whether a kept run between two changes is too small to stand alone. A number always stands: it did not change."""
    if not (after.dropped or after.added) or any(any(sign.isdigit() for sign in piece) for piece in kept):
        return False
    words = [piece.strip() for piece in kept if any(sign.isalpha() for sign in piece)]
    around = min(max(len(block.dropped), len(block.added)) for block in (before, after))
    return not words or (len(words) <= SHREDS and len(words) < around) or (len(words) == 1 and len(words[0]) <= SHORT_WORD)


def value_changes(wording: Wording, style: NumberStyle | None = None) -> tuple[ValueChange, ...]:
    """The amounts that a difference of wording changed, in the order of the text; a change of unit alone has a delta of 0."""
    old = "".join(text for mark, text in wording.words if mark.in_old)
    new = "".join(text for mark, text in wording.words if mark.in_new)
    before, after = (find_amounts(text, style or NumberStyle()) for text in (old, new))
    return amount_changes(wording.words, before, after) if before or after else ()
