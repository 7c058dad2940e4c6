"""Numbers as a body prints them, to exact fractions: `1,050`, `1.050,5`, `10¼`, `10 1/4`, `.095`."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import cache, lru_cache

from rulewatch.model.quantity import NumberStyle

ENGLISH_NUMBERS = NumberStyle()
# What our own YAML takes: the decimal point and nothing else, since a comma there parts values.
YAML_NUMBERS = NumberStyle(decimal=".", thousands="")
# What to try for a number in running text that its body's style cannot have meant: a slip of the press.
OTHER_SIGN = {".": NumberStyle(decimal=",", thousands="."), ",": NumberStyle(decimal=".", thousands=",")}

SPACES = " \u00a0\u2007\u2009\u202f"
VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
LONGEST_NUMBER = 40

_VULGAR = re.compile(rf"(?:(?P<whole>\d+)[-{SPACES}]?)?(?P<sign>[{VULGAR}])", re.ASCII)
_SLASHED = re.compile(rf"(?:(?P<whole>\d+)[-{SPACES}])?(?P<top>\d+)[/⁄](?P<bottom>\d+)", re.ASCII)


@lru_cache(maxsize=4096)
def read_number(text: str, style: NumberStyle) -> Fraction | None:
    """The exact value of a number without a sign or unit; None where the style does not print numbers so."""
    if len(text) > LONGEST_NUMBER:
        return None
    if match := _VULGAR.fullmatch(text):
        top, _, bottom = unicodedata.normalize("NFKC", match["sign"]).partition("⁄")
        return int(match["whole"] or 0) + Fraction(int(top), int(bottom))
    if match := _SLASHED.fullmatch(text):
        whole, top, bottom = match["whole"], match["top"], match["bottom"]
        if not int(bottom) or (whole and int(top) >= int(bottom)):
            return None
        return int(whole or 0) + Fraction(int(top), int(bottom))
    match = _plain(style).fullmatch(text)
    if not match:
        return None
    whole = "".join(filter(str.isdigit, match["whole"] or "0"))
    return Fraction(f"{whole}.{match['places'] or 0}")


@cache
def _plain(style: NumberStyle) -> re.Pattern[str]:
    """Digits in the style: grouped in threes by one sign throughout and not led by a zero, or in one piece."""
    grouped = (
        rf"[1-9]\d{{0,2}}(?:(?P<part>[{re.escape(style.thousands)}{SPACES}])\d{{3}})(?:(?P=part)\d{{3}})*|"
        if style.thousands
        else ""
    )
    decimal = re.escape(style.decimal)
    return re.compile(rf"(?=.*\d)(?P<whole>{grouped}\d+)?(?:{decimal}(?P<places>\d+))?", re.ASCII)
