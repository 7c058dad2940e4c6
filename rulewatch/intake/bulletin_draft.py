"""A published bulletin as the draft of one of ours: its text with its marks, and the forms that are recognised in it.

A sentence that is an instruction becomes the heading of a block, and so does the number of a clause that is in force, or whose
parent is; what stands below goes with it. Whether the draft is right is for a person to say, and for `amend` to check.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from rulewatch.intake.document import Block, Document, Kind
from rulewatch.intake.structure_looks import bare, clean, is_heading, is_title, labelled, unfolded, usual_size
from rulewatch.intake.structure_markdown import inline, kept_text, paragraph, table, wrapped
from rulewatch.intake.structure_words import Joiner
from rulewatch.model.fault import Fault, Source
from rulewatch.parse.instruction_forms import begins_instruction, behind_number, parse_instruction
from rulewatch.parse.labels import AS_ANNEX, AS_NAMED, AS_NUMBER, AS_RELATIVE, IN_HEADING, IN_TEXT, Label, read_label

BREAKS = re.compile(r"\s+")
SUB_LEVEL = 3  # of the headings of the bulletin's own, which begin no block


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftText:
    """What stands behind the front matter of a draft: its title, its text, and how many blocks begin in it."""

    title: str
    text: str
    blocks: int


def draft_text(documents: Sequence[Document], in_force: Collection[str] = ()) -> DraftText:
    """The text of a bulletin. `in_force` are the ids of the clauses that it may amend; without any, no block is begun."""
    blocks = [block for document in documents for block in unfolded(document.blocks)]
    joiner, usual = Joiner(blocks), usual_size(blocks)
    lines: list[str] = []
    begun = 0
    title = ""
    for block in blocks:
        heading = is_heading(block, usual)
        shown = inline(joiner.joined(labelled(block)).runs) if block.kind is not Kind.TABLE else ""
        text = " ".join(shown.split())
        named = heading or (not lines and is_title(text, 1) and not _instruction(text))
        if not title and named and _label(text) is None:
            title = text
            continue
        instruction = _instruction(text) if in_force else ""
        amended = not instruction and _amended(text, in_force, heading=heading)
        begun += amended or bool(instruction)
        told = [f"## {instruction}"] if instruction else _lines(block, text, heading=heading, amended=amended)
        lines += [*([""] if lines else []), *told]
    return DraftText(title=title, text="\n".join(lines) + "\n" if lines else "", blocks=begun)


def _lines(block: Block, text: str, *, heading: bool, amended: bool) -> Iterator[str]:
    """The lines of one block of the bulletin."""
    if block.kind is Kind.TABLE:
        yield from table(block.rows)
    elif block.kind is Kind.PICTURE:
        yield f"(A picture stands here, {block.spot}{': ' + kept_text(text) if text else ''}.)"
    elif amended:
        label = _label(text)
        rest = text[label.end :] if label is not None else ""
        yield f"## {label.core if label is not None else text}{' ' + rest if heading and rest else ''}"
        if label is not None and rest and not heading:
            yield from ("", *wrapped(paragraph(rest)))
    elif heading:
        yield f"{'#' * SUB_LEVEL} {text}"
    else:
        yield from wrapped(paragraph(text, labelled=_label(text) is not None))


def _label(text: str) -> Label | None:
    return read_label(bare(clean(text)), 0, IN_TEXT) or read_label(bare(clean(text)), 0, IN_HEADING)


def _instruction(text: str) -> str:
    """The instruction that a paragraph is, without the number that the bulletin counts it by; empty where it is none."""
    label = read_label(text, 0, IN_TEXT)
    if label is not None and (label.form is AS_RELATIVE or len(label.parts) == 1):
        text = text[label.end :]
    elif label is not None:
        text = behind_number(text, label.end) or text
    said = BREAKS.sub(" ", text).strip()
    if not begins_instruction(said):
        return ""
    found = parse_instruction(said, 1, 1, Source(path="", text=said))
    return "" if isinstance(found, Fault) else said


def _amended(text: str, in_force: Collection[str], *, heading: bool) -> bool:
    """Whether a paragraph begins a block: with the number of a clause that is in force, or whose parent is."""
    label = read_label(text, 0, IN_HEADING if heading else IN_TEXT)
    if label is None or label.carry or label.form not in {AS_NUMBER, AS_NAMED, AS_ANNEX}:
        return False
    if label.form is AS_NUMBER and len(label.parts) < 2:  # noqa: PLR2004 - a lone number may count the bulletin's own items
        return False
    if behind_number(text, label.end):  # an instruction that is not understood must never become the clause's new text
        return False
    return label.core in in_force or ".".join(label.parts[:-1]) in in_force
