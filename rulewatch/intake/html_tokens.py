"""HTML into tags and texts with their lines, in one pass over the characters.

The standard library's reader takes a time that grows with the square of what is unclosed (8,000 times `<a ` took 4.6 s with
Python 3.11.7), and a downloaded page can be anything. Each search here that finds nothing is not made again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from html import unescape
from types import MappingProxyType
from typing import NamedTuple

RAW = frozenset({"script", "style", "textarea", "title", "xmp", "iframe", "noembed", "noframes"})  # hold no tags
OPENING = re.compile(r"<(?:[a-zA-Z!?]|/.)", re.DOTALL)
COMMENT_END = re.compile(r"-?>|.*?--!?>", re.DOTALL)  # `<!-->` and `<!--->` are whole comments
TAG = re.compile(r"<(/?)([a-zA-Z][^\s/>]*+)((?:[^>\"']|\"[^\"]*\"|'[^']*')*+)>")
LOOSE_TAG = re.compile(r"<(/?)([a-zA-Z][^\s/>]*+)([^>]*+)>")  # where a quotation mark is never closed
ATTRIBUTE = re.compile(r"([^\s\"'>/=]++)(?:\s*+=\s*+(?:\"([^\"]*)\"|'([^']*)'|([^\s\"'>]++)))?")
HUGE_CHARACTER = re.compile(
    r"&#(?:[0-9]{8,}+|[xX][0-9a-fA-F]{7,}+);?"
)  # beyond every character; Python refuses to count so far
MOST_ATTRIBUTES = 200
NO_ATTRIBUTES: Mapping[str, str] = MappingProxyType({})


class Token(NamedTuple):
    """A start tag, an end tag (`/name`), a text (`#text`), or what never ends (`#unclosed`), and the line it begins on."""

    name: str
    line: int
    text: str = ""
    attributes: Mapping[str, str] = NO_ATTRIBUTES


def tokens(source: str) -> Iterator[Token]:
    """The tags and texts of a page, in order. Comments and declarations are passed over, and raw texts are given whole."""
    return _Tokens(source).all()


class _Tokens:
    """The place that has been reached, and what is known to come no more."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.at, self.line = 0, 1
        self.tag = TAG
        self.closed = True  # whether a `>` is still to come

    def all(self) -> Iterator[Token]:
        """From the place that has been reached to the end."""
        source = self.source
        while self.at < len(source):
            sign = source.find("<", self.at)
            while 0 <= sign < len(source) and not self.opens(sign):
                sign = source.find("<", sign + 1)
            sign = len(source) if sign < 0 else sign
            if sign > self.at:
                yield Token("#text", self.line, plain(source[self.at : sign]))
                self.go_to(sign)
            if sign < len(source):
                yield from self.markup()

    def opens(self, at: int) -> bool:
        """Whether a `<` begins a tag, comment or declaration; else it is a sign like any other."""
        if not self.closed or not OPENING.match(self.source, at):
            return False
        self.closed = self.source.find(">", at) >= 0
        return self.closed

    def go_to(self, at: int) -> None:
        """Go on to a place, counting lines."""
        self.line += self.source.count("\n", self.at, at)
        self.at = at

    def markup(self) -> Iterator[Token]:
        """What begins with the `<` that has been reached."""
        source, at = self.source, self.at
        if source.startswith("<!--", at):
            end = COMMENT_END.match(source, at + 4)
            if end is None:
                yield Token("#unclosed", self.line, plain(source[at + 4 :]), {"what": "comment"})
            self.go_to(end.end() if end else len(source))
            return
        found = self.tag.match(source, at)
        if found is None and self.tag is TAG and source[at + 1] not in "!?":
            found = LOOSE_TAG.match(source, at)
            self.tag = LOOSE_TAG if found else TAG
        if found is None:
            self.go_to(source.index(">", at) + 1)
            return
        slash, name, rest = found[1], found[2].lower(), found[3]
        yield Token(slash + name, self.line, "", attributes(rest) if rest and not slash else NO_ATTRIBUTES)
        self.go_to(found.end())
        if name in RAW and not slash:
            yield from self.raw(name)

    def raw(self, name: str) -> Iterator[Token]:
        """The content of a script and the like, up to its own end tag."""
        closing = re.compile(rf"</{name}(?=[\s/>])", re.IGNORECASE).search(self.source, self.at)
        end = closing.start() if closing else len(self.source)
        content = self.source[self.at : end]
        if closing is None:
            yield Token("#unclosed", self.line, content, {"what": name})
        elif content:
            yield Token("#text", self.line, plain(content) if name in {"title", "textarea"} else content)
        self.go_to(end)


def attributes(text: str) -> dict[str, str]:
    """The attributes of a tag; of one that stands twice the first counts."""
    found: dict[str, str] = {}
    for match in ATTRIBUTE.finditer(text):
        name, double, single, bare = match.groups()
        found.setdefault(name.lower(), plain(double or single or bare or ""))
        if len(found) >= MOST_ATTRIBUTES:
            break
    return found


def plain(text: str) -> str:
    """A text with its entities resolved."""
    return unescape(HUGE_CHARACTER.sub("\ufffd", text)) if "&" in text else text
