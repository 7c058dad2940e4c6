"""What the tags and styles of a page say of the look of words: struck, underlined, coloured, hidden.

Style sheets are looked at for these alone, and only for rules that name a tag, a class or both; no other file is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rulewatch.intake.document import Mark
from rulewatch.intake.drafts import PLAIN, Look
from rulewatch.intake.html_tree import HEADINGS, Element

BRACES = re.compile(r"[{}]|[^{}]++")
COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
SELECTOR = re.compile(r"([a-zA-Z][a-zA-Z0-9]*)?(?:\.([\w-]+))?\Z")
MOST_RULES = 5_000
ON_SCREEN = re.compile(r"@media\s+(?:all|screen)\s*\Z", re.IGNORECASE)
HEX = re.compile(r"#([0-9a-f]{3}|[0-9a-f]{6})\Z")
RGB = re.compile(r"rgba?\(\s*(\d{1,3})\s*[, ]\s*(\d{1,3})\s*[, ]\s*(\d{1,3})\b")
# Names of the CSS colour module, as far as books use them; a grey is no colour here.
COLOURS: dict[str, str] = dict(
    pair.split()
    for pair in [
        "red ff0000",
        "darkred 8b0000",
        "crimson dc143c",
        "firebrick b22222",
        "maroon 800000",
        "blue 0000ff",
        "darkblue 00008b",
        "navy 000080",
        "royalblue 4169e1",
        "mediumblue 0000cd",
        "green 008000",
        "lime 00ff00",
        "darkgreen 006400",
        "forestgreen 228b22",
        "limegreen 32cd32",
        "magenta ff00ff",
        "fuchsia ff00ff",
        "purple 800080",
        "violet ee82ee",
        "orange ffa500",
        "darkorange ff8c00",
        "orangered ff4500",
        "teal 008080",
        "olive 808000",
        "cyan 00ffff",
        "aqua 00ffff",
    ]
)
CALLS = frozenset({"footnote-reference", "footnote-ref", "footnoteref"})  # classes of a footnote's call, by usual programs
TAGS = {
    **dict.fromkeys(("del", "s", "strike"), PLAIN._replace(mark=Mark.STRUCK)),
    "ins": PLAIN._replace(mark=Mark.INSERTED),
    "u": PLAIN._replace(underlined=True),
    **dict.fromkeys(("b", "strong", "th"), PLAIN._replace(bold=True)),
    **dict.fromkeys(("i", "em", "cite", "dfn", "var"), PLAIN._replace(italic=True)),
    "sup": PLAIN._replace(raised=True),
    **dict.fromkeys(("pre", "textarea", "listing", "xmp"), PLAIN._replace(keep=True)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The declarations of a page's style sheets by (tag or "", class or "")."""

    rules: Mapping[tuple[str, str], Mapping[str, str]]

    def style(self, element: Element) -> dict[str, str]:
        """What holds for an element: by its tag, by its classes, then by its own style."""
        found: dict[str, str] = {}
        if self.rules:
            names = ["", *sorted(classes(element))]
            for name in names:
                for key in ((element.name, name), ("", name)):
                    found.update(self.rules.get(key, {}))
        own = element.attributes.get("style")
        if own:
            found.update(declarations(own))
        return found


def sheet(texts: Iterable[str]) -> Sheet:
    """The rules of style sheets that name a tag, a class or both; those for paper or for other conditions do not count."""
    rules: dict[tuple[str, str], dict[str, str]] = {}
    for text in texts:
        for selectors, body in _rules(COMMENT.sub("", text)):
            stated = declarations(body)
            for selector in selectors.split(",") if stated else ():
                match = SELECTOR.match(selector.strip())
                if match and selector.strip() and len(rules) < MOST_RULES:
                    rules.setdefault(((match[1] or "").lower(), match[2] or ""), {}).update(stated)
    return Sheet(rules=rules)


