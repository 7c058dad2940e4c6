"""Labels of clauses as rule books print them: `4.2.1`, `4b3a)`, `§ 36a`, `(2)`, `a)`, `Annex A`, and what only looks like one.

Here a label is judged by itself; whether it fits the numbering around it is for `clause_numbering.py` to say.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import NamedTuple

from rulewatch.model.clause import roman_number
from rulewatch.model.marks import SIGNS, STRUCK


class Form(Enum):
    """What a label says of its place."""

    NUMBER = "number"  # the whole number: 4.2.1, 4b3a, T.2.3, 5
    NAMED = "named"  # a number with its kind before it: § 36a, Article 5, Rule 7
    ANNEX = "annex"  # an annex, appendix or schedule, in which numbering may restart
    RELATIVE = "relative"  # the last part only: (2), 1., a), (i)


class Setting(Enum):
    """Where a label may stand. Fewer things are mistaken for one in a heading than in running text."""

    HEADING = "heading"
    ITEM = "item"
    CELL = "cell"  # the first of a table's row
    TEXT = "text"


# Every label asks for these; in Python 3.11 the way to a member through its class takes ten times as long as a name.
AS_NUMBER, AS_NAMED, AS_ANNEX, AS_RELATIVE = Form
IN_HEADING, IN_ITEM, IN_CELL, IN_TEXT = Setting


@dataclass(frozen=True, slots=True)
class Step:
    """One way to read a relative label: the script it counts in, how far it has come, and the letters of an insertion."""

    script: str
    ordinal: int
    insert: str = ""

    def follows(self, other: Step) -> bool:
        """Whether this is the very next one: 4 or 3a after 3, b after a, 3b after 3a."""
        if self.script != other.script:
            return False
        if self.ordinal == other.ordinal:
            return bool(self.insert) and (len(self.insert), self.insert) > (len(other.insert), other.insert)
        return self.ordinal == other.ordinal + 1 and not self.insert

    def after(self, other: Step) -> bool:
        """Whether this comes anywhere later in the same count."""
        return self.script == other.script and (self.ordinal, self.insert) > (other.ordinal, other.insert)


class Label(NamedTuple):
    """A label at the start of a text.

    `core` is it without a closing bracket or full stop, and `end` where the text behind it begins. `parts` are the parts of
    a number (of a named one: its number), `steps` the ways to read a relative one, the likelier first. `style` is the
    brackets or the name. A `doubtful` one counts only where its number is just the next to come. `carry` is the emphasis that
    opened before the label and closes in the text behind it; `struck` means that the label itself is struck. A tuple, since a
    book has thousands of them.
    """

    printed: str
    core: str
    form: Form
    end: int
    style: str = ""
    parts: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    doubtful: bool = False
    carry: str = ""
    struck: bool = False


ANNEXES = (
    r"annex(?:e)?|appendix|schedule|attachment|addendum|supplement|anlage|anhang|annexe|appendice|allegato|anexo|bijlage|bilaga"
)
NAMES = (
    r"article|art\.|artikel|section|sec\.|rule|regulation|clause|chapter|part|title|division|paragraph"
    r"|abschnitt|kapitel|teil|titel|regel|règle|chapitre|titre|articolo|artículo|capítulo"
)
NUMERAL = r"\d{1,3}(?:[ ]?(?:bis|ter|quater)\b|[a-zA-Z]{1,2}(?![a-zA-Z]))?"
DESIGNATOR = rf"(?:{NUMERAL}|[IVXLC]{{1,7}}[a-z]?(?!\w)|[A-Z]{{1,2}}\d{{0,2}}(?!\w))(?:\.\d{{1,3}}[a-z]?(?!\w))*"

NAMED = re.compile(
    rf"(?:(?P<sign>§)[ \u00a0]{{0,2}}(?P<sign_number>{NUMERAL}(?:\.\d{{1,3}})*)"
    rf"|(?P<name>(?i:{ANNEXES}|{NAMES}))(?!\w)(?:[ \u00a0]{{1,2}}(?P<number>{DESIGNATOR}))?)(?!\w)"
)
IS_ANNEX = re.compile(rf"(?i:{ANNEXES})\Z")
# 4.2.1, 9.1.2.F.4.a, T.2.3, 3.1.6A, with sub-labels in brackets behind: 4.2.1(a)(ii)
DOTTED = re.compile(
    r"(?P<core>(?:\d{1,3}[a-zA-Z]{0,2}|[A-Z]{1,3}\d{0,3})(?:\.(?:\d{1,3}[a-zA-Z]{0,2}|[a-zA-Z]|[ivx]{1,5}))+"
    r"(?:\((?:\d{1,3}|[a-z]{1,3})\))*)(?P<close>[.):]?)(?![^\W_]|[.,/])"
)
# 4b3a, A1a2: digits and letters by turns
WOVEN = re.compile(
    r"(?P<core>(?:\d{1,3}(?:[a-z]{1,2}\d{1,3})*(?:[a-z]{1,2})?|[A-Z]\d{1,3}(?:[a-z]{1,2}\d{1,3})*(?:[a-z]{1,2})?))"
    r"(?P<close>[.):]?)(?![^\W_]|[.,/-])"
)
ENCLOSED = re.compile(r"\((?P<core>\d{1,3}[a-z]{0,2}|[a-zA-Z]|(?P<twin>[a-zA-Z])(?P=twin){1,2}|[ivxIVX]{2,6})\)(?![^\W_])")
CLOSED = re.compile(
    r"(?P<core>\d{1,3}[a-z]{0,2}|[a-zA-Z]|(?P<twin>[a-zA-Z])(?P=twin){1,2}|[ivxIVX]{2,6}|[IVX]{1,6}[a-z])(?P<close>[.)])(?![^\W_]|[.,)/])"
)
SHORT = re.compile(r"[(\d]|[a-zA-Z]{1,7}[.)\d]")  # what every label without a name begins with
GROUPS = re.compile(r"\d+|[a-zA-Z]+")
REPLACED = re.compile(r"~~[^\s~]{1,20}~~\s*(?=\+\+)")
EMPHASIS = re.compile(r"\*{1,3}|_{1,3}")
BEHIND = re.compile(r":?\s*")
BEHIND_IN_HEADING = re.compile(r"\s*[:–—-](?=\s|$)\s*")
BLANKS = re.compile(r"\s*")
INITIALS = re.compile(r"[a-zA-Z]\.[ \u00a0]?[a-zA-Z]\.")
MONTH = re.compile(
    r"(?i:jan(?:uary|uar|\.)?|feb(?:ruary|ruar|\.)?|mar(?:ch|\.)|märz|apr(?:il|\.)|may|mai|june?|juni|july?|juli|aug(?:ust|\.)"
    r"|sept?(?:ember|\.)?|o[ck]t(?:ober|\.)?|nov(?:ember|\.)?|de[cz](?:ember|\.)?)(?!\w)"
)
# What stands behind an amount; not a register of units, only enough to tell an amount from a number of a clause.
# `A` before a word is the article, not the ampere: "6.2 A rear wing".
UNIT = re.compile(
    r"(?:[µμ]?m|[cdk]?m[²³23]?|mm[²³23]?|in\.?(?=\s*[(),;.]|$)|ft|kg|g|t|lbs?|oz|k?N|Nm|N·m|k?W|hp|PS|bhp|V|A(?!\s+\w)|Ah|k?Hz|l|L|cc|ccm|bar|psi|[kM]?Pa"
    r"|rpm|km/h|mph|m/s|s|h|min|dB(?:\(A\))?|°[CF]?|[°%‰×x:/=+−–]|K)(?![\w])"
    r"|[\"″'′°%‰×=](?!\w)"
    r"|(?i:inch(?:es)?|feet|foot|yards?|miles?|met(?:er|re)s?|millimet(?:er|re)s?|centimet(?:er|re)s?|kilomet(?:er|re)s?|lit(?:er|re)s?"
    r"|gallons?|kilograms?|kilogramm|grams?|gramm|pounds?|tons?|tonnes?|tonnen|volts?|watts?|ampere?s?|degrees?|grad|percent|prozent|per[ ]cent"
    r"|hours?|minutes?|seconds?|days?|weeks?|months?|years?|stunden?|minuten?|sekunden?|tage?|monate?|jahre?n?|times|euros?|dollars?)(?!\w)"
)
AND_ANOTHER = re.compile(r"(?:and|or|to|und|oder|bis|et|ou)\s+\(?\d")
AMOUNT = re.compile(r"\d+(?:\.\d+)?")
SHORTEST_WORD = 4  # letters of a unit that is written out
LETTERS = "abcdefghijklmnopqrstuvwxyz"
LONGEST_TWIN = 3
LONGEST_DECIMAL = 2  # parts of a number that could be a decimal fraction
LONGEST_MIX = 3  # parts from which digits and letters by turns are a label without a bracket
MOST = 199  # the highest number that is taken for a single count in brackets or before a full stop


@lru_cache(maxsize=32_768)  # most lines of a book stand in its next edition too
def read_label(text: str, start: int, setting: Setting) -> Label | None:
    """The label at a place in a line, with any emphasis around it; None where the text does not begin with one.

    The label may be marked as inserted or struck, alone or with the words behind it. A number that is struck in front of an
    inserted one has given way to it.
    """
    if not text.startswith(SIGNS, start):
        return _read_label(text, start, setting)
    replaced = REPLACED.match(text, start)
    start = replaced.end() if replaced else start
    sign = text[start : start + 2]
    closing = text.find(sign, start + 2)
    open_ended = f"{text[:start]}  {text[start + 2 :]}"
    label = _read_label(open_ended.rstrip().removesuffix(sign), start + 2, setting)
    carry = sign
    if label is None and closing > 0:  # the mark ends right behind the label
        label = _read_label(f"{open_ended[:closing]}  {open_ended[closing + 2 :]}", start + 2, setting)
        carry = ""
    return label._replace(carry=carry + label.carry, struck=sign == STRUCK) if label is not None else None


def _read_label(text: str, start: int, setting: Setting) -> Label | None:
    mark = EMPHASIS.match(text, start) if text.startswith(("*", "_"), start) else None
    opening = mark.group() if mark else ""
    begin = start + len(opening)
    titled = bool(opening) and text.rstrip().endswith(opening) and opening not in text[begin:].rstrip().removesuffix(opening)
    if titled and setting is IN_TEXT:
        setting = IN_HEADING  # a paragraph that is one emphasised line is a heading in all but name
    label = _named(text, begin, setting)
    if label is None and SHORT.match(text, begin):
        label = _relative(text, begin) or _number(text, begin, setting)
    if label is None:
        return None
    end, carry = label.end, ""
    if opening and text.startswith(opening, end):
        end += len(opening)
        end += text.startswith((".", ":", ")"), end)
    elif titled:
        carry = opening
    if (opening and end == label.end and not carry) or (text[end : end + 1].strip() and text[end] not in ":–—"):
        return None
    end = _skip_separator(text, end, setting)
    if _is_other_number(label, text, end):
        return None
    if bare_count(label) and not _stands_as_number(text, end, setting, alone=bool(opening) and not carry):
        return None
    doubtful = label.form is AS_NUMBER and label.doubtful and not _begins_sentence(text, end, setting)
    doubtful = doubtful or _unit_behind(label, text, end) is not None
    return label._replace(end=end, carry=carry, doubtful=doubtful)


def _is_other_number(label: Label, text: str, end: int) -> bool:
    """Whether what stands behind a number makes it a day, an amount or one of several: `1. May`, `1.5 litres`, `4.1 and 4.2`."""
    if (label.form is AS_NUMBER or label.form is AS_RELATIVE) and (MONTH.match(text, end) or AND_ANOTHER.match(text, end)):
        return True
    unit = _unit_behind(label, text, end)
    return unit is not None and (bare_count(label) or not _may_begin_a_word(text, unit))


def _unit_behind(label: Label, text: str, end: int) -> re.Match[str] | None:
    """What looks like a unit behind a label that could be the number of an amount: `10 mm`, `1.5 litres`."""
    bare = label.form is AS_NUMBER and label.printed == label.core and AMOUNT.fullmatch(label.core)
    return UNIT.match(text, end) if bare and not text.startswith(SIGNS, end) else None


def _may_begin_a_word(text: str, unit: re.Match[str]) -> bool:
    """Whether what looks like a unit may as well begin a title: `1.2 V-belts`, `3.1 A, B and C cars`, `8.6 Feet of the cage`.

    Such a number is a label where it is just the next to come.
    """
    if not unit[0][0].isupper():
        return False
    return len(unit[0]) >= SHORTEST_WORD or (len(unit[0]) == 1 and re.match(r"[-/,]?\s*\w|$", text[unit.end() :]) is not None)


def bare_count(label: Label) -> bool:
    """Whether the label is a lone number without bracket or full stop: `5`."""
    return label.form is AS_NUMBER and len(label.parts) == 1 and label.printed == label.core


def _skip_separator(text: str, end: int, setting: Setting) -> int:
    """The place behind a colon, or in a heading a dash, and behind white space."""
    found = (BEHIND_IN_HEADING if setting is IN_HEADING else BEHIND).match(text, end) or BLANKS.match(text, end)
    return found.end() if found else end


def _stands_as_number(text: str, end: int, setting: Setting, *, alone: bool) -> bool:
    """Whether a lone number is a label: `## 5 Wheels`, `**5** Wheels`, but not `5 wheels` in a paragraph."""
    behind = text[end : end + 1]
    if setting is IN_HEADING or alone:
        return not behind or not (behind.islower() or behind.isdigit())
    return not behind and setting is IN_TEXT


def _begins_sentence(text: str, end: int, setting: Setting) -> bool:
    """Whether what stands behind a number reads as the start of a clause rather than as a sentence that goes on."""
    if setting is IN_HEADING:
        return True
    behind = text[end : end + 1]
    return behind.isupper() or behind in {"(", "[", "*", "_", '"', "“", "„", "«", "‘", "'"} - {""} if behind else False


def _named(text: str, begin: int, setting: Setting) -> Label | None:
    """`§ 36a`, `Article 5`, `Annex A`; in running text only where a title or nothing follows."""
    match = NAMED.match(text, begin) if setting is not IN_CELL else None
    if match is None:
        return None
    name, number = (match["sign"], match["sign_number"]) if match["sign"] else (match["name"], match["number"])
    annex = bool(IS_ANNEX.match(name))
    end = match.end()
    end += text.startswith(".", end) and not text.startswith("..", end)
    behind = text[end:].lstrip("*_")
    if number is None:
        # A name without a number: the one annex of a book, as a heading or, in plain text, in capitals with its title.
        if not annex or not re.match(r"\s*(?:$|[(:–—-])" if setting is IN_HEADING else r"\s*[:–—-]\s+[^.;]+$", behind):
            return None
        if setting is not IN_HEADING and not (setting is IN_TEXT and name.isupper()):
            return None
    elif setting is not IN_HEADING and not re.match(r"\s*(?:$|[:–—-]|\([^()]*\)$|[^\W\d_a-zß-öø-ÿ][^.;,]*$)", behind):
        return None
    printed = text[begin : match.end()]
    core = " ".join(printed.split())
    parts = tuple(part for group in (number or "").split(".") if (part := group.strip())) if not annex else ()
    return Label(printed=printed, core=core, form=AS_ANNEX if annex else AS_NAMED, end=end, style=name.casefold(), parts=parts)


def _relative(text: str, begin: int) -> Label | None:
    """`(2)`, `1.`, `a)`, `(i)`, `aa)`, `3a.`: a count within the clause above."""
    match = ENCLOSED.match(text, begin)
    style = "()"
    if match is None:
        match = CLOSED.match(text, begin)
        if match is None:
            return None
        style = match["close"]
    core = match["core"]
    if style == "." and INITIALS.match(text, begin):
        return None
    steps = count(core)
    if not steps:
        return None
    parts = tuple(GROUPS.findall(core)) if core[0].isdigit() and style != "()" else ()
    return Label(
        printed=match.group().rstrip(":"), core=core, form=AS_RELATIVE, end=match.end(), style=style, parts=parts, steps=steps
    )


def count(core: str) -> tuple[Step, ...]:
    """The ways to read a short label as a count, the likelier first: `i` as a letter or a numeral, `aa` after `z` or alone."""
    if core[0].isdigit():
        digits, insert = core.rstrip(LETTERS), core.lstrip("0123456789")
        return (Step("1", int(digits), insert),) if int(digits) <= MOST else ()
    if core[0].isupper() and core[-1].islower():
        value = roman_number(core[:-1])
        return (Step("I", value, core[-1]),) if value else ()
    small = core.lower()
    case = "A" if core != small else "a"
    steps: list[Step] = []
    if len(core) == 1:
        steps.append(Step(case, LETTERS.index(small) + 1))
    if value := roman_number(small):
        steps.append(Step("I" if case == "A" else "i", value))
    if 1 < len(core) <= LONGEST_TWIN and len(set(small)) == 1:
        steps.append(Step(case, 26 * (len(core) - 1) + LETTERS.index(small[0]) + 1))
        steps.append(Step(case * len(core), LETTERS.index(small[0]) + 1))
    return tuple(steps)


def _number(text: str, begin: int, setting: Setting) -> Label | None:
    """`4.2.1`, `T.2.3`, `4b3a)`, and a lone `5`."""
    match = DOTTED.match(text, begin)
    if match and any(character.isdigit() for character in match["core"]):
        core = match["core"]
        parts = tuple(core.replace("(", ".").replace(")", "").split("."))
        plain = len(parts) == LONGEST_DECIMAL and not match["close"]
        return Label(
            printed=match.group().rstrip(":"),
            core=core,
            form=AS_NUMBER,
            end=match.end(),
            parts=parts,
            doubtful=plain or core[0].isdigit(),
        )
    match = WOVEN.match(text, begin)
    if match is None:
        return None
    core = match["core"]
    parts = tuple(GROUPS.findall(core))
    needed = LONGEST_MIX if setting in {IN_ITEM, IN_TEXT} else 1
    if match["close"] not in {")", "."} and len(parts) < needed and not (len(parts) == 1 and core.isdigit()):
        return None
    if len(parts) > 1 and match["close"] != ")" and setting in {IN_TEXT, IN_CELL}:
        return None
    return Label(printed=match.group().rstrip(":"), core=core, form=AS_NUMBER, end=match.end(), parts=parts, doubtful=False)
