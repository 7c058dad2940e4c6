"""The tags of a page as a tree, forgiving as a browser is: end tags that are left out, stray ones, crossed ones.

Not all of the algorithm of the HTML standard, but what published pages make use of: what ends a paragraph, an item, a row or a
cell; and letters that stay struck or underlined in the next paragraph until their own end tag comes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from rulewatch.intake.html_tokens import Token

DEEPEST = 120  # elements; what is nested deeper stays in the element around it
MOST_ELEMENTS = 500_000  # the whole Debian Policy Manual as one page has some 15,000

VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track", "wbr"}
)
HEAD = frozenset({"base", "link", "meta", "noscript", "script", "style", "template", "title"})
BLOCKS = frozenset(
    {
        *("address", "article", "aside", "blockquote", "body", "center", "dd", "details", "dialog", "dir", "div", "dl", "dt"),
        *("fieldset", "figcaption", "figure", "footer", "form", "h1", "h2", "h3", "h4", "h5", "h6", "header", "hgroup", "hr"),
        *("legend", "li", "main", "menu", "nav", "ol", "p", "pre", "search", "section", "summary", "table", "ul"),
    }
)
HEADINGS = frozenset({"h1", "h2", "h3", "h4", "h5", "h6"})
TABLE_PARTS = frozenset({"caption", "table", "tbody", "td", "tfoot", "th", "thead", "tr"})
FENCES = frozenset({"caption", "object", "table", "td", "template", "th"})  # nothing in one ends what is around it
# Letters that keep their look in the next paragraph, as the standard has it ("active formatting elements").
FORMATTING = frozenset({"b", "big", "em", "font", "i", "s", "small", "strike", "strong", "u"})
SPANS = FORMATTING | {"del", "ins"}
# tag: what it ends, and what stands in the way of that
ENDS: dict[str, tuple[frozenset[str], frozenset[str]]] = {
    "li": (frozenset({"li"}), FENCES | {"ul", "ol", "menu", "dir"}),
    "dt": (frozenset({"dt", "dd"}), FENCES | {"dl"}),
    "dd": (frozenset({"dt", "dd"}), FENCES | {"dl"}),
    "option": (frozenset({"option"}), FENCES | {"select"}),
    "tr": (frozenset({"tr", "caption"}), frozenset({"table"})),
    "td": (frozenset({"td", "th", "caption"}), frozenset({"tr", "table"})),
    "th": (frozenset({"td", "th", "caption"}), frozenset({"tr", "table"})),
    **{name: (frozenset({"tbody", "thead", "tfoot", "caption"}), frozenset({"table"})) for name in ("tbody", "thead", "tfoot")},
    **dict.fromkeys(HEADINGS, (HEADINGS, FENCES | BLOCKS - HEADINGS)),
}
PARAGRAPH = frozenset({"p"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Element:
    """A tag and what is in it; the list grows while the page is read. A text is an element `#text`.

    `#off` in the place of an element takes the look of `attributes["of"]` from what is in it: the end tag of letters that
    began outside the paragraph.
    """

    name: str
    line: int
    text: str = ""
    attributes: Mapping[str, str] = field(default_factory=dict)
    children: list[Element] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page as a tree; what never ended; how many elements were deeper than the bound; whether there were too many."""

    root: Element
    unclosed: tuple[Token, ...]
    flattened: int
    overfull: bool


def tree(found: Iterable[Token]) -> Page:
    """The tree of a page."""
    return _Builder().page(found)


class _Builder:
    """The elements that are open, and the looks to take up again."""

    def __init__(self) -> None:
        self.root = Element(name="#page", line=1)
        self.open = [self.root]
        self.looks: dict[str, Element] = {}
        self.flat = Counter[str]()
        self.flattened = 0

    def page(self, found: Iterable[Token]) -> Page:
        """Put every token in its place."""
        unclosed, count = [], 0
        for token in found:
            count += 1
            if count > MOST_ELEMENTS:
                break
            if token.name == "#unclosed":
                unclosed.append(token)
            elif token.name == "#text":
                self.text(token)
            elif token.name.startswith("/"):
                self.end(token.name[1:])
            else:
                self.start(token)
        return Page(root=self.root, unclosed=tuple(unclosed), flattened=self.flattened, overfull=count > MOST_ELEMENTS)

    def text(self, token: Token) -> None:
        """A text; words end the head of a page."""
        if token.text.strip():
            if self.open[-1].name == "head":
                self.open.pop()
            self.take_up()
        self.open[-1].children.append(Element(name="#text", line=token.line, text=token.text))

    def start(self, token: Token) -> None:
        """A start tag, with the end tags that it stands for."""
        name = token.name
        if self.open[-1].name == "head" and name not in HEAD:
            self.open.pop()
        if name in {"html", "body"} and any(each.name == name for each in self.open):
            return
        if name in ENDS:
            self.close(*ENDS[name])
        if name in BLOCKS:
            self.close(PARAGRAPH, FENCES)
        elif name not in TABLE_PARTS:
            self.take_up()
        element = Element(name=name, line=token.line, attributes=token.attributes)
        self.open[-1].children.append(element)
        if name not in VOID:
            self.push(element)

    def push(self, element: Element) -> None:
        """Open an element, unless it is too deep: then what is in it stays in the one around."""
        if len(self.open) < DEEPEST:
            self.open.append(element)
        else:
            self.flat[element.name] += 1
            self.flattened += 1

    def end(self, name: str) -> None:
        """An end tag; one that ends nothing is passed over."""
        if self.flat[name]:
            self.flat[name] -= 1
        elif name in SPANS:
            self.end_span(name)
        elif name == "br":
            self.open[-1].children.append(Element(name="br", line=self.open[-1].line))
        else:
            self.close(frozenset({name}), frozenset({"table"}) - {name} if name in TABLE_PARTS else FENCES - {name})

    def end_span(self, name: str) -> None:
        """The end of letters with a look. Where a block within them is still open, that block goes on without the look."""
        if self.looks.pop(name, None):
            return
        for at in range(len(self.open) - 1, 0, -1):
            element = self.open[at]
            if element.name == name:
                self.pop_to(at)
                return
            if element.name in BLOCKS or element.name in FENCES:
                break
        if any(element.name == name for element in self.open):
            off = Element(name="#off", line=self.open[-1].line, attributes={"of": name})
            self.open[-1].children.append(off)
            self.push(off)

    def close(self, names: frozenset[str], fences: frozenset[str]) -> None:
        """End the innermost of some elements, if no fence is in the way."""
        for at in range(len(self.open) - 1, 0, -1):
            name = self.open[at].name
            if name in names:
                self.pop_to(at)
                return
            if name in fences:
                return

    def pop_to(self, at: int) -> None:
        """End an element and all in it. Looks of letters that have not ended are taken up again behind it."""
        inner = self.open[at + 1 :]
        if not any(element.name in FENCES for element in [self.open[at], *inner]):
            self.looks.update({element.name: element for element in inner if element.name in FORMATTING})
        del self.open[at:]

    def take_up(self) -> None:
        """Give letters the look that they had before a paragraph ended."""
        for name, element in self.looks.items():
            again = Element(name=name, line=element.line, attributes=element.attributes)
            self.open[-1].children.append(again)
            if len(self.open) < DEEPEST:
                self.open.append(again)
        self.looks.clear()
