"""Contrast of the site's colours by WCAG 2.2's formula, which is checked first against values computed elsewhere.

Source: WCAG 2.2, definitions of relative luminance and contrast ratio (w3c.github.io/wcag); the palette is that of
Okabe and Ito, "Color Universal Design" (2008).
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

PALETTE = {
    "orange": "#e69f00",
    "sky": "#56b4e9",
    "green": "#009e73",
    "yellow": "#f0e442",
    "blue": "#0072b2",
    "vermilion": "#d55e00",
    "purple": "#cc79a7",
}
STYLE = files("rulewatch.publish").joinpath("assets", "site.css").read_text(encoding="utf-8")


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb`, WCAG 2.2 (threshold 0.04045)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels]
    return sum(weight * value for weight, value in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, WCAG 2.2."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def theme(dark: bool) -> dict[str, str]:  # noqa: FBT001 - a parameter of the tests
    """The colours of a theme by name, as the style gives them."""
    light_rules, _, rest = STYLE.partition("@media (prefers-color-scheme: dark)")
    colours = dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", light_rules))
    if dark:
        colours |= dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", rest.partition("@media")[0]))
    return colours


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#000000", 21),
        ("#767676", 4.542225),
        ("#777777", 4.478089),
        ("#949494", 3.033470),
        ("#595959", 7.004729),
        ("#ff0000", 3.998477),
        ("#0000ff", 8.592471),
        ("#008000", 5.137403),
    ],
)
def test_formula_gives_the_known_ratios_on_white(colour, ratio):
    """The formula agrees with the ratios that other programs compute for these colours on white."""
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=1e-6)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("ground", ["paper", "wash"])
@pytest.mark.parametrize("text", ["ink", "soft", "link"])
def test_text_has_contrast(dark, ground, text):
    """Every text colour on every ground has at least 4.5 to 1 (WCAG 2.2, 1.4.3), in both themes."""
    colours = theme(dark)
    assert contrast(colours[text], colours[ground]) >= 4.5


@pytest.mark.parametrize("name", ["orange", "sky", "green", "yellow", "vermilion", "purple"])
def test_signs_have_contrast(name):
    """The sign inside a mark has at least 3 to 1 on its tint (WCAG 2.2, 1.4.11)."""
    colours = theme(dark=False)
    assert contrast(colours["glyph"], colours[name]) >= 3


@pytest.mark.parametrize("dark", [False, True])
def test_outlines_and_lines_have_contrast(dark):
    """Outlines of marks, change bars and the lines under and through words have 3 to 1 on the paper (WCAG 2.2, 1.4.11)."""
    colours = theme(dark)
    for name in ("ink", "sky" if dark else "blue", "vermilion"):
        assert contrast(colours[name], colours["paper"]) >= 3, name


def test_palette_is_the_published_one():
    """The colours of meaning are those of Okabe and Ito, unaltered."""
    colours = theme(dark=False)
    assert {name: colours[name] for name in PALETTE} == PALETTE


def test_no_other_colours_are_used():
    """Outside the themes every colour is one of their names, but for black and white on paper."""
    body = re.sub(r"(?s):root \{.*?\}", "", STYLE)
    literal = set(re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\([^)]*\)|\bhsl[^)]*\)", body))
    assert literal <= {"#000"}
