"""Published pages as a browser's parser sees them, for the tests."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input"}


@dataclass
class Page(HTMLParser):
    """A page's elements in order, its ids, addresses, headings and text."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    text: str = ""

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep the element."""
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        self.text += data

    @property
    def ids(self) -> list[str]:
        """All ids, in order."""
        return [attrs["id"] for _, attrs in self.tags if "id" in attrs]

    @property
    def addresses(self) -> list[tuple[str, str]]:
        """All addresses with their elements' names."""
        return [(tag, attrs[name]) for tag, attrs in self.tags for name in ("href", "src") if name in attrs]

    @property
    def levels(self) -> list[int]:
        """The levels of the headings, in order."""
        return [int(tag[1]) for tag, _ in self.tags if len(tag) == 2 and tag[0] == "h" and tag[1].isdigit()]


def parsed(body: bytes) -> Page:
    """A page, parsed."""
    page = Page()
    page.feed(body.decode())
    page.close()
    return page


def pages_of(files: dict[str, bytes]) -> dict[str, Page]:
    """The HTML pages of a site, parsed, by path."""
    return {path: parsed(body) for path, body in files.items() if path.endswith(".html")}
