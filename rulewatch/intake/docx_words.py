"""The words of a paragraph of a DOCX: runs with their look, tracked changes, links, fields, calls of notes, pictures.

Words that were inserted or moved here while changes were tracked are inserted, those deleted or moved away are struck. Struck
letters are struck too. Underlining and colour of words are marks of new ones only in a book without tracked changes, and not in
links, in headings that are underlined as a whole, or in bold words with which a paragraph begins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from rulewatch.intake.document import Kind, Mark, Spot
from rulewatch.intake.docx_fields import FIELD_TAGS, Fields
from rulewatch.intake.docx_notes import Notes
from rulewatch.intake.docx_styles import Styles
from rulewatch.intake.docx_symbols import UNKNOWN, formula, plain, symbol
from rulewatch.intake.docx_xml import Node, below, chosen
from rulewatch.intake.drafts import PLAIN, DraftBlock, DraftLine, Flow, Look
from rulewatch.intake.remarks import Remarks, Topic

LOOK = "look whether rule text was among it"
HIDDEN = Topic(code="text-hidden", one="part that does not show", many="parts that do not show", remedy=LOOK)
COMMENTS = Topic(code="left-out", one="comment", many="comments")
PICTURES = Topic(
    code="picture",
    one="picture without a text in its place",
    many="pictures without a text in their place",
    fate="not read",
    remedy="look at each and write down what it rules",
)
FORMULAS = Topic(
    code="picture", one="formula", many="formulas", fate="read as one line of words", remedy="compare each with the book"
)
UNKNOWN_SIGNS = Topic(
    code="encoding-guessed",
    one="sign of a symbol font",
    many="signs of symbol fonts",
    fate=f"not known and shows as {UNKNOWN}",
    remedy="look at each",
)
FOREIGN = Topic(
    code="left-out",
    one="part in another format or file",
    many="parts in other formats or files",
    remedy="take in those parts too",
)

CHANGED = {"w:ins": Mark.INSERTED, "w:moveTo": Mark.INSERTED, "w:del": Mark.STRUCK, "w:moveFrom": Mark.STRUCK}
PASSED = frozenset(
    {
        *("w:pPr", "w:rPr", "w:sdtPr", "w:sdtEndPr", "w:customXmlPr", "w:smartTagPr", "w:rt", "m:oMathParaPr", "w:fldData"),
        *("w:proofErr", "w:bookmarkStart", "w:bookmarkEnd", "w:softHyphen", "w:footnoteRef"),
        *("w:endnoteRef", "w:separator", "w:continuationSeparator", "w:annotationRef", "w:ffData"),
    }
)
SHOWN_AS = {"w:tab": " ", "w:ptab": " ", "w:noBreakHyphen": "-"}
DRAWN = frozenset({"w:drawing", "w:pict", "w:object"})
SEEN = frozenset({"pic:pic", "c:chart", "dgm:relIds", "v:imagedata", "w:movie"})
NAMED = ("descr", "title", "alt")  # attributes that give a text in the place of a picture

Story = Callable[[Node], list[DraftBlock]]


@dataclass(slots=True, kw_only=True)
class Reached:
    """How far a book is read: its paragraph, from 1, and its page, where the file says where pages begin."""

    page: int = 0
    paragraph: int = 0

    @property
    def spot(self) -> Spot:
        """The place of what comes next."""
        return Spot(page=self.page, line=self.paragraph)


@dataclass(slots=True, kw_only=True)
class Words:
    """The reading of words. `story` reads what stands in a text box."""

    styles: Styles
    notes: Notes
    remarks: Remarks
    reached: Reached
    story: Story
    fields: Fields
    change: Mark = Mark.NONE  # what a tracked change says of what comes
    links: int = 0  # that are open

    @contextmanager
    def changed(self, mark: Mark) -> Iterator[None]:
        """Within a tracked change; what was inserted and then deleted is deleted."""
        around = self.change
        self.change = Mark.STRUCK if Mark.STRUCK in {around, mark} else mark or around
        yield
        self.change = around

    @property
    def place(self) -> int:
        """Where the book is read, for remarks."""
        return self.remarks.at(self.reached.spot)

    @property
    def shows(self) -> bool:
        """Whether what comes shows: it is no instruction of a field, and in no table of contents."""
        return not (self.fields.hiding or self.fields.contents)

    def read(self, node: Node, flow: Flow, look: Look, indent: float) -> None:
        """All that is in a paragraph, or in a tag around words."""
        for child in chosen(node):
            self.tag(child, flow, look, indent)

    def tag(self, node: Node, flow: Flow, look: Look, indent: float) -> None:
        """One tag in a paragraph."""
        name = node.name
        if name in CHANGED:
            with self.changed(CHANGED[name]):
                self.read(node, flow, look, indent)
        elif name == "w:r":
            self.run(node, flow, look, indent)
        elif name == "w:hyperlink":
            self.links += 1
            self.read(node, flow, look, indent)
            self.links -= 1
        elif name == "w:fldSimple":
            self.simple_field(node, flow, look, indent)
        elif name == "m:oMath":
            self.remarks.add(FORMULAS, self.place)
            for text, raised in formula(node):
                self.words(text, flow, look._replace(raised=raised), indent)
        elif name in {"w:altChunk", "w:subDoc", "w:contentPart"}:
            self.remarks.add(FOREIGN, self.place)
        elif name not in PASSED:
            self.read(node, flow, look, indent)

    def run(self, node: Node, flow: Flow, look: Look, indent: float) -> None:
        """Words of one look."""
        properties = node.first("w:rPr")
        own, hidden = self.styles.inline(properties, look)
        if self.change:
            own = own._replace(mark=Mark.STRUCK if Mark.STRUCK in {own.mark, self.change} else self.change)
        if self.links or self.fields.links:
            own = own._replace(underlined=look.underlined, colour=look.colour)
        font = properties.first("w:rFonts") if properties else None
        name = font.attributes.get("w:ascii", "") if font else ""
        if hidden:
            self.hidden(node)
            return
        for child in chosen(node):
            self.piece(child, flow, own, indent, name)

    def hidden(self, node: Node) -> None:
        """A run that does not show; fields go on through it."""
        words = "".join(each.text for each in below(node) if each.name == "w:t")
        if words.strip() and self.shows:
            self.remarks.add(HIDDEN, self.place, words)
        for child in node.children:
            if child.name in FIELD_TAGS:
                self.fields.tag(child, self.place)

    def piece(self, node: Node, flow: Flow, look: Look, indent: float, font: str) -> None:
        """One thing in a run."""
        name = node.name
        if name in {"w:t", "w:delText"}:
            self.words(plain(node.text, font), flow, look, indent)
        elif name in SHOWN_AS:
            self.words(SHOWN_AS[name], flow, look, indent)
        elif name == "w:sym":
            self.words(_symbol(node), flow, look, indent)
        elif name in {"w:footnoteReference", "w:endnoteReference"}:
            self.call(node, flow, look, indent)
        elif name in DRAWN:
            self.drawing(node, flow)
        elif name not in PASSED:
            self.sign(node, flow, indent)
            for child in chosen(node):
                self.piece(child, flow, look, indent, font)

    def sign(self, node: Node, flow: Flow, indent: float) -> None:
        """A thing in a run that is no word: the end of a line or page, a part of a field, a comment."""
        name = node.name
        if name in {"w:br", "w:cr"} and self.shows:
            flow.break_line(self.reached.spot, indent)
        elif name in FIELD_TAGS:
            self.fields.tag(node, self.place)
        elif name == "w:commentReference":
            self.remarks.add(COMMENTS, self.place)
        elif name == "w:lastRenderedPageBreak":
            self.reached.page += 1

    def words(self, text: str, flow: Flow, look: Look, indent: float) -> None:
        """Words, if they show."""
        if not text or not self.shows:
            return
        lost = text.count(UNKNOWN)
        if lost:
            self.remarks.add(UNKNOWN_SIGNS, self.place, count=lost)
        flow.add(text, look, self.reached.spot, indent)

    def simple_field(self, node: Node, flow: Flow, look: Look, indent: float) -> None:
        """A field in one tag: its result is what shows."""
        self.fields.begin(node.attributes.get("w:instr", ""), self.place)
        self.read(node, flow, look, indent)
        self.fields.end(self.place, empty=not any(each.text for each in below(node)))

    # --- What stands beside the words ----------------------------------------------------------------------------------

    def call(self, node: Node, flow: Flow, look: Look, indent: float) -> None:
        """The call of a footnote or endnote, with the note behind its paragraph or at the end of the book."""
        if not self.shows:
            return
        sign = self.notes.sign(node, self.reached.page)
        if sign:
            flow.add(sign, look._replace(raised=True), self.reached.spot, indent)
        note = self.notes.taken(node)
        if note is not None:
            block = self.note(note, sign)
            if block and node.name == "w:footnoteReference":
                flow.aside(block)
            elif block:
                self.notes.at_end.append(block)

    def note(self, note: Node, sign: str) -> DraftBlock | None:
        """A note in one block, with its sign in front."""
        page = self.reached.page
        blocks = self.story(note)
        self.reached.page = page
        lines = [line for block in blocks for line in block.lines]
        if not lines:
            return None
        if sign:
            lines[0].pieces.insert(0, (f"{sign} ", PLAIN))
        return DraftBlock(kind=Kind.NOTE, spot=self.reached.spot, lines=lines)

    def drawing(self, node: Node, flow: Flow) -> None:
        """A picture with the words that are given in its place, and the text boxes that are drawn with it."""
        if not self.shows:
            return
        inside = list(_drawn(node))
        boxes = [each for each in inside if each.name == "w:txbxContent"]
        spot = self.reached.spot
        for block in (block for box in boxes for block in self.story(box)):
            flow.aside(block)
        rule = any(each.attributes.get("o:hr", "") in {"t", "true"} for each in inside)
        if rule or (boxes and not any(each.name in SEEN for each in inside)):
            return
        given = (each.attributes.get(name, "").strip() for each in inside for name in NAMED)
        words = " ".join(next(filter(None, given), "").split())
        lines = [DraftLine(spot=spot, pieces=[(words, PLAIN)])] if words else []
        if not words:
            self.remarks.add(PICTURES, self.remarks.at(spot))
        flow.aside(DraftBlock(kind=Kind.PICTURE, spot=spot, lines=lines))


def _drawn(node: Node) -> Iterator[Node]:
    """Everything in a drawing, but not what stands in its text boxes."""
    waiting = [node]
    while waiting:
        each = waiting.pop()
        yield each
        if each.name != "w:txbxContent":
            waiting += reversed(chosen(each))


def _symbol(node: Node) -> str:
    """The sign of a `w:sym`."""
    code = node.attributes.get("w:char", "")
    try:
        return symbol(int(code[:8], 16), node.attributes.get("w:font", ""))
    except ValueError:
        return UNKNOWN
