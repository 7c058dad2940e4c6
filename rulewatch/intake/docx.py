"""A book in DOCX into a document: paragraphs with their automatic numbers, headings, tables, notes, text boxes, marks.

A line is a paragraph, counted through the book, cells included; a page is known where the program that saved the file noted where its pages begin.
Running heads and feet, tables of contents, comments and hidden text are left out and said so. A numbered paragraph that is deleted as a whole, its end included, has
no number and is not counted, as in the book once its changes are accepted.
"""

from __future__ import annotations

from collections.abc import Mapping

from rulewatch.intake.document import Document, Kind, Mark
from rulewatch.intake.docx_bounds import MOST_CELLS
from rulewatch.intake.docx_fields import CONTENTS, CONTENTS_FIELD, Fields, unended_fields
from rulewatch.intake.docx_marks import without_looks
from rulewatch.intake.docx_notes import Notes
from rulewatch.intake.docx_numbering import Numbering
from rulewatch.intake.docx_package import Package, Relation, opened
from rulewatch.intake.docx_styles import Style, Styles, heading_level, paragraph_facts, points
from rulewatch.intake.docx_tables import BESIDE, WRAPPERS, Cell, Filled, Row, grid, only_places, table_rows, width
from rulewatch.intake.docx_words import (
    CHANGED,
    DRAWN,
    FOREIGN,
    HIDDEN,
    Reached,
    Words,
)
from rulewatch.intake.docx_xml import Node, below, chosen
from rulewatch.intake.drafts import DraftBlock, Flow, finished
from rulewatch.intake.encoding import MOST_BLOCKS, too_many_blocks
from rulewatch.intake.remarks import Remarks, Topic
from rulewatch.model.fault import Fault, Place

FURNITURE = Topic(code="furniture", one="running head or foot", many="running heads and feet")
UNCOUNTED_DELETED = Topic(
    code="left-out",
    one="number of a deleted paragraph",
    many="numbers of deleted paragraphs",
    remedy="nothing, if the numbers are those of the text without what was deleted",
)
CONTENTS_LINES = Topic(code="left-out", one="line of a table of contents", many="lines of tables of contents")
TOO_LARGE = Topic(
    code="book-too-large", one="table too large to be one", many="tables too large to be one", fate="read cell after cell"
)
NOTHING = Node(name="#nothing", attributes={})
CONTENTS_PART = "Table of Contents"
SHOWS = frozenset({"w:sym", "w:footnoteReference", "w:endnoteReference", "m:t", *DRAWN})


def read_docx(data: bytes, path: str) -> Document:
    """The document of a DOCX. What cannot be read, or is beyond the bounds of `docx_bounds`, is among its faults."""
    package = opened(data, path)
    if isinstance(package, Fault):
        return Document(blocks=(), faults=(package,))
    main = package.main()
    root = package.part(main)
    if root is None:
        return Document(blocks=(), faults=tuple(package.faults))
    if sum(node.name == "w:p" for node in below(root)) > MOST_BLOCKS:
        return Document(blocks=(), faults=(too_many_blocks(path),))
    body = root.first("w:body")
    if body is None:
        found = f"no text in the part {main[:80]!r}"
        fault = Fault(code="book-damaged", place=Place(path=path), found=found, expected="a DOCX", remedy="fetch it again")
        return Document(blocks=(), faults=(*package.faults, fault))
    book = _Book(package, root, package.relations(main))
    drafts = book.drafts(body)
    book.furniture()
    blocks = finished(drafts, book.remarks)
    faults = (*package.faults, *book.remarks.warnings())
    if not any(block.lines or block.rows for block in blocks) and not package.faults:
        faults = (Fault(code="book-empty", place=Place(path=path), found="no text in this file"), *faults)
    return Document(blocks=blocks, faults=faults, pages=book.reached.page)


