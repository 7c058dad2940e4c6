"""Bulletins: front matter, then one block for each clause that is amended, or for each instruction.

    ---
    number: 3
    published: 2027-02-01
    effective: 2027-03-01
    ---

    What stands before the first block is an introduction and changes nothing.

    ## 5.2.1 Rear rims

    The full new text of 5.2.1, and its readings.

    ## 5.2.2 repeal

    ## In 5.3, replace “60 mm” with “75 mm”.

A block begins at a heading of the second level: with a clause's number, written as the book's id has it (`5.2.1(a)`,
`Annex A/1.2`), or with an instruction (`instruction_forms.py`). What stands behind a number is the clause's own heading; the word
`repeal` alone, there or as the only text, takes the clause out. Numbers mean the text in force just before the bulletin; one
that is not in force there is an insertion, placed by its number (`text_in_force.py`).

A block replaces the text of its clause and leaves what stands under it, unless it gives parts of it too ((a), (b) ...): then
it must give all of them, or repeal the others.
"""

from __future__ import annotations

from rulewatch.model.edition import Bulletin, BulletinStatus, EditionHeader
from rulewatch.model.fault import Fault, Source, in_order
from rulewatch.model.instruction import Amendment, Instruction
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.bulletin_blocks import read_block, read_bulletin_blocks
from rulewatch.parse.fields import Fields, nearest, open_fields, read_text, shortened
from rulewatch.parse.instructions import read_instruction
from rulewatch.parse.nodes import read_yaml
from rulewatch.parse.values import ReadingContext

FENCE = "---"


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
    amendments = _read_amendments(end, context)
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


def _read_front_matter(
    fields: Fields, amendments: tuple[tuple[Amendment, ...], tuple[Instruction, ...]], header: EditionHeader | None
) -> Bulletin | None:
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
        amendments=amendments[0],
        instructions=amendments[1],
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


def _read_amendments(behind: int, context: ReadingContext) -> tuple[tuple[Amendment, ...], tuple[Instruction, ...]]:
    """The new texts and the instructions of all blocks behind a line; a text that is given twice is a fault."""
    seen: dict[str, int] = {}
    amendments: list[Amendment] = []
    instructions: list[Instruction] = []
    blocks = list(read_bulletin_blocks(behind, context))
    if not blocks and not context.faults:
        where = context.source.place(behind)
        context.fault("missing-key", where, "a bulletin that amends nothing", expected="a heading such as `## 5.2.1`")
    for block in blocks:
        if not block.number:
            instruction = read_instruction(block, context)
            instructions += [instruction] if instruction is not None else []
            continue
        repeal = Amendment(number=block.number, place=block.place, block=block.number)
        for amendment in (repeal,) if block.repeals else read_block(block, context):
            number = amendment.number
            if number in seen:
                found = f"{number} again (first on line {seen[number]})"
                context.fault("duplicate-clause", amendment.place, found, remedy="amend a clause once in a bulletin")
            else:
                seen[number] = amendment.place.line
                amendments.append(amendment)
    return tuple(amendments), tuple(instructions)
