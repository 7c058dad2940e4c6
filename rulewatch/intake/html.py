"""A page of HTML into a document: headings, paragraphs, lists with their numbers, tables, notes, marks of new and struck words.

What is not rule text is left out and said so: scripts, styles, navigation, heads and feet of the page, asides, forms, and what a
reader does not see. Links are their words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from rulewatch.intake.document import Document, Kind, Spot
from rulewatch.intake.drafts import DEEPER, PLAIN, DraftBlock, DraftLine, Flow, Look, cell_lines, finished
from rulewatch.intake.encoding import decoded, too_large
from rulewatch.intake.html_styles import Sheet, hidden, look_in, sheet
from rulewatch.intake.html_tables import below, cells, grid, only_places
from rulewatch.intake.html_tokens import tokens
from rulewatch.intake.html_tree import BLOCKS, HEADINGS, MOST_ELEMENTS, Element, Page, tree
from rulewatch.intake.numerals import written
from rulewatch.intake.remarks import Remarks, Topic
from rulewatch.model.fault import Fault, Place

DECLARED = re.compile(
    rb"<meta\b[^>]{0,500}?charset\s*=\s*[\"']?\s*([\w.:-]{1,40})|<\?xml[^>]{0,100}?encoding=[\"']([\w.-]{1,40})", re.IGNORECASE
)
PROLOGUE = 4096  # bytes in which a page states its encoding
PERMALINKS = frozenset({"¶", "#", "🔗", "⚓", "↩", "↑"})  # what a heading shows to link to itself, and a note to go back
LONGEST_SIGN = 5  # characters of a footnote's sign that stands on its own, such as [12]


def _left(one: str, many: str, remedy: str = "") -> Topic:
    return Topic(code="left-out", one=one, many=many, remedy=remedy)


LOOK = "look whether rule text was among it"
SCRIPTS = _left("script", "scripts")
STYLES = _left("style sheet", "style sheets")
NAVIGATION = _left("navigation part", "navigation parts", LOOK)
HEADS = _left("head of the page", "heads of the page", LOOK)
FEET = _left("foot of the page", "feet of the page", LOOK)
ASIDES = _left("aside", "asides", LOOK)
FORMS = _left("form control", "form controls")
HIDDEN = Topic(code="text-hidden", one="part that does not show", many="parts that do not show", remedy=LOOK)
FRAMES = _left("frame whose content is another file", "frames whose content is in other files", "take in those files too")
SELF_LINKS = _left("sign that links within the page", "signs that link within the page")
UNCLOSED = _left(
    "comment or script that never ends, with all behind it",
    "comments or scripts that never end, with all behind them",
    "save the page again",
)
PICTURES = Topic(
    code="picture",
    one="picture without a text in its place",
    many="pictures without a text in their place",
    fate="not read",
    remedy="look at each and write down what it rules",
)
TOO_DEEP = Topic(
    code="book-too-large",
    one="element nested too deep",
    many="elements nested too deep",
    fate="read as part of what is around it",
)

DROPPED: dict[str, Topic] = {
    "script": SCRIPTS,
    "style": STYLES,
    "nav": NAVIGATION,
    "aside": ASIDES,
    "template": HIDDEN,
    "noscript": HIDDEN,
    **dict.fromkeys(("button", "select", "textarea", "datalist", "search"), FORMS),
    **dict.fromkeys(("iframe", "frame", "noframes", "noembed"), FRAMES),
}
ROLES: dict[str, Topic] = {
    **dict.fromkeys(("navigation", "doc-toc", "doc-index", "menu", "menubar"), NAVIGATION),
    "banner": HEADS,
    "contentinfo": FEET,
    "complementary": ASIDES,
    "search": FORMS,
}
OF_PAGE = {"header": HEADS, "footer": FEET}  # where they stand in no part of the page
PARTS = frozenset({"main", "article", "section", "blockquote", "dialog", "td"})
NOTES = frozenset({"doc-footnote", "doc-endnote", "note"})
IMAGES = frozenset({"img", "svg", "object", "embed", "video", "canvas", "applet"})
QUIET = frozenset(
    {"title", "area", "base", "col", "input", "link", "meta", "param", "source", "track", "colgroup", "map", "audio"}
)
NUMBERED = {
    "1": "decimal",
    "a": "lower-alpha",
    "A": "upper-alpha",
    "i": "lower-roman",
    "I": "upper-roman",
    "decimal-leading-zero": "decimal-zero",
    "lower-latin": "lower-alpha",
    "upper-latin": "upper-alpha",
}


def read_html(data: bytes, path: str, stated: str = "") -> Document:
    """The document of a page. `stated` is its encoding, where a person knows better than the page.

    Pages of more than the bound are a fault and have no blocks.
    """
    declared = DECLARED.search(data[:PROLOGUE])
    found = declared[1] or declared[2] if declared else b""
    text, faults = decoded(data, path, stated or found.decode("ascii", errors="replace"))
    if not text:
        return Document(blocks=(), faults=faults)
    return with_faults(html_document(text, path), faults)


def with_faults(document: Document, faults: Sequence[Fault]) -> Document:
    """A document with faults in front of its own."""
    return replace(document, faults=(*faults, *document.faults))


def html_document(text: str, path: str, first_line: int = 1) -> Document:
    """The document of a page, or of a piece of one that begins on a line of a file."""
    page = tree(tokens("\n" * (first_line - 1) + text))
    if page.overfull:
        fault = too_large(path, f"more than {MOST_ELEMENTS:,} tags and texts", "a page of fewer")
        return Document(blocks=(), faults=(fault,))
    remarks = Remarks(path)
    reader = _Reader(remarks, _sheet(page))
    for token in page.unclosed:
        remarks.add(UNCLOSED, token.line, token.text)
    flow = Flow()
    reader.children(page.root, flow, PLAIN, 0.0)
    flow.end()
    if page.flattened:
        remarks.add(TOO_DEEP, 1, count=page.flattened)
    blocks = finished(flow.blocks, remarks)
    faults = remarks.warnings()
    if not any(block.lines or block.rows for block in blocks):
        nothing = Fault(code="book-empty", place=Place(path=path), found="no text in this page", remedy="see what was left out")
        faults = (nothing, *faults)
    return Document(blocks=blocks, faults=faults)


def _sheet(page: Page) -> Sheet:
    return sheet(child.text for each in below(page.root) if each.name == "style" for child in each.children)


class _Reader:
    """The walk over the tree. Its depth is bounded by that of the tree."""

    def __init__(self, remarks: Remarks, sheet: Sheet) -> None:
        self.remarks, self.sheet = remarks, sheet
        self.parts = 0  # open elements that make a header one of theirs

    def children(self, element: Element, flow: Flow, look: Look, indent: float) -> None:
        """All that is in an element."""
        for child in element.children:
            self.node(child, flow, look, indent)

    def node(self, node: Element, flow: Flow, look: Look, indent: float) -> None:
        """A text or an element."""
        if node.name == "#text":
            flow.add(node.text, look, Spot(line=node.line), indent)
        else:
            self.element(node, flow, look, indent)

    def element(self, element: Element, flow: Flow, look: Look, indent: float) -> None:
        """One element, with what is in it."""
        style = self.sheet.style(element)
        topic = self.dropped(element, style)
        if topic:
            self.remarks.add(topic, element.line, _words(element) if topic not in {SCRIPTS, STYLES} else "")
        elif element.name == "br":
            flow.break_line(Spot(line=element.line), indent)
        elif element.name in IMAGES:
            self.picture(element, flow)
        elif element.name not in QUIET and not self.links_to_itself(element):
            inner = look_in(element, style, look)
            self.parts += element.name in PARTS
            if element.name in BLOCKS or element.name in {"tr", "td", "th", "caption"} or style.get("display") == "block":
                self.block(element, style, flow, inner, indent)
            else:
                self.children(element, flow, inner, indent)
            self.parts -= element.name in PARTS

    def dropped(self, element: Element, style: Mapping[str, str]) -> Topic | None:
        """Why an element is left out, if it is."""
        if hidden(element, style) and element.name not in {"script", "style"}:
            return HIDDEN if _words(element) else None
        if _is_note(element):
            return None
        topic = ROLES.get(element.attributes.get("role", "")) or DROPPED.get(element.name)
        if topic is None and not self.parts:
            topic = OF_PAGE.get(element.name)
        return topic

    def links_to_itself(self, element: Element) -> bool:
        """Whether an element is the sign of a heading that links to the heading itself; if so, it is left out and said so."""
        if element.name != "a" or not element.attributes.get("href", "").startswith("#"):
            return False
        found = len(element.children) == 1 and element.children[0].text.strip().rstrip("\ufe0e\ufe0f") in PERMALINKS
        if found:
            self.remarks.add(SELF_LINKS, element.line)
        return found

    def picture(self, element: Element, flow: Flow) -> None:
        """A picture, with the words that the page gives in its place; it comes behind the paragraph that it stands in."""
        words = element.attributes.get("alt") or element.attributes.get("aria-label") or _words(element)
        spot = Spot(line=element.line)
        lines = [DraftLine(spot=spot, pieces=[(" ".join(words.split()), PLAIN)])] if words.strip() else []
        if not lines:
            self.remarks.add(PICTURES, element.line, element.attributes.get("src", "")[:60].partition(",")[0])
        flow.aside(DraftBlock(kind=Kind.PICTURE, spot=spot, lines=lines))

    def block(self, element: Element, style: Mapping[str, str], flow: Flow, look: Look, indent: float) -> None:
        """An element that stands by itself."""
        flow.end()
        name = element.name
        if name == "table":
            self.table(element, flow, look, indent)
        elif name in {"ol", "ul", "menu", "dir"}:
            self.items(element, style, flow, look, indent + DEEPER)
        elif _is_note(element):
            self.notes(element, flow, look, indent)
        else:
            self.children(element, flow, look, indent + DEEPER if name in {"dd", "blockquote"} else indent)
            flow.end(level=_level(element))

    def notes(self, element: Element, flow: Flow, look: Look, indent: float) -> None:
        """A footnote, or a list of them in which each sign begins one."""
        if element.name != "dl":
            self.note(element.children, flow, look, indent)
            return
        gathered: list[Element] = []
        for child in element.children:
            if child.name == "dt":
                self.note(gathered, flow, look, indent)
                gathered = []
            gathered.append(child)
        self.note(gathered, flow, look, indent)

    def note(self, content: Sequence[Element], flow: Flow, look: Look, indent: float) -> None:
        """A footnote in one block, with its sign in front."""
        inner = Flow()
        for child in content:
            self.node(child, inner, look, indent)
        inner.end()
        lines = cell_lines(inner.blocks)
        sign, flow.label = flow.label, ""
        if len(lines) > 1 and len(lines[0].text.strip()) <= LONGEST_SIGN:
            sign = lines.pop(0).text
        if lines:
            lines[0].pieces[:0] = [(f"{sign} ", PLAIN)] if sign else []
            flow.blocks.append(DraftBlock(kind=Kind.NOTE, spot=lines[0].spot, lines=lines))

    def items(self, element: Element, style: Mapping[str, str], flow: Flow, look: Look, indent: float) -> None:
        """The items of a list. A list that is numbered gives each its number as a reader sees it."""
        items = [child for child in element.children if child.name == "li"]
        back = "reversed" in element.attributes
        number = _number(element, "start", len(items) if back else 1)
        for child in element.children:
            if child.name != "li":
                self.node(child, flow, look, indent)
                continue
            flow.end()
            number = _number(child, "value", number)
            flow.flush_label(Spot(line=child.line))
            if element.name == "ol":
                flow.label = _label(number, element, style, self.sheet.style(child))
            self.element(child, flow, look, indent)
            flow.end()
            flow.label = ""
            number += -1 if back else 1

    def table(self, element: Element, flow: Flow, look: Look, indent: float) -> None:
        """A table; one that only places things on the page gives what is in its cells, one after the other."""
        rows = cells(element)
        for child in element.children:
            if child.name not in {"tr", "thead", "tbody", "tfoot", "#text"}:
                self.element(child, flow, look, indent)
        flow.end()
        if only_places(element, rows):
            for cell in (cell for row in rows for cell in row):
                self.element(cell.element, flow, look, indent)
                flow.end()
            return
        read = [[(self.cell(cell.element, look), cell.columns, cell.rows) for cell in row] for row in rows]
        if read:
            flow.blocks.append(DraftBlock(kind=Kind.TABLE, spot=Spot(line=element.line), rows=grid(read, [])))

    def cell(self, element: Element, look: Look) -> list[DraftLine]:
        """The lines of a cell."""
        inner = Flow()
        self.element(element, inner, look, 0.0)
        inner.end()
        return cell_lines(inner.blocks)


def _is_note(element: Element) -> bool:
    """Whether an element is a footnote or endnote: by its role, or by the class that usual programs give it."""
    if element.name not in {"aside", "div", "li", "p", "section", "dl"}:
        return False
    names = element.attributes.get("class", "").split()
    return element.attributes.get("role") in NOTES - {"note"} or "footnote" in names


def _level(element: Element) -> int:
    """The level of a heading, else 0."""
    if element.name in HEADINGS:
        return int(element.name[1])
    if element.attributes.get("role") == "heading":
        return min(max(_number(element, "aria-level", 2), 1), 9)
    return 0


def _number(element: Element, name: str, otherwise: int) -> int:
    """A whole number of an attribute."""
    match = re.match(r"\s*([+-]?[0-9]{1,9})", element.attributes.get(name, ""))
    return int(match[1]) if match else otherwise


def _label(number: int, element: Element, *styles: Mapping[str, str]) -> str:
    """The number of an item as a reader sees it, with its full stop; nothing where the style shows none."""
    kind = element.attributes.get("type", "1")
    for style in styles:
        for name in ("list-style", "list-style-type"):
            stated = style.get(name, "").split()
            kind = stated[0] if stated else kind
    if kind in {"none", "disc", "circle", "square"}:
        return ""
    return written(number, NUMBERED.get(kind, kind)) + "."


def _words(element: Element) -> str:
    """All words in an element, seen or not."""
    if element.text:
        return element.text
    found: list[str] = []
    waiting = list(reversed(element.children))
    while waiting:
        each = waiting.pop()
        if each.text and each.text.strip():
            found.append(each.text.strip())
        if each.name not in {"script", "style"}:
            waiting += reversed(each.children)
    return " ".join(found)
