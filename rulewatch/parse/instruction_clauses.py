"""The forms of instructions upon whole clauses, and the verbs that begin them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from rulewatch.model.instruction import Act, Extent, Instruction, Target, Where
from rulewatch.parse.instruction_cursor import MASK, Cursor, beside
from rulewatch.parse.instruction_words import READS, WORDS, behind, insert_words, replace_words, sought_words, within

MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july", "august"),
    *("september", "october", "november", "december"),
)
DAY = re.compile(
    r"(?P<iso>\d{4}-\d{2}-\d{2})|(?P<day>\d{1,2})(?:st|nd|rd|th)?\s+(?P<month>[A-Za-z]+),?\s+(?P<year>\d{4})"
    r"|(?P<month2>[A-Za-z]+)\s+(?P<day2>\d{1,2})(?:st|nd|rd|th)?,?\s+(?P<year2>\d{4})"
)
Form = Callable[[Cursor, tuple[Target, ...]], Instruction | None]


def _add(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Add 5.4 to read:`, `Insert 5.4 after 5.2`; or words: `Insert “words” after “words”`, `Add “words” at the end of 5.2`."""
    cursor.take(WORDS)
    words = cursor.quote()
    if words is not None or cursor.sees(r"(?:at|to)\s+the\s+(?:end|beginning|start)") or cursor.sees(r"to(?!\s+read)"):
        return insert_words(cursor, scope, words)
    targets = cursor.numbers()
    if not targets:
        return None
    side = cursor.take("before|after|behind").casefold()
    other = cursor.number() if side else None
    if side and other is None:
        return None
    where = (Where.BEFORE if side == "before" else Where.AFTER) if side else None
    return _to_read(cursor, Instruction(act=Act.ADD, place=cursor.line, targets=targets, where=where, beside=other))


