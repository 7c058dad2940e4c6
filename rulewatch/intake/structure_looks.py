"""How a block looks: whether it is a heading, what may be a label in it, and how its lines stand to each other."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from rulewatch.intake.document import Block, Kind, Line, Run
from rulewatch.intake.structure_markdown import BULLET, inline
from rulewatch.parse.labels import AS_ANNEX, AS_RELATIVE, IN_HEADING, UNIT, read_label

LARGER = 1.12  # of the usual size of letters, from which a line is a heading by its size
LONGEST_HEADING, LINES_OF_HEADING = 160, 3
LONGEST_TITLE = 90  # of a line that is a title though nothing but its form says so
SHORT = 0.8  # of the longest line of its paragraph: a line that ends before it need not have ended
SET_IN = 4.0  # points
AMOUNT = re.compile(rf"\d\s?(?:{UNIT.pattern})")
SENTENCE_ENDS = (".", ";", ",", ":", "!", "?")
LIKE_LABEL = re.compile(r"\s*(?:~~|\+\+)?(?:[§(\d]|[A-Za-z]{1,7}[.)\d])")
RAISED = re.compile(r"(?:\d{1,3}|[*†‡§¶]{1,3}|[a-z])[.)]?\Z")
PAIR = 2  # cells of a row: number and words
NUMBERED = 0.8  # of a table's rows that must begin with a number for its rows to be clauses


def usual_size(blocks: Iterable[Block]) -> float:
    """The size in which most letters are set; 0 where none is known."""
    sizes = Counter[float]()
    for block in blocks:
        for line in block.lines:
            for run in line.runs:
                sizes[run.size] += len(run.text)
    found = sizes.most_common(1)
    return found[0][0] if found else 0.0


def is_heading(block: Block, usual: float) -> bool:
    """Whether a paragraph is a heading: by its format, by its size, or by being all bold; never one that is long."""
    if block.kind is not Kind.TEXT:
        return False
    if block.level:
        return True
    text = block.text.strip()
    if not text or len(text) > LONGEST_HEADING or len(block.lines) > LINES_OF_HEADING:
        return False
    runs = [run for line in block.lines for run in line.runs if run.text.strip()]
    large = usual > 0 and all(run.size >= usual * LARGER for run in runs)
    return large or (all(run.bold for run in runs) and not text.endswith(SENTENCE_ENDS))


def numbered_headings(blocks: Iterable[Block], usual: float) -> Iterator[Block]:
    """The headings that begin with a label."""
    return (
        block
        for block in blocks
        if is_heading(block, usual) and read_label(bare(clean(block.lines[0].text)) if block.lines else "", 0, IN_HEADING)
    )


def is_title(text: str, lines: int) -> bool:
    """Whether words read as a title, marks left aside: one short line, capital first, no sentence, and no amount."""
    text = re.sub(r"~~|\+\+", "", text).strip()
    if lines != 1 or not 0 < len(text) <= LONGEST_TITLE or not text[0].isupper():
        return False
    return not text.endswith(SENTENCE_ENDS) and AMOUNT.search(text) is None


def ends_early(lines: Sequence[Line], number: int) -> bool:
    """Whether a line of a paragraph stops well before the others, or the next one stands further out."""
    longest = max(len(line.text) for line in lines)
    this, below = lines[number], lines[number + 1]
    return len(this.text.rstrip()) < SHORT * longest or below.indent < this.indent - SET_IN


def starts_bold(lines: Sequence[Line], number: int) -> bool:
    """Whether a line begins in bold and the one before it does not end so."""
    first = next((run for run in lines[number].runs if run.text.strip()), None)
    last = next((run for run in reversed(lines[number - 1].runs) if run.text.strip()), None)
    return bool(first and first.bold and not (last and last.bold))


def clean(text: str) -> str:
    """A line as labels are looked for in it."""
    return text.replace("\t", " ").replace("\u00a0", " ").strip()


def bare(text: str) -> str:
    """A line without the bullet in front of it."""
    return BULLET.sub("", text, count=1) if BULLET.match(text) else text


def shown(line: Line) -> str:
    """A line with its marks and without a bullet, as labels are looked for in it."""
    return bare(clean(inline(line.runs)))


def labelled(block: Block) -> tuple[Line, ...]:
    """The lines of a block, with the number in front that the format keeps apart."""
    if not block.label:
        return block.lines
    if not block.lines:
        return (Line(runs=(Run(text=block.label),), spot=block.spot),)
    first = block.lines[0]
    return (replace(first, runs=(Run(text=f"{block.label} "), *first.runs)), *block.lines[1:])


def unfolded(blocks: Iterable[Block]) -> Iterator[Block]:
    """Blocks as they are meant: rows of numbered clauses as paragraphs, and paragraphs that begin with a raised sign as footnotes.

    The rows are those of a table that has number and words in cells of their own.
    """
    for block in blocks:
        if block.kind is Kind.TEXT and block.lines and not block.level and _begins_raised(block.lines[0]):
            begins = [number for number, line in enumerate(block.lines) if _begins_raised(line)]
            for begin, end in zip(begins, [*begins[1:], len(block.lines)], strict=True):
                lines = block.lines[begin:end]
                yield replace(block, kind=Kind.NOTE, spot=lines[0].spot, lines=lines)
            continue
        if block.kind is not Kind.TABLE or not holds_clauses(block.rows):
            yield block
            continue
        for number, *cells in block.rows:
            lines = tuple(line for cell in cells for line in cell)
            if lines:
                label = " ".join(line.text for line in number).strip()
                yield Block(kind=Kind.TEXT, spot=lines[0].spot, lines=lines, label=label)


def _begins_raised(line: Line) -> bool:
    """Whether a line begins with the raised sign of a footnote, and words behind it."""
    runs = [run for run in line.runs if run.text.strip()]
    return len(runs) > 1 and runs[0].raised and RAISED.match(runs[0].text.strip()) is not None


def holds_clauses(rows: Sequence[Sequence[Sequence[Line]]]) -> bool:
    """Whether the first cells of a table of two columns are numbers of clauses, nearly all of them, with sentences beside."""
    if len(rows) < PAIR or any(len(row) != PAIR for row in rows):
        return False
    firsts = [" ".join(line.text for line in row[0]).strip() for row in rows]
    labels = [read_label(text, 0, IN_HEADING) for text in firsts if text]
    whole = [
        label
        for label in labels
        if label and label.form is not AS_ANNEX and (len(label.parts) > 1 or label.form is AS_RELATIVE)
    ]
    return len(whole) >= max(PAIR, NUMBERED * len(rows))
