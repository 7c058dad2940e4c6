"""The sentences of drafting offices, each as an instruction, such as `In 5.2.1, replace “60 mm” with “75 mm”`.

A sentence may command (`Delete 5.3.`) or tell (`5.3 is deleted.`). The forms are those of `docs/reference/bulletins.md`.
Vocabulary after the U.S. Federal Register Document Drafting Handbook: add, remove, revise, redesignate, reserve, correct, suspend.
"""

from __future__ import annotations

import re
from dataclasses import replace

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.instruction import Instruction, Target
from rulewatch.parse.fields import nearest, shortened
from rulewatch.parse.instruction_clauses import VERBS
from rulewatch.parse.instruction_cursor import MASK, Cursor, masked
from rulewatch.parse.instruction_words import COUNTED, EVERY, WORDS

# What each verb is called when a sentence tells.
TOLD: dict[str, tuple[str, ...]] = {
    "add": ("added",),
    "insert": ("inserted",),
    "remove": ("removed",),
    "delete": ("deleted",),
    "strike": ("struck", "stricken"),
    "repeal": ("repealed",),
    "omit": ("omitted",),
    "revise": ("revised",),
    "amend": ("amended",),
    "replace": ("replaced",),
    "substitute": ("substituted",),
    "change": ("changed",),
    "redesignate": ("redesignated",),
    "renumber": ("renumbered",),
    "reserve": ("reserved",),
    "suspend": ("suspended",),
    "lift": ("lifted",),
    "reinstate": ("reinstated",),
    "split": ("split",),
    "divide": ("divided",),
    "join": ("joined",),
    "merge": ("merged",),
    "combine": ("combined",),
    "correct": ("corrected",),
}
VERB_OF = {told: verb for verb, forms in TOLD.items() for told in forms}
FORMS: dict[str, str] = {
    "add": "`Add 5.4 to read:` or `In 5.2, add “words” at the end`",
    "remove": "`Remove 5.3` or `In 5.2, remove “words”`",
    "revise": "`Revise 5.2 to read:`",
    "replace": "`In 5.2, replace “old words” with “new words”`",
    "redesignate": "`Redesignate 4.3 as 4.4`",
    "reserve": "`Reserve 5.3`",
    "suspend": "`Suspend 5.2 until 2027-09-01`",
    "lift": "`Lift the suspension of 5.2`",
    "split": "`Split 4.2 into 4.2 and 4.3, to read:`",
    "join": "`Join 4.2 and 4.3 as 4.2, to read:`",
    "correct": "`Correct 5.2 to read:` or `Correct bulletin 1: in 5.2, replace “old words” with “new words”`",
}
USUAL = {
    "insert": "add",
    **dict.fromkeys(("delete", "strike", "repeal", "omit"), "remove"),
    "amend": "revise",
    **dict.fromkeys(("substitute", "change"), "replace"),
    "renumber": "redesignate",
    **dict.fromkeys(("end", "reinstate"), "lift"),
    "divide": "split",
    **dict.fromkeys(("merge", "combine"), "join"),
}
BEGINS = ("in", "throughout", "for", "under")
IS = r"(?:is|are|shall\s+be|will\s+be)(?:\s+hereby)?"
PASSIVE = re.compile(
    rf"\s{IS}\s+(?P<verb>{'|'.join(VERB_OF)})(?!\w)|\s(?P<reads>(?:is\s+to|shall|should)\s+read(?:\s+as\s+follows)?)(?!\w)",
    re.IGNORECASE,
)
# Behind a number a verb alone may begin a heading (`Split rims`): what it acts upon must follow, or nothing.
COMMANDS = re.compile(
    rf"(?!repeal\s*$)(?:{'|'.join(TOLD)})(?:\s*[.:]?\s*$|\s*:|\s+(?:{MASK}|[^\w\s]|(?:the|these|all|each|every|as|to)\s))|the\s+words?\s+{MASK}|"
    r"\d[^“\"]*\sinstead\s+of\s+\d",
    re.IGNORECASE,
)


def begins_instruction(title: str) -> bool:
    """Whether a heading is meant as an instruction: it begins with a verb of one, or tells what is done to a clause."""
    word = re.match(r"\s*([A-Za-z]+)", title)
    first = word[1].casefold() if word else ""
    return first in TOLD or first in BEGINS or _tells(masked(title)) is not None


def behind_number(text: str, end: int) -> str:
    """The instruction of a text whose first `end` characters are a clause number; empty where the rest is no instruction.

    It is three characters longer than the text, for the `In` in front, and every other character keeps its place.
    """
    gap = re.compile(r"[\s:;,.–—-]*").match(text, end)
    begin = gap.end() if gap else end
    if COMMANDS.match(masked(text[begin:])) is None:
        return ""
    number = text[:end].rstrip(" \t:;,.–—-")
    return f"In {number}{' ' * (begin - len(number))}{text[begin:]}"