def _remove(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Remove 5.3`, `Remove and reserve 5.3`, or words: `Delete “words” from 5.2`."""
    cursor.take("out")
    if cursor.take("and reserve"):
        return _reserve(cursor, scope)
    found = sought_words(cursor)
    if found is not None:
        sought, occurrence = found
        targets = within(cursor, scope)
        occurrence = behind(cursor, occurrence)
        instruction = Instruction(
            act=Act.STRIKE_WORDS, place=cursor.line, sought=sought, occurrence=occurrence, targets=targets
        )
        return instruction if targets else None
    targets = cursor.numbers() or (() if cursor.rest else scope)
    if targets and cursor.take("and reserved"):
        return Instruction(act=Act.RESERVE, place=cursor.line, targets=targets)
    return Instruction(act=Act.REMOVE, place=cursor.line, targets=targets) if targets else None


def _revise(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Revise 5.2 to read:`, its text alone, its heading, or `as a whole`."""
    extent = Extent.CLAUSE
    if cursor.take(r"the\s+heading(?:\s+of)?"):
        extent = Extent.HEADING
    elif cursor.take(r"(?:only\s+)?the\s+(?:introductory\s+)?text(?:\s+of)?"):
        extent = Extent.TEXT
    targets = cursor.numbers() or scope
    if cursor.take(r"as\s+a\s+whole"):
        extent = Extent.WHOLE
    if len(targets) != 1:
        return None
    found = _to_read(cursor, Instruction(act=Act.REVISE, place=cursor.line, targets=targets, extent=extent))
    return None if extent is Extent.HEADING and found.words is None else found


def _amend(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Amend 5.2 to read:`; alone the word only announces instructions that follow (`5.2 is amended as follows:`)."""
    return _revise(cursor, scope) if re.search(r"\bread\b", cursor.text) else None


def _to_read(cursor: Cursor, instruction: Instruction) -> Instruction:
    """What comes before a new text: it stands in quotation marks, or under the sentence."""
    cursor.take(READS)
    return replace(instruction, words=cursor.quote())


def _redesignate(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Redesignate 4.3 as 4.4`, several, or a range: `Renumber 4.3 to 4.6 as 4.4 to 4.7`."""
    old: list[Target] = []
    new: list[Target] = []
    while targets := cursor.numbers() or (() if old else scope):
        if cursor.take("respectively") or not cursor.take("as|to|to be"):
            if len(targets) == 1 and targets[0].through and not old:  # `Renumber 4.3 to 4.4`
                return Instruction(
                    act=Act.REDESIGNATE,
                    place=cursor.line,
                    targets=(replace(targets[0], through=""),),
                    to=(replace(targets[0], number=targets[0].through, through="", named=""),),
                )
            return None
        to = cursor.numbers_up_to(len(targets))
        cursor.take("respectively")
        if len(to) != len(targets):
            return None
        old += targets
        new += to if cursor.scope else [beside(one, other) for one, other in zip(to, targets, strict=True)]
        if not cursor.take("and") and cursor.done:
            break
    return Instruction(act=Act.REDESIGNATE, place=cursor.line, targets=tuple(old), to=tuple(new)) if old else None


def _reserve(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    targets = cursor.numbers() or scope
    return Instruction(act=Act.RESERVE, place=cursor.line, targets=targets) if targets else None


def _suspend(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Suspend 5.2 until 1 September 2027`, or `until further notice`."""
    targets = cursor.numbers() or scope
    if not targets or not cursor.take("until"):
        return None
    if cursor.take(r"further\s+notice"):
        return Instruction(act=Act.SUSPEND, place=cursor.line, targets=targets)
    day = _day(cursor)
    return Instruction(act=Act.SUSPEND, place=cursor.line, targets=targets, until=day) if day else None


def _day(cursor: Cursor) -> date | None:
    """The next words as a day: 2027-09-01, 1 September 2027 or September 1, 2027."""
    gap = re.compile(r"\s*").match(cursor.text, cursor.at)
    match = DAY.match(cursor.text, gap.end() if gap else cursor.at)
    if match is None:
        return None
    name = (match["month"] or match["month2"] or "").casefold()
    month = next((number for number, full in enumerate(MONTHS, 1) if name in {full, full[:3]}), 0)
    try:
        if match["iso"]:
            found = date.fromisoformat(match["iso"])
        else:
            found = date(int(match["year"] or match["year2"]), month, int(match["day"] or match["day2"]))
    except ValueError:
        return None
    cursor.at = match.end()
    return found


def _lift(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    cursor.take(r"the\s+suspension(?:\s+of)?")
    targets = cursor.numbers() or scope
    return Instruction(act=Act.LIFT, place=cursor.line, targets=targets) if targets else None


def _split(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    targets = cursor.numbers() or scope
    to = cursor.numbers() if cursor.take("into") else ()
    if len(targets) != 1 or len(to) < len("12"):
        return None
    return _to_read(cursor, Instruction(act=Act.SPLIT, place=cursor.line, targets=targets, to=to))


def _join(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    targets = cursor.numbers() or scope
    to = cursor.numbers() if cursor.take("as|into|to form") else ()
    if len(to) != 1 or (len(targets) < len("12") and not any(each.through for each in targets)):
        return None
    return _to_read(cursor, Instruction(act=Act.JOIN, place=cursor.line, targets=targets, to=to))


def _replace(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """Words replaced by others; or a whole clause, `Replace 5.2 with the following:`."""
    before = cursor.at
    if sought_words(cursor) is None and not cursor.sees(rf"for\s+{MASK}"):
        cursor.take(r"the\s+text\s+of")
        return _revise(cursor, scope)
    cursor.at = before
    return replace_words(cursor, scope)


VERBS: Mapping[str, Form] = {
    "add": _add,
    "insert": _add,
    "remove": _remove,
    "delete": _remove,
    "strike": _remove,
    "repeal": _remove,
    "omit": _remove,
    "revise": _revise,
    "amend": _amend,
    "replace": _replace,
    "substitute": _replace,
    "change": _replace,
    "correct": _replace,
    "redesignate": _redesignate,
    "renumber": _redesignate,
    "reserve": _reserve,
    "suspend": _suspend,
    "lift": _lift,
    "end": _lift,
    "reinstate": _lift,
    "split": _split,
    "divide": _split,
    "join": _join,
    "merge": _join,
    "combine": _join,
}