class _Book:
    """A book with its parts; the walk over its blocks. The depth of the walk is bounded by that of its tags."""

    def __init__(self, package: Package, root: Node, relations: Mapping[str, Relation]) -> None:
        self.package, self.relations = package, relations
        self.styles = Styles(root=self.part("styles") or NOTHING)
        self.numbering = Numbering(self.part("numbering"))
        names = {node.name for node in below(root)}
        self.tracked = bool(names & CHANGED.keys())
        self.remarks = Remarks(package.path, "page" if "w:lastRenderedPageBreak" in names else "paragraph")
        self.reached = Reached(page=1 if self.remarks.unit == "page" else 0)
        self.notes = Notes()
        unended = unended_fields(root)
        for kind in ("footnotes", "endnotes"):
            part = self.part(kind)
            self.notes.add(part)
            unended |= unended_fields(part) if part else frozenset()
        self.notes.rule(self.part("settings"))
        self.words = Words(
            styles=self.styles,
            notes=self.notes,
            remarks=self.remarks,
            reached=self.reached,
            story=self.story,
            fields=Fields(remarks=self.remarks, unended=unended),
        )
        self.joins = False  # whether the next paragraph goes on with the one before, whose end was deleted

    def part(self, kind: str) -> Node | None:
        """A part that the text names, by its kind."""
        target = next((each.target for each in self.relations.values() if each.kind == kind), "")
        return self.package.part(target) if target else None

    def furniture(self) -> None:
        """Say which running heads and feet there are."""
        for target in dict.fromkeys(each.target for each in self.relations.values() if each.kind in {"header", "footer"}):
            part = self.package.part(target)
            words = _words(part) if part else ""
            if words.strip():
                self.remarks.add(FURNITURE, 1, words)

    def drafts(self, body: Node) -> list[DraftBlock]:
        """The blocks of the book, endnotes at its end."""
        self.notes.rule(next((node for node in reversed(body.children) if node.name == "w:sectPr"), None))
        flow = Flow()
        self.blocks(body, flow)
        self.end(flow, 0)
        drafts = [*flow.blocks, *self.notes.at_end]
        without_looks(drafts, tracked=self.tracked)
        return drafts

    def story(self, node: Node) -> list[DraftBlock]:
        """The blocks of a note or a text box."""
        fields, self.words.fields = self.words.fields, Fields(remarks=self.remarks, unended=self.words.fields.unended)
        joins, self.joins = self.joins, False
        is_note, self.notes.open = self.notes.open, self.notes.open or node.name in {"w:footnote", "w:endnote"}
        flow = Flow()
        self.blocks(node, flow)
        self.end(flow, 0)
        self.words.fields, self.joins, self.notes.open = fields, joins, is_note
        return flow.blocks

    def blocks(self, node: Node, flow: Flow) -> None:
        """All that stands in the body, a cell, a note or a text box."""
        for child in chosen(node):
            if child.name == "w:p":
                self.paragraph(child, flow)
            elif child.name == "w:tbl":
                self.end(flow, 0)
                self.table(child, flow)
            elif child.name == "w:sdt" and child.value("w:sdtPr", "w:docPartObj", "w:docPartGallery") == CONTENTS_PART:
                self.contents(child)
            elif child.name in WRAPPERS:
                self.blocks_of(child, flow)
            elif child.name in {"w:altChunk", "w:subDoc"}:
                self.remarks.add(FOREIGN, self.words.place)

    def blocks_of(self, node: Node, flow: Flow) -> None:
        """All that stands in a tag around blocks."""
        with self.words.changed(CHANGED.get(node.name, Mark.NONE)):
            self.blocks(node, flow)

    def contents(self, node: Node) -> None:
        """A table of contents, left out; where a field makes it, that says so."""
        if not any(CONTENTS_FIELD.match(each.text) for each in below(node) if each.name == "w:instrText"):
            self.remarks.add(CONTENTS, self.words.place)
        left = Flow()
        self.blocks_of(node, left)
        self.end(left, 0)

    def end(self, flow: Flow, level: int) -> None:
        """End the paragraph that is open; a number without words is a block of its own."""
        flow.end(level=level)
        flow.flush_label(self.reached.spot)
        self.joins = False

    def paragraph(self, node: Node, flow: Flow) -> None:
        """One paragraph."""
        self.reached.paragraph += 1
        properties = node.first("w:pPr") or NOTHING
        facts = paragraph_facts(properties)
        name = properties.value("w:pStyle")
        style = self.styles.style(name or self.styles.usual)
        if style.is_contents:
            self.end(flow, 0)
            flow = Flow()
        ends = not any(CHANGED.get(each.name) is Mark.STRUCK for each in (properties.first("w:rPr") or NOTHING).children)
        gone = self.words.change is Mark.STRUCK or not (ends or _live(node))
        if not self.joins and not self.words.fields.contents:
            flow.label = self.label(facts, style, name, gone=gone)
        indent = points(facts["indent"]) if "indent" in facts else style.indent
        self.words.read(node, flow, style.look, indent)
        if ends or gone:
            self.end(flow, heading_level(facts["outline"]) if "outline" in facts else style.level)
        else:
            flow.break_line(self.reached.spot, indent)
            self.joins = True
        for block in flow.blocks if style.is_contents else ():
            self.remarks.add(CONTENTS_LINES, self.words.place, block.lines[0].text)
        if properties.first("w:sectPr"):
            self.notes.new_section()

    def label(self, facts: Mapping[str, str], style: Style, name: str, *, gone: bool) -> str:
        """Count a paragraph of a list; its number, if it has one."""
        own = facts.get("list", "")
        list_id = own or style.list_id
        if list_id in {"", "0"}:
            return ""
        stated = facts.get("list level", "") or ("" if own else style.list_level)
        level = self.numbering.level_of(list_id, stated, name)
        if gone:
            if self.numbering.writes(list_id, level):
                self.remarks.add(UNCOUNTED_DELETED, self.words.place)
            return ""
        return self.numbering.label(list_id, level)

    # --- Tables -------------------------------------------------------------------------------------------------------

    def table(self, node: Node, flow: Flow) -> None:
        """A table; one of a single column, or with headings in it, only places things on the page."""
        spot = self.reached.spot
        rows = [self.row(row) for row in table_rows(node)]
        blocks = [block for row in rows for cell in row for block in cell.blocks]
        if width(rows) * len(rows) > MOST_CELLS:
            self.remarks.add(TOO_LARGE, self.remarks.at(spot))
            flow.blocks += blocks
        elif only_places(rows):
            flow.blocks += blocks
        else:
            begun = next((block.spot for block in blocks), spot)
            flow.blocks.append(DraftBlock(kind=Kind.TABLE, spot=begun, rows=grid(rows)))
            flow.blocks += [block for block in blocks if block.kind in BESIDE]

    def row(self, row: Row) -> list[Filled]:
        """The cells of a row. A page that ends within it ends in each of its cells, and is counted once."""
        filled = [Filled([], row.before)] if row.before else []
        page = last = self.reached.page
        with self.words.changed(row.change):
            for cell in row.cells:
                self.reached.page = page
                filled.append(Filled(self.cell(cell), cell.span))
                last = max(last, self.reached.page)
        self.reached.page = last
        return filled

    def cell(self, cell: Cell) -> list[DraftBlock]:
        """The blocks of a cell; one that goes on from another cell shows none of its own."""
        inner = Flow()
        with self.words.changed(cell.change):
            self.blocks(cell.node, inner)
        self.end(inner, 0)
        if cell.goes_on and inner.blocks:
            self.remarks.add(HIDDEN, self.words.place, inner.blocks[0].lines[0].text if inner.blocks[0].lines else "")
        return [] if cell.goes_on else inner.blocks


def _words(node: Node) -> str:
    """The words in a tag, for a remark."""
    return " ".join(each.text for each in below(node) if each.name == "w:t")


def _live(node: Node) -> bool:
    """Whether a paragraph has words, or anything else that shows, that were not deleted."""
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if each.name in SHOWS or (each.name == "w:t" and each.text.strip()):
            return True
        waiting += [child for child in chosen(each) if CHANGED.get(child.name) is not Mark.STRUCK]
    return False
