"""Letters of symbol fonts as Unicode, and formulas as one line of words."""

from __future__ import annotations

from collections.abc import Iterator

from rulewatch.intake.docx_xml import Node, chosen

PRIVATE = 0xF000  # where word processors put the letters of such fonts
# The font Symbol by its codes; the encoding is Adobe's, written down from memory.
_GREEK = "αβχδεφγηιϕκλμνοπθρστυϖωξψζ"  # from a on
_GREEK_CAPITALS = "ΑΒΧΔΕΦΓΗΙϑΚΛΜΝΟΠΘΡΣΤΥςΩΞΨΖ"  # from A on
_SIGNS = (
    *("2D −", "40 ≅", "5E ⊥", "A2 ′", "A3 ≤", "A5 ∞", "AB ↔", "AC ←", "AD ↑", "AE →", "AF ↓", "B0 °", "B1 ±", "B2 ″", "B3 ≥"),
    *("B4 ×", "B5 ∝", "B7 •", "B8 ÷", "B9 ≠", "BA ≡", "BB ≈", "BC …", "C6 ∅", "D0 ∠", "D6 √", "D7 ⋅", "DE ⇒", "E5 ∑"),
)
SYMBOL = {
    **{code: chr(code) for code in range(ord(" "), ord("@"))},
    **{ord("a") + at: sign for at, sign in enumerate(_GREEK)},
    **{ord("A") + at: sign for at, sign in enumerate(_GREEK_CAPITALS)},
    **{int(each[:2], 16): each[3] for each in _SIGNS},
}
UNKNOWN = "\ufffd"
SURROGATES = 0xD800
PARTS = frozenset({"m:num", "m:den"})


def symbol(code: int, font: str) -> str:
    """A letter of a symbol font; `UNKNOWN` for one that is not known."""
    if PRIVATE <= code < PRIVATE + 0x100:
        return UNKNOWN if "ding" in font.lower() else SYMBOL.get(code - PRIVATE, UNKNOWN)  # fonts of pictures are named so
    return chr(code) if ord(" ") <= code < SURROGATES else UNKNOWN


def plain(text: str, font: str = "") -> str:
    """A text with the letters of symbol fonts in it as Unicode."""
    if not any("\uf000" <= sign <= "\uf0ff" for sign in text):
        return text
    return "".join(symbol(ord(sign), font) if "\uf000" <= sign <= "\uf0ff" else sign for sign in text)


def formula(node: Node) -> Iterator[tuple[str, bool]]:
    """The words of a formula in one line, each with whether it is raised: a fraction with a bar, a root with its sign."""
    match node.name:
        case "m:t":
            yield node.text, False
        case "m:f":
            yield from _inside(node.first("m:num"))
            yield "/", False
            yield from _inside(node.first("m:den"))
        case "m:sup":
            yield "".join(text for text, _ in _inside(node)), True
        case "m:rad":
            yield "√", False
            yield from _inside(node.first("m:e"))
        case _:
            yield from _inside(node)


def _inside(node: Node | None) -> Iterator[tuple[str, bool]]:
    """What is in a part of a formula; in brackets where it is half of a fraction and more than one word."""
    if node is None:
        return
    words = [each for child in chosen(node) for each in formula(child)]
    bracketed = node.name in PARTS and len(words) > 1
    yield from [("(", False), *words, (")", False)] if bracketed else words
