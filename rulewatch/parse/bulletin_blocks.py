"""Blocks of a bulletin: each begins at a heading of the second level, and gives a clause its text or carries out an instruction."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.instruction import Amendment
from rulewatch.model.reading import Reading
from rulewatch.parse.clause_blocks import read_blocks
from rulewatch.parse.clauses import Chapter, parse_chapter
from rulewatch.parse.fields import nearest, shortened
from rulewatch.parse.instruction_clauses import VERBS
from rulewatch.parse.instruction_cursor import plain_number
from rulewatch.parse.instruction_forms import begins_instruction, behind_number
from rulewatch.parse.labels import ANNEXES, NAMES
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.values import ReadingContext

BLOCK_LEVEL = 2
REPEAL = "repeal"
NUMBER = re.compile(rf"(?P<number>(?P<name>§+|(?i:{ANNEXES}|{NAMES})(?!\w))?\s*\S+(?:\s(?:bis|ter|quater)\b)?)\s*")
# Stands in for a block's number while its text is read: a label that every text takes for one, and that none goes on with.
STAND_IN = "997.997.997"
EXPECTED = "a clause number in front, such as `## 5.2.1 Rear rims`, or an instruction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One block: the number in its heading, what stands behind it, and its lines (`first` is the heading's, from 1).

    The block of an instruction has no number, and the whole heading for its title.
    """

    number: str
    title: str
    place: Place
    first: int
    lines: Sequence[str]

    @property
    def repeals(self) -> bool:
        """Whether it says no more than `repeal`."""
        said = " ".join([self.title, *self.lines[1:]]).strip()
        return said.casefold() == REPEAL


def read_bulletin_blocks(behind: int, context: ReadingContext) -> Iterator[Block]:
    """The blocks behind a line; one of an instruction has no number."""
    source = context.source
    lines = source.lines[behind:]
    heads = [each for each in read_blocks(lines) if each.level == BLOCK_LEVEL and each.start > 0 == each.column]
    firsts = [*(each.first for each in heads), len(lines)]
    for head, end in zip(heads, firsts[1:], strict=True):
        place = source.place(behind + head.first + 1, head.start + 1)
        match = None if begins_instruction(head.title) else NUMBER.match(head.title)
        number = plain_number(match["number"]) if match else ""
        if match and not (match["name"] or re.search(r"\d|^\w$", number)):
            context.fault(
                "wrong-value", place, f"the heading `{shortened(head.title)}`", expected=EXPECTED, remedy=_offer(head.title)
            )
            continue
        told = behind_number(head.title, match.end("number")) if match else ""
        if told:
            number, match = "", None
            place = source.place(place.line, place.column - len("In "))
        yield Block(
            number=number,
            title=head.title[match.end() :].strip() if match else told or head.title,
            place=place,
            first=behind + head.first + 1,
            lines=lines[head.first : end],
        )


def _offer(title: str) -> str:
    """The verb that a heading may have meant to begin with."""
    near = nearest(title.partition(" ")[0].casefold(), VERBS) if re.search(r"\d|[“\"]", title) else ""
    return f"did you mean `{near.capitalize()}`?" if near else ""


def read_block(
    block: Block, context: ReadingContext, *, expected: str = "its full new text, or `repeal`"
) -> Iterator[Amendment]:
    """The clause of a block and the parts that stand under it."""
    contents = read_contents(block, context)
    if block.title.casefold() == REPEAL:
        context.fault("wrong-value", block.place, f"text under the repeal of {block.number}", remedy="leave one of them out")
        return
    for clause in contents.clauses:
        if not _is_under(clause, block):
            found = f"{clause.id} within the block of {block.number}"
            context.fault(
                "wrong-value", clause.place, found, remedy=f"begin a block of its own, `## {clause.id}`, or fold the line"
            )
        elif clause.id == STAND_IN and not clause.text.strip():
            context.fault("wrong-value", block.place, f"no text for {block.number}", expected=expected)
        else:
            true = _true_clause(clause, block)
            readings = contents.readings.get(true.id, ())
            yield Amendment(number=true.id, place=true.place, block=block.number, clause=true, readings=readings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What stands under the heading of a block: clauses, the block's own under `STAND_IN`, and readings by true number."""

    clauses: tuple[Clause, ...]
    readings: Mapping[str, tuple[Reading, ...]]


def read_contents(block: Block, context: ReadingContext) -> Contents:
    """The clauses and readings of a block."""
    chapter = _read_text(block, context.source)
    context.faults.extend(_at_home(fault, block, context.source) for fault in chapter.faults)
    readings: dict[str, tuple[Reading, ...]] = {}
    for part in chapter.blocks:
        here = replace(part, clause=_true_number(part.clause, block))
        reading, faults = parse_reading(here, context.source, vocabulary=context.vocabulary)
        context.faults.extend(faults)
        if reading is not None:
            readings[here.clause] = (*readings.get(here.clause, ()), reading)
    return Contents(clauses=chapter.clauses, readings=readings)


def _read_text(block: Block, source: Source) -> Chapter:
    """The clauses of a block, under the number that stands in for its own; every line is where it was."""
    heading = f"## {STAND_IN} {block.title}"
    text = "\n".join([*[""] * (block.first - 1), heading, *block.lines[1:]])
    return parse_chapter(Source(path=source.path, text=text), first_line=block.first)


def _at_home(fault: Fault, block: Block, source: Source) -> Fault:
    """A fault as it is in the bulletin, not with the number that stood in."""
    return source.fault(
        fault.code,
        fault.place.line,
        fault.place.column,
        fault.found.replace(STAND_IN, block.number),
        expected=fault.expected,
        remedy=fault.remedy,
        warning=fault.warning,
    )


def _is_under(clause: Clause, block: Block) -> bool:
    """Whether a clause is the block's own or a part of it, labelled by its last part or by its whole number."""
    above = natural_order(block.number)
    whole = natural_order(clause.id)
    return clause.id.startswith(STAND_IN) or (whole[: len(above)] == above and len(whole) > len(above))


def _true_number(number: str, block: Block) -> str:
    return block.number + number.removeprefix(STAND_IN) if number.startswith(STAND_IN) else number


def _true_clause(clause: Clause, block: Block) -> Clause:
    """A clause under its own number; the place of the block's own clause is its heading."""
    own = clause.id == STAND_IN
    return replace(
        clause,
        id=_true_number(clause.id, block),
        label=block.number if own else clause.label,
        parent=_true_number(clause.parent, block),
        place=block.place if own else clause.place,
    )
