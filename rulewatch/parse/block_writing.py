"""A reading written into its chapter or bulletin: its own block replaced or put in, and every other byte as it was.

What comes out is read again before it counts: every clause must say what it said, every other reading stand as it stood, and
nothing be wrong that was not wrong before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from rulewatch.model.clause import Clause
from rulewatch.model.edition import Body, EditionHeader
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.reading import Reading
from rulewatch.model.splice import Splice
from rulewatch.model.step import Block, Spot
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.clauses import ReadingBlock, parse_book
from rulewatch.parse.placing import Placement, place_blocks
from rulewatch.parse.reading_lines import block_lines, fitted
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.splicing import spliced
from rulewatch.parse.text_check import check_against_text

CHANGED = "look at it again: it is shown as it stands now"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What a file of an edition is read with. `bulletin` tells that it is one."""

    vocabulary: Vocabulary
    body: Body
    header: EditionHeader
    bulletin: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A clause of a file with its readings; a block that could not be read is left out, and is a fault."""

    clause: Clause
    readings: tuple[Reading, ...]


def held_in(source: Source, rules: Rules) -> tuple[tuple[Held, ...], tuple[Fault, ...]]:
    """The clauses of a file with their readings, and what is wrong with it, warnings left out."""
    found, faults = _in_bulletin(source, rules) if rules.bulletin else _in_chapter(source, rules)
    checked = (
        fault
        for one in found
        for fault in check_against_text(one.readings, one.clause, body=rules.body, source=source)
    )  # fmt: skip
    return found, in_order(fault for fault in (*faults, *checked) if not fault.warning)


def read_block(block: Block, clause: str, vocabulary: Vocabulary) -> Reading | None:
    """The reading that a block by itself says; None where anything in it is at fault."""
    source = Source(path="", text="\n".join(block))
    inside = ReadingBlock(clause=clause, text="\n".join((*block[1:-1], "")), place=source.place(1), first_line=2, indent=0)
    return parse_reading(inside, source, vocabulary=vocabulary)[0]


def _in_chapter(source: Source, rules: Rules) -> tuple[tuple[Held, ...], tuple[Fault, ...]]:
    chapter = parse_book([source])
    readings: dict[str, list[Reading]] = {}
    faults = list(chapter.faults)
    for block in chapter.blocks:
        reading, wrong = parse_reading(block, source, vocabulary=rules.vocabulary)
        faults += wrong
        if reading is not None:
            readings.setdefault(block.clause, []).append(reading)
    return tuple(Held(clause=one, readings=tuple(readings.get(one.id, ()))) for one in chapter.clauses), tuple(faults)


def _in_bulletin(source: Source, rules: Rules) -> tuple[tuple[Held, ...], tuple[Fault, ...]]:
    bulletin, faults = parse_bulletin(source, vocabulary=rules.vocabulary, header=rules.header)
    amendments = bulletin.amendments if bulletin is not None else ()
    return tuple(Held(clause=one.clause, readings=one.readings) for one in amendments if one.clause is not None), faults


def with_blocks(source: Source, spot: Spot, blocks: Sequence[Block], rules: Rules) -> tuple[Splice, ...] | tuple[Fault, ...]:
    """What to put into a file so that blocks stand in the place of a reading, or under a clause without one.

    Faults: stale-decision where clause or reading are not as they were; edit-failed where they cannot be put in; and whatever
    would be wrong with them, at its place in the file as it would be.
    """
    before, wrong = held_in(source, rules)
    held = next((one for one in before if one.clause.id == spot.clause), None)
    stale = _stale(held, spot, source)
    if held is None or stale:
        place = held.clause.place if held is not None else Place(path=source.path)
        return (Fault(code="stale-decision", place=place, found=stale, remedy=CHANGED),)
    splices = _replacing(held, spot, blocks, source) if spot.block else _putting_in(held, blocks, source)
    new = Source(path=source.path, text=spliced(source.text, splices))
    after, faults = held_in(new, rules)
    came = tuple(_new_faults(wrong, faults))
    if came:
        return came
    if not splices or not _as_meant(before, after, spot, blocks, sources=(source, new)):
        found = f"the reading could not be put under {spot.clause} without touching something else"
        return (Fault(code="edit-failed", place=held.clause.place, found=found, remedy="write it in an editor"),)
    return splices


def _stale(held: Held | None, spot: Spot, source: Source) -> str:
    """What is not as it was shown, in words; empty where all is."""
    if held is None:
        return f"{spot.clause} is not in this file any more"
    if held.clause.digest != spot.digest:
        return f"the text of {spot.clause} was changed meanwhile"
    if not spot.block:
        return f"{spot.clause} has got a reading meanwhile" if held.readings else ""
    same = len(held.readings) >= spot.number and block_lines(held.readings[spot.number - 1], source) == spot.block
    return "" if same else f"the reading of {spot.clause} was changed meanwhile"


def _new_faults(before: Sequence[Fault], after: Sequence[Fault]) -> Iterator[Fault]:
    """The faults that were not there before, wherever they stood."""
    known = Counter((fault.code, fault.found) for fault in before)
    for fault in after:
        known[fault.code, fault.found] -= 1
        if known[fault.code, fault.found] < 0:
            yield fault


def _replacing(held: Held, spot: Spot, blocks: Sequence[Block], source: Source) -> tuple[Splice, ...]:
    """Other blocks in the place of one; lines that stay are kept as they are in the file, whatever their indent."""
    reading = held.readings[spot.number - 1]
    raw = source.lines[reading.place.line - 1 : reading.last_line]
    prefix = raw[0][: reading.place.column - 1]
    indent = "".join(sign if sign in " \t>" else " " for sign in prefix)
    new = [line for number, block in enumerate(blocks) for line in (*([""] if number else []), *block)]
    lines: list[str] = []
    for kind, first, end, start, stop in SequenceMatcher(None, spot.block, new, autojunk=False).get_opcodes():
        lines += raw[first:end] if kind == "equal" else fitted(tuple(new[start:stop]), indent)
    if new[0] != spot.block[0]:
        lines[0] = prefix + new[0]
    return (Splice(line=reading.place.line, count=len(raw), lines=tuple(lines)),)


def _putting_in(held: Held, blocks: Sequence[Block], source: Source) -> tuple[Splice, ...]:
    """Blocks under a clause that has none; a bulletin's clauses are found by where they stand."""
    here = held.clause.place.line
    clause = next((one for one in parse_book([source]).clauses if one.place.line == here), None)
    if clause is None:
        return ()
    placed = place_blocks([source], [Placement(clause=clause.id, lines=block) for block in blocks])
    return () if placed.left else placed.insertions.get(source.path, ())


def _as_meant(
    before: Sequence[Held], after: Sequence[Held], spot: Spot, blocks: Sequence[Block], *, sources: tuple[Source, Source]
) -> bool:
    """Whether every clause says what it said, and every reading but the one is as it was."""
    if [one.clause for one in before] != [one.clause for one in after]:
        return False
    for one, other in zip(before, after, strict=True):
        was = [block_lines(reading, sources[0]) for reading in one.readings]
        if one.clause.id == spot.clause:
            first = max(spot.number - 1, 0)
            was[first : first + bool(spot.block)] = blocks
        if was != [block_lines(reading, sources[1]) for reading in other.readings]:
            return False
    return True
