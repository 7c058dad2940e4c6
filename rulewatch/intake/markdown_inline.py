"""The words within a paragraph, heading or cell of Markdown: emphasis, code, links, marks, tags of HTML.

Signs of marks and line ends go through the Markdown library as single letters, since it knows neither `++` nor on which line of the file
a word stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from rulewatch.intake.document import Kind, Mark, Spot
from rulewatch.intake.drafts import PLAIN, DraftBlock, DraftLine, Flow, Look
from rulewatch.intake.html_styles import TAGS
from rulewatch.intake.html_tokens import plain
from rulewatch.intake.remarks import Remarks, Topic
from rulewatch.model.marks import INSERTED, STRUCK, mark_edges

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

LONGEST = 50_000  # characters of a paragraph in which signs are read
MOST_BRACKETS = 1_000  # of them: the library's time grows with the square of unclosed ones
LINE_END = "\u205f"  # a space that no keyboard has stands for a line end
OPEN_STRUCK, CLOSE_STRUCK, OPEN_INSERTED, CLOSE_INSERTED = "\ue000", "\ue001", "\ue002", "\ue003"
SIGNS = {(STRUCK, 1): OPEN_STRUCK, (STRUCK, -1): CLOSE_STRUCK, (INSERTED, 1): OPEN_INSERTED, (INSERTED, -1): CLOSE_INSERTED}
TAKEN = str.maketrans({LINE_END: " ", **dict.fromkeys(SIGNS.values(), "\ufffd")})
PART = re.compile(rf"([{LINE_END}{''.join(SIGNS.values())}])|\[\^([^\]\s\[]{{1,20}})\]")
TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9]*)")
DEEPEST = 40

PICTURES = Topic(
    code="picture",
    one="picture without a text in its place",
    many="pictures without a text in their place",
    fate="not read",
    remedy="look at each and write down what it rules",
)
TAG_SIGNS = Topic(code="left-out", one="tag of HTML", many="tags of HTML", fate="left out, with its words kept")
COMMENTS = Topic(code="left-out", one="comment", many="comments")
UNREAD = Topic(
    code="book-too-large",
    one="paragraph too long to read its signs",
    many="paragraphs too long to read their signs",
    fate="kept as written",
)


class Inline:
    """The reading of words; `definitions` are the addresses that links name."""

    def __init__(self, remarks: Remarks, definitions: Mapping[str, str]) -> None:
        self.remarks = remarks
        self.definitions = definitions

    @cached_property
    def parser(self) -> MarkdownIt:
        """The library, without what it would make of typography."""
        from markdown_it import MarkdownIt

        return MarkdownIt("commonmark", {"maxNesting": DEEPEST})

    @cached_property
    def env(self) -> dict[str, object]:
        """The definitions as the library keeps them."""
        from markdown_it.common.utils import normalizeReference

        return {"references": {normalizeReference(name): {"href": "#", "title": ""} for name in self.definitions}}

    def read(self, text: str, flow: Flow, spot: Spot, indent: float) -> None:
        """Put the words of a text that begins on a line into a flow; a line for each of its lines."""
        text = text.translate(TAKEN)
        words = _Words(self.remarks, flow, spot, indent)
        if len(text) > LONGEST or text.count("[") > MOST_BRACKETS:
            self.remarks.add(UNREAD, spot.line, text)
            words.text(text.replace("\n", LINE_END))
            return
        for at, step in reversed(mark_edges(text)):
            text = text[:at] + SIGNS[text[at : at + 2], step] + text[at + 2 :]
        for token in self.parser.parseInline(text.replace("\n", LINE_END), self.env)[0].children or ():
            words.token(token)


class _Words:
    """The look that has been reached within a text."""

    def __init__(self, remarks: Remarks, flow: Flow, spot: Spot, indent: float) -> None:
        self.remarks, self.flow, self.spot, self.indent = remarks, flow, spot, indent
        self.depth = dict.fromkeys((*SIGNS.values(), "strong", "em"), 0)
        self.tags: list[str] = []

    @property
    def look(self) -> Look:
        """The look of what comes next."""
        looks = [TAGS.get(tag, PLAIN) for tag in self.tags]
        struck = self.depth[OPEN_STRUCK] > self.depth[CLOSE_STRUCK] or any(look.mark is Mark.STRUCK for look in looks)
        inserted = self.depth[OPEN_INSERTED] > self.depth[CLOSE_INSERTED] or any(look.mark for look in looks)
        return Look(
            mark=Mark.STRUCK if struck else Mark.INSERTED if inserted else Mark.NONE,
            underlined=any(look.underlined for look in looks),
            bold=self.depth["strong"] > 0 or any(look.bold for look in looks),
            italic=self.depth["em"] > 0 or any(look.italic for look in looks),
            raised=any(look.raised for look in looks),
        )

    def token(self, token: Token) -> None:
        """One token of the library."""
        if token.type in {"text", "code_inline"}:
            self.text(token.content)
        elif token.type in {"strong_open", "strong_close", "em_open", "em_close"}:
            self.depth[token.tag] += token.nesting
        elif token.type == "image":
            self.picture(token.content)
        elif token.type == "html_inline":
            self.tag(token.content)
        elif token.type in {"softbreak", "hardbreak"}:
            self.text(LINE_END)

    def text(self, text: str) -> None:
        """Words, with the signs that stand for marks, line ends and calls of footnotes among them."""
        at = 0
        for match in PART.finditer(text):
            self.words(text[at : match.start()])
            at = match.end()
            if match[2]:
                self.flow.add(match[2], self.look._replace(raised=True), self.spot, self.indent)
            elif match[1] == LINE_END:
                self.spot = Spot(line=self.spot.line + 1)
                self.flow.break_line(self.spot, self.indent)
            else:
                self.depth[match[1]] += 1
        self.words(text[at:])

    def words(self, text: str) -> None:
        """Words of one look."""
        if text:
            self.flow.add(text, self.look, self.spot, self.indent)

    def picture(self, words: str) -> None:
        """A picture, with the words that are given in its place."""
        words = " ".join(words.translate(dict.fromkeys(map(ord, SIGNS.values()))).split())
        lines = [DraftLine(spot=self.spot, indent=self.indent, pieces=[(words, PLAIN)])] if words else []
        if not words:
            self.remarks.add(PICTURES, self.spot.line)
        self.flow.aside(DraftBlock(kind=Kind.PICTURE, spot=self.spot, lines=lines))

    def tag(self, text: str) -> None:
        """A tag of HTML: one that says how words look counts, a break breaks the line, any other is left out."""
        match = TAG.match(text)
        if match is None:
            self.remarks.add(COMMENTS, self.spot.line, plain(text))
        elif (name := match[2].lower()) == "br":
            self.flow.break_line(self.spot, self.indent)
        elif name not in TAGS:
            self.remarks.add(TAG_SIGNS, self.spot.line, text)
        elif match[1]:
            if name in self.tags:
                self.tags.remove(name)
        elif len(self.tags) < DEEPEST:
            self.tags.append(name)
        self.spot = Spot(line=self.spot.line + text.count(LINE_END))