def _tells(text: str, begin: int = 0) -> re.Match[str] | None:
    """What makes a sentence one that tells. Its subject is a number, words in quotation marks, or the suspension of a clause."""
    match = PASSIVE.search(text, begin)
    if match is None:
        return None
    subject = Cursor(text[begin : match.start()], (), Place(path=""), raw=text[begin : match.start()])
    subject.take(r"the\s+(?:suspension|heading|(?:introductory\s+)?text)\s+of")
    while subject.quote() or subject.numbers() or subject.take(rf"(?:and|before|after|in|for|{EVERY}|{COUNTED}|{WORDS})"):
        pass
    return match if subject.done else None


def parse_instruction(title: str, line: int, column: int, source: Source) -> Instruction | Fault:
    """The instruction of a sentence that begins at a line and column (from 1) of a source, without the text under it."""
    said = title.strip().rstrip(".:").strip()
    at = source.place(line, column)
    cursor = Cursor(said, [column + number for number in range(len(said))], at)
    found = _sentence(cursor)
    if found is not None and cursor.done:
        return replace(found, said=title.strip(), place=at, last_line=line)
    return _not_said(cursor, said, source)


def _not_said(cursor: Cursor, said: str, source: Source) -> Fault:
    """The fault of a sentence, at the words that its form does not have."""
    words = re.findall(r"[a-z]+", masked(said).casefold())
    verb = next((VERB_OF.get(word, word) for word in words if word in VERBS or word in VERB_OF), "")
    where = cursor.here()
    left = shortened(cursor.rest)
    found, remedy = (f"`{left}`" if left else "the end of the instruction"), ""
    if not verb:
        word = re.match(r"[A-Za-z]*", left)
        near = nearest(word[0].casefold(), VERBS) if word and word[0] else ""
        remedy = f"did you mean `{near}`?" if near else ""
    expected = (
        FORMS[USUAL.get(verb, verb)] if verb else "an instruction to add, remove, revise, replace, redesignate, suspend ..."
    )
    return source.fault("bad-instruction", where.line, where.column, found, expected=expected, remedy=remedy)


def _sentence(cursor: Cursor) -> Instruction | None:
    """A sentence: what is corrected and where, then a verb and what belongs to it."""
    if not cursor.take("correct"):
        return _clause(cursor)
    if not cursor.take(r"(?:in\s+)?bulletin"):
        return _corrected(cursor)
    match = re.compile(r"\s*([^\s:,]+)").match(cursor.text, cursor.at)
    if match is None:
        return None
    cursor.at = match.end()
    cursor.take_colon()
    found = _clause(cursor)
    return replace(found, corrects=match[1], is_correction=True) if found is not None else None


def _corrected(cursor: Cursor) -> Instruction | None:
    """`Correct 5.2 to read:`, `Correct “x” to “y” in 5.2`, `Correct 5.2: replace ...`."""
    before = cursor.at
    targets = cursor.numbers()
    if targets and cursor.take_colon():
        cursor.scope = targets[0].number
        found = _commanded(cursor, targets)
    else:
        cursor.at = before
        found = VERBS["correct"](cursor, ())
    return replace(found, is_correction=True) if found is not None else None


def _clause(cursor: Cursor) -> Instruction | None:
    scope: tuple[Target, ...] = ()
    deep = bool(cursor.take("throughout"))
    if deep or cursor.take(r"(?:in|under)(?:\s+the\s+text\s+of)?"):
        scope = tuple(replace(each, deep=each.deep or deep) for each in cursor.numbers(opening=True))
        if not scope:
            return None
        cursor.scope = scope[0].number
    match = _tells(cursor.text, cursor.at)
    return _told(cursor, scope, match) if match is not None else _commanded(cursor, scope)


def _commanded(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    if cursor.sees(rf"for\s+{MASK}"):
        return VERBS["substitute"](cursor, scope)
    verb = next((verb for verb in VERBS if cursor.sees(verb)), "")
    cursor.take(verb or "(?!)")
    return VERBS[verb](cursor, scope) if verb else None


def _told(cursor: Cursor, scope: tuple[Target, ...], match: re.Match[str]) -> Instruction | None:
    """A sentence that tells, read as a command: what stands before the verb comes behind it."""
    start, end = match.span()
    verb = VERB_OF[match["verb"].casefold()] if match["verb"] else "revise"
    cursor.rearrange([*range(cursor.at, start), *range(start if match["reads"] else end, len(cursor.text))])
    return VERBS[verb](cursor, scope)
