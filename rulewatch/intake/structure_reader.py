"""The blocks of a book in turn: which begins a clause, and to which clause the others fall.

What a label is, and whether it fits the numbering, is for `parse` to say, as it will when the chapters are read again. Here
it is decided where on the pages a label may stand.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from itertools import islice

from rulewatch.intake.document import Block, Kind, Line, Spot
from rulewatch.intake.numbering_style import DEEPEST, Numbering
from rulewatch.intake.structure_contents import NAME
from rulewatch.intake.structure_looks import (
    LIKE_LABEL,
    LINES_OF_HEADING,
    clean,
    ends_early,
    is_heading,
    is_title,
    labelled,
    numbered_headings,
    shown,
    starts_bold,
    usual_size,
)
from rulewatch.intake.structure_parts import At, Draft, Item, Part, Refused, What
from rulewatch.intake.structure_words import CLOSING, Joiner, Passage
from rulewatch.parse.clause_numbering import Node, Outline
from rulewatch.parse.labels import (
    AS_ANNEX,
    AS_NAMED,
    AS_NUMBER,
    AS_RELATIVE,
    IN_HEADING,
    IN_ITEM,
    IN_TEXT,
    Label,
    bare_count,
    read_label,
)

ENOUGH = 3  # numbered headings that the format or the letters show, from which a plain line is none
COLUMN = 4.5  # points that an indent of one column takes
MOST_COLUMNS = 40
GOES_ON = re.compile(r"(?:[.:;!?]|\s(?:and|or|und|oder|et|ou))\Z")
BINDS = ("and", "or", "und", "oder", "et", "ou")


class Reader:
    """Reads the blocks of all files of a book, once.

    `dropped` is where lines begin that are left out, and `plain` where labels stand that are text.
    """

    def __init__(
        self,
        files: Sequence[Sequence[Block]],
        numbering: Numbering,
        *,
        dropped: Collection[At] = (),
        plain: Collection[At] = (),
    ) -> None:
        self.files, self.numbering, self.dropped, self.plain = files, numbering, dropped, plain
        everything = [block for blocks in files for block in blocks]
        self.joiner = Joiner(everything)
        self.usual = usual_size(everything)
        self.titles = len(list(islice(numbered_headings(everything, self.usual), ENOUGH))) < ENOUGH
        self.outline = Outline()
        self.counted: set[Node | None] = set()  # annexes whose rules have lone numbers
        self.by_node: dict[object, Part] = {}
        self.current: Part | None = None
        self.draft = Draft()
        self.at = At(0, 0)

    def read(self) -> Draft:
        """Take every block in turn."""
        for file, blocks in enumerate(self.files):
            for number, block in enumerate(blocks):
                self.at = At(file, number)
                self.take(block)
        return self.draft

    def take(self, block: Block) -> None:
        """One block."""
        if block.kind is Kind.NOTE:
            if block.lines:
                self.draft.notes.append(self.item(What.NOTE, block.spot, self.joiner.joined(labelled(block))))
        elif block.kind is Kind.PICTURE:
            told = f", described as “{' '.join(block.text.split())}”" if block.text.strip() else ""
            item = self.item(What.DOUBT, block.spot)
            item.why = f"a picture stands here in the book{told}"
            self.add(item)
        elif block.kind is Kind.TABLE:
            self.take_table(block)
        elif (block.lines or block.label) and not (self.dropped and NAME.match(block.text)):
            self.take_text(block)

    def item(self, what: What, spot: Spot, passage: Passage | None = None) -> Item:
        """An item of the clause that is open."""
        return Item(what=what, owner=self.current, spot=spot, at=self.at, passage=passage)

    def add(self, item: Item) -> None:
        """Put an item behind the others, and its words to its clause."""
        if item.owner is not None and item.passage is not None and item.what is not What.OPENS:
            item.owner.pieces.append(item.passage.text)
        self.draft.items.append(item)

    # --- Paragraphs -------------------------------------------------------------------------------------------------------

    def take_text(self, block: Block) -> None:
        """A paragraph or heading, cut where its lines begin clauses of their own."""
        heading = is_heading(block, self.usual)
        lines = labelled(block)
        begun = 0
        opened = self.opens(lines, block, heading=heading)
        for number in range(1, 0 if heading else len(lines)):
            if not LIKE_LABEL.match(lines[number].text):
                continue
            at = self.at._replace(line=number)
            label = self.begins(lines, number)
            if label is not None or at in self.dropped:
                self.finish(lines[begun:number], block, opened, heading=False, line=begun)
                begun = number
                opened = self.placed(label, lines[number], number, level=0, strict=True) if label else None
        self.finish(lines[begun:], block, opened, heading=heading, line=begun)

    def opens(self, lines: Sequence[Line], block: Block, *, heading: bool) -> Label | None:
        """Open the clause whose label a block begins with; None where it begins with none that fits."""
        if self.at in self.dropped:
            return None
        first = lines[0]
        text = shown(first)
        label = read_label(text, 0, IN_HEADING if heading else IN_ITEM if block.label else IN_TEXT)
        strict = lone = False
        titled = is_title(text[label.end :] if label else text.lstrip("0123456789 "), len(lines))
        if label is None and (block.label or titled):
            label = read_label(text, 0, IN_HEADING)  # a lone number, or a name, before a title
            strict = label is not None and bare_count(label) and not block.label
            lone = titled
        if label is None and (label := self.lone(lines)):
            strict = True
        if label is None or not self.numbering.takes(label):
            return None
        if self.at in self.plain:
            self.refuse(label, first, 0, again=True)
            return None
        alone = not text[label.end :].strip()
        if label.form in {AS_NAMED, AS_ANNEX} and alone and len(lines) > 1 and not heading:
            return None
        if not heading and not block.label and label.form is not AS_RELATIVE and self.breaks_off():
            strict = True
        rest = " ".join([text[label.end :], *(clean(line.text) for line in lines[1:])])
        level = 0
        if heading or (label.form is not AS_RELATIVE and is_title(rest, len(lines)) and (lone or self.titles)):
            level = self.numbering.level(label, self.outline, block.level)
        opened = self.placed(label, first, 0, level=level, strict=strict, heading=heading)
        if opened is None:
            self.refuse(label, first, 0)
        return opened

    def lone(self, lines: Sequence[Line], number: int = 0) -> Label | None:
        """The lone number that a line begins with, where it counts clauses: `1 The wheelbase is …`.

        It does where such numbers are stated, and right below the heading of an annex. Elsewhere one that is just the next is
        a doubtful place.
        """
        text = shown(lines[number])
        label = read_label(text, 0, IN_HEADING)
        if label is None or not bare_count(label) or not text[label.end :].strip() or not self.expected(label):
            return None
        annex = self.outline.annex_now()
        last = self.draft.items[-1] if self.draft.items else None
        below = last is not None and last.what is What.OPENS and last.owner is not None and last.owner.node is annex
        if annex is not None and below and not number:
            self.counted.add(annex)
        if self.numbering.lone or annex in self.counted:
            return label
        if not number and not self.breaks_off():
            self.draft.refused.append(Refused(number=label.core, spot=lines[0].spot, at=self.at, lone=True, annex=annex))
        return None

    def refuse(self, label: Label, line: Line, number: int, *, again: bool = False) -> None:
        """Keep in mind where something stands that looks like the number of a clause and was taken for text."""
        if again or (label.form is AS_NUMBER and len(label.parts) > 1 and not label.struck):
            at = self.at._replace(line=number)
            self.draft.refused.append(Refused(number=label.core, spot=line.spot, at=at, again=again))

    def breaks_off(self) -> bool:
        """Whether the words before broke off within a sentence, as at the end of a page or column."""
        last = self.draft.items[-1] if self.draft.items else None
        if last is None or last.passage is None or last.level or last.what not in {What.WORDS, What.OPENS}:
            return False
        text = last.passage.text.rstrip()
        return last.passage.unfinished and not is_title(text, 1) and not text.endswith(BINDS)

    def begins(self, lines: Sequence[Line], number: int) -> Label | None:
        """The label that a later line of a paragraph begins with, where a clause may begin there."""
        if self.at._replace(line=number) in self.dropped:
            return None
        text = shown(lines[number])
        label = read_label(text, 0, IN_TEXT)
        if label is None or bare_count(label):
            label = self.lone(lines, number)
        if label is None or not text[label.end :].strip() or not self.numbering.takes(label):
            return None
        if self.at._replace(line=number) in self.plain:
            self.refuse(label, lines[number], number, again=True)
            return None
        before = clean(lines[number - 1].text).rstrip(CLOSING)
        ended = bool(GOES_ON.search(before)) or ends_early(lines, number - 1) or starts_bold(lines, number)
        if ended and self.expected(label):
            return label
        if ended:
            self.refuse(label, lines[number], number)
        return None

    def expected(self, label: Label) -> bool:
        """Whether a label is just the next; the outline is left as it was."""
        outline = self.outline
        open_, nested = list(outline.open), set(outline.nested)
        last, standing = dict(outline.last), dict(outline.standing)
        node = outline.place(label, column=0, level=0, setting=IN_TEXT, strict=not begins_count(label))
        if node is not None and node.parent is not None:
            node.parent.children -= 1
        outline.open[:], outline.nested, outline.last, outline.standing = open_, nested, last, standing
        return node is not None

    def placed(self, label: Label, line: Line, number: int, *, level: int, strict: bool, heading: bool = False) -> Label | None:
        """Open a clause for a label that fits the numbering."""
        column = min(round(line.indent / COLUMN), MOST_COLUMNS)
        strict = strict and not begins_count(label)
        setting = IN_HEADING if heading or level else IN_TEXT
        node = self.outline.place(label, column=column, level=level, setting=setting, strict=strict)
        if node is None:
            return None
        part = Part(node=node, spot=line.spot, at=self.at._replace(line=number), level=level)
        self.by_node[node] = self.current = part
        self.draft.parts.append(part)
        return label

    def finish(self, lines: Sequence[Line], block: Block, opened: Label | None, *, heading: bool, line: int) -> None:
        """Add a paragraph that is whole now: as the beginning of a clause, a heading, or more words of the clause that is open."""
        at = self.at._replace(line=line)
        if at in self.dropped:
            return
        passage = self.joiner.joined(lines)
        if not passage.text.strip():
            return
        item = self.item(What.OPENS if opened else What.WORDS, passage.spot, passage)
        item.at, item.indent = at, lines[0].indent
        if opened is not None and item.owner is not None:
            item.level = item.owner.level
            item.owner.pieces.append(behind(passage.text, opened))
            self.add(item)
        elif heading:
            self.take_heading(item, block)
        elif not self.goes_on(item, lines):
            item.owner = self.current = self.receiver(item.indent)
            self.add(item)

    def goes_on(self, item: Item, lines: Sequence[Line]) -> bool:
        """Whether a paragraph is the rest of the one before, from which a page or column has parted it; it is put behind that."""
        last = self.draft.items[-1] if self.draft.items else None
        if last is None or last.passage is None or item.passage is None or last.level or last.owner is not self.current:
            return False
        if last.what not in {What.WORDS, What.OPENS} or last.at.file != item.at.file or not item.spot.page:
            return False
        if not last.passage.unfinished or not item.passage.text[:1].islower():
            return False
        last.passage = self.joiner.continued(last.passage, lines)
        if last.owner is not None and last.owner.pieces:
            last.owner.pieces[-1] += f" {item.passage.text}"
        return True

    def take_heading(self, item: Item, block: Block) -> None:
        """A heading without a number: the title of a clause that has none yet, or one that falls to the clause above."""
        last = self.draft.items[-1] if self.draft.items else None
        owner = last.owner if last is not None else None
        if last is not None and owner is not None and last.what is What.OPENS and last.level and not owner.text:
            last.title = item.passage
            owner.pieces.append(item.passage.text if item.passage else "")
            return
        if last is not None and last.what is What.HEADING and last.passage is not None and self.one_heading(last, item):
            last.passage = self.joiner.continued(last.passage, block.lines)
            return
        item.what = What.HEADING
        item.level = self.heading_level(block)
        node = self.outline.close_to(item.level)
        item.owner = self.current = self.by_node[node] if node else None
        self.add(item)

    @staticmethod
    def one_heading(above: Item, below: Item) -> bool:
        """Whether two lines of large letters are one heading: one right below the other, and set alike."""
        if above.passage is None or below.passage is None or not above.spot.page or above.spot.page != below.spot.page:
            return False
        sizes = {run.size for one in (above.passage, below.passage) for run in one.runs if run.text.strip()}
        return len(sizes) == 1 and below.spot.line - above.spot.line <= LINES_OF_HEADING and above.owner is None

    def heading_level(self, block: Block) -> int:
        """The level of a heading without a number: as stated, else below the headings that are open."""
        if block.level:
            return min(max(block.level - self.numbering.offset, 1), DEEPEST)
        above = max((node.level for node in self.outline.open), default=0)
        return min(above + 1, DEEPEST)

    def receiver(self, indent: float) -> Part | None:
        """The clause that a paragraph falls to: back to the sentence that a list has interrupted, as `parse` does it."""
        part = self.current
        while part and part.node.label.form is AS_RELATIVE and indent / COLUMN <= part.node.column and open_ended(part.text):
            above = self.by_node.get(part.node.parent) if part.node.parent else None
            if above is None or above.node.level or not open_ended(above.text):
                break
            part = above
        return part

    # --- Tables -----------------------------------------------------------------------------------------------------------

    def take_table(self, block: Block) -> None:
        """A table falls to the clause that is open."""
        item = self.item(What.TABLE, block.spot)
        item.table = block
        if item.owner is not None:
            item.owner.pieces.append("|")
        self.add(item)


def begins_count(label: Label) -> bool:
    """Whether a label may be the first of a count."""
    return label.form is AS_RELATIVE and any(step.ordinal == 1 for step in label.steps)


def open_ended(text: str) -> bool:
    """Whether a text breaks off within a sentence, as `parse` sees it."""
    text = text.rstrip().rstrip(CLOSING + "*_")
    return bool(text) and text[-1] not in ".!?"


def behind(text: str, label: Label) -> str:
    """The words behind the label that a paragraph begins with."""
    at = text.find(label.printed)
    return text[at + len(label.printed) :].lstrip(" :.)") if at >= 0 else text
