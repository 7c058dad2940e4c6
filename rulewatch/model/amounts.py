"""Amounts written out: `10¼ in`, `1,050 kg`, `98 dB(A)`, `RON 102`, read strictly and whole.

Anything that is not exactly one number with at most one unit is refused with a reason. Amounts inside sentences are found by
`running_text.py`, whose functions are offered here too.
"""

from __future__ import annotations

import difflib
import re

from rulewatch.model.figures import ENGLISH_NUMBERS, SPACES, VULGAR, YAML_NUMBERS, read_number
from rulewatch.model.quantity import Amount, NumberStyle, find_unit, spellings
from rulewatch.model.running_text import FoundAmount, FoundNumber, feet_and_inches, find_amounts, find_numbers
from rulewatch.model.units import PREFIXES

__all__ = ["YAML_NUMBERS", "FoundAmount", "FoundNumber", "NumberStyle", "find_amounts", "find_numbers", "read_amount"]

LONGEST = 80
MINUS = "-−–"

_NUMBER = rf"[\d{VULGAR}.,](?:[\d{VULGAR}.,{SPACES}/⁄-]*[\d{VULGAR}])?"
_WHOLE = re.compile(rf"(?P<sign>[{MINUS}+])?(?P<number>{_NUMBER})[{SPACES}]?(?P<unit>.*)", re.ASCII)
_SCALE_FIRST = re.compile(rf"(?P<unit>{'|'.join(PREFIXES)})[{SPACES}]?(?P<number>{_NUMBER})", re.ASCII)
_FEET_AND_INCHES = re.compile(r"(?P<feet>.+?(?:ft|feet|foot|['′’])) ?(?P<inches>\d.*?(?:in|inch|inches|[\"″”]))")
_SEVERAL = re.compile(r"[×*/;:–−±-]|x ?\d", re.ASCII)


def read_amount(text: str, style: NumberStyle = ENGLISH_NUMBERS) -> Amount | str:
    """The whole text as one amount; a text that is wrong gives its fault: a code of `CODES`, a space, and what is wrong.

    The codes are `bad-amount`, `unit-unknown` and `decimal-comma`. A number without a unit is a plain number; whether a unit
    was needed is for the caller to say. The digits are kept as printed. Feet with inches (`6 ft 2 in`) come out in inches.
    """
    written = text.strip()
    if not written or len(written) > LONGEST:
        return f"bad-amount {_quoted(written) if written else 'nothing'} is no number with a unit"
    match = _SCALE_FIRST.fullmatch(written) or _WHOLE.fullmatch(written)
    if match is None:
        return f"bad-amount {_quoted(written)} {_why_no_number(written)}"
    unit = find_unit(match["unit"].strip())
    if unit is None:
        return _feet_and_inches(written, style) or _unknown_unit(written, match["unit"].strip())
    number = read_number(match["number"], style)
    if number is None:
        return _bad_number(written, match["number"], style)
    negative = match.re is _WHOLE and (match["sign"] or "+") in MINUS
    return Amount(number=-number if negative else number, unit=unit, printed=written)


def _feet_and_inches(written: str, style: NumberStyle) -> Amount | None:
    """`6 ft 2 in` and `6' 2"`, which are one amount."""
    match = _FEET_AND_INCHES.fullmatch(written)
    if match is None:
        return None
    feet, inches = read_amount(match["feet"], style), read_amount(match["inches"], style)
    if isinstance(feet, str) or isinstance(inches, str):
        return None
    return feet_and_inches(feet, inches, written)


def _bad_number(written: str, number: str, style: NumberStyle) -> str:
    """Why digits are no number of the style, with what to write instead."""
    if style.decimal == "." and "," in number:
        pieces = number.rpartition(",")
        if style.thousands == "" and re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+", number, re.ASCII):
            meant = f"`{written.replace(',', '')}`, or `{written.replace(',', '.')}` where the comma parts decimals"
            return f"decimal-comma {_quoted(written)} has a comma; write {meant}"
        if pieces[0].isdigit() and pieces[2].isdigit():
            return f"decimal-comma {_quoted(written)} has a decimal comma; write `{written.replace(',', '.')}`"
    if style.decimal == "," and "." in number:
        return f"bad-amount {_quoted(written)} has a point where a comma parts decimals; check what the book prints"
    if not style.thousands and read_number(number, ENGLISH_NUMBERS) is not None:
        joined = "".join(character for character in number if character not in SPACES)
        return f"bad-amount {_quoted(written)} has a space inside the number; write `{written.replace(number, joined)}`"
    return f"bad-amount {_quoted(written)} holds no single number; write digits with `{style.decimal}` before decimals"


def _why_no_number(written: str) -> str:
    """Why a text does not begin like an amount."""
    if written.startswith(("±", "+/-", "+-")):
        return "is a tolerance and no amount; leave the sign out"
    if written.startswith(("<", ">", "≤", "≥", "=", "~", "≈")):
        return "begins with a comparison; say it with min, max, over or under"
    return "does not begin with a number"


def _unknown_unit(written: str, unit: str) -> str:
    """What is wrong behind the number: a second number, or a unit that is not known."""
    if _SEVERAL.match(unit):
        return f"bad-amount {_quoted(written)} is more than one number; write one number with its unit"
    near = difflib.get_close_matches(unit, list(spellings()), n=1, cutoff=0.6)
    same = [name for name in spellings() if name.lower() == unit.lower()]
    offered = [*same, *near]
    remedy = f"; did you mean `{offered[0]}`?" if offered else ""
    return f"unit-unknown {_quoted(unit)} in {_quoted(written)} is no unit that is known{remedy}"


def _quoted(text: str) -> str:
    return f"`{text if len(text) <= LONGEST else text[: LONGEST - 1] + '…'}`"
