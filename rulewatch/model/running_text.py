"""Numbers and amounts inside sentences of a rule book, English or German.

A number here is what a reader takes for one: no clause reference (`5.2.1`, `see 4.2`, `Nummer 4`), no date, no part of a word
(`M8`, `36a`). In `10 to 12 mm`, `between 10 and 12 mm`, `10–12 mm` and `45 × 2.5 mm` the unit belongs to both numbers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from rulewatch.model.figures import ENGLISH_NUMBERS, OTHER_SIGN, SPACES, VULGAR, read_number
from rulewatch.model.quantity import LEAST_WORD, NUMBER, Amount, NumberStyle, Unit, find_unit
from rulewatch.model.units import PREFIXES, UNITS


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundNumber:
    """A number, plain where the text gives no unit, and where it stands: `text[start:end]`.

    A number that has its unit from the other end of a range covers its digits only.
    """

    amount: Amount
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundAmount:
    """An amount with a unit, and where it stands; as `FoundNumber`."""

    amount: Amount
    start: int
    end: int


def find_amounts(text: str, style: NumberStyle = ENGLISH_NUMBERS) -> tuple[FoundAmount, ...]:
    """Every amount with a unit in a text, in order."""
    return tuple(
        FoundAmount(amount=found.amount, start=found.start, end=found.end)
        for found in find_numbers(text, style)
        if found.amount.unit.symbol
    )


def find_numbers(text: str, style: NumberStyle = ENGLISH_NUMBERS) -> tuple[FoundNumber, ...]:
    """Every number in a text, with or without a unit, in order; clause references and dates are no numbers."""
    found: list[FoundNumber] = []
    referred = 0  # where the last clause reference ended, for "clauses 4 and 5"
    for token in _tokens(text):
        if not token.unit.symbol and _is_reference(text, token, referred):
            referred = token.end
        elif (number := _number(text, token, style)) is not None:
            whole = _whole(text, found[-1], token, number, style) if found else None
            found[len(found) - (whole is not None) :] = [whole or number]
    return tuple(_with_units_of_ranges(text, found))


# --- Tokens: digits with what belongs to them -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Token:
    """Digits from `start` to `digits_end` and their unit, up to `end`; `sign` is -1 behind a minus."""

    start: int
    digits_end: int
    end: int
    unit: Unit
    sign: int = 1


_MONTHS = (
    "January|February|March|April|May|June|July|August|September|October|November|December|Januar|Februar|März|Mai|Juni|Juli|"
    "Oktober|Dezember|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept|Sep|Oct|Okt|Nov|Dec|Dez"
)
_DATE = (
    rf"\d{{4}}-\d\d-\d\d(?!\d)|\d{{1,2}}([./])\d{{1,2}}\2\d{{4}}(?!\d)|\d{{1,2}}:\d\d(?!\d)|"
    rf"\d{{1,2}}(?:st|nd|rd|th|\.)?[{SPACES}\n](?:of[ ])?(?:{_MONTHS})\b\.?(?:,?[{SPACES}\n]\d{{4}}(?!\d))?"
)
_DIGITS = (
    rf"\d{{1,3}}(?:[{SPACES[1:]}]\d{{3}})+(?:[.,]\d+)?(?!\d)|"  # 1 050 with spaces that do not break
    rf"(?:\d{{1,4}}[-{SPACES}])?\d{{1,2}}[/⁄](?:64|32|16|12|10|8|6|5|4|3|2)(?![\d/]|[.,]\d)|"  # 10 1/4
    rf"(?:\d{{1,4}}[-{SPACES}]?)?[{VULGAR}]|"  # 10¼
    r"\d(?:[\d.,]{0,38}\d)?"
)
_BEGINS = re.compile(rf"[\d{VULGAR}]", re.ASCII)  # looked for first, since nearly all of a text is words
_LETTERS = "\u00c0-\u024f\u0370-\u04ff"  # beyond ASCII; the pattern of tokens is restricted to that for its digits
_WORD_RUN = re.compile(r"[\w.:-]*")
_SUB_LABEL = re.compile(r"\((?:[a-z]|\d{1,2}|[ivx]{1,5})\)|\.\w|:\d")
_IS_YEAR = re.compile(r"(?:19|20)\d\d", re.ASCII)
_SENTENCE_ENDS = re.compile(r"[)\]\"'”’]*(?:\s*\Z|\s*\n[^\S\n]*\n|\s+[A-ZÀ-ÖØ-Þ\d])")
_DECADE = re.compile(r"\s?(?:19|20)\d0|['’]\d0", re.ASCII)
INCHES_IN_A_FOOT = 12
_DIMENSION_SIGNS = "xX×"
_DIAMETER_SIGNS = "Øø⌀"


@cache
def _token_pattern() -> re.Pattern[str]:
    """A date; or digits, then perhaps a unit of the table or two of them joined. Units are sorted by letter for speed."""
    names = {name for row in UNITS for name in row.spellings.split("|") if name}
    names |= {name[0].upper() + name[1:] for name in names if len(name) >= LEAST_WORD and name[0].islower()}
    by_first: dict[str, list[str]] = {}
    for name in sorted(names, key=lambda name: (-len(name), name)):
        by_first.setdefault(name[0], []).append(re.escape(name[1:]).replace(r"\ ", r"\s"))
    unit = "|".join(f"{re.escape(first)}(?:{'|'.join(rest)})" for first, rest in sorted(by_first.items()))
    return re.compile(
        rf"(?P<date>{_DATE})|(?P<digits>{_DIGITS})"
        rf"(?:(?:[{SPACES}\n]?|-(?=[^\W\d_]{{2}}))(?P<unit>(?:{unit})(?:[/·⋅*](?:{unit}))?)(?![\w²³{_LETTERS}]))?",
        re.ASCII,
    )


def _tokens(text: str) -> Iterator[_Token]:
    """Digits that are no part of a word or date, each with its unit."""
    pattern, position, last_end = _token_pattern(), 0, -1
    while (begins := _BEGINS.search(text, position)) and (match := pattern.match(text, begins.start())):
        position = match.end()
        if match["date"]:
            continue
        token = _token(text, match)
        if _is_glued(text, token, last_end):
            if run := _WORD_RUN.match(text, token.digits_end):
                position = max(position, run.end())
            continue
        if text[token.start - 1 : token.start] == "." and not text[max(token.start - 2, 0) : token.start - 1].isalnum():
            token = replace(token, start=token.start - 1)  # .095 in
        sign = _sign(text, token.start, last_end)
        position, last_end = token.end, token.end
        yield replace(token, sign=sign) if sign < 0 else token


def _token(text: str, match: re.Match[str]) -> _Token:
    """A match with its unit settled: one that cannot be meant is left out again."""
    start, digits_end = match.span("digits")
    spelled = match["unit"]
    if spelled is None:
        prefix = _prefix(text, start)
        return _Token(start=start, digits_end=digits_end, end=digits_end, unit=prefix or NUMBER)
    end = match.end()
    unit = find_unit(" ".join(spelled.split()))
    if unit is None:  # two units that do not combine: "5 mm/%"
        first = re.split(r"[/·⋅*]", spelled)[0]
        unit, end = find_unit(" ".join(first.split())), match.start("unit") + len(first)
    if unit is None or not _is_meant(text, match, spelled):
        return _Token(start=start, digits_end=digits_end, end=digits_end, unit=NUMBER)
    if text[end - 1] == "." and _SENTENCE_ENDS.match(text, end):
        end -= 1
    return _Token(start=start, digits_end=digits_end, end=end, unit=unit)


def _is_glued(text: str, token: _Token, last_end: int) -> bool:
    """Whether the digits belong to a word, a label or a code: `M8`, `36a`, `T.2.3`, `4.2(a)`, `10:30`, `8853-2016`."""
    before, left = text[max(token.start - 2, 0) : token.start - 1], text[token.start - 1 : token.start]
    if left.isalnum() or left == "_":
        is_size = left in _DIMENSION_SIGNS and last_end in {token.start - 1, token.start - 2}
        if not is_size and left not in _DIAMETER_SIGNS:
            return True
    if left in {".", "-", "("} and before.isalnum() and last_end != token.start - 1:
        return True
    if token.end > token.digits_end or token.unit.symbol:
        return False
    right = text[token.end : token.end + 1]
    if right in _DIMENSION_SIGNS:
        return not text[token.end + 1 : token.end + 3].lstrip()[:1].isdigit() and right.isalpha()
    return right.isalnum() or right == "_" or _SUB_LABEL.match(text, token.end) is not None


def _sign(text: str, start: int, last_end: int) -> int:
    """-1 behind a minus, which a dash between two numbers is not."""
    if text[start - 1 : start] not in {"-", "−", "–"} or not start:
        return 1
    before = text[: start - 1][-8:].rstrip()
    is_range = last_end >= 0 and text[last_end : start - 1].strip() == "" and before != ""
    stands_free = start == 1 or text[start - 2] in " \t\n\u00a0([{:;=|,<>≤≥\"'"
    return -1 if stands_free and not is_range else 1


# --- Units that are meant ---------------------------------------------------------------------------------------------

# "in" is a preposition where a word like these follows: "10 in the engine bay", "2 in total".
_NO_INCH_BEFORE = re.compile(
    r"(?:[^\S\n]+|[^\S\n]*\n[^\S\n]*)(?:the|a|an|any|all|both|each|every|either|some|such|most|other|another|its|his|her|our|your|their|"
    r"this|that|these|those|which|number|total|front|addition|accordance|conformity|compliance|respect|relation|combination|"
    r"conjunction|place|force|parallel|series|case|class|classes|group|order|one|use|race|races|practice|qualifying|der|die|das|"
    r"den|dem|des|ein\w*|jede\w*|diese\w*|alle\w*|\d{4})\b"
)
# So it is before a name, "12.5 in Grand Tourer"; not before a term of measuring, nor at the end of a line that a label follows.
_NAME_AFTER = re.compile(r"(?:[^\S\n]+|[^\S\n]*\n[^\S\n]*(?![^\n:]{1,40}:))(?P<name>[A-ZÀ-ÖØ-Þ][\w-]*)")
_TERMS = (
    "od id dia diam diameter diameters max maximum min minimum nom nominal wide width high height long length deep depth thick "
    "thickness radius bore stroke npt bsp bsf unc unf sae iso din hg or and to by x"
)
_TERMS_OF_MEASURING = frozenset(_TERMS.split())
_LONGEST_QUOTATION = 300


def _is_meant(text: str, match: re.Match[str], spelled: str) -> bool:
    """Whether the letters behind digits are their unit, and no other word or a closing quotation mark."""
    start, after = match.start("digits"), match.end()
    if spelled == "in":
        is_year = _IS_YEAR.fullmatch(match["digits"]) is not None
        return not is_year and not _is_preposition(text, after) and not _reference_word(text, start)
    if spelled in _QUOTES:
        return not _closes_quotation(text[max(start - _LONGEST_QUOTATION, 0) : start], spelled)
    if len(spelled) == 1 and spelled.isalpha():
        return _is_letter_meant(text, match, spelled) and not _reference_word(text, start)  # class 5 A
    return True


def _is_preposition(text: str, after: int) -> bool:
    """Whether the word "in" that ends here leads to another word, and is no inch."""
    name = _NAME_AFTER.match(text, after)
    return _NO_INCH_BEFORE.match(text, after) is not None or (
        name is not None and name["name"].lower() not in _TERMS_OF_MEASURING
    )


def _is_letter_meant(text: str, match: re.Match[str], letter: str) -> bool:
    """Whether one letter is a unit: not in `the 1990s`, the label `9g)`, or `4.1 A car shall` at the start of a line."""
    start = match.start("digits")
    is_attached = match.end("digits") == match.start("unit")
    if letter == "s" and is_attached and _DECADE.fullmatch(text, max(start - 1, 0), match.end("digits")):
        return False
    if letter == "A" and _LINE_START.search(text, max(start - _FURTHEST_APART, 0), start):
        return False
    in_brackets = "(" in text[max(start - _LONGEST_QUOTATION, 0) : start].rpartition(")")[2]
    return in_brackets or text[match.end() : match.end() + 1] != ")"


_OPENS_AFTER = {"", " ", "\n", "\t", "(", "["}
_QUOTES = {'"': '"', "”": "“", "'": "'", "’": "‘", "''": "''"}


def _closes_quotation(before: str, sign: str) -> bool:
    """Whether a quotation was opened in the paragraph so far that this sign closes."""
    before = before[before.rfind("\n\n") + 1 :]
    opening = _QUOTES[sign]
    if opening != sign:
        return before.rfind(opening) > before.rfind(sign)
    last = before.rfind(sign)
    return last >= 0 and before[last + len(sign) :][:1].strip() != "" and before[:last][-1:] in _OPENS_AFTER


def _prefix(text: str, start: int) -> Unit | None:
    """The scale in front of digits: `RON 102`."""
    before = text[max(start - 9, 0) : start].rstrip(SPACES)
    if not before[-1:].isupper():
        return None
    name = next((name for name in PREFIXES if before.endswith(name)), "")
    if not name or before[: -len(name)][-1:].isalnum() or re.search(rf"\d[{SPACES}]?$", before[: -len(name)]):
        return None
    return find_unit(name)


# --- Clause references ------------------------------------------------------------------------------------------------

_ANNOUNCING = (
    "article articles art clause clauses rule rules regulation regulations section sections sec paragraph paragraphs para paras "
    "item items point points subsection subsections chapter chapters appendix appendices annex annexes annexe schedule "
    "schedules part parts note notes see no nos figure figures fig drawing drawings diagram diagrams table tables page pages "
    "p pp group groups class classes category categories bulletin bulletins "
    "artikel nummer nummern nr absatz absätze abs satz anlage anlagen anhang anhänge ziffer ziffern punkt punkte kapitel "
    "abschnitt abschnitte teil siehe buchstabe tabelle tabellen bild abbildung abb seite seiten gruppe gruppen klasse klassen "
    "paragraf paragrafen"
)
_REFERENCE_WORDS = frozenset(_ANNOUNCING.split())
_MONTH_WORDS = frozenset(_MONTHS.split("|"))
_LAST_WORD = re.compile(r"([^\W\d_]+|[§#])\.?[\s(]{0,2}\Z")
_REFERENCES_GO_ON = re.compile(r"\s*(?:,|;|&|–|-|/|to|and|or|through|bis|und|oder|sowie)\s*")
_LINE_START = re.compile(r"(?:\A|\n)[ \t(*-]*\Z")
_LABEL_END = re.compile(r"[.)](?:\s|\Z)")
_LABELLED = re.compile(r"\s*[(*-]*\d+[.)](?:\s|\Z)")
_PARAGRAPH_ENDS = re.compile(r"[^\S\n]*(?:\Z|\n[^\S\n]*(?:\Z|\n))")
_AWAITS_NUMBER = re.compile(
    r"\b(?:than|of|to|is|are|be|by|at|least|most|exceed|over|under|above|below|from|between|and|or|about|maximum|minimum|als|von|"
    r"auf|bis|um|mindestens|höchstens|über|unter|und|oder)\s*\Z",
    re.IGNORECASE,
)
_FURTHEST_APART = 12


def _is_reference(text: str, token: _Token, referred: int) -> bool:
    """Whether a number without a unit names a clause, a class, a page or a day: `see 4.2`, `Nummern 4 bis 6`, `# 3`, `2) `."""
    digits = text[token.start : token.digits_end]
    if digits.count(".") > 1 and "," not in digits and not re.fullmatch(r"\d{1,3}(?:\.\d{3})+", digits):
        return True
    if referred and token.start - referred <= _FURTHEST_APART and _REFERENCES_GO_ON.fullmatch(text, referred, token.start):
        return True
    if _is_label(text, token):
        return True
    return _reference_word(text, token.start)


def _is_label(text: str, token: _Token) -> bool:
    """Whether digits number a line: `2) `; not where a sentence was wrapped in front of its last number."""
    begins = _LINE_START.search(text, max(token.start - _FURTHEST_APART, 0), token.start)
    if begins is None or not _LABEL_END.match(text, token.end):
        return False
    if begins[0] != "\n" or text[token.end] != ".":
        return True
    above = text[text.rfind("\n", 0, begins.start()) + 1 : begins.start()]
    goes_on = _PARAGRAPH_ENDS.match(text, token.end + 1) or _AWAITS_NUMBER.search(above)
    return not (above.strip() and goes_on and not _LABELLED.match(above))


def _reference_word(text: str, start: int) -> bool:
    """Whether the word in front announces a reference or is a month."""
    match = _LAST_WORD.search(text, max(start - 24, 0), start)
    if match is None:
        return False
    word = match[1]
    return word in "§#" or word in _MONTH_WORDS or word.lower() in _REFERENCE_WORDS


# --- Values -----------------------------------------------------------------------------------------------------------


def _number(text: str, token: _Token, style: NumberStyle) -> FoundNumber | None:
    """A token's value; None where neither the style nor a slip of the press explains its digits."""
    digits = text[token.start : token.digits_end]
    value = read_number(digits, style)
    if value is None and (token.unit.symbol or "," in digits):
        value = read_number(digits, OTHER_SIGN.get(style.decimal, style))
    if value is None:
        return None
    start = token.start - 1 if token.sign < 0 else token.start
    printed = " ".join(text[start : token.end].split())
    if token.unit.symbol and token.end == token.digits_end:
        printed = f"{token.unit.symbol} {printed}"
    return FoundNumber(
        amount=Amount(number=-value if token.sign < 0 else value, unit=token.unit, printed=printed), start=start, end=token.end
    )


