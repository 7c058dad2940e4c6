"""Bulletins in their base form: front matter, then one block for each clause that is amended.

    ---
    number: 3
    published: 2027-02-01
    effective: 2027-03-01
    ---

    What stands before the first block is an introduction and changes nothing.

    ## 5.2.1 Rear rims

    The full new text of 5.2.1, and its readings.

    ## 5.2.2 repeal

A block begins at a heading of the second level with the clause's number, written as the book's id has it: `5.2.1(a)`,
`Annex A/1.2`. What stands behind the number is the clause's own heading; the word `repeal` alone, there or as the only text,
takes the clause out. Numbers mean the text in force just before the bulletin; one that is not in force there is an insertion,
placed by its number (`consolidation.py`).

A block replaces the text of its clause and leaves what stands under it, unless it gives parts of it too ((a), (b) ...): then
it must give all of them, or repeal the others.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Amendment, Bulletin, BulletinStatus, EditionHeader
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.clause_blocks import read_blocks
from rulewatch.parse.clauses import Chapter, parse_chapter
from rulewatch.parse.fields import Fields, nearest, open_fields, read_text, shortened
from rulewatch.parse.labels import ANNEXES, NAMES
from rulewatch.parse.nodes import read_yaml
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.values import ReadingContext

FENCE = "---"
BLOCK_LEVEL = 2
REPEAL = "repeal"
NUMBER = re.compile(rf"(?P<number>(?P<name>§+|(?i:{ANNEXES}|{NAMES})(?!\w))?\s*\S+(?:\s(?:bis|ter|quater)\b)?)\s*")
# Stands in for a block's number while its text is read: a label that every text takes for one, and that none goes on with.
STAND_IN = "997.997.997"


def parse_bulletin(
    source: Source, *, vocabulary: Vocabulary, header: EditionHeader | None = None
) -> tuple[Bulletin | None, tuple[Fault, ...]]:
    """A bulletin with its amendments and their readings; None without number and dates.

    With the edition's `header` the events that a bulletin was issued for are checked: one with a misspelt event would never
    apply, and nobody would notice.
    """
    context = ReadingContext(source=source, vocabulary=vocabulary, faults=[])
    end = _end_of_front_matter(source)
    if end is None:
        expected = f"`{FENCE}`, then number, published and effective, then `{FENCE}`"
        context.fault("missing-key", source.place(1), "a bulletin without front matter", expected=expected)
        return None, tuple(context.faults)
    amendments = tuple(_read_amendments(end, context))
    node, faults = read_yaml(source, text="\n".join(source.lines[1 : end - 1]), first_line=2)
    context.faults.extend(faults)
    keys = ("status", "events", "title")
    fields = None
    if node is not None or not faults:
        fields = open_fields(node, context, "the front matter", required=("number", "published", "effective"), optional=keys)
    bulletin = _read_front_matter(fields, amendments, header) if fields else None
    return bulletin, in_order(context.faults)


def _end_of_front_matter(source: Source) -> int | None:
    """The line of the closing fence; None where the text does not begin with front matter."""
    lines = [line.rstrip() for line in source.lines]
    if lines[0] != FENCE or FENCE not in lines[1:]:
        return None
    return lines.index(FENCE, 1) + 1


def _read_front_matter(fields: Fields, amendments: tuple[Amendment, ...], header: EditionHeader | None) -> Bulletin | None:
    number, published, effective = fields.text("number"), fields.day("published"), fields.day("effective")
    status = fields.word("status", BulletinStatus) or BulletinStatus.FINAL
    title, events = fields.text("title"), _read_events(fields, header)
    if not (number and published and effective):
        return None
    return Bulletin(
        number=number,
        published=published,
        effective=effective,
        place=fields.place_of("number"),
        title=title,
        status=status,
        events=events,
        amendments=amendments,
    )


def _read_events(fields: Fields, header: EditionHeader | None) -> tuple[str, ...]:
    known = {event.id for event in header.events} if header else set()
    found = []
    for item in fields.items("events"):
        text = read_text(item, fields.report, "events")
        if text and header and text not in known:
            near = nearest(text, known)
            remedy = f"did you mean `{near}`?" if near else "add it to edition.yaml"
            fields.report.fault("unknown-event", item, f"`{shortened(text)}` is no event of {header.season}", remedy=remedy)
        elif text:
            found.append(text)
    return tuple(found)


# --- Blocks -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Block:
    """One block: the number in its heading, what stands behind it, and its lines (`first` is the heading's, from 1)."""

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


def _read_amendments(behind: int, context: ReadingContext) -> Iterator[Amendment]:
    """The amendments of all blocks behind a line; a clause that is amended twice is a fault."""
    seen: dict[str, int] = {}
    blocks = list(_read_blocks(behind, context))
    if not blocks and not context.faults:
        where = context.source.place(behind)
        context.fault("missing-key", where, "a bulletin that amends nothing", expected="a heading such as `## 5.2.1`")
    for block in blocks:
        for amendment in _read_block(block, context):
            number = amendment.number
            if number in seen:
                found = f"{number} again (first on line {seen[number]})"
                context.fault("duplicate-clause", amendment.place, found, remedy="amend a clause once in a bulletin")
            else:
                seen[number] = amendment.place.line
                yield amendment


def _read_blocks(behind: int, context: ReadingContext) -> Iterator[_Block]:
    source = context.source
    lines = source.lines[behind:]
    heads = [each for each in read_blocks(lines) if each.level == BLOCK_LEVEL and each.start > 0 == each.column]
    firsts = [*(each.first for each in heads), len(lines)]
    for head, end in zip(heads, firsts[1:], strict=True):
        place = source.place(behind + head.first + 1, head.start + 1)
        match = NUMBER.match(head.title)
        number = _without_closing(match["number"]) if match else ""
        if match is None or not (match["name"] or re.search(r"\d|^\w$", number)):
            found = f"the heading `{shortened(head.title)}`"
            context.fault("wrong-value", place, found, expected="a clause number in front, such as `## 5.2.1 Rear rims`")
            continue
        yield _Block(
            number=number,
            title=head.title[match.end() :].strip(),
            place=place,
            first=behind + head.first + 1,
            lines=lines[head.first : end],
        )


def _without_closing(number: str) -> str:
    """A number as its id has it: without a full stop, or a bracket that was not opened."""
    number = " ".join(number.split()).rstrip(".:")
    return number[:-1] if number.endswith(")") and "(" not in number else number


def _read_block(block: _Block, context: ReadingContext) -> Iterator[Amendment]:
    """The clause of a block and the parts that stand under it."""
    if block.repeals:
        yield Amendment(number=block.number, place=block.place, block=block.number)
        return
    chapter = _read_text(block, context.source)
    context.faults.extend(_at_home(fault, block, context.source) for fault in chapter.faults)
    if block.title.casefold() == REPEAL:
        context.fault("wrong-value", block.place, f"text under the repeal of {block.number}", remedy="leave one of them out")
        return
    readings: dict[str, list[Reading]] = {}
    for part in chapter.blocks:
        here = replace(part, clause=_true_number(part.clause, block))
        reading, faults = parse_reading(here, context.source, vocabulary=context.vocabulary)
        context.faults.extend(faults)
        if reading is not None:
            readings.setdefault(here.clause, []).append(reading)
    for clause in chapter.clauses:
        if not _is_under(clause, block):
            found = f"{clause.id} within the block of {block.number}"
            context.fault(
                "wrong-value", clause.place, found, remedy=f"begin a block of its own, `## {clause.id}`, or fold the line"
            )
            continue
        true = _true_clause(clause, block)
        if clause.id == STAND_IN and not true.text.strip():
            context.fault("wrong-value", block.place, f"no text for {block.number}", expected="its full new text, or `repeal`")
            continue
        yield Amendment(
            number=true.id,
            place=true.place,
            block=block.number,
            clause=true,
            readings=tuple(readings.get(true.id, ())),
        )


def _read_text(block: _Block, source: Source) -> Chapter:
    """The clauses of a block, under the number that stands in for its own; every line is where it was."""
    heading = f"## {STAND_IN} {block.title}"
    text = "\n".join([*[""] * (block.first - 1), heading, *block.lines[1:]])
    return parse_chapter(Source(path=source.path, text=text), first_line=block.first)


def _at_home(fault: Fault, block: _Block, source: Source) -> Fault:
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


def _is_under(clause: Clause, block: _Block) -> bool:
    """Whether a clause is the block's own or a part of it, labelled by its last part or by its whole number."""
    above = natural_order(block.number)
    whole = natural_order(clause.id)
    return clause.id.startswith(STAND_IN) or (whole[: len(above)] == above and len(whole) > len(above))


def _true_number(number: str, block: _Block) -> str:
    return block.number + number.removeprefix(STAND_IN) if number.startswith(STAND_IN) else number


def _true_clause(clause: Clause, block: _Block) -> Clause:
    """A clause under its own number; the place of the block's own clause is its heading."""
    own = clause.id == STAND_IN
    return replace(
        clause,
        id=_true_number(clause.id, block),
        label=block.number if own else clause.label,
        parent=_true_number(clause.parent, block),
        place=block.place if own else clause.place,
    )