def _rules(text: str) -> Iterator[tuple[str, str]]:
    """Selectors and declarations, in order. A rule with rules in it is passed over, except one for the screen."""
    before, within = "", [""]
    for part in BRACES.findall(text):
        if part == "{":
            within.append(before.strip())
            before = ""
        elif part == "}":
            if all(ON_SCREEN.match(each) for each in within[1:-1]) and len(within) > 1:
                yield within[-1], before
            del within[max(len(within) - 1, 1) :]
            before = ""
        else:
            before = part


def declarations(text: str) -> dict[str, str]:
    """The declarations of a style that say something of marks, hiding or numbering."""
    found = {}
    for part in text.split(";"):
        name, colon, value = part.partition(":")
        name = name.strip().lower()
        if colon and name in WANTED:
            found[name] = value.replace("!important", "").strip().lower()
    return found


WANTED = frozenset(
    {
        *("text-decoration", "text-decoration-line", "color", "display", "visibility", "font-weight", "font-style"),
        *("vertical-align", "white-space", "list-style", "list-style-type"),
    }
)


def classes(element: Element) -> frozenset[str]:
    """The classes of an element."""
    return frozenset(element.attributes.get("class", "").split()[:50])


def hidden(element: Element, style: Mapping[str, str]) -> bool:
    """Whether a reader does not see an element."""
    return (
        "hidden" in element.attributes
        or style.get("display", "").startswith("none")
        or style.get("visibility") in {"hidden", "collapse"}
    )


def look_in(element: Element, style: Mapping[str, str], around: Look) -> Look:
    """The look of words in an element, given that around it."""
    own = TAGS.get(element.name, PLAIN)
    look = around
    if own is not PLAIN:
        look = around._replace(
            mark=Mark.STRUCK if Mark.STRUCK in {own.mark, around.mark} else own.mark or around.mark,
            underlined=around.underlined or own.underlined,
            bold=around.bold or own.bold,
            italic=around.italic or own.italic,
            raised=around.raised or own.raised,
            keep=around.keep or own.keep,
        )
    if element.name == "#off":
        off = TAGS.get(element.attributes["of"], PLAIN)
        if off.mark or off.underlined:
            look = look._replace(mark=Mark.NONE, underlined=False)
    if element.name == "font" and "color" in element.attributes:
        look = look._replace(colour=colour(element.attributes["color"].strip().lower()) or look.colour)
    if style:
        look = _styled(look, style, heading=element.name in HEADINGS)
    if element.name == "a":
        raised = look.raised or element.attributes.get("role") == "doc-noteref" or CALLS & classes(element)
        look = look._replace(
            underlined=around.underlined, colour=around.colour, raised=bool(raised)
        )  # the look of a link is none
    return look


def _styled(look: Look, style: Mapping[str, str], *, heading: bool) -> Look:
    """A look with what a style says; a heading that is underlined as a whole is no insertion."""
    line = f"{style.get('text-decoration', '')} {style.get('text-decoration-line', '')}"
    if "line-through" in line:
        look = look._replace(mark=Mark.STRUCK)
    if "underline" in line and not heading:
        look = look._replace(underlined=True)
    if "color" in style:
        look = look._replace(colour=colour(style["color"]))
    weight = style.get("font-weight")
    if weight:
        look = look._replace(bold=weight.startswith("bold") or (weight.isdecimal() and int(weight[:5]) >= 600))  # noqa: PLR2004 - CSS
    if "font-style" in style:
        look = look._replace(italic=style["font-style"] in {"italic", "oblique"})
    if style.get("vertical-align") == "super":
        look = look._replace(raised=True)
    if "white-space" in style:
        look = look._replace(keep=style["white-space"] in {"pre", "pre-wrap", "pre-line", "break-spaces"})
    return look


def colour(text: str) -> str:
    """A colour of CSS as six hexadecimal digits; nothing for that of the text around and for what is not known."""
    if text in COLOURS:
        return COLOURS[text]
    if match := HEX.match(text):
        return match[1] if len(match[1]) == 6 else "".join(2 * digit for digit in match[1])  # noqa: PLR2004 - or three digits
    if match := RGB.match(text):
        return "".join(f"{min(int(part), 255):02x}" for part in match.groups())
    return ""
