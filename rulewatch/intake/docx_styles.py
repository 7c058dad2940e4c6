"""The styles of a DOCX: outline levels of headings, numbering of paragraphs, and how words look.

What a paragraph's style says of underlining and colour is how that kind of paragraph looks, and no mark of new words; what it says
of striking is one. A style of characters counts like a look of its own, except that of links.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from rulewatch.intake.document import Mark
from rulewatch.intake.docx_xml import Node
from rulewatch.intake.drafts import PLAIN, Look, colourful

OFF = frozenset({"0", "false", "off", "none"})
MOST_BASES = 50  # styles that a style may rest on, one after the other
HEADINGS = {f"heading {level}": level for level in range(1, 10)}
LINKS = frozenset({"hyperlink", "followedhyperlink", "internet link", "visited internet link"})
TEXT_COLOURS = frozenset({"text1", "dark1", "text2", "dark2", "background1", "light1", "background2", "light2"})
NO_LEVEL = 9  # as the outline level of a paragraph: body text
TWIPS = 20  # in a point
# Colours behind words, by the names of ECMA-376; greys are none.
HIGHLIGHTS = dict(
    pair.split()
    for pair in [
        *("yellow ffff00", "green 00ff00", "cyan 00ffff", "magenta ff00ff", "blue 0000ff", "red ff0000"),
        *(
            "darkYellow 808000",
            "darkGreen 008000",
            "darkCyan 008080",
            "darkMagenta 800080",
            "darkBlue 000080",
            "darkRed 800000",
        ),
    ]
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """A style with what it rests on. `level` is 1 to 9 for a heading, else 0; `number` is its list and level in it."""

    name: str = ""
    look: Look = PLAIN
    hidden: bool = False
    level: int = 0
    list_id: str = ""
    list_level: str = ""
    indent: float = 0.0

    @property
    def is_contents(self) -> bool:
        """Whether it is that of the lines of a table of contents."""
        return self.name.startswith("toc ") or self.name in {"table of figures", "table of authorities"}


@dataclass(slots=True, kw_only=True)
class Styles:
    """The styles of a book by their ids."""

    root: Node
    made: dict[str, Style] = field(default_factory=dict)
    nodes: dict[str, Node] = field(default_factory=dict)
    usual: str = ""

    def __post_init__(self) -> None:
        """Find them, and the one of paragraphs that name none."""
        for node in self.root.children:
            if node.name == "w:style":
                self.nodes.setdefault(node.attributes.get("w:styleId", ""), node)
                if node.attributes.get("w:type") == "paragraph" and node.attributes.get("w:default", "0") not in OFF:
                    self.usual = node.attributes.get("w:styleId", "")

    def style(self, name: str) -> Style:
        """The style of an id; that of an id that is not there is known by the id, as far as programs agree on it."""
        if name not in self.made:
            self.made[name] = self._style(name)
        return self.made[name]

    def _style(self, name: str) -> Style:
        chain = list(self._chain(name))
        defaults = self.root.first("w:docDefaults", "w:rPrDefault", "w:rPr")
        title = (chain[0].value("w:name") if chain else name).lower()
        of_paragraph = not chain or chain[0].attributes.get("w:type", "paragraph") == "paragraph"
        look, hidden = looked(defaults, PLAIN) if of_paragraph else PLAIN, False
        stated: dict[str, str] = {}
        for node in reversed(chain):
            look = looked(node.first("w:rPr"), look)
            hidden = is_on(node.first("w:rPr"), "w:vanish", hidden)
            stated |= paragraph_facts(node.first("w:pPr"))
        if of_paragraph or title in LINKS:
            look = look._replace(underlined=False, colour="")
        level = heading_level(stated.get("outline", ""))
        if not stated.get("outline"):
            level = HEADINGS.get(title if chain else title.replace("heading", "heading "), 0)
        return Style(
            name=title,
            look=look,
            hidden=hidden,
            level=level,
            list_id=stated.get("list", ""),
            list_level=stated.get("list level", ""),
            indent=points(stated.get("indent", "")),
        )

    def _chain(self, name: str) -> Iterator[Node]:
        """A style and those that it rests on."""
        for _ in range(MOST_BASES):
            node = self.nodes.get(name)
            if node is None:
                return
            yield node
            name = node.value("w:basedOn")

    def inline(self, properties: Node | None, around: Look) -> tuple[Look, bool]:
        """The look of a run, and whether it is hidden, given the look around it."""
        if properties is None:
            return around, False
        look, hidden = around, False
        named = properties.value("w:rStyle")
        if named:
            style = self.style(named)
            look, hidden = over(style.look, around), style.hidden
        look = looked(properties, look)
        if named and style.name in LINKS:
            look = look._replace(underlined=False, colour="")
        return look, is_on(properties, "w:vanish", hidden)


def over(look: Look, around: Look) -> Look:
    """A look laid over the one around it."""
    return around._replace(
        mark=look.mark or around.mark,
        underlined=look.underlined or around.underlined,
        colour=look.colour or around.colour,
        bold=look.bold or around.bold,
        italic=look.italic or around.italic,
        raised=look.raised or around.raised,
        size=look.size or around.size,
    )


def looked(properties: Node | None, look: Look) -> Look:
    """A look with what properties of words say."""
    for node in properties.children if properties else ():
        says = PROPERTIES.get(node.name)
        look = says(look, node.attributes.get("w:val", ""), node.attributes) if says else look
    return look


def _colour(attributes: Mapping[str, str]) -> str:
    """A colour as six hexadecimal digits in small letters; nothing for that of the text."""
    value = attributes.get("w:val", "").lower()
    hexadecimal = len(value) == len("rrggbb") and all(sign in "0123456789abcdef" for sign in value)
    if not hexadecimal or attributes.get("w:themeColor", "") in TEXT_COLOURS or not colourful(value):
        return ""
    return value


def _struck(look: Look, value: str, _: Mapping[str, str]) -> Look:
    """Single or double lines through letters."""
    return look._replace(mark=Mark.NONE if value in OFF else Mark.STRUCK)


# What each property says of a look, given its value and all that it states.
PROPERTIES: dict[str, Callable[[Look, str, Mapping[str, str]], Look]] = {
    "w:b": lambda look, value, _: look._replace(bold=value not in OFF),
    "w:i": lambda look, value, _: look._replace(italic=value not in OFF),
    "w:strike": _struck,
    "w:dstrike": _struck,
    "w:u": lambda look, value, _: look._replace(underlined=value not in OFF),
    "w:color": lambda look, _, stated: look._replace(colour=_colour(stated)),
    "w:highlight": lambda look, value, _: look._replace(colour=HIGHLIGHTS.get(value, look.colour)),
    "w:vertAlign": lambda look, value, _: look._replace(raised=value == "superscript"),
    "w:sz": lambda look, value, _: look._replace(size=_half_points(value) or look.size),
}


def _half_points(text: str) -> float:
    """A size in points from halves of them as written; 0 for what is none."""
    return int(text[:4]) / 2 if text.isascii() and text.isdecimal() else 0.0


def is_on(properties: Node | None, name: str, otherwise: bool = False) -> bool:  # noqa: FBT001, FBT002 - a value of the format
    """Whether a switch is on; as it is otherwise, where nothing is said."""
    node = properties.first(name) if properties else None
    return node.attributes.get("w:val", "") not in OFF if node else otherwise


def paragraph_facts(properties: Node | None) -> dict[str, str]:
    """What properties of a paragraph say: `outline`, `list`, `list level`, `indent`, as written."""
    found: dict[str, str] = {}
    for node in properties.children if properties else ():
        match node.name:
            case "w:outlineLvl":
                found["outline"] = node.attributes.get("w:val", "")
            case "w:ind":
                found["indent"] = node.attributes.get("w:left", node.attributes.get("w:start", ""))
            case "w:numPr":
                found |= {
                    name: child.attributes.get("w:val", "") for child in node.children if (name := LISTED.get(child.name))
                }
            case _:
                pass
    return found


LISTED = {"w:numId": "list", "w:ilvl": "list level"}


def heading_level(outline: str) -> int:
    """The level of a heading from 1 by its outline level from 0, as written; 0 for none."""
    return int(outline) + 1 if len(outline) == 1 and outline.isdecimal() and int(outline) < NO_LEVEL else 0


def points(twips: str) -> float:
    """A distance in points, from twentieths of them as written; 0 for what is none."""
    digits = twips.removeprefix("-")
    return int(twips) / TWIPS if digits.isdecimal() and digits.isascii() and len(digits) < 7 else 0.0  # noqa: PLR2004 - more is no page