def _whole(text: str, before: FoundNumber, token: _Token, number: FoundNumber, style: NumberStyle) -> FoundNumber | None:
    """The one number that two make together: `1 050 kg`, `6 ft 2 in`; None where they are two."""
    if not token.unit.symbol or text[before.end : token.start] not in {"", " "}:
        return None
    first, second = text[before.start : before.end], text[token.start : token.digits_end]
    if re.fullmatch(r"[1-9]\d?", first) and re.fullmatch(r"\d{3}(?:[.,]\d+)?", second) and before.end < token.start:
        return _number(text, replace(token, start=before.start), style)
    amount = feet_and_inches(before.amount, number.amount, text[before.start : token.end])
    return FoundNumber(amount=amount, start=before.start, end=token.end) if amount else None


def feet_and_inches(feet: Amount, inches: Amount, printed: str) -> Amount | None:
    """Whole feet and less than twelve inches as one amount in inches; None where it is anything else."""
    if (feet.unit.symbol, inches.unit.symbol) != ("ft", "in") or feet.number.denominator != 1:
        return None
    if not 0 <= inches.number < INCHES_IN_A_FOOT:
        return None
    size = -inches.number if feet.number < 0 else inches.number
    return Amount(number=feet.number * INCHES_IN_A_FOOT + size, unit=inches.unit, printed=" ".join(printed.split()))


_RANGE = re.compile(r"\s*(?:±|\+/[-−]|to|and|or|bis|und|oder|–|-|−|[x×X])\s*")
_LIST = re.compile(r",\s*")


def _with_units_of_ranges(text: str, found: list[FoundNumber]) -> list[FoundNumber]:
    """Give each number without a unit that of the number it is joined to: `10, 12 or 14 mm`, `45 × 2.5 mm`."""
    joined = list(found)
    for index in range(len(found) - 2, -1, -1):
        one, other = joined[index], joined[index + 1]
        if one.amount.unit.symbol or not other.amount.unit.symbol or other.start - one.end > _FURTHEST_APART:
            continue
        shares = other.end == found[index + 1].end and other is not found[index + 1]
        if _RANGE.fullmatch(text, one.end, other.start) or (shares and _LIST.fullmatch(text, one.end, other.start)):
            unit = other.amount.unit
            amount = replace(one.amount, unit=unit, printed=f"{one.amount.printed} {unit.symbol}")
            joined[index] = replace(one, amount=amount)
    return joined
