"""The parts that pages are made of, as values: everything a template needs, worked out, in the order in which it is shown.

Texts are plain (templates escape them); only fields of type `Markup` hold HTML, made by `clause_text`. A `href` is relative
to the page it stands on; an empty one means that there is nothing to lead to.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from rulewatch.publish.cautions import Caution
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A text that leads somewhere. `current` marks the page itself in a row of links."""

    text: str
    href: str = ""
    current: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of a page's title plate."""

    label: str
    value: str
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What all pages have in common. `crumbs` lead down to the page, which is not one of them."""

    path: str
    heading: str
    site: str
    style: str
    front: str
    nav: tuple[Link, ...]
    crumbs: tuple[Link, ...]
    cells: tuple[Cell, ...]
    cautions: tuple[Caution, ...]
    day: date
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How often a word of a closed list came up."""

    term: Term
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseLink:
    """A clause by number and first words."""

    number: str
    words: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenGroup:
    """Open points of one sort: where, and what."""

    term: Term
    anchor: str
    points: tuple[tuple[str, Markup], ...]
