"""One source, block by block, into clauses in the making: which block opens a clause, and to which one the others fall."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.marks import in_force
from rulewatch.parse.clause_blocks import Block, read_blocks
from rulewatch.parse.clause_hazards import find_hazards
from rulewatch.parse.clause_numbering import Node, Outline
from rulewatch.parse.labels import (
    AS_ANNEX,
    AS_NAMED,
    AS_NUMBER,
    AS_RELATIVE,
    IN_CELL,
    IN_HEADING,
    IN_ITEM,
    IN_TEXT,
    Label,
    bare_count,
    read_label,
)

LONGEST_FRONT_MATTER = 100
LONGEST_TITLE = 80  # of a title that a line of plain text can be
LINES_OF_TITLE, LENGTH_OF_TITLE = 12, 1000
DOUBTFUL = "doubtful"  # the info string of a block that is no text of the clause, but says why someone must look there
NEAR_READING = 0.75  # likeness of a fence's info string to `reading` from which it is taken for a slip
CLOSING = "\"”“»'’)]*_"
FENCE_END = re.compile(r"[\s>]*(?:`{3,}|~{3,})\s*\Z")
GOES_ON = re.compile(r"(?:[.:;,!?>]|\s(?:and|or|und|oder|et|ou))\Z")
REFERS = re.compile(
    r"(?i:see|and|or|to|of|in|by|with|under|per|clauses?|sections?|articles?|rules?|regulations?|nummern?|§+)\Z"
)
LABEL_LINE = re.compile(r"[\s>]*(?:~~|\+\+)?[*_]{0,3}(?:[§(\d]|[A-Za-z]{1,6}[.)\d])")
WORDS = re.compile(r"[\W_]*[^\W\d_]{2}")


@dataclass(slots=True, eq=False)
class Draft:
    """A clause in the making. `inside` is the column from which indented text still belongs to it."""

    node: Node
    source: Source
    chapter: str
    place: Place
    inside: int
    last_line: int
    heading: str = ""
    pieces: list[str] = field(default_factory=list)
    sealed: bool = False  # another clause has begun since

    @property
    def text(self) -> str:
        """The clause's own text, lines as they stand."""
        first = next((number for number, line in enumerate(self.pieces) if line.strip()), 0)
        return "\n".join(self.pieces[first:]).rstrip()

    @property
    def beginning(self) -> str:
        """The text's first lines, enough to hold a title."""
        return "\n".join(self.pieces[:LINES_OF_TITLE])[:LENGTH_OF_TITLE]

    @property
    def unfinished(self) -> bool:
        """Whether the text so far breaks off within a sentence."""
        last = next((piece.rstrip() for piece in reversed(self.pieces) if piece.strip()), "")
        return bool(last) and last.rstrip(CLOSING)[-1:] not in {".", "!", "?"}

    @property
    def is_struck(self) -> bool:
        """Whether the label and all words of the clause are struck, so that it is not in force."""
        return self.node.label.struck and not in_force(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A reading block under the clause whose id is still to be made."""

    draft: Draft
    text: str
    place: Place
    first_line: int
    indent: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A block that marks a doubtful place, and the clause that is open there."""

    draft: Draft | None
    why: str
    place: Place


class Reader:
    """Reads one source, once. `current` is the clause that text falls to."""

    def __init__(self, source: Source, *, chapter: str, first_line: int = 1, plain: bool = False) -> None:
        self.source, self.chapter, self.plain = source, chapter, plain
        self.skipped = first_line - 1 or _front_matter(source.lines)
        self.lines = source.lines[self.skipped :]
        self.drafts: list[Draft] = []
        self.readings: list[Reading] = []
        self.doubts: list[Doubt] = []
        self.faults: list[Fault] = []
        self.outline = Outline()
        self.by_node: dict[Node, Draft] = {}
        self.current: Draft | None = None
        self.outside: list[int] = []

    def read(self) -> None:
        """Take every block in turn; then say what is to be said of the text as a whole."""
        blocks = list(read_blocks(self.lines))
        fences = []
        for block, ahead in zip_longest(blocks, blocks[1:]):
            end = max(block.first, ahead.first) if ahead else len(self.lines)
            if block.info is not None and self.is_reading(block):
                fences.append(range(block.first, block.end))
                self.take_reading(block)
                self.take_rest(block.end, end)
            elif block.info == DOUBTFUL:
                fences.append(range(block.first, block.end))
                place = self.source.place(self.skipped + block.first + 1, block.start + 1)
                self.doubts.append(Doubt(draft=self.current, why=" ".join(block.content.split()), place=place))
                self.take_rest(block.end, end)
            elif block.info is not None or block.unlabelled:
                self.take_text(block, end)
            elif block.level:
                self.take_heading(block, end)
            else:
                self.take_lines(block, ahead, end)
        self.report_outside()
        self.faults += find_hazards(self.source, skipped=self.skipped, fences=fences, counted=self.plain)

    # --- Clauses ----------------------------------------------------------------------------------------------------------

    def opened(self, label: Label, block: Block, line: int, column: int, *, strict: bool = False) -> bool:
        """Whether a label fits the numbering; if so its clause is opened, still without text."""
        node = self.outline.place(label, column=block.column, level=block.level, setting=block.setting, strict=strict)
        if node is None:
            return False
        if self.current:
            self.current.sealed = True
        number = self.skipped + line + 1
        self.current = Draft(
            node=node,
            source=self.source,
            chapter=self.chapter,
            place=self.source.place(number, column + 1),
            inside=max(block.start, column + 1) if block.ordered else label.end,
            last_line=number,
        )
        self.drafts.append(self.current)
        self.by_node[node] = self.current
        return True

    def take_heading(self, block: Block, end: int) -> None:
        """A heading opens a clause; without a label it falls to the clause of the heading above it."""
        label = read_label(block.title, 0, IN_HEADING)
        if label and self.opened(label, block, block.first, block.start) and self.current:
            self.current.heading = label.carry + block.title[label.end :]
            self.add([self.current.heading], block.end)
            self.take_rest(block.end, end)
        elif not block.title:
            self.take_text(block, end)
        else:
            node = self.outline.close_to(block.level)
            self.current = self.by_node[node] if node else None
            self.take_rest(block.first, end)

    def take_lines(self, block: Block, ahead: Block | None, end: int) -> None:
        """A paragraph or list item, which opens a clause where it begins with a label, and more where its lines do."""
        found = self.open_first(block, ahead)
        if found is None:
            self.take_text(block, block.first + 1)
        else:
            position, carry = found
            self.add([carry + self.lines[block.first][position:]], block.first + 1)
        begun = block.first + 1
        for number in range(begun, min(block.end, end)):
            if LABEL_LINE.match(self.lines[number]):
                self.take_rest(begun, number)
                begun = number + self.opens_within(block, number)
        self.take_rest(begun, end)

    def open_first(self, block: Block, ahead: Block | None) -> tuple[int, str] | None:
        """Open the clauses of a block's first line; where its text begins then, and the emphasis to open there again."""
        line = self.lines[block.first]
        label = read_label(line, block.start, block.setting)
        if label and not label_stands(label, line, block, ahead, self.lines):
            label = None
        if label and (label.form is AS_NAMED or label.form is AS_ANNEX) and block.ordered:
            label = None
        found = None
        if label is None or label.form is AS_RELATIVE:
            for column in block.ordered:
                marker = read_label(line, column, IN_ITEM)
                if marker and self.opened(marker, block, block.first, column):
                    found = (block.start, "")
            if found and label and not _begins_count(label):
                label = None
        start = block.start
        while label and self.opened(label, block, block.first, start):
            found = (label.end, label.carry)
            start = label.end
            label = read_label(line, start, IN_ITEM)
            if label and not _begins_count(label):
                break
        return found

    def opens_within(self, block: Block, number: int) -> bool:
        """Whether a later line of a paragraph opens a clause: the very next label, where a sentence has just ended."""
        line = self.lines[number]
        column = len(line) - len(line.lstrip())
        label = read_label(line, column, IN_TEXT)
        if label is None or label.doubtful or bare_count(label) or not line[label.end :].strip():
            return False
        before = self.lines[number - 1].rstrip().rstrip(CLOSING)
        begins = _begins_count(label) and before.endswith(":")
        if not begins and not GOES_ON.search(before) and not self.follows_title(label, number, before):
            return False
        if not self.opened(label, _moved(block, column), number, column, strict=not begins):
            return False
        self.add([label.carry + line[label.end :]], number + 1)
        return True

    def follows_title(self, label: Label, number: int, before: str) -> bool:
        """Whether the line before is just the title of the clause that a label is the first child of: `4.2 Wheels`."""
        if self.current is None or label.form is not AS_NUMBER:
            return False
        on_title = self.current.place.line == self.skipped + number and len(before) < LONGEST_TITLE
        return on_title and label.parts[:-1] == self.current.node.label.parts and not REFERS.search(before)

    # --- Text and readings ------------------------------------------------------------------------------------------------

    def add(self, lines: Sequence[str], end: int) -> None:
        """Add lines to the current clause; `end` is the line behind them, from 0."""
        draft = self.current
        if draft is None:
            return
        if draft.sealed:
            for line in lines:
                draft.pieces += ["", line] if draft.pieces and draft.pieces[-1].strip() else [line]
            return
        draft.pieces += lines
        for empty, line in enumerate(reversed(lines)):
            if line.strip():
                draft.last_line = self.skipped + end - empty
                break

    def take_rest(self, first: int, end: int) -> None:
        """Lines that go where the lines before them went."""
        self.add(self.lines[first:end], end)

    def take_text(self, block: Block, end: int) -> None:
        """A block without a label: to the current clause, or back to the sentence that its list has interrupted."""
        self.current = self.receiver(block.column)
        if self.current is None and any(self.lines[number].strip() for number in range(block.first, block.end)):
            self.outside.append(block.first)
        self.take_rest(block.first, end)

    def receiver(self, column: int) -> Draft | None:
        """The clause that text at a column falls to.

        Where an unfinished sentence introduces a list, and its last item ends no sentence either, text out of line with the
        item goes on with the sentence above: (1) A car that / a) is closed, or / b) has a roof / is admitted.
        """
        draft = self.current
        while draft and draft.node.label.form is AS_RELATIVE and column < draft.inside and draft.unfinished:
            parent = self.by_node.get(draft.node.parent) if draft.node.parent else None
            if parent is None or parent.node.level or not parent.unfinished:
                break
            draft = parent
        return draft

    def is_reading(self, block: Block) -> bool:
        """Whether a fence holds a reading; a word that is nearly `reading` is a fault."""
        word = (block.info or "").split(" ")[0]
        if word == "reading" or not word:
            return word == "reading"
        from difflib import SequenceMatcher

        if SequenceMatcher(None, word.casefold(), "reading").ratio() < NEAR_READING:
            return False
        self.fault("reading-misspelt", block.first, block.start, f"a block marked `{word}`", expected="`reading`")
        return True

    def take_reading(self, block: Block) -> None:
        """A reading, which must stand under a clause and end with a fence of its own."""
        if not FENCE_END.match(self.lines[block.end - 1]) or block.end - 1 == block.first:
            remedy = "close it with a line of three backticks"
            self.fault("reading-unclosed", block.first, block.start, "a reading without an end", remedy=remedy)
        if self.current is None:
            remedy = "put it directly under the clause that it reads"
            self.fault("reading-misplaced", block.first, block.start, "a reading under no clause", remedy=remedy)
            return
        first = self.skipped + block.first + 1
        place = self.source.place(first, block.start + 1)
        self.readings.append(
            Reading(draft=self.current, text=block.content, place=place, first_line=first + 1, indent=block.start)
        )

    # --- Faults -----------------------------------------------------------------------------------------------------------

    def fault(self, code: str, line: int, column: int, found: str, *, expected: str = "", remedy: str = "") -> None:
        """A fault at a line and column of the chapter, both from 0."""
        self.faults.append(
            self.source.fault(code, self.skipped + line + 1, column + 1, found, expected=expected, remedy=remedy)
        )

    def report_outside(self) -> None:
        """Text that stands under no clause number is not compared, and that is said."""
        if not self.outside:
            return
        count = len(self.outside)
        found = "a paragraph" if count == 1 else f"{count} paragraphs, this one the first,"
        line = self.skipped + self.outside[0] + 1
        self.faults.append(
            self.source.fault(
                "text-outside", line, 1, f"{found} under no clause number", remedy="it is not compared", warning=True
            )
        )


def label_stands(label: Label, line: str, block: Block, ahead: Block | None, lines: tuple[str, ...]) -> bool:
    """Whether a label with nothing behind it on its line has its text below, or in the next cell of its row."""
    if line[label.end :].strip():
        return True
    if block.setting is IN_CELL:
        return bool(ahead and ahead.unlabelled and WORDS.match(lines[ahead.first][ahead.start :]))
    if block.end > block.first + 1:
        below = lines[block.first + 1]
        return not bare_count(label) or len(below) - len(below.lstrip()) > block.column
    if ahead is None or ahead.level or bare_count(label):
        return False
    return block.setting is IN_TEXT or ahead.column > block.column


def _begins_count(label: Label) -> bool:
    return label.form is AS_RELATIVE and any(step.ordinal == 1 for step in label.steps)


def _moved(block: Block, column: int) -> Block:
    """The block as it would be if it began at another column."""
    return block._replace(column=column, start=column, ordered=(), setting=IN_TEXT)


def _front_matter(lines: Iterable[str]) -> int:
    """How many lines a YAML front matter takes at the start of a text."""
    for number, line in enumerate(lines):
        if number > LONGEST_FRONT_MATTER or (number == 0 and line.rstrip() != "---"):
            return 0
        if number and line.rstrip() == "---":
            return number + 1
    return 0
