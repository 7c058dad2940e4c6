"""Instructions of a bulletin: the sentence in the heading of a block, and what the block gives it to work with.

An instruction that makes or revises clauses has their new text under it, of several clauses each under a heading of the third
level with its number. One that changes words has nothing under it but the readings that its clause is to have then.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Fault, Place
from rulewatch.model.instruction import Act, Amendment, Extent, Instruction, Quote, Target
from rulewatch.parse.bulletin_blocks import NUMBER, STAND_IN, Block, read_block, read_contents
from rulewatch.parse.clause_blocks import read_blocks
from rulewatch.parse.instruction_cursor import plain_number
from rulewatch.parse.instruction_forms import parse_instruction
from rulewatch.parse.values import ReadingContext

SECTION_LEVEL = 3
TAKES_READINGS = {Act.ADD, Act.REPLACE_WORDS, Act.INSERT_WORDS, Act.STRIKE_WORDS, Act.REVISE, Act.RESERVE}


def read_instruction(block: Block, context: ReadingContext) -> Instruction | None:
    """The instruction of a block with the texts and readings that stand under it; None, after a fault, where it is none."""
    said = parse_instruction(block.title, block.place.line, block.place.column, context.source)
    if isinstance(said, Fault):
        context.faults.append(said)
        return None
    found = replace(said, last_line=_last_line(block))
    made = found.to if found.act in {Act.SPLIT, Act.JOIN} else found.targets
    takes_texts = found.act in {Act.ADD, Act.SPLIT, Act.JOIN} or (
        found.act is Act.REVISE and found.extent is not Extent.HEADING
    )
    if not takes_texts:
        return _with_readings(found, block, context)
    ranges = [each for each in made if each.through or each.deep]
    if ranges:
        context.fault("bad-instruction", ranges[0].place, "a range of new clauses", remedy="name each of them")
        return None
    if found.words is not None:
        text = _quoted(made[0], found.words)
        whole = _with_readings(found, block, context)
        return whole and replace(whole, texts=(replace(text, readings=whole.readings),), readings=())
    texts = tuple(_texts(made, block, context))
    return replace(found, texts=texts) if {each.number for each in texts} >= {each.number for each in made} else None


def _last_line(block: Block) -> int:
    """The last line of a block that is not empty."""
    empty = next(number for number, line in enumerate(reversed(block.lines)) if line.strip())
    return block.first + len(block.lines) - 1 - empty


def _quoted(target: Target, words: Quote) -> Amendment:
    """A new text that stands between quotation marks."""
    clause = Clause(
        id=target.number, label=target.number, text=words.text.strip(), place=target.place, last_line=target.place.line
    )
    return Amendment(number=target.number, place=target.place, block=target.number, clause=clause)


# --- New texts --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """The text of one clause under an instruction: its number in the heading, and where that stands among the block's lines."""

    target: Target
    title: str
    at: int
    place: Place


def _texts(made: Sequence[Target], block: Block, context: ReadingContext) -> Iterator[Amendment]:
    """The new clauses of an instruction, with their parts and readings."""
    sections = list(_sections(made, block, context))
    if not sections and len(made) == 1:
        sections = [_Section(target=made[0], title="", at=0, place=block.place)]
    missing = [each for each in made if each not in [section.target for section in sections]]
    for target in missing:
        heading = f"`### {target.number}` and its full new text under it"
        context.fault("wrong-value", target.place, f"no text for {target.number}", expected=heading)
    if not sections:
        return
    ends = [*(section.at for section in sections[1:]), len(block.lines)]
    for section, end in zip(sections, ends, strict=True):
        part = Block(
            number=section.target.number,
            title=section.title,
            place=section.place,
            first=block.first + section.at,
            lines=block.lines[section.at : end],
        )
        yield from read_block(part, context, expected="its full new text under the instruction")


def _sections(made: Sequence[Target], block: Block, context: ReadingContext) -> Iterator[_Section]:
    """Where the text of each clause begins: headings of the third level with its number."""
    for head in read_blocks(block.lines[1:]):
        match = NUMBER.match(head.title) if head.level == SECTION_LEVEL else None
        number = plain_number(match["number"]) if match else ""
        target = next((each for each in made if number and _means(number, each)), None)
        if match is not None and target is not None:
            place = context.source.place(block.first + head.first + 1, head.start + 1)
            yield _Section(target=target, title=head.title[match.end() :].strip(), at=head.first + 1, place=place)


def _means(number: str, target: Target) -> bool:
    """Whether a heading gives a clause its number, as a whole or its last parts in brackets."""
    return number in {target.number, target.named} or (number.startswith("(") and target.number.endswith(number))


# --- Readings without a text ------------------------------------------------------------------------------------------


def _with_readings(found: Instruction, block: Block, context: ReadingContext) -> Instruction | None:
    """The readings under an instruction that has its words in the sentence; or the words that it adds, if these stand there."""
    number = found.targets[0].number
    contents = read_contents(replace(block, number=number, title=""), context)
    own = next((clause.text.strip() for clause in contents.clauses if clause.id == STAND_IN), "")
    if found.act is Act.INSERT_WORDS and found.words is None:
        if not own:
            context.fault("wrong-value", block.place, "no words to add", expected="them in quotation marks, or under it")
            return None
        found = replace(found, words=Quote(text=own, place=_below(block)))
    elif own or any(clause.id != STAND_IN for clause in contents.clauses):
        remedy = "put remarks in front of the first block"
        context.fault("wrong-value", _below(block), "text under an instruction that takes none", remedy=remedy)
        return None
    readings = contents.readings.get(number, ())
    one = len(found.targets) == 1 and not found.targets[0].through and not found.targets[0].deep
    if readings and not (one and found.act in TAKES_READINGS):
        context.fault(
            "reading-misplaced", readings[0].place, "a reading under an instruction that leaves no one clause with words"
        )
        return None
    return replace(found, readings=readings)


def _below(block: Block) -> Place:
    """The first line under a block's heading that says something."""
    below = next((number for number, line in enumerate(block.lines) if number and line.strip()), 0)
    line = block.lines[below]
    indent = re.match(r"\s*", line)
    return Place(path=block.place.path, line=block.first + below, column=(indent.end() if indent else 0) + 1)
